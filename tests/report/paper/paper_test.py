"""Makes each sheet of paper with the real program and reads it with another one's tools.

  paper_test.py TRAYPROOF SOURCE_DIR
"""
import json
import os
import re
import subprocess
import sys
import tempfile

TRAYPROOF, SOURCE = sys.argv[1:]


def run(*arguments, status=0):
    done = subprocess.run([TRAYPROOF, *arguments], capture_output=True, text=True)
    assert done.returncode == status, (arguments, done.returncode, done.stderr)
    return done.stdout


def text_of(path):
    return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout


def pages_of(path):
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    return {line.split(":")[0]: line.split(":", 1)[1].strip() for line in info.splitlines() if ":" in line}


folder = tempfile.mkdtemp()
os.environ["TRAYPROOF_LEDGER"] = f"{folder}/month.trayproof"
run("create", "--name", "Invented unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--sop",
    f"{SOURCE}/samples/sop/labour-room.toml")
run("record", "--from", f"{SOURCE}/samples/facility/events.jsonl")
run("import", "curve", f"{SOURCE}/samples/facility/loggers/drum-autoclave-14-october.csv", "--equipment",
    "autoclave-drum", "--logger", "logger-1")
gaps = json.loads(run("--json", "gaps"))["gaps"]
positive = next(one["subject"]["id"] for one in gaps if one["rule"] == "biological-positive-unanswered")
air = next(one["subject"]["id"] for one in gaps if one["rule"] == "strip-and-curve-disagree")
answer = json.loads(run("--json", "recall", "--because", "biological-positive", "--load", positive, "--open", "RC-1"))
run("recall", "--because", "load-failed", "--load", air, "--open", "RC-2", "--drill")


def sheet(name, *arguments):
    path = f"{folder}/{name}.pdf"
    run("report", *arguments, "-o", path)
    run("report", *arguments, "-o", f"{folder}/{name}-again.pdf")
    with open(path, "rb") as one, open(f"{folder}/{name}-again.pdf", "rb") as other:
        assert one.read() == other.read(), name  # the same record gives the same bytes
    text, info = text_of(path), pages_of(path)
    assert not re.search(r"\bsterile\b", text, re.I), name
    # Every page says which of how many it is, and from which state of the record.
    pages = int(info["Pages"])
    for page in range(1, pages + 1):
        assert f"page {page} of {pages}" in text, (name, page)
    assert text.count("Invented unit · data as of") == pages, name
    return text, info


text, info = sheet("case", "PR-0049")
assert "Procedure PR-0049" in text
assert info["Page size"].startswith("595.28 x 841.89 pts (A4)"), info
text, _ = sheet("load", air)
assert f"Load {air}" in text and "steam-not-saturated" in text and "not reached" in text
assert "°C" in text and "kPa absolute" in text  # the curve's own words: its drawing is text, not a picture of it
pages = text.split("\f")
headed = next(i for i, page in enumerate(pages) if "Its curve" in page)
assert "kPa absolute" in pages[headed], "the heading of the curve stands alone"
text, _ = sheet("recall", "RC-1")
joined = re.sub(r"\s", "", text)
born = [number for one in answer["procedures"] for number in one["newborns"]]
assert born, "nobody was born: the sheet shows nothing"
spoken = run("recall", "--because", "biological-positive", "--load", positive)
for number in born:
    assert number in spoken, number
assert re.search(r"Closed +not yet", text) and "newborns" in text.lower()
for one in answer["packs"]:
    assert one["pack"] in text, one
for one in answer["procedures"]:
    assert one["procedure"] in text, one
assert "DRILL" not in text
text, info = sheet("drill", "RC-2")
assert text.count("DRILL") == int(info["Pages"])
text, info = sheet("register", "--from", "2026-10-01", "--to", "2026-10-31")
assert info["Page size"].startswith("841.89 x 595.28 pts (A4)"), info
cases = {line["id"] for line in [one["subject"] for one in gaps if one["subject"]["kind"] == "procedure"]}
assert "PR-0049" in text and all(case in text for case in cases)
assert "1 October" not in text and "2026-10-01" in text

# In other languages: what the record names by one word is said in theirs, the curve's words as the sheet's own, and what
# stands below each page still takes one line.
program = re.search(r"trayproof \d\S*", text)[0]
recorded = re.compile(r"(?<![\w-])(?:steam-gravity|not-reached|cannot-tell|biological-positive|inside pass|outside pass|absolute, )(?![\w-])")
standings = re.compile(r"\b(?:used|opened|withdrawn|reprocessed|issued|shelf|held|handled)\b")
for tag in ("es", "fr", "hi", "sw"):
    for name, arguments in (("case", ("PR-0049",)), ("load", (air,)), ("recall", ("RC-1",)),
                            ("register", ("--from", "2026-10-01", "--to", "2026-10-31"))):
        path = f"{folder}/{tag}-{name}.pdf"
        run("--language", tag, "report", *arguments, "-o", path)
        text = text_of(path)
        foots = [line for line in text.splitlines() if "Invented unit ·" in line]
        assert len(foots) == int(pages_of(path)["Pages"]), (tag, name)
        assert all(program in line for line in foots), (tag, name, foots)
        assert not recorded.search(text), (tag, name, recorded.search(text)[0])
        if name == "recall":
            told = [line for line in text.splitlines() if re.search(r"PK-\d", line)]
            assert told and not any(standings.search(line) for line in told), (tag, [line for line in told if standings.search(line)])

# What cannot be asked.
run("report", "PR-0049", "-o", f"{folder}/case.pdf", status=3)            # never over a file
run("report", "PR-0049", "-o", f"{folder}/case.xlsx", status=2)           # a sheet is paper
run("report", "-o", f"{folder}/other.xlsx", status=2)                     # a workbook has a period
run("report", "PR-0049", "--from", "2026-10-01", "-o", f"{folder}/other.pdf", status=2)
run("report", "nobody", "-o", f"{folder}/other.pdf", status=3)
run("report", "--from", "2026-10-01", "--to", "2026-10-31", "-o", f"{folder}/other.doc", status=2)
assert not os.path.exists(f"{folder}/other.pdf")
print("the sheets read as the record says")
