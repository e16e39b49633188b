#!/usr/bin/env python3
"""The separator that the importer chooses for each invented export, against the truth of its case and against two sniffers: never worse than either.

    separators_test.py PROGRAM SOURCE-FOLDER
"""
import csv
import json
import subprocess
import sys
import tempfile
import warnings
from pathlib import Path

import clevercsv

warnings.simplefilter("ignore")
program, source = sys.argv[1], Path(sys.argv[2])
ledger = str(Path(tempfile.mkdtemp()) / "unit.trayproof")
subprocess.run([program, "--ledger", ledger, "create", "--name", "Small unit", "--zone", "UTC", "--altitude-m", "1180"], check=True, capture_output=True)
files = sorted((source / "tests/cases/importer").glob("*.csv"))
told = subprocess.run([program, "--ledger", ledger, "--json", "import", "curve", "--dry-run", *map(str, files)], capture_output=True, text=True)
ours = [json.loads(line)["reading"]["delimiter"] for line in told.stdout.splitlines()]
mark = {"tab": "\t", "blanks": " "}


def truth(file):
    for line in file.with_suffix(".txt").read_text().splitlines():
        if line.startswith("expect: reading.delimiter "):
            return line.removeprefix("expect: reading.delimiter ")
    return None


# The sniffers are given text, decoded as well as can be: what they choose is all that is compared.
def text_of(file):
    raw = file.read_bytes()
    encodings = ["utf-8-sig", "cp1252"]
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encodings = ["utf-16"]
    elif raw.count(0) > len(raw) // 3:
        encodings = ["utf-16-le" if raw[1:2] == b"\0" else "utf-16-be"]
    for encoding in encodings:
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            pass
    return raw.decode("cp1252", "replace")


def sniffed(sniffer, text):
    try:
        found = sniffer().sniff(text)
    except Exception:  # each has errors of its own for "cannot tell"
        return None
    return found.delimiter if found else None


problems = []
right = {"ours": 0, "csv": 0, "clevercsv": 0}
compared = 0
if len(ours) != len(files):
    problems.append(f"{len(files)} files gave {len(ours)} answers: {told.stderr[:400]}")
for file, chosen in zip(files, ours):
    wanted = truth(file)
    if wanted is None:  # no table in it, and so no separator
        if chosen is not None:
            problems.append(f"{file.name}: {chosen!r} chosen, and its case tells no separator")
        continue
    compared += 1
    text = text_of(file)
    hits = {"ours": chosen == wanted}
    hits["csv"] = sniffed(csv.Sniffer, text) == mark.get(wanted, wanted)
    hits["clevercsv"] = sniffed(clevercsv.Sniffer, text) == mark.get(wanted, wanted)
    for who, hit in hits.items():
        right[who] += hit
    if not hits["ours"]:
        better = [who for who in ("csv", "clevercsv") if hits[who]]
        problems.append(f"{file.name}: {chosen!r} chosen, {wanted!r} is right" + (f"; {better} saw it" if better else ""))
print(f"separators of {compared} invented exports: " + ", ".join(f"{who} {count} right" for who, count in right.items()))
# A comparison in which nobody else is ever right compares nothing.
if min(right["csv"], right["clevercsv"]) * 2 < compared:
    problems.append("the sniffers were given something that they cannot read")
for problem in problems:
    print(problem)
sys.exit(1 if problems else 0)
