#!/usr/bin/env python3
"""A long export through the real program: taken in within 64 MiB, the same as in a short one, with progress on a terminal and nowhere else.

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
ledger = str(folder / "unit.trayproof")
problems = []
most_mib = 64


def expect(holds, what):
    if not holds:
        problems.append(what)


def export(path, mib):
    """One reading a second of four probes, a cycle in every two hours."""
    at, size, rows = datetime(2020, 1, 1), 0, 0
    with open(path, "w", newline="") as out:
        size += out.write("Time,T1 (°C),T2 (°C),T3 (°C),T4 (°C)\r\n")
        while size < mib << 20:
            minute = rows % 7200 / 60
            t = 25 + minute * 6.5 if minute < 15 else 121.8 if minute < 36 else max(25, 121.8 - (minute - 36) * 4)
            t += 0.1 * math.sin(rows * rows)
            size += out.write(f"{at:%Y-%m-%d %H:%M:%S},{t:.2f},{t - 0.05:.2f},{t - 0.1:.2f},{t - 0.02:.2f}\r\n")
            at += timedelta(seconds=1)
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


subprocess.run([program, "--ledger", ledger, "create", "--name", "Small unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180"], check=True, capture_output=True)
long = folder / "long.csv"
rows = export(long, 40)
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

for problem in problems:
    print(problem)
sys.exit(1 if problems else 0)
