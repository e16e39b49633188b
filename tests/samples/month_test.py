#!/usr/bin/env python3
"""The invented month through the real program: what it answers is what samples/facility/expected.json says, which was
worked out without it.

    month_test.py PROGRAM SOURCE-FOLDER
"""
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from xml.etree import ElementTree

program, source = sys.argv[1], Path(sys.argv[2])
samples = source / "samples"
expected = json.loads((samples / "facility" / "expected.json").read_text())
problems = []


def run(*words, status=0, as_json=True):
    done = subprocess.run([program, "--ledger", ledger] + (["--json"] if as_json else []) + list(words), capture_output=True, text=True)
    outputs.append(done.stdout + done.stderr)
    if done.returncode != status:
        problems.append(f"{' '.join(words)} ended with {done.returncode}: {done.stderr[:300]}")
    return json.loads(done.stdout) if as_json and done.stdout.strip() else done.stdout


def same(what, found, wanted):
    if found != wanted:
        problems.append(f"{what}: found {json.dumps(found)[:300]}, expected {json.dumps(wanted)[:300]}")


def check_recall(name, because):
    wanted = expected[name]
    answer = run("recall", "--because", because, "--load", wanted["subject"]["load"])
    same(f"{name} window", answer["window"], wanted["window"])
    same(f"{name} loads", answer["loads"], wanted["loads"])
    keys = ("pack", "set", "load", "standing")
    same(f"{name} packs", [[p[k] for k in keys] for p in answer["packs"]], [[p[k] for k in keys] for p in wanted["packs"]])
    same(f"{name} procedures", [[p["procedure"], p["uses"]] for p in answer["procedures"]],
         [[p["procedure"], p["uses"]] for p in wanted["procedures"]])
    same(f"{name} counts", {k: answer["counts"][k] for k in wanted["counts"]}, wanted["counts"])


outputs = []
folder = tempfile.TemporaryDirectory()
ledger = str(Path(folder.name) / "month.trayproof")
run("create", "--name", "Oraveth Maternity Unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180",
    "--sop", str(samples / "sop" / "labour-room.toml"))
events = samples / "facility" / "events.jsonl"
taken = run("record", "--from", str(events))
same("taken", [taken["taken"], taken["refused"]], [expected["events"], []])
again = run("record", "--from", str(events))
same("the same file again", [again["taken"], again["repeated"]], [0, expected["events"]])

for export in expected["exports"]:
    file = str(samples / "facility" / export["file"])
    words = ["import", "curve", file, "--equipment", export["equipment"], "--logger", export["logger"]]
    found = run(*words)
    same(f"{export['file']} rows", found["rows"], found["readings"] + found["marks"] + len(found["refused"]))
    same(f"{export['file']} cycles", [[c["load"], c["verdict"]] for c in found["cycles"]],
         [[c["load"], c["verdict"]] for c in export["cycles"]])
    for cycle, wanted in zip(found["cycles"], export["cycles"]):
        if abs((cycle["hold"] or {"minutes": 0})["minutes"] - wanted["hold_minutes"]) > 0.5:
            problems.append(f"{wanted['load']} holds {cycle['hold']}, expected {wanted['hold_minutes']}")
    same(f"{export['file']} again", run(*words)["repeated"], True)
    drawing = Path(folder.name) / (Path(file).stem + ".svg")
    run(*words, "--dry-run", "--plot", str(drawing), as_json=False)
    titles = [e.text for e in ElementTree.parse(drawing).iter("{http://www.w3.org/2000/svg}text") if e.get("font-weight") == "bold"]
    same(f"{export['file']} drawn", [t.split(",")[0] for t in titles], [f"Load {c['load']}" for c in export["cycles"]])

check_recall("trouble_a", "biological-positive")
check_recall("trouble_b", "load-failed")

gaps = run("gaps")
found = {(g["rule"], g["subject"]["id"]) for g in gaps["gaps"]}
for rule, subject in (("biological-positive-unanswered", expected["trouble_a"]["subject"]["load"]),
                      ("steam-not-saturated", expected["trouble_b"]["subject"]["load"]),
                      ("strip-and-curve-disagree", expected["trouble_b"]["subject"]["load"])):
    if (rule, subject) not in found:
        problems.append(f"gaps do not name {rule} of {subject}")
run("gaps", "--strict", status=1)
run("exposure")
run("trace", expected["trouble_b"]["procedures"][0]["procedure"])
book = str(Path(folder.name) / "month.xlsx")
run("report", "--from", "2026-10-01", "--to", "2026-11-03", "-o", book)
run("recall", "--because", "biological-positive", "--load", expected["trouble_a"]["subject"]["load"], "--open", "RC-1",
    "--call-list", str(Path(folder.name) / "calls.csv"))
run("checkpoint", "--kept", "paper register, page 12")
same("verify", run("verify", "--full")["problems"], [])
run("rebuild")
same("verify after rebuild", run("verify")["ok"], True)
for words in (["gaps"], ["exposure"], ["recall", "--because", "load-failed", "--load", expected["trouble_b"]["subject"]["load"]], ["verify"]):
    run(*words, as_json=False)

# What the facility sees never calls anything sterile, and no output holds a patient's number.
numbers = set()
for line in events.read_text().splitlines():
    event = json.loads(line)
    for one in (event, event.get("replacement") or {}):
        numbers |= {n for n in [one.get("patient"), *one.get("newborns", [])] if n}
everything = "\n".join(outputs) + Path(folder.name, "calls.csv").read_text()
if re.search(r"\bsterile\b", everything, re.I):
    problems.append("an output says sterile")
leaked = [n for n in numbers if n in everything]
if leaked:
    problems.append(f"{len(leaked)} patients' numbers stand in outputs")
for file in Path(folder.name).iterdir():
    bytes_of_file = file.read_bytes()
    leaked = [n for n in numbers if n.encode() in bytes_of_file]
    if leaked:
        problems.append(f"{len(leaked)} patients' numbers stand in {file.name}")

for problem in problems:
    print(problem)
print(f"{len(problems)} problems")
sys.exit(1 if problems else 0)
