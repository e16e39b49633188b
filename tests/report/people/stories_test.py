#!/usr/bin/env python3
"""People, PINs and second persons through the real program, as a ward would use it: PINs come by --pin-fd or are typed on
a terminal, and what the program says is what the exit status and the exported entries say.

    stories_test.py PROGRAM
"""
import json
import os
import pty
import subprocess
import sys
import tempfile
import time
import zipfile
from pathlib import Path

program = sys.argv[1]
problems = []


def check(what, found, wanted=True):
    if found != wanted:
        problems.append(f"{what}: found {found!r}, expected {wanted!r}")


class Ward:
    """A ledger in a folder of its own; PINs by name."""

    def __init__(self, *options):
        self.folder = tempfile.TemporaryDirectory()
        self.ledger = str(Path(self.folder.name) / "ward.trayproof")
        self.run("create", "--name", "Invented ward", "--zone", "Etc/GMT-5", "--altitude-m", "1180", *options)

    def run(self, *words, pins=(), status=0, ledger=None):
        """The JSON answer; the text of standard error stays in self.said."""
        options, handed = [], []
        if pins:
            reading, writing = os.pipe()
            os.write(writing, "".join(pin + "\n" for pin in pins).encode())
            os.close(writing)
            options, handed = ["--pin-fd", str(reading)], [reading]
        done = subprocess.run([program, "--ledger", ledger or self.ledger, "--json", *options, *words],
                              capture_output=True, text=True, pass_fds=handed, stdin=subprocess.DEVNULL,
                              start_new_session=True)
        for descriptor in handed:
            os.close(descriptor)
        self.said = done.stderr
        if status is not None:
            check(f"{' '.join(words)} ({done.stderr.strip()})", done.returncode, status)
        for pin in pins:
            check("no PIN in any output", pin in done.stdout + done.stderr, False)
        return json.loads(done.stdout) if done.stdout.strip() else None

    def entries(self):
        done = subprocess.run([program, "--ledger", self.ledger, "export"], capture_output=True, text=True, check=True)
        lines = [json.loads(line) for line in done.stdout.splitlines()]
        return [dict(json.loads(line["entry"]), sig=line["sig"]) for line in lines]

    def key_of(self, person):
        return next(p["public"] for p in self.run("person", "list")["persons"] if p["person"] == person)

    def staffed(self):
        """A steward, a nurse and a clerk who can sign in."""
        self.run("person", "enrol", "mara", "--name", "Mara Invented", "--role", "steward")
        self.run("person", "pin", "mara", pins=["483920"])
        for person, role, pin in (("ana", "nurse,processor", "550731"), ("ines", "clerk", "660718")):
            self.run("person", "enrol", person, "--name", "A person", "--role", role, "--as", "mara", pins=["483920"])
            self.run("person", "pin", person, "--as", "mara", pins=["483920", pin])
        return self


def signing():
    ward = Ward().staffed()
    taken = ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"])
    entry = ward.entries()[taken["first"] - 1]
    check("the person did it", entry["by"], "ana")
    check("the person's key signs", entry["key"], ward.key_of("ana"))
    check("the entry carries the signature", bool(entry["sig"]))
    by_other = ward.run("record", "cleaned", "set=DS-1", "method=manual", "--by", "ines", "--as", "ana", pins=["550731"])
    claimed = ward.run("record", "cleaned", "set=DS-1", "method=manual", "--by", "ana")
    events = {e["seq"]: e for e in ward.run("trace", "DS-1", "--kind", "set")["events"]}
    check("own signature: nothing beside by", [k for k in ("entered_by", "signed_by") if k in events[taken["first"]]], [])
    check("done by one", events[by_other["first"]]["by"], "ines")
    check("entered by another", events[by_other["first"]]["entered_by"], "ana")
    check("signed by the station", events[claimed["first"]]["signed_by"], "station-1")
    check("nobody entered it as a person", "entered_by" in events[claimed["first"]], False)
    check("verify", ward.run("verify", "--full")["ok"])


def refusals():
    ward = Ward().staffed()
    before = len(ward.entries())
    words = ["record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as"]
    ward.run(*words, "ana", pins=["550732"], status=3)
    check("a wrong PIN", "that is not the PIN of ana" in ward.said)
    ward.run(*words, "nobody", pins=["550731"], status=3)
    check("an unknown person", "nobody has no key here" in ward.said)
    ward.run(*words, "ana", status=3)
    check("no terminal", "--pin-fd" in ward.said)
    ward.run("person", "enrol", "eva", "--name", "E", "--role", "nurse", status=3)
    check("who may enrol", "Who may and can sign in: mara" in ward.said)
    ward.run("person", "enrol", "eva", "--name", "E", "--role", "nurse", "--as", "ana", pins=["550731"], status=3)
    check("who may not", "ana may not enrol people" in ward.said)
    ward.run("person", "enrol", "eva", "--name", "E", "--role", "wizard", "--as", "mara", pins=["483920"], status=3)
    check("a role that is none", "roles" in ward.said)
    ward.run("person", "pin", "ana", status=3)
    ward.run("person", "pin", "nobody", "--as", "mara", pins=["483920"], status=3)
    for pin in ("12345", "123456", "111111", "qwerty"):
        ward.run("person", "pin", "ana", "--as", "mara", pins=["483920", pin], status=3)
    ward.run("key", "retire", ward.key_of("ana"), "--cause", "lost", "--as", "ines", pins=["660718"], status=3)
    ward.run("key", "retire", ward.key_of("ana"), "--cause", "stolen", "--as", "mara", pins=["483920"], status=3)
    check("since when", "--since" in ward.said)
    ward.run("key", "rotate", "station", status=3)
    ward.run("countersign", "1", status=2)
    check("nothing was taken", len(ward.entries()), before)


def waiting():
    ward = Ward().staffed()
    words = ["record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "ana"]
    # The waits grow with each wrong PIN, so that on a slow machine too one outlasts the way to the next try.
    held_off = False
    for _ in range(12):
        ward.run(*words, pins=["000001"], status=3)
        held_off = held_off or "too many wrong PINs" in ward.said
        if held_off:
            break
    check("a guesser waits", held_off)
    until = time.monotonic() + 300
    while ward.run(*words, pins=["550731"], status=None) is None and time.monotonic() < until:
        check("the right PIN waits too", "too many wrong PINs" in ward.said)
        time.sleep(0.5)
    check("it is let in after the wait", ward.entries()[-1]["kind"], "packed")
    check("the key file is its owner's", os.stat(ward.ledger + ".keys").st_mode & 0o777, 0o600)


def whose_word():
    """Claimed at the station, one's own, and entered by another under their own key: trace tells them apart."""
    ward = Ward().staffed()
    ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--by", "ana")
    ward.run("record", "packed", "pack=PK-2", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"])
    ward.run("record", "packed", "pack=PK-3", "set=DS-1", "wrap=wrapped", "--by", "ines", "--as", "ana", pins=["550731"])
    for pack, says in (("PK-1", "ana (claimed):"), ("PK-2", "ana (signed):"), ("PK-3", "ines (entered and signed by ana):")):
        done = subprocess.run([program, "--ledger", ward.ledger, "trace", pack], capture_output=True, text=True)
        check(f"whose word: {says} in {done.stdout}", says in done.stdout)


def second_persons():
    ward = Ward().staffed()
    packed = ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"])
    body = {"of": packed["first"], "replacement": None, "why": "typed twice", "second": "ines"}
    corrected = ward.run("record", "corrected", "--body", json.dumps(body), "--as", "ana", pins=["550731"])["first"]

    def awaiting():
        return next(e for e in ward.run("trace", "PK-1")["events"] if e["seq"] == corrected)["second"]

    check("it awaits", awaiting(), "awaiting-second")
    ward.run("countersign", str(corrected), "--as", "ana", pins=["550731"], status=3)
    check("not oneself", "ana did it" in ward.said)
    ward.run("countersign", str(corrected), "--as", "mara", pins=["483920"], status=3)
    check("not another", "names ines" in ward.said)
    done = ward.run("countersign", str(corrected), "--as", "ines", pins=["660718"])
    check("it counts", done["second"], "confirmed")
    check("it is confirmed", awaiting(), "confirmed")
    entry = ward.entries()[done["seq"] - 1]
    check("its own signature", [entry["kind"], entry["of"], bool(entry["sig"]), entry["key"]],
          ["countersigned", corrected, True, ward.key_of("ines")])
    ward.run("countersign", str(corrected), "--as", "ines", pins=["660718"], status=3)
    check("verify", ward.run("verify", "--full")["ok"])


def lost_pin():
    ward = Ward().staffed()
    ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"])
    ward.run("person", "pin", "ana", "--as", "mara", pins=["483920", "771204"])
    keys = [k for k in ward.run("key", "list")["keys"] if k["owner"] == "ana"]
    check("why the old one went", [k.get("retired", {}).get("cause") for k in keys], ["pin-forgotten", None])
    ward.run("record", "packed", "pack=PK-2", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"], status=3)
    ward.run("record", "packed", "pack=PK-2", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["771204"])
    ward.run("person", "pin", "ana", "--as", "ana", pins=["771204", "880416"])
    keys = [k for k in ward.run("key", "list")["keys"] if k["owner"] == "ana"]
    check("renewed by oneself", [k.get("retired", {}).get("cause") for k in keys], ["pin-forgotten", "rotated", None])
    # The only steward may be given a new PIN by the station, and that shows.
    ward.run("person", "pin", "mara", pins=["991530"])
    added = [e for e in ward.entries() if e["kind"] == "key-added" and e["owner"] == "mara"]
    check("by the station", added[-1]["by"], "station-1")
    check("verify", ward.run("verify", "--full")["ok"])


def leaving():
    ward = Ward().staffed()
    ward.run("person", "leave", "ana", status=3)
    ward.run("person", "leave", "ana", "--as", "mara", pins=["483920"])
    ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"], status=3)
    person = next(p for p in ward.run("person", "list")["persons"] if p["person"] == "ana")
    check("left", ["left" in person, person["key"]], [True, "left"])
    check("no sealed key", "ana" in Path(ward.ledger + ".keys").read_text(), False)
    ward.run("person", "pin", "ana", "--as", "mara", pins=["483920", "771204"], status=3)
    check("verify", ward.run("verify", "--full")["ok"])


def stolen_key():
    ward = Ward().staffed()
    first = ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"])["first"]
    time.sleep(0.05)
    since = time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime()) + f".{int(time.time() * 1000) % 1000:03d}Z"
    time.sleep(0.05)
    later = ward.run("record", "packed", "pack=PK-2", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["550731"])["first"]
    check("verify before", ward.run("verify")["ok"])
    pack = str(Path(ward.folder.name) / "before.zip")
    ward.run("evidence", "PK-2", "-o", pack, "--kind", "pack")
    vkey = ward.run("key", "list")["ledger"]["vkey"]
    check("nothing to tell before", ward.run("check", pack, "--ledger-key", vkey)["open"], [])
    told = ward.run("key", "retire", ward.key_of("ana")[:12], "--cause", "stolen", "--since", since, "--as", "mara",
                    pins=["483920"])["seq"]
    # Everywhere the entry is shown, not in verify alone; the one from before the theft is as sound as it was.
    for pack_id, seq, suspect in (("PK-2", later, True), ("PK-1", first, False)):
        event = next(one for one in ward.run("trace", pack_id)["events"] if one["seq"] == seq)
        check(f"trace {pack_id}", event.get("key_stolen", {}).get("told"), told if suspect else None)
        plain = subprocess.run([program, "--ledger", ward.ledger, "trace", pack_id], capture_output=True, text=True).stdout
        check(f"trace {pack_id} in words", f"REPORTED STOLEN" in plain, suspect)
        pack = str(Path(ward.folder.name) / f"{pack_id}.zip")
        ward.run("evidence", pack_id, "-o", pack, "--kind", "pack")
        found = ward.run("check", pack, "--ledger-key", vkey, status=1 if suspect else 0)
        check(f"check {pack_id}", [found["holds"], found["whose"], ["STOLEN KEY" in one and str(later) in one for one in found["open"]]],
              [True, "ledger-key", [True] if suspect else []])
        with zipfile.ZipFile(pack) as opened:
            page = opened.read("START-HERE.html").decode()
        check(f"the page of {pack_id}", "REPORTED STOLEN" in page, suspect)
    found = ward.run("verify", status=1)
    check("the later one only", [p["seq"] for p in found["problems"]], [later])
    check("in careful words", "reported stolen as of" in found["problems"][0]["what"])
    check("before it", first < later)
    ward.run("person", "pin", "ana", "--as", "mara", pins=["483920", "771204"])
    ward.run("record", "packed", "pack=PK-3", "set=DS-1", "wrap=wrapped", "--as", "ana", pins=["771204"])
    check("nothing more", [p["seq"] for p in ward.run("verify", "--full", status=1)["problems"]], [later])


def rotation_and_loss():
    ward = Ward().staffed()
    ward.run("checkpoint")
    old = ward.run("key", "list")["ledger"]["vkey"]
    ward.run("key", "rotate", "ledger", "--as", "mara", pins=["483920"])
    ward.run("key", "rotate", "--as", "mara", pins=["483920"])
    check("another ledger key", ward.run("key", "list")["ledger"]["vkey"] == old, False)
    ward.run("checkpoint")
    taken = ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped")
    station = [k for k in ward.run("key", "list")["keys"] if k["sort"] == "station"]
    check("rotated", [k.get("retired", {}).get("cause") for k in station], ["rotated", None])
    check("the new one signs", ward.entries()[taken["first"] - 1]["key"], station[-1]["key"])
    check("verify", ward.run("verify", "--full")["ok"])
    # The key file is lost: the old ledger stays readable, and a new one goes on from its end.
    os.unlink(ward.ledger + ".keys")
    check("verify without keys", ward.run("verify", "--full")["ok"])
    end = ward.run("verify")
    ward.run("record", "packed", "pack=PK-2", "set=DS-1", "wrap=wrapped", status=4)
    after = str(Path(ward.folder.name) / "after.trayproof")
    ward.run("create", "--name", "Invented ward", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--continues", ward.ledger,
             ledger=after)
    old_ledger, ward.ledger = ward.ledger, after
    opened = ward.entries()[0]
    check("it goes on", [opened["continues"]["size"], opened["continues"]["root"]], [end["events"], end["root"]])
    ward.run("record", "packed", "pack=PK-2", "set=DS-1", "wrap=wrapped")
    check("verify the new one", ward.run("verify", "--full")["ok"])
    check("the old one is untouched", ward.run("verify", "--full", ledger=old_ledger)["root"], end["root"])


def typed_on_a_terminal():
    """PINs typed on a terminal are asked for twice and never shown."""
    ward = Ward()
    ward.run("person", "enrol", "mara", "--name", "Mara", "--role", "steward")

    def typed(*words, answers):
        child, terminal = pty.fork()
        if child == 0:
            os.execv(program, [program, "--ledger", ward.ledger, *words])
        seen = b""
        for answer in answers:
            while not seen.rstrip().endswith(b":"):
                seen += os.read(terminal, 1024)
            time.sleep(0.2)  # the echo is off by then
            os.write(terminal, answer.encode() + b"\n")
            seen += b"\n"
        try:
            while part := os.read(terminal, 1024):
                seen += part
        except OSError:  # the terminal closes with the program
            pass
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), seen.decode()

    status, seen = typed("person", "pin", "mara", answers=["483920", "483921"])
    check("typed otherwise", [status, "the two PINs differ" in seen], [3, True])
    status, seen = typed("person", "pin", "mara", answers=["483920", "483920"])
    check("typed twice", status, 0)
    check("unseen", "483920" in seen, False)
    status, seen = typed("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", "--as", "mara", answers=["483920"])
    check("typed to sign", [status, "483920" in seen], [0, False])
    check("signed", ward.entries()[-1]["key"], ward.key_of("mara"))


for story in (signing, refusals, waiting, whose_word, second_persons, lost_pin, leaving, stolen_key, rotation_and_loss,
              typed_on_a_terminal):
    count = len(problems)
    story()
    problems[count:] = [f"{story.__name__}: {problem}" for problem in problems[count:]]
for problem in problems:
    print(problem)
sys.exit(1 if problems else 0)
