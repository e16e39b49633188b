"""Answers to a critical finding with the real program: open until a second person countersigns, and the same on every page.

  answered_test.py TRAYPROOF SOURCE_DIR
"""
import json
import os
import re
import subprocess
import sys
import tempfile

import openpyxl

TRAYPROOF, SOURCE = sys.argv[1:]
folder = tempfile.mkdtemp()
os.environ["TRAYPROOF_LEDGER"] = f"{folder}/ward.trayproof"


def run(*arguments, status=0, given=""):
    done = subprocess.run([TRAYPROOF, *arguments], capture_output=True, text=True, input=given)
    assert done.returncode == status, (arguments, done.returncode, done.stdout, done.stderr)
    return done.stdout


def record(*events):
    return run("record", "--from", "-", given="".join(json.dumps(event) + "\n" for event in events))


run("create", "--name", "Ward", "--zone", "Etc/GMT-5", "--altitude-m", "0", "--sop", f"{SOURCE}/samples/sop/labour-room.toml")
record({"kind": "packed", "at": "2026-10-01T08:00:00+05:00", "by": "ana", "pack": "P-1", "set": "S-1", "wrap": "wrapped"},
       {"kind": "load-started", "at": "2026-10-01T09:00:00+05:00", "by": "ana", "load": "L-1", "method": "steam-gravity",
        "equipment": "AC-1", "packs": ["P-1"]},
       {"kind": "load-ended", "at": "2026-10-01T09:10:00+05:00", "by": "ana", "load": "L-1", "complete": False},
       {"kind": "procedure-done", "at": "2026-10-02T09:00:00+05:00", "by": "ana", "procedure": "D-1", "sort": "delivery",
        "place": "LR", "packs": ["P-1"]})
RULE = ("--rule", "used-from-failed-load")


def finding():
    return json.loads(run("--json", "gaps", *RULE))["gaps"][0]


def shown():
    """What the text, the workbook and the case's sheet say of its state, and whether --strict lets it pass."""
    text = run("gaps", *RULE)
    for file in ("book.xlsx", "case.pdf"):
        if os.path.exists(f"{folder}/{file}"):
            os.remove(f"{folder}/{file}")
    run("report", "--from", "2026-10-01", "--to", "2026-10-31", "-o", f"{folder}/book.xlsx")
    rows = list(openpyxl.load_workbook(f"{folder}/book.xlsx")["Gaps"].iter_rows(min_row=3, values_only=True))
    state = next(row[-1] for row in rows if "used-from-failed-load" in row)
    run("report", "D-1", "-o", f"{folder}/case.pdf")
    page = subprocess.run(["pdftotext", f"{folder}/case.pdf", "-"], capture_output=True, text=True, check=True).stdout
    strict = subprocess.run([TRAYPROOF, "gaps", *RULE, "--strict"], capture_output=True).returncode
    return text, state, re.sub(r"\s+", " ", page), strict


found = finding()
text, state, page, strict = shown()
assert (state, strict) == ("open", 1), (state, strict)
assert "awaiting" not in text and "Gaps: 1, of them open: 1." in text
answer = {"kind": "finding-answered", "at": "2026-10-03T09:00:00+05:00", "by": "ana", "rule": found["rule"],
          "subject": found["subject"], "arose": found["at"], "state": "explained", "text": "cut short"}

# By one person: shown as awaiting, and open. Where nobody was ever enrolled every name is a claim, the second as the first.
for second, state_then, open_then in (({}, "open", 1), ({"second": "cid"}, "explained", 0)):
    record({**answer, "text": f"cut short {second}", **second})
    assert (finding()["state"], finding()["second"]) == (state_then, "awaiting-second"), finding()
    text, state, page, strict = shown()
    assert f"{state_then}, awaiting its second person by entry" in text, text
    assert f"Gaps: 1, of them open: {open_then}." in text, text
    assert (state, strict) == (f"{state_then}, awaiting its second", open_then), (state, strict)
    assert f"{state_then}," in page and "awaiting its" in page, page  # other columns stand between its lines

run("person", "enrol", "bea", "--name", "Bea", "--role", "infection-control")
run("person", "pin", "bea", "--pin-fd", "0", given="246813\n246813\n")
# With persons here, a name that is none of them closes nothing.
assert (finding()["state"], finding()["second"]) == ("open", "awaiting-second"), finding()
record({**answer, "text": "cut short, and bea has seen it", "second": "bea"})
assert (finding()["state"], finding()["second"]) == ("explained", "awaiting-second"), finding()
answered = max(json.loads(json.loads(line)["entry"])["seq"] for line in run("--json", "export").splitlines()
               if '\\"finding-answered\\"' in line)
run("countersign", str(answered), "--as", "bea", "--pin-fd", "0", given="246813\n")
assert (finding()["state"], finding()["second"]) == ("explained", "confirmed"), finding()
text, state, page, strict = shown()
assert "awaiting" not in text + page and "Gaps: 1, of them open: 0." in text, text
assert (state, strict) == ("explained, countersigned", 0), (state, strict)

# An answer under a rule that there is not, and one to an instant at which nothing arose, are taken and told.
assert "Answers" not in run("gaps")
record({**answer, "rule": "no-such-rule"}, {**answer, "arose": "2026-10-02T09:00:01+05:00"})
text = run("gaps")
assert re.search(r"Answers under rules that this program does not know, entries: \d+ \(no-such-rule\)", text), text
assert re.search(r"Answers to what is not \(or no longer\) found as a gap, entries: \d+ \(used-from-failed-load\)", text), text
print("answers close critical findings by two, and are shown so")
