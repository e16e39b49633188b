"""The demonstration: makes what it says, in a folder of its own, and finds the two troubles of the invented month.

  demo_test.py TRAYPROOF SOURCE_DIR
"""
import json
import os
import subprocess
import sys
import tempfile

TRAYPROOF, SOURCE = sys.argv[1:]
folder = tempfile.mkdtemp() + "/demo"


def run(*arguments, status=0):
    done = subprocess.run([TRAYPROOF, *arguments], capture_output=True, text=True)
    assert done.returncode == status, (arguments, done.returncode, done.stderr)
    return done


told = json.loads(run("--json", "demo", "--dir", folder).stdout)
with open(f"{SOURCE}/samples/facility/expected.json", encoding="utf-8") as file:
    expected = file.read()
assert told["grew"] in expected and told["air"] in expected, told
names = sorted(os.listdir(folder))
assert {"demo.trayproof", "demo.trayproof.keys", "events.jsonl", "october.xlsx", "recall.zip"} <= set(names), names
with open(f"{folder}/events.jsonl", "rb") as here, open(f"{SOURCE}/samples/facility/events.jsonl", "rb") as there:
    assert here.read() == there.read()
assert json.loads(run("--ledger", told["ledger"], "--json", "verify").stdout)["ok"]

# Never into a folder that is there.
assert folder in run("demo", "--dir", folder, status=3).stderr
assert sorted(os.listdir(folder)) == names

# As a person sees it: every command shown is one that can be typed.
shown = run("demo", "--dir", folder + "-shown").stdout
commands = [line.strip() for line in shown.splitlines() if line.startswith("  trayproof ")]
assert len(commands) == 12, commands
assert "sterile" not in shown.lower().split()
print(f"{len(commands)} commands shown")
