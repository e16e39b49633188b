"""Invented facilities: a ledger each in a folder, with days of work, and the real program to ask them."""
import json
import shutil
import subprocess
from pathlib import Path


def moment(day, minutes):
    return f"2026-{9 + day // 28:02d}-{1 + day % 28:02d}T{7 + minutes // 60:02d}:{minutes % 60:02d}+05:30"


def work(name, days, first=0, lots=("IND-A",), wrap="WRP-1", evidence_every=1, packs=4):
    """Events of `days` days, one load of `packs` packs a day, each used on the same day."""
    out = []
    for day in range(first, first + days):
        tag = f"{name}-{day}"
        lot = lots[day % len(lots)]
        held = [f"{tag}-P{i}" for i in range(packs)]
        for i, pack in enumerate(held):
            out.append({"kind": "packed", "at": moment(day, 10 + i), "by": "ana", "pack": pack, "set": "DS-1", "wrap": "wrapped",
                        "indicator_lot": lot, "wrap_lot": wrap})
        load = f"{tag}-L"
        out.append({"kind": "load-started", "at": moment(day, 60), "by": "ana", "load": load, "method": "steam-gravity",
                    "equipment": "ST-1", "cycle": day + 1, "temperature_c": 121, "hold_min": 30, "packs": held})
        ended = {"kind": "load-ended", "at": moment(day, 120), "by": "ana", "load": load, "complete": True, "dry": True}
        if day % evidence_every == 0:
            ended.update(temperature_c=121.5, hold_min=31)
            out.append({"kind": "indicator-read", "at": moment(day, 130), "by": "ana", "load": load, "lot": "CH-" + lot, "type": 5,
                        "where": "inside", "result": "pass"})
        out.append(ended)
        out.append({"kind": "load-released", "at": moment(day, 140), "by": "noor", "load": load})
        for i, pack in enumerate(held[:-1]):
            out.append({"kind": "procedure-done", "at": moment(day, 200 + 40 * i), "by": "ana", "procedure": f"{tag}-D{i}",
                        "sort": "delivery", "place": "Room 1", "patient": f"MRN-{name}-{day}-{i}", "packs": [pack],
                        "note": "an ordinary day"})
    return out


def many(name, count):
    """So many packings of one day, for parcels that take a while."""
    return [{"kind": "packed", "at": f"2026-11-20T{6 + i // 3600:02d}:{i // 60 % 60:02d}:{i % 60:02d}+05:30", "by": "ana", "pack": f"{name}-M{i}",
             "set": "DS-1", "wrap": "wrapped", "indicator_lot": "IND-A"} for i in range(count)]


class Facility:
    def __init__(self, program, folder, name, opened="2026-09-01"):
        self.program, self.name = program, name
        self.folder = Path(folder) / name
        self.folder.mkdir()
        self.path = self.folder / "facility.trayproof"
        self.sent = 0
        self.run("create", "--name", f"Health centre {name}", "--zone", "Asia/Kolkata")
        self.record([{"kind": "equipment-registered", "at": f"{opened}T00:00:00Z", "by": "ana", "equipment": "ST-1", "sort": "steam-sterilizer"},
                     {"kind": "set-defined", "at": f"{opened}T00:01:00Z", "by": "ana", "set": "DS-1", "title": "Delivery", "contact": "critical",
                      "items": [{"item": "clamp", "count": 2}]}])

    def call(self, *arguments, text=None, json_out=False):
        return subprocess.run([self.program, "--ledger", self.path, *(["--json"] if json_out else []), *map(str, arguments)],
                              input=text, capture_output=True, text=True)

    def run(self, *arguments, text=None):
        done = self.call(*arguments, text=text)
        assert done.returncode == 0, f"{self.name} {arguments}: {done.stdout}{done.stderr}"
        return done.stdout

    def json(self, *arguments, text=None):
        done = self.call(*arguments, text=text, json_out=True)
        assert done.returncode == 0, f"{self.name} {arguments}: {done.stdout}{done.stderr}"
        return json.loads(done.stdout)

    def record(self, events):
        return self.json("record", "--from", "-", text="".join(json.dumps(one) + "\n" for one in events))

    def send(self, since=None):
        """A new parcel's file and what `send` said of it."""
        self.sent += 1
        file = self.folder / f"{self.name}-{self.sent}.parcel"
        told = self.json("send", "-o", file, *(["--since", since] if since is not None else []))
        return file, told

    def keep(self, answer, vkey):
        return self.json("checkpoint", "--witness", answer, "--witness-key", vkey)

    def copy(self, name):
        """The same ledger and keys in another folder: what a thief, or a machine put back, would have."""
        other = object.__new__(Facility)
        other.program, other.name, other.sent = self.program, name, 0
        other.folder = self.folder.parent / name
        shutil.copytree(self.folder, other.folder)
        other.path = other.folder / "facility.trayproof"
        return other

    def ledger(self):
        return self.json("key", "list")["ledger"]["name"].removeprefix("trayproof/")
