#!/usr/bin/env python3
"""A recall as work through the real program: opened, answered, closed by two people, open again when a late entry puts
somebody on its list; and a drill. What must hold is worked out here from what was recorded.

    stories_test.py PROGRAM
"""
import json
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "privacy"))
import openpyxl
from ward import Ward, check, finish, problems

at = "2026-10-{}T{}:00+05:00".format


def ward_with_a_failed_load():
    ward = Ward().staffed()
    events = [{"kind": "equipment-registered", "at": at("01", "08:00"), "equipment": "ST-1", "sort": "steam-sterilizer"}]
    for n in range(1, 6):
        events.append({"kind": "packed", "at": at("10", f"08:0{n}"), "pack": f"PK-{n}", "set": f"DS-{n}", "wrap": "wrapped"})
    events += [
        {"kind": "load-started", "at": at("10", "09:00"), "load": "L-1", "method": "steam-gravity", "equipment": "ST-1", "packs": [f"PK-{n}" for n in range(1, 6)]},
        {"kind": "load-ended", "at": at("10", "10:00"), "load": "L-1", "complete": True, "temperature_c": 121, "hold_min": 30},
        {"kind": "load-released", "at": at("10", "11:00"), "load": "L-1"},
        {"kind": "pack-stored", "at": at("10", "12:00"), "pack": "PK-1", "place": "cupboard"},
        {"kind": "pack-issued", "at": at("10", "12:00"), "pack": "PK-2", "place": "theatre"},
        {"kind": "procedure-done", "at": at("11", "03:00"), "procedure": "PR-1", "sort": "delivery", "place": "room 1", "packs": ["PK-4"]},
        {"kind": "procedure-done", "at": at("11", "04:00"), "procedure": "PR-2", "sort": "delivery", "place": "room 2", "packs": ["PK-5"]},
        {"kind": "biological-read", "at": at("12", "10:00"), "load": "L-1", "result": "positive", "control": "growth", "hours": 48},
    ]
    ward.run("record", "--from", ward.write("events.jsonl", [dict(e, by="ana") for e in events]))
    return ward


def numbers(work):
    return [work[k] for k in ("state", "packs_to_find", "packs_answered", "packs_found", "percent_found", "procedures", "procedures_answered", "unanswered")]


def handed_over(ward):
    """What the workbook's sheet and summary, the answer and the sheet of paper say of its closing; whether the sheet says the
    same; whether it names PR-3."""
    book, paper = str(ward.folder / "recalls.xlsx"), str(ward.folder / "recall.pdf")
    for file in (book, paper):
        Path(file).unlink(missing_ok=True)
    ward.run("report", "--from", "2026-10-01", "--to", "2099-12-31", "-o", book, as_json=False)
    sheets = openpyxl.load_workbook(book)
    cells = lambda name: [cell.value for row in sheets[name].iter_rows() for cell in row]
    said = [next((v for v in cells(name) if isinstance(v, str) and ("again: a late" in v or "by one person; awaits" in v)), None) for name in ("Recalls", "Summary")]
    answer = ward.run("answer", "recalls")
    ward.run("report", "RC-1", "-o", paper, as_json=False)
    text = " ".join(subprocess.run(["pdftotext", "-layout", paper, "-"], capture_output=True, text=True, check=True).stdout.split())
    return [*said, answer["rows"][0][answer["columns"].index("state")], said[0] in text, "PR-3" in text]


def worked_through():
    ward = ward_with_a_failed_load()
    ward.run("recall", "show", "RC-1", status=3)
    ward.run("recall", "--because", "biological-positive", "--load", "L-1", "--open", "RC-1")
    work = ward.run("recall", "show", "RC-1")
    # PK-1 on the shelf, PK-2 issued, PK-3 held: three to find; PK-4 and PK-5 were used.
    check("as opened", numbers(work), ["open", 3, 0, 0, 0, 2, 0, 5])
    opened = next(e for e in ward.entries() if e["kind"] == "recall-opened")
    from datetime import datetime
    minutes = (datetime.fromisoformat(opened["at"]) - datetime.fromisoformat(at("12", "10:00"))).total_seconds() / 60
    check("minutes from the reading to the list", work["minutes_to_first_list"], round(minutes * 10) / 10)

    ward.run("recall", "answer", "RC-1", "--pack", "PK-9", "--outcome", "found-held", status=3)
    ward.run("recall", "answer", "RC-1", "--pack", "PK-1", "--outcome", "patient-told", status=3)
    ward.run("recall", "answer", "RC-1", "--procedure", "PR-1", "--outcome", "destroyed", status=3)
    ward.run("recall", "answer", "RC-1", "--outcome", "destroyed", status=2)
    work = ward.run("recall", "answer", "RC-1", "--pack", "PK-1,PK-2", "--outcome", "found-held", "--text", "held in the dirty room", "--as", "ana")
    check("two found", numbers(work), ["open", 3, 2, 2, 66.7, 2, 0, 3])
    check("ana answered", [i["by"] for i in work["items"] if i["id"] == "PK-1"], ["ana"])
    work = ward.run("recall", "answer", "RC-1", "--pack", "PK-3", "--outcome", "not-found")
    check("one is answered and not found", numbers(work), ["open", 3, 3, 2, 66.7, 2, 0, 2])
    # A later answer holds.
    work = ward.run("recall", "answer", "RC-1", "--pack", "PK-3", "--outcome", "reprocessed")
    check("found after all", numbers(work), ["open", 3, 3, 3, 100, 2, 0, 2])

    closing = ["recall", "close", "RC-1", "--conclusion", "gasket torn, replaced", "--second", "noor"]
    ward.run(*closing, "--as", "ana", status=3)
    check("who is still open is named", "PR-1" in ward.said and "PR-2" in ward.said)
    ward.run("recall", "answer", "RC-1", "--procedure", "PR-1,PR-2", "--outcome", "no-notice-decided", "--as", "noor")
    ward.run(*closing, "--as", "noor", status=3)
    check("one person cannot be both", "somebody else" in ward.said)
    work = ward.run(*closing, "--as", "ana")
    check("awaits the second", numbers(work), ["awaiting-second", 3, 3, 3, 100, 2, 2, 0])
    check("handed over as awaiting its second", handed_over(ward), ["closed by one person; awaits noor"] * 2 + ["awaiting-second", True, False])
    ward.run("countersign", str(work["closed"]["seq"]), "--as", "noor")
    check("closed by two", ward.run("recall", "show", "RC-1")["state"], "closed")

    page = ward.run("recall", "show", "RC-1", as_json=False)
    for text in ("closed on", "3 of 3 (100 %)", "2 of 2", "found-held (ana)", "noor"):
        check(f"the page says {text}", text in page)
    check("no line is longer than eighty columns", [l for l in page.splitlines() if len(l) > 80], [])

    # Somebody types in a delivery of that night a month later: it had a pack of the load.
    ward.run("record", "procedure-done", "procedure=PR-3", "sort=delivery", "place=room 1", "packs=PK-2", "--at", at("11", "05:00"), "--by", "ana")
    work = ward.run("recall", "show", "RC-1")
    check("open again", work["state"], "reopened")
    check("by the late entry", [[i["id"], i["listed"], i["outcome"]] for i in work["items"] if i["listed"] != "opened"], [["PR-3", "late", None]])
    check("handed over as open again, with what was put on its list", handed_over(ward), ["open again: a late entry put more on its list"] * 2 + ["reopened", True, True])
    check("its page says so", "OPEN AGAIN" in ward.run("recall", "show", "RC-1", as_json=False))
    ward.run("recall", "answer", "RC-1", "--procedure", "PR-3", "--outcome", "patient-told", "--as", "noor")
    check("closed once more when it is answered", ward.run("recall", "show", "RC-1")["state"], "closed")

    # A correction takes a procedure off the list.
    seq = next(e["seq"] for e in ward.entries() if e.get("procedure") == "PR-2")
    ward.run("record", "--from", ward.write("correction.jsonl", [{"kind": "corrected", "at": at("20", "08:00"), "by": "ana", "of": seq, "why": "another ward", "replacement": None}]))
    work = ward.run("recall", "show", "RC-1")
    check("no longer reached", [[i["id"], i["gone"]] for i in work["items"] if i["gone"]], [["PR-2", True]])
    check("and not counted any more", [work["procedures"], work["procedures_answered"]], [2, 2])
    found = ward.run("answer", "recalls")
    row = dict(zip(found["columns"], found["rows"][0]))
    check("the answer on recalls", [row["recall"], row["answered_packs"], row["answered_procedures"], row["second"]], ["RC-1", 3, 2, "noor"])
    check("verify is content", ward.run("verify", "--full")["ok"])


def closed_with_open_ones_and_drills():
    ward = ward_with_a_failed_load()
    ward.run("recall", "--because", "load-failed", "--load", "L-1", "--open", "RC-D", "--drill")
    page = ward.run("recall", "show", "RC-D", as_json=False)
    check("a drill says so at both ends", page.count("DRILL") >= 2)
    work = ward.run("recall", "show", "RC-D")
    check("a drill is marked", [work["drill"], work["minutes_to_first_list"]], [True, None])
    work = ward.run("recall", "close", "RC-D", "--conclusion", "drill ended after an hour", "--second", "noor", "--with-open", "--as", "ana")
    check("closed with open ones", [work["state"], work["unanswered"]], ["awaiting-second", 5])
    # What was left open at the closing does not open it again.
    ward.run("countersign", str(work["closed"]["seq"]), "--as", "noor")
    check("it stays closed", ward.run("recall", "show", "RC-D")["state"], "closed")
    # Why somebody chose what is recalled is a kept text, and reads as one.
    ward.run("recall", "--because", "chosen", "--loads", "L-1", "--why", "a smell of gas", "--open", "RC-W")
    page = ward.run("recall", "show", "RC-W", as_json=False)
    check("why", ("“a smell of gas”" in page, "sha256" in page), (True, False))
    ward.run("recall", status=2)
    ward.run("recall", "close", "RC-9", "--conclusion", "x", "--second", "noor", status=3)


worked_through()
closed_with_open_ones_and_drills()
finish()
