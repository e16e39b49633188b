#!/usr/bin/env python3
"""A what-if judges the kept curves too: findings that follow from the verdict of a curve follow the edition that is
tried, in the list of gaps and in the workbook; a curve that cannot be judged again is said to stand as recorded.

    what_if_curves_test.py PROGRAM SOURCE-FOLDER
"""
import hashlib
import re
import sys
import zipfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "privacy"))
from ward import Ward, check, finish

samples = Path(sys.argv[2]) / "samples"
export = samples / "facility/loggers/drum-autoclave-14-october.csv"
october = ("--from", "2026-10-01", "--to", "2026-10-31")

ward = Ward()
ward.run("record", "--from", str(samples / "facility/events.jsonl"))
ward.run("import", "curve", str(export), "--equipment", "autoclave-drum", "--logger", "logger-1")

sop = samples / "sop/labour-room.toml"

# Where saturation may be off by 50 K and a minute's hold is enough, no curve of the month misses.
text = sop.read_text()
easy = re.sub(r"(?m)^(saturation_k *=).*$", r"\1 50", text)
easy = re.sub(r"(?m)^(hold_minutes_\w+ *=).*$", r"\1 1", easy)
check("the edition that is tried differs", easy != text)
tried = ward.write("easy.toml", easy.splitlines())


def gaps(*words):
    return ward.run("gaps", *october, *words)


def subjects(found, rule, what=None):
    return [g["subject"]["id"] for g in found["gaps"] if g["rule"] == rule and what in (None, g["found"])]


def workbook(*words):
    ward.run("report", *october, "-o", "book.xlsx", *words)
    with zipfile.ZipFile(ward.folder / "book.xlsx") as book:
        shared = re.findall(r"<si>(.*?)</si>", book.read("xl/sharedStrings.xml").decode(), re.S)
    (ward.folder / "book.xlsx").unlink()
    return [re.sub(r"<[^>]*>", "", one) for one in shared]


before = gaps("--sop", str(sop))
recorded = gaps()
missed = subjects(recorded, "strip-and-curve-disagree")
check("one load's curve and strips disagree", len(missed), 1)
check("and packs of it were used", len(subjects(recorded, "used-from-failed-load", "not-reached")) > 0)
told = lambda found: sorted(str([g["rule"], g["subject"], g["at"], g["found"], g["limit"], g["says"]]) for g in found["gaps"])
check("the same limits, tried, find the same", told(before), told(recorded))
kinds = {e["seq"]: e["kind"] for e in ward.entries()}
disagree = next(g for g in before["gaps"] if g["rule"] == "strip-and-curve-disagree")
check("what nobody recorded cites what was measured", {"curve-measured", "curve-judged"} & {kinds[s] for s in disagree["seqs"]}, {"curve-measured"})

after = gaps("--sop", tried)
check("by the other edition they agree", subjects(after, "strip-and-curve-disagree"), [])
check("and no use was of a load whose curve failed", subjects(after, "used-from-failed-load", "not-reached"), [])
check("every curve was judged again", [after["curves"]["judged_again"] > 0, after["curves"]["as_recorded"], after["notes"]], [True, 0, []])
check("without what if nothing is said", ["curves" in recorded, "notes" in recorded], [False, False])

line = lambda verdict: f"{missed[0]} · {verdict}"
check("the workbook names the miss", line("not reached") in workbook())
check("the one that is tried does not", [line(v) in workbook("--sop", tried) for v in ("not reached", "reached")], [False, True])

answered = ward.run("answer", "case-trail", "--procedure", "PR-0049", "--sop", tried)
check("an answer says that verdicts stand as recorded", any("as recorded" in one for one in answered["notes"]))
check("one that shows none does not", ward.run("answer", "short-soaks", *october, "--sop", tried)["notes"], [])

# The export is destroyed, and with it what was kept of it: then what was recorded stands, and everybody is told.
ward.staffed()
asked = ward.run("erase", "--file", hashlib.sha256(export.read_bytes()).hexdigest(), "--second", "noor", "--as", "mara")
ward.run("countersign", str(asked["seq"]), "--as", "noor")
left = gaps("--sop", tried)
check("the recorded verdict stands", subjects(left, "strip-and-curve-disagree"), missed)
count = left["curves"]["as_recorded"]
check("none was judged again", [left["curves"]["judged_again"], count], [0, after["curves"]["judged_again"]])
first = min(seq for seq, kind in kinds.items() if kind == "sop-adopted")
stand = "verdict of a curve stands" if count == 1 else "verdicts of curves stand"
sentence = f"{count} {stand} as recorded under the edition of entry {first}: not judged again."
check("it is said", left["notes"], [sentence])
check("in the text too", sentence in ward.run("gaps", *october, "--sop", tried, as_json=False).splitlines())
check("and in the workbook", any(sentence in one for one in workbook("--sop", tried)))
check("nothing was recorded by trying", len([e for e in ward.entries() if e["kind"] == "curve-judged"]),
      len([k for k in kinds.values() if k == "curve-judged"]))
finish()
