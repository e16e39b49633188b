"""Builds the invented month with the real program and compares every number of its workbook with what --json says.

  every_number.py TRAYPROOF SOURCE_DIR

Numbers of single events come from `export`, counts from `gaps`, `exposure` and `recall`; what is worked out (minutes,
shares, days) is worked out here again. A number that no column below accounts for fails the test.
"""
import collections
import datetime
import json
import os
import re
import subprocess
import sys
import tempfile

import openpyxl

TRAYPROOF, SOURCE = sys.argv[1:]
SHEETS = ["Cover", "Summary", "Cases", "Packs", "Loads", "Curves", "Indicators", "Biological calendar", "Gaps",
          "Solutions", "Recalls", "People", "Equipment", "Limits", "Ledger proof", "Not checked", "Figures"]
EXPORTS = [("drum-autoclave-14-october.csv", "autoclave-drum", "logger-1"),
           ("tabletop-15-and-16-october.csv", "autoclave-table", "logger-2"),
           ("drum-autoclave-24-and-25-october.txt", "autoclave-drum", "logger-1")]
with open(f"{SOURCE}/samples/sop/labour-room.toml", encoding="utf-8") as sop:
    BIOLOGICAL_DAYS = float(re.search(r"^biological_days *= *([0-9.]+)", sop.read(), re.M).group(1))
ZONE = datetime.timezone(datetime.timedelta(hours=5))  # Etc/GMT-5, written the other way round by POSIX
PERIOD = ["--from", "2026-10-01", "--to", "2026-11-03"]


def run(*arguments):
    done = subprocess.run([TRAYPROOF, *arguments], capture_output=True, text=True)
    assert done.returncode == 0, (arguments, done.stderr)
    return done.stdout


def same(found, wanted, what=""):
    assert found == wanted, (what, found, wanted)


def near(found, wanted, what=""):
    if isinstance(wanted, float) and isinstance(found, (int, float)):
        assert abs(found - wanted) < 1e-6, (what, found, wanted)
    else:
        same(found, wanted, what)


def local(text):
    return datetime.datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(ZONE).replace(tzinfo=None)


def as_second(value):
    return value.replace(microsecond=0) if isinstance(value, datetime.datetime) else value


class Book:
    def __init__(self, path):
        self.book = openpyxl.load_workbook(path)
        self.told = collections.Counter()

    def table(self, name):
        rows = list(self.book[name].iter_rows(min_row=3))
        heads = [cell.value for cell in rows[0]]
        return [dict(zip(heads, row)) for row in rows[1:]]

    def take(self, cell, wanted, what):
        near(cell.value, wanted, what)
        self.told[(cell.parent.title, cell.coordinate)] += 1


folder = tempfile.mkdtemp()
os.environ["TRAYPROOF_LEDGER"] = f"{folder}/month.trayproof"
run("create", "--name", "Invented unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--sop",
    f"{SOURCE}/samples/sop/labour-room.toml")
run("record", "--from", f"{SOURCE}/samples/facility/events.jsonl")
for file, equipment, logger in EXPORTS:
    run("import", "curve", f"{SOURCE}/samples/facility/loggers/{file}", "--equipment", equipment, "--logger", logger)
gaps = json.loads(run("--json", "gaps", *PERIOD))
positive = next(one["subject"]["id"] for one in gaps["gaps"] if one["rule"] == "biological-positive-unanswered")
run("recall", "--because", "biological-positive", "--load", positive, "--open", "RC-1")
printed = json.loads(run("--json", "report", *PERIOD, "-o", f"{folder}/book.xlsx"))
gaps = json.loads(run("--json", "gaps", *PERIOD))
exposure = json.loads(run("--json", "exposure"))
entries = [json.loads(json.loads(line)["entry"]) for line in run("export").splitlines()]

# The events as they stand: the latest correction of a family in its original's place.
standing = {one["seq"]: one for one in entries}
for one in entries:
    if one["kind"] == "corrected":
        first = one["of"]
        while standing.get(first) is not None and entries[first - 1]["kind"] == "corrected":
            first = entries[first - 1]["of"]
        standing[first] = one["replacement"]
events = collections.defaultdict(list)
for one in standing.values():
    if one is not None:
        events[one["kind"]].append(one)
by_load = {kind: {one["load"]: one for one in events[kind]} for kind in ("load-started", "load-ended")}

book = Book(f"{folder}/book.xlsx")
same(book.book.sheetnames, SHEETS)

# Loads: readings as the operator gave them, packs as the list says, hold and F0 as judged.
placed = {}
for one in events["curve-placed"]:
    placed[one["curve"]] = one["load"]
judged = collections.defaultdict(list)
latest = {one["curve"]: one for one in events["curve-judged"]}
for curve, load in placed.items():
    if curve in latest:
        judged[load].append(latest[curve])
loads = book.table("Loads")
for row in loads:
    load = row["Load"].value
    started, ended = by_load["load-started"][load], by_load["load-ended"].get(load, {})
    packs = set(started["packs"])
    for change in events["load-changed"]:
        if change["load"] == load:
            packs = packs - set(change.get("removed", [])) | set(change.get("added", []))
    book.take(row["Packs"], len(packs), load)
    for head, field in (("Read: temperature (°C)", "temperature_c"), ("Read: pressure (kPa gauge)", "pressure_kpa_gauge"),
                        ("Read: hold (min)", "hold_min")):
        book.take(row[head], float(ended[field]) if field in ended else "not recorded", (load, head))
    holds = [one["hold"]["minutes"] for one in judged[load] if one.get("hold")]
    book.take(row["Curve: hold (min)"], min(holds) if holds else "not recorded", load)
    lows = [one["f0_low"] for one in judged[load] if one.get("f0_low") is not None]
    book.take(row["Curve: F0, lower bound (min)"], min(lows) if lows else "not recorded", load)
    for head, event in (("Started", started), ("Ended", ended)):
        same(row[head].value, local(event["at"]) if event else "not recorded", load)
assert any(row["Curve: F0, lower bound (min)"].value != "not recorded" for row in loads)
wanted = {load for load, one in by_load["load-started"].items() if "2026-10-01" <= str(local(one["at"]))[:10] <= "2026-11-03"}
same({row["Load"].value for row in loads if row["In the period"].value == "yes"}, wanted)

# Gaps, answered for by gaps --json.
told = {(one["rule"], one["subject"]["id"], local(one["at"])): one for one in gaps["gaps"]}
for row in book.table("Gaps"):
    one = told[(row["Rule"].value, row["Which"].value, as_second(row["Arose"].value))]
    same(row["First seen at entry"].value, str(one["first_seen"]))
    same(row["Entries"].value, ", ".join(map(str, one["seqs"])))
    end = datetime.datetime(2026, 11, 3, 23, 59, 59, 999000)
    book.take(row["Days open"], max(0, (end - local(one["at"])) // datetime.timedelta(days=1)), row["Rule"].value)
same(printed["gaps"], len(gaps["gaps"]))

# Solutions.
prepared = {one["solution"]: one for one in events["solution-prepared"]}
for row in book.table("Solutions"):
    one = prepared[row["Solution"].value]
    book.take(row["Intended (%)"], float(one["percent"]), one["solution"])
    water = one.get("water_ml")
    if "stock_ml" in one:
        strength = one["stock_percent"] * one["stock_ml"] / (one["stock_ml"] + water)
    elif "powder_g" in one:
        strength = one["available_percent"] * one["powder_g"] / water
    else:
        strength = "not recorded"
    book.take(row["Worked out (%)"], strength, one["solution"])
    soaks = [s for s in events["soaked"] if s.get("solution") == one["solution"]]
    runs = [s for s in events["load-started"] if s.get("solution") == one["solution"]]
    book.take(row["Uses"], len(soaks) + len(runs), one["solution"])

# Recalls, as the entry that opened it counts.
counts = events["recall-opened"][0]["counts"]
for row in book.table("Recalls"):
    for head, field in (("Loads", "loads"), ("Packs", "packs"), ("Procedures", "procedures"), ("Patients", "patients"),
                        ("Procedures without patient", "patients_unknown")):
        book.take(row[head], counts[field], head)
    book.take(row["Still to fetch"], counts["issued"] + counts["shelf"] + counts["held"], "to fetch")

# People: who did it, how often, on how many days, and without competence in date on how many.
inside = lambda one: "2026-10-01" <= str(local(one["at"]))[:10] <= "2026-11-03"
work = collections.defaultdict(list)
for kind, skill in (("load-started", None), ("packed", "packing"), ("cleaned", "cleaning"),
                    ("solution-prepared", "solutions")):
    for one in filter(inside, events[kind]):
        work[(one["by"], (skill or one["method"]))].append(one)
people = book.table("People")
same(len(people), len(work))
for row in people:
    person = row["Person"].value
    done = next(v for (who, skill), v in work.items()
                if who == person and skill.replace("-", " ") == row["Work"].value.replace("-", " "))
    skill = next(s for (who, s), v in work.items() if v is done)
    good = [c for c in events["competence-recorded"] if c["person"] == person and c["skill"] == skill]
    without = {str(local(one["at"]))[:10] for one in done
               if not any(local(c["at"]) <= local(one["at"]) and str(local(one["at"]))[:10] <= c["until"] for c in good)}
    book.take(row["Times"], len(done), person)
    book.take(row["On days"], len({str(local(one["at"]))[:10] for one in done}), person)
    book.take(row["Days without"], len(without), (person, skill))

# Equipment: runs of the period.
for row in book.table("Equipment"):
    machine = row["Equipment"].value
    ran = [one for one in filter(inside, events["load-started"]) if one.get("equipment") == machine]
    ran += [one for one in events["curve-measured"] if one.get("logger") == machine and "2026-10-01" <= one["from"][:10]]
    book.take(row["Runs"], len(ran), machine)
    if row["Check"].value == "no check recorded":
        continue
    check = {"air removal": "air-removal", "leak rate": "leak-rate"}.get(row["Check"].value, row["Check"].value)
    passes = sorted((local(c["at"]), c) for c in events["equipment-checked"]
                    if c["equipment"] == machine and c["check"] == check and c["result"] == "pass")
    past = 0
    for one in ran:
        at = local(one.get("from", one["at"]))
        before = [c for when, c in passes if when <= at]
        past += not before or ("until" in before[-1] and at > local(before[-1]["until"]))
    book.take(row["Of these past it"], past, (machine, check))

# The summary: of the rules what gaps --json counts; the others add up.
RULES = {"Uses of packs with a load that had ended before": "used-without-load",
         "Uses after the release of their load": "used-before-release",
         "Loads with a physical record": "no-physical-record",
         "Used packs whose inside indicator was read": "indicator-unread",
         "Biological readings that prove something": "biological-void",
         "Packs whose set was cleaned in their turn": "cleaning-missing",
         "Packs whose set was inspected in their turn": "inspection-missing",
         "Events entered in time": "entered-late"}
measures = {}
for row in book.table("Summary"):
    if not isinstance(row["Count"].value, (int, float)):
        continue
    name = row["What"].value
    measures[name] = row
    if name in RULES:
        one = gaps["looked_at"][RULES[name]]
        wanted = (one["subjects"] - one["gaps"] - one["cannot_tell"], one["subjects"], one["cannot_tell"])
    else:  # counted from the lines in the tests of the review
        wanted = tuple(row[head].value for head in ("Count", "Looked at", "Cannot tell"))
        assert 0 <= wanted[0] and wanted[0] + wanted[2] <= wanted[1], name
    for head, value in zip(("Count", "Looked at", "Cannot tell"), wanted):
        book.take(row[head], value, name)
assert set(RULES) <= set(measures), set(RULES) - set(measures)

# Figures: each block says again what stands elsewhere.
block, heads, load_rows = None, None, {row["Load"].value: row for row in loads}
exposed = {one["equipment"]: one for one in exposure["sterilizers"]}
weeks = collections.Counter()
for one in gaps["gaps"]:
    day = local(one["at"]).date()
    weeks[(str(day - datetime.timedelta(days=day.weekday())), one["severity"])] += 1
for row in book.book["Figures"].iter_rows(min_row=4):
    values = [cell.value for cell in row]
    if all(value is None for value in values[1:]):
        block, heads = values[0], None
        continue
    if heads is None:
        heads = values
        continue
    if block.startswith("Coverage"):
        m = measures[values[0]]
        fits, looked, unknown = (m[head].value for head in ("Count", "Looked at", "Cannot tell"))
        wanted = [fits, looked - fits - unknown, unknown]
    elif block.startswith("Gaps by week"):
        wanted = [weeks[(values[0], "critical")], weeks[(values[0], "major")],
                  weeks[(values[0], "minor")] + weeks[(values[0], "information")]]
    elif block.startswith("Standing exposure"):
        one = exposed[values[0]]
        wanted = [one["packs"], one["procedures"], one["patients"], one["loads"]]
    elif "days since" in block:
        wanted = [None, values[2], BIOLOGICAL_DAYS]
    else:
        one = load_rows[values[0]]
        minutes = one["Curve: hold (min)"].value
        minutes = one["Read: hold (min)"].value if minutes == "not recorded" else minutes
        wanted = [None, None if minutes == "not recorded" else minutes, *values[3:]]
    for cell, value in zip(row[1:], wanted):
        if isinstance(cell.value, (int, float)):
            book.take(cell, value, (block, values[0], cell.coordinate))

# The cover counts what its sheets show.
for row in book.book["Cover"].iter_rows(min_row=4):
    if row[0].hyperlink:
        book.take(row[1], printed["rows"][row[0].value], row[0].value)

left = [(sheet.title, cell.coordinate, cell.value) for sheet in book.book for row in sheet.iter_rows(min_row=4)
        for cell in row if isinstance(cell.value, (int, float)) and not isinstance(cell.value, bool)
        and (sheet.title, cell.coordinate) not in book.told]
assert not left, (len(left), left[:10])
print(f"{len(book.told)} cells compared")
