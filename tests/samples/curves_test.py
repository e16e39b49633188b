"""Curves after their import, from the command line: which wait, how one is placed by a person, what a calibration that
found an error does to the judgements of a logger, and that kept curves are never trusted above their exports.

    curves_test.py TRAYPROOF
"""
import json
import os
import shutil
import sqlite3
import struct
import subprocess
import sys
import tempfile
import zlib
from datetime import datetime, timedelta

program = os.path.abspath(sys.argv[1])


def run(folder, *words, status=0):
    done = subprocess.run([program, "--ledger", os.path.join(folder, "unit.trayproof"), *words], capture_output=True,
                          text=True, check=False)
    assert done.returncode == status, (words, done.returncode, done.stdout, done.stderr)
    return done.stdout


def answer(folder, *words, status=0):
    return json.loads(run(folder, "--json", *words, status=status))


def write(folder, name, text):
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)
    return path


def cycle(begin, top, hold=31):
    """One value a minute: up, a hold, down."""
    values = [25 + (top - 27) * i / 15 for i in range(15)] + [top] * (hold + 1) + [top - 3 - 6 * i for i in range(13)]
    return [(begin + timedelta(minutes=i), round(value, 1)) for i, value in enumerate(values)]


def export(rows):
    return "Time;T1 (°C)\n" + "".join(f"{at:%Y-%m-%d %H:%M:%S};{value}\n" for at, value in rows)


class Taking:
    """Bytes of a kept curve, read as docs/curve-format.md tells."""

    def __init__(self, data):
        self.data, self.at = data, 0

    def number(self):
        value = shift = 0
        while True:
            byte = self.data[self.at]
            self.at += 1
            value |= (byte & 0x7F) << shift
            if byte < 0x80:
                return value
            shift += 7

    def signed(self, value):
        return value // 2 if value % 2 == 0 else -(value + 1) // 2

    def text(self):
        size = self.number()
        self.at += size
        return self.data[self.at - size:self.at].decode()

    def real(self):
        self.at += 8
        return struct.unpack("<d", self.data[self.at - 8:self.at])[0]

    def column(self, rows):
        form = self.number()
        if form == 0:
            return [None] * rows
        assert form in (1, 2), form
        assert self.number() == 0, "celsius, or seconds"
        decimals, before, step, out = self.number(), 0, 0, []
        for _ in range(rows):
            change = self.number()
            if change == 0:
                out.append(None)
                continue
            value = self.signed(change - 1) + before + (step if form == 2 else 0)
            before, step = value, value - before
            out.append(value / 10 ** decimals)
        return out


def temperatures_of(row):
    """Of the kept curve of a file with one channel."""
    taking = Taking(zlib.decompress(row))
    assert taking.number() == 1
    rows, _, _, channels = (taking.number() for _ in range(4))
    assert channels == 1 and taking.text() == "T1 (°C)" and taking.number() == 1
    assert taking.text() == "" and taking.number() == 0 and taking.number() == 0 and taking.real() == 60
    assert taking.number() == 0 and taking.number() == 0
    times, elapsed, lines, values = (taking.column(rows) for _ in range(4))
    assert taking.column(rows) == taking.column(rows) == [None] * rows and taking.at == len(taking.data)
    assert all(b - a == 60_000 for a, b in zip(times, times[1:])) and elapsed[1] - elapsed[0] == 60
    return int(lines[0]), values


def curves_json(found):
    return [(one["curve"], one["load"], one["before"], one["after"]) for one in found]


with tempfile.TemporaryDirectory() as folder:
    run(folder, "create", "--name", "Invented unit", "--zone", "Etc/GMT-5", "--altitude-m", "100")
    day = datetime(2026, 9, 1)
    events = [{"kind": "equipment-registered", "at": "2026-08-31T08:00:00+05:00", "by": "ana", "equipment": name,
               "sort": sort} for name, sort in (("A-1", "steam-sterilizer"), ("LG-1", "data-logger"))]
    tops = {}
    for i in range(12):
        begin = day + timedelta(days=i, hours=8)
        tops[f"L-{i}"] = 121.6 if i % 4 == 0 else 122.6
        stamp = begin.isoformat() + "+05:00"
        until = (begin + timedelta(minutes=62)).isoformat() + "+05:00"
        events += [
            {"kind": "packed", "at": (begin - timedelta(hours=1)).isoformat() + "+05:00", "by": "ana", "pack": f"P-{i}",
             "set": f"S-{i}", "wrap": "wrapped"},
            {"kind": "load-started", "at": stamp, "by": "ana", "load": f"L-{i}", "method": "steam-gravity",
             "equipment": "A-1", "packs": [f"P-{i}"], "temperature_c": 121},
            {"kind": "load-ended", "at": until, "by": "ana", "load": f"L-{i}", "complete": True},
        ]
    run(folder, "record", "--from", write(folder, "events.jsonl", "\n".join(json.dumps(one) for one in events)))

    # Eight cycles of one file, three in files of their own; the last by a clock three hours fast.
    rows = []
    for i in range(8):
        rows += cycle(day + timedelta(days=i, hours=8, minutes=1), tops[f"L-{i}"])
    files = [write(folder, "week.csv", export(rows))]
    for i in range(8, 11):
        files.append(write(folder, f"day-{i}.csv", export(cycle(day + timedelta(days=i, hours=8, minutes=1), tops[f"L-{i}"]))))
    files.append(write(folder, "fast.csv", export(cycle(day + timedelta(days=11, hours=11, minutes=1), tops["L-11"]))))
    run(folder, "import", "curve", *files, "--equipment", "A-1", "--logger", "LG-1")

    waiting = answer(folder, "import", "waiting")["waiting"]
    assert len(waiting) == 1 and waiting[0]["near"][0]["load"] == "L-11", waiting
    assert 9000 < waiting[0]["near"][0]["clock_offset_s"] < 10800, waiting
    assert not waiting[0]["near"][0]["has_curve"] and waiting[0]["near"][1]["has_curve"], waiting
    told = run(folder, "import", "waiting")
    assert "import place" in told and "L-11" in told, told
    curve = str(waiting[0]["curve"])
    run(folder, "import", "place", curve, "no-such-load", status=3)
    run(folder, "import", "place", "3", "L-11", status=3)
    placed = answer(folder, "import", "place", curve, "L-11")
    assert placed["verdict"] == "reached" and "clock-off" in [one["what"] for one in placed["findings"]], placed
    assert placed["clock_offset_s"] == waiting[0]["near"][0]["clock_offset_s"], placed
    assert answer(folder, "import", "waiting") == {"waiting": []}
    assert "No curve waits" in run(folder, "import", "waiting")

    # Half a kelvin too high changes nothing; a whole one takes the twelve loads apart.
    size = answer(folder, "verify")["events"]
    looked = answer(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "0.5", "--dry-run")
    assert (looked["curves"], looked["reached"], looked["new"], looked["fails"]) == (12, 12, 12, []), looked
    assert looked["recall"]["fails"] is None and answer(folder, "verify")["events"] == size
    lower = answer(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "1", "--dry-run")
    failed = sorted(load for load, top in tops.items() if top == 121.6)
    assert sorted(one["load"] for one in lower["fails"]) == failed, lower["fails"]
    assert all(one["findings"][0]["what"] == "temperature-not-reached" for one in lower["fails"]), lower["fails"]

    copy = os.path.join(folder, "copy")
    os.mkdir(copy)
    for name in ("unit.trayproof", "unit.trayproof.keys"):
        shutil.copy(os.path.join(folder, name), copy)
    done = answer(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "1")
    assert curves_json(done["fails"]) == curves_json(lower["fails"]) and done["new"] == 12, done
    assert done["last"] - done["first"] == 11 and answer(folder, "verify")["events"] == size + 12
    again = answer(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "1")
    assert again["new"] == 0 and again["not_reached"] == 3, again
    assert sorted(one["load"] for one in again["fails"]) == failed
    assert again["recall"]["fails"] == done["recall"]["fails"] and again["new"] == 0, again
    recall = done["recall"]["fails"].split(" ", 1)[1]
    words = recall[:recall.index(" --why ")].split() + ["--why", recall.split("'")[1]]
    reached = answer(folder, *words)
    assert sorted(one["load"] for one in reached["loads"]) == failed, reached["loads"]
    entries = [json.loads(json.loads(line)["entry"]) for line in run(folder, "export").splitlines()]
    assert [one.get("error_k") for one in entries if one["kind"] == "curve-judged"][-12:] == [1] * 12
    assert run(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "0.9").count("trayproof recall") <= 3
    assert len(answer(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "1", "--from", "2026-09-03", "--to",
                      "2026-09-04", "--dry-run")["mends"]) + 2 == 2
    run(folder, "import", "rejudge", "--logger", "LG-1", "--error-k", "60", status=2)
    run(folder, "import", "rejudge", "--logger", "LG-2", "--error-k", "1", status=3)

    # In the copy nothing is kept beside the chain: judged from the exports, all is the same. A row that another hand
    # wrote is not believed, and told.
    database = sqlite3.connect(os.path.join(copy, "unit.trayproof"))
    assert database.execute("SELECT count(*) FROM curves").fetchone() == (12,)
    for (row,) in database.execute("SELECT deflated FROM curves WHERE part = 1").fetchall():
        line, values = temperatures_of(row)
        kept = [export for export in (open(path, encoding="utf-8").read().splitlines() for path in files)
                if [float(one.split(";")[1]) for one in export[line - 1:line - 1 + len(values)]] == values]
        assert kept, (line, values)
    good = database.execute("SELECT deflated FROM curves WHERE part = 2").fetchone()[0]
    with database:
        database.execute("UPDATE curves SET deflated = (SELECT deflated FROM curves WHERE part = 2), bytes = "
                         "(SELECT bytes FROM curves WHERE part = 2) WHERE part = 1")
    told = answer(copy, "verify", "--full", status=1)
    assert len(told["problems"]) >= 8 - 3 and all("measured curve" in one["what"] for one in told["problems"]), told
    twisted = answer(copy, "import", "rejudge", "--logger", "LG-1", "--error-k", "1", "--dry-run")
    assert curves_json(twisted["fails"]) == curves_json(lower["fails"]), twisted
    assert "derived again" in run(copy, "rebuild") and answer(copy, "verify", "--full")["problems"] == []
    assert database.execute("SELECT deflated FROM curves WHERE part = 2").fetchone()[0] == good
    with database:
        database.execute("DELETE FROM curves")
    bare = answer(copy, "import", "rejudge", "--logger", "LG-1", "--error-k", "1", "--dry-run")
    assert bare["fails"] == lower["fails"] and database.execute("SELECT count(*) FROM curves").fetchone() == (0,)
    written = answer(copy, "import", "rejudge", "--logger", "LG-1", "--error-k", "1")
    assert written["fails"] == lower["fails"] and database.execute("SELECT count(*) FROM curves").fetchone() == (12,)
    assert database.execute("SELECT deflated FROM curves WHERE part = 2").fetchone()[0] == good
    assert answer(copy, "verify", "--full")["problems"] == []
    database.close()
print("curves: waiting, placed, judged again, never above the exports")
