#!/usr/bin/env python3
"""A long export through the real program: taken in within 64 MiB, with --json too, the same as in a short one, with progress on a terminal and nowhere else; what each of many cycles takes.

    long_test.py PROGRAM
"""
import json
import math
import os
import pty
import subprocess
import sys
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

program = sys.argv[1]
folder = Path(tempfile.mkdtemp())
sop = Path(__file__).parents[2] / "samples" / "sop" / "labour-room.toml"
ledger = ""
problems = []
most_mib = 64
kib_a_cycle_most = 6  # of 3,250 cycles, a gibibyte at one reading a second, 19 MiB


def expect(holds, what):
    if not holds:
        problems.append(what)


def export(path, rows_most=None, mib=1 << 20, step_s=1):
    """Readings of four probes, a cycle in every two hours."""
    at, size, rows = datetime(2020, 1, 1), 0, 0
    with open(path, "w", newline="") as out:
        size += out.write("Time,T1 (°C),T2 (°C),T3 (°C),T4 (°C)\r\n")
        while size < mib << 20 and rows != rows_most:
            minute = rows * step_s % 7200 / 60
            t = 25 + minute * 6.5 if minute < 15 else 121.8 if minute < 36 else max(25, 121.8 - (minute - 36) * 4)
            t += 0.1 * math.sin(rows * rows)
            size += out.write(f"{at:%Y-%m-%d %H:%M:%S},{t:.2f},{t - 0.05:.2f},{t - 0.1:.2f},{t - 0.02:.2f}\r\n")
            at += timedelta(seconds=step_s)
            rows += 1
    return rows


def run(*words, watched=False):
    """Status, both outputs and the peak of memory in MiB; with standard error on a terminal where it is watched."""
    out = open(folder / "out", "w+b")
    main, end = pty.openpty() if watched else os.pipe()
    child = os.fork()
    if child == 0:
        os.dup2(out.fileno(), 1)
        os.dup2(end, 2)
        os.execv(program, [program, "--ledger", ledger, *words])
    os.close(end)
    err = b""
    while True:
        try:
            part = os.read(main, 65536)
        except OSError:  # a terminal whose other end is gone
            break
        if not part:
            break
        err += part
    os.close(main)
    _, status, usage = os.wait4(child, 0)
    out.seek(0)
    return os.waitstatus_to_exitcode(status), out.read().decode(), err.decode(), usage.ru_maxrss / 1024


def create(name):
    """A ledger of its own, which what is run from then on uses."""
    global ledger
    ledger = str(folder / name)
    subprocess.run([program, "--ledger", ledger, "create", "--name", "Small unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--sop", str(sop)], check=True, capture_output=True)


long = folder / "long.csv"
rows = export(long, mib=40)
create("json.trayproof")
code, out, err, peak = run("--json", "import", "curve", str(long), "--equipment", "AC-1", watched=True)
new = json.loads(out)
expect(code == 0 and err == "" and not new["repeated"] and new["rows"] == rows, f"with --json: status {code}, {err[:200]!r}")
expect(peak < most_mib, f"{peak:.0f} MiB for taking in a long export with --json")
print(f"taking in 40 MiB with --json: peak {peak:.0f} MiB")
create("unit.trayproof")
code, out, err, peak = run("import", "curve", str(long), "--equipment", "AC-1", watched=True)
expect(code == 0, f"status {code}: {err[-400:]}")
expect("%  reading" in err and "%  keeping" in err and "\x1b[K" in err, f"progress on a terminal: {err[:300]!r}")
expect(err.rstrip().endswith("\x1b[K") or err.endswith("\x1b[K"), f"the line is gone at the end: {err[-80:]!r}")
expect(peak < most_mib, f"{peak:.0f} MiB for taking in a long export")
print(f"taking in 40 MiB: peak {peak:.0f} MiB")
code, out, err, peak = run("--json", "import", "curve", str(long), "--equipment", "AC-1", watched=True)
found = json.loads(out)
expect(code == 0 and found["repeated"] and found["rows"] == rows and found["readings"] == rows, f"again: {found['rows']} of {rows}")
expect(len(found["cycles"]) == math.ceil(rows / 7200), f"{len(found['cycles'])} cycles")
expect(err == "", f"nothing on standard error with --json: {err[:200]!r}")
expect(peak < most_mib, f"{peak:.0f} MiB for reading it again")
for words, watched in ((["--quiet"], True), ([], False)):
    code, out, err, _ = run(*words, "import", "curve", str(long), "--dry-run", watched=watched)
    expect(code == 0 and "%" not in err, f"no progress with {words}, watched {watched}: {err[:200]!r}")
said_of = ("hold", "temperature_c", "f0", "verdict", "phases", "from", "until")
expect([[one.get(name) for name in said_of] for one in new["cycles"]] == [[one.get(name) for name in said_of] for one in found["cycles"]], "the cycles when they are new and when they are kept")
first = found["cycles"][0]
short = folder / "short.csv"
with open(long, newline="") as source, open(short, "w", newline="") as target:
    for _, line in zip(range(7201), source):
        target.write(line)
code, out, _, _ = run("--json", "import", "curve", str(short), "--dry-run")
alone = json.loads(out)["cycles"][0]
for name in ("hold", "temperature_c", "f0", "f0_low", "verdict"):
    expect(alone[name] == first[name], f"{name} of the first cycle: {alone[name]} alone, {first[name]} in the long file")
code, out, _, peak = run("--json", "verify", "--full")
expect(code == 0, f"verify: {out[:400]}")
expect(peak < 2 * most_mib, f"{peak:.0f} MiB for verifying it")

# Few and many cycles of a reading in ten seconds: what each takes.
peaks = {}
for cycles in (500, 1500):
    many = folder / "many.csv"
    export(many, rows_most=720 * cycles, step_s=10)
    for words in ([], ["--json"]):
        create(f"many-{cycles}-{len(words)}.trayproof")
        code, out, err, peak = run(*words, "import", "curve", str(many), "--equipment", "AC-1")
        expect(code == 0 and peak < most_mib, f"{cycles} cycles {words}: status {code}, {peak:.0f} MiB, {err[-400:]}")
        if words:
            expect(len(json.loads(out)["cycles"]) == cycles, f"{len(json.loads(out)['cycles'])} cycles of {cycles}")
        if cycles == 1500:
            each = (peak - peaks[len(words)]) * 1024 / 1000
            expect(each < kib_a_cycle_most, f"{each:.1f} KiB a cycle {words}")
            print(f"1,500 cycles {' '.join(words)}: peak {peak:.0f} MiB, {each:.1f} KiB a cycle")
        peaks[len(words)] = peak

for problem in problems:
    print(problem)
sys.exit(1 if problems else 0)
