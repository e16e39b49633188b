"""Opens the review of the invented October with another program's library and compares it with `gaps --json`."""
import collections
import json
import re
import sys

import openpyxl

folder = sys.argv[1]
book = openpyxl.load_workbook(f"{folder}/review.xlsx")
with open(f"{folder}/gaps.json", encoding="utf-8") as file:
    found = json.load(file)


def table(name):
    rows = list(book[name].iter_rows(min_row=3, values_only=True))
    return [dict(zip(rows[0], row)) for row in rows[1:]]


def same(shown, wanted):
    assert shown == wanted, (shown, wanted)


gaps = table("Gaps")
same(len(gaps), len(found["gaps"]))
same(collections.Counter(row["Rule"] for row in gaps), collections.Counter(one["rule"] for one in found["gaps"]))
same(sorted((row["Rule"], row["Which"], row["Entries"]) for row in gaps),
     sorted((one["rule"], one["subject"]["id"], ", ".join(map(str, one["seqs"]))) for one in found["gaps"]))
order = ["critical", "major", "minor", "information"]
same([row["Severity"] for row in gaps], sorted((row["Severity"] for row in gaps), key=order.index))

measures = {row["What"]: row for row in table("Summary")}
for name, rule in {"Uses after the release of their load": "used-before-release",
                   "Packs whose set was cleaned in their turn": "cleaning-missing",
                   "Loads with a physical record": "no-physical-record",
                   "Biological readings that prove something": "biological-void"}.items():
    counts = found["looked_at"][rule]
    same(measures[name]["Looked at"], counts["subjects"])
    same(measures[name]["Cannot tell"], counts["cannot_tell"])
    same(measures[name]["Count"], counts["subjects"] - counts["gaps"] - counts["cannot_tell"])

for rule, counts in found["looked_at"].items():
    if counts["cannot_tell"]:
        row = next(row for row in table("Not checked") if row["What"] == f"Rule {rule}: part of what it looked at")
        assert row["Why"].startswith(f"{counts['cannot_tell']} of {counts['subjects']} "), row
for sheet in book:
    for row in sheet.iter_rows(values_only=True):
        for cell in row:
            assert not (isinstance(cell, str) and re.search(r"\bsterile\b", cell, re.I)), (sheet.title, cell)
