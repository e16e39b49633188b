#!/usr/bin/env python3
"""The small exports under samples/loggers through the real program: each shows the question or refusal that its name says.

    loggers_test.py PROGRAM SOURCE-FOLDER
"""
import json
import subprocess
import sys
import tempfile
from pathlib import Path

program, source = sys.argv[1], Path(sys.argv[2])
folder = tempfile.TemporaryDirectory()
ledger = str(Path(folder.name) / "small.trayproof")
problems = []


def run(*words):
    done = subprocess.run([program, "--ledger", ledger, "--json", *words], capture_output=True, text=True)
    return done.returncode, (json.loads(done.stdout) if done.stdout.strip() else None)


run("create", "--name", "Small unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180")
wanted = {"date-order.csv": (3, ["date-order"], None), "gauge-or-absolute.csv": (3, ["pressure"], None), "no-start.txt": (3, ["start"], None),
          "power-cut.csv": (0, [], ["not-reached"]), "stock-list.csv": (3, [], None)}
for file in sorted((source / "samples" / "loggers").iterdir()):
    if file.name not in wanted:
        problems.append(f"{file.name} is not expected here")
        continue
    status, asks, verdicts = wanted.pop(file.name)
    code, found = run("import", "curve", str(file), "--equipment", "autoclave-1")
    if code != status or [a["what"] for a in found["asks"]] != asks:
        problems.append(f"{file.name}: status {code}, asks {found['asks']}")
    if verdicts is not None and [c["verdict"] for c in found["cycles"]] != verdicts:
        problems.append(f"{file.name}: verdicts {[c['verdict'] for c in found['cycles']]}")
problems += [f"{name} is missing" for name in wanted]
code, found = run("import", "curve", str(source / "samples" / "loggers" / "date-order.csv"), "--equipment", "autoclave-1", "--date-order", "dmy")
if code != 0 or found["asks"]:
    problems.append("an answered question is asked again")
for problem in problems:
    print(problem)
sys.exit(1 if problems else 0)
