"""Reads the exports in loggers/ again, each by its own shape, and measures what they show. Part of ./check."""

import csv
import os
from datetime import datetime, timedelta

from inventing.curves import AMBIENT
from inventing.steam import saturation_c

# file -> (equipment, logger, the loads that its cycles belong to, in order)
EXPORTS = {
    "drum-autoclave-14-october.csv": ("autoclave-drum", "logger-1", "2026-10-14"),
    "tabletop-15-and-16-october.csv": ("autoclave-table", "logger-2", "2026-10-15 2026-10-16"),
    "tabletop-21-october.txt": ("autoclave-table", "logger-2", "2026-10-21"),
    "oven-22-october.csv": ("oven-1", "logger-3", "2026-10-22"),
    "drum-autoclave-24-and-25-october.txt": ("autoclave-drum", "logger-1", "2026-10-24 2026-10-25"),
}


def number(text):
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def rows_of(name, content):
    """(local time, °C of the coldest channel, kPa absolute or None) of every whole row."""
    if name.endswith("14-october.csv"):
        for row in csv.reader(content.decode("utf-8").splitlines()[1:-1]):
            yield datetime.fromisoformat(row[0]), number(row[1]), number(row[2])
    elif name.startswith("tabletop-15"):
        for line in content.decode("cp1252").splitlines():
            cells = line.split(";")
            if len(cells) == 3 and cells[0][:1].isdigit():
                yield datetime.strptime(cells[0], "%d.%m.%Y %H:%M:%S"), number(cells[1]), \
                    100 * number(cells[2]) + AMBIENT
    elif name.startswith("tabletop-21"):
        lines = content.decode("utf-8").splitlines()
        start = datetime.fromisoformat(lines[1].split("start: ")[1])
        for line in lines[4:]:
            cells = line.split("|")
            yield start + timedelta(seconds=int(cells[0])), number(cells[1]), 98.0665 * number(cells[2]) + AMBIENT
    elif name.startswith("oven"):
        for row in csv.reader(content.decode("utf-8-sig").splitlines()[1:]):
            yield datetime.fromisoformat(row[0]).replace(tzinfo=None), number(row[1]), None
    else:
        for line in content.decode("utf-16").splitlines()[4:-1]:
            cells = line.split("\t")
            fahrenheit = number(cells[2])
            yield datetime.strptime(" ".join(cells[:2]), "%d/%m/%Y %I:%M:%S %p"), \
                None if fahrenheit is None else (fahrenheit - 32) / 1.8, 6.894757293 * number(cells[3]) + AMBIENT


def longest_hold(rows, set_c):
    """The longest unbroken stretch of readings at or above the set temperature; a missing one does not break it."""
    best, current = [], []
    for row in rows:
        if row[1] is None:
            continue
        current = current + [row] if row[1] >= set_c else []
        if len(current) > len(best):
            best = list(current)
    return best


def exports_hold(folder, loads, trouble_b):
    """What the program should find in each export, and every way in which an export is not what it should be."""
    found, problems = [], []
    for name, (equipment, logger, days) in EXPORTS.items():
        with open(os.path.join(folder, "loggers", name), "rb") as file:
            rows = list(rows_of(name, file.read()))
        cycles = []
        for load_id, load in sorted(loads.items(), key=lambda item: item[1]["start"]):
            if load["equipment"] != equipment or load["start"].strftime("%Y-%m-%d") not in days:
                continue
            start, end = load["start"].replace(tzinfo=None), load["end"].replace(tzinfo=None)
            mine = [row for row in rows if start <= row[0] <= end]
            if not mine:
                continue
            set_c, needed = (170, 60) if equipment == "oven-1" else (121, 30)
            hold = longest_hold(mine, set_c)
            minutes = (hold[-1][0] - hold[0][0]).total_seconds() / 60 if hold else 0
            gaps = [row[1] - saturation_c(row[2]) for row in hold or [] if row[2]]
            reached = minutes >= needed and all(abs(gap) <= 2 for gap in gaps)
            if reached == (load_id == trouble_b):
                problems.append(f"{load_id} in {name} holds for {minutes:.1f} minutes")
            if gaps and load_id == trouble_b and not (-5.2 < min(gaps) and max(gaps) < -2.8):
                problems.append(f"{load_id} is off saturation by {min(gaps):.2f} to {max(gaps):.2f} K")
            if gaps and load_id != trouble_b and max(map(abs, gaps)) > 0.6:
                problems.append(f"{load_id} in {name} is off saturation by {min(gaps):.2f} to {max(gaps):.2f} K")
            cycles.append({"load": load_id, "verdict": "reached" if reached else "not-reached",
                           "hold_minutes": round(minutes, 2),
                           "saturation_difference_k": [round(min(gaps), 2), round(max(gaps), 2)] if gaps else None})
        found.append({"file": "loggers/" + name, "equipment": equipment, "logger": logger, "cycles": cycles})
    if sum(len(one["cycles"]) for one in found) < 8:
        problems.append("the exports hold fewer than eight cycles")
    return found, problems
