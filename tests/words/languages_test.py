"""What people read in each language, from the real program.

  languages_test.py TRAYPROOF SOURCE_DIR

Checks the files of ledger/words/languages (msgfmt, the places that values go into, nothing of an older English text), and
what the program makes with them: cautions with the English beside them, the notice that nobody reviewed them, workbooks that
open (openpyxl), numbers and days as python3-babel, which reads Unicode's CLDR for itself, writes them, and hashed bytes
that no language changes.
"""
import datetime
import json
import os
import re
import subprocess
import sys
import tempfile

import babel
import babel.dates
import babel.numbers
import openpyxl

TRAYPROOF, SOURCE = sys.argv[1:]
sys.path.insert(0, f"{SOURCE}/tests/words")
import renew  # noqa: E402

LANGUAGES = ("es", "fr", "hi", "sw")
PLACES = re.compile(r"\{([a-z0-9_]+)(?:\|[^|{}]*\|[^|{}]*)?\}")
NOTICE = "This translation has not been reviewed by a speaker who knows the trade; the English text decides."
folder = tempfile.mkdtemp()
catalogue = dict(renew.english())

for tag in LANGUAGES:
    path = f"{SOURCE}/ledger/words/languages/{tag}.po"
    subprocess.run(["msgfmt", "--check-header", "-o", "/dev/null", path], check=True)
    with open(path, encoding="utf-8") as file:
        texts, _ = renew.translations(file.read())
    there = 0
    for (key, english), text in texts.items():
        assert catalogue.get(key) == english, f"{tag}: {key} translates another English text: tests/words/renew.py {tag} --write"
        if not text:
            continue
        there += 1
        assert set(PLACES.findall(text)) == set(PLACES.findall(english)), (tag, key, text)
        assert text.count("{") == len(PLACES.findall(text)), (tag, key, text)
        assert text.count("\n") == english.count("\n"), (tag, key, text)
        if ".sheet-" in key:  # the name of a workbook's sheet: 31 characters at most, and none of those
            assert len(PLACES.sub("10", text)) <= 31 and not set(text) & set("[]:*?/\\'"), (tag, key, text)
    print(f"{tag}: {there} of {len(catalogue)} texts")
    assert there >= 0.95 * len(catalogue), f"{tag}: only {there}"
    for key in (key for key in catalogue if key.startswith("caution.")):
        assert texts.get((key, catalogue[key])), (tag, key)


def run(*arguments, status=0, ledger=None, **environment):
    environment = {**os.environ, "TRAYPROOF_LEDGER": ledger or f"{folder}/month.trayproof", **environment}
    done = subprocess.run([TRAYPROOF, *arguments], capture_output=True, text=True, env=environment)
    assert done.returncode == status, (arguments, done.returncode, done.stderr)
    return done


def make(ledger, *said):
    """A month with a curve, a recall and an answer, all told in one language."""
    run(*said, "create", "--name", "Invented unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", ledger=ledger)
    run(*said, "record", "--from", f"{SOURCE}/samples/facility/events.jsonl", ledger=ledger)
    run(*said, "import", "curve", f"{SOURCE}/samples/facility/loggers/drum-autoclave-14-october.csv", "--equipment",
        "autoclave-drum", "--logger", "logger-1", ledger=ledger)
    run(*said, "recall", "--because", "chosen", "--loads", "DA-1005-1", "--why", "a drill", "--open", "RC-1", ledger=ledger)
    run(*said, "checkpoint", "--kept", "page 1", ledger=ledger)
    return [json.loads(json.loads(line)["entry"]) for line in run("export", ledger=ledger).stdout.splitlines()]


def bare(entry):
    """Without what the clock, chance and the keys give."""
    if isinstance(entry, dict):
        return {name: bare(value) for name, value in entry.items()
                if name not in ("recorded", "ledger", "key", "pseudonym", "root", "public", "at", "answer", "answer_sha256", "prev", "in_force", "as_of", "origin")}
    if isinstance(entry, list):
        return [bare(one) for one in entry]
    return re.sub(r"\b[0-9a-f]{32,}\b", "hex", entry) if isinstance(entry, str) else entry


def refused_lists(entries):
    return [one["files"] for one in entries if one["kind"] == "curve-measured"]


made = make(f"{folder}/month.trayproof")
english, lists = [bare(one) for one in made], refused_lists(made)
assert any(lists), "the sample's export has no refused row: nothing tests what is kept of it"
for tag in LANGUAGES + ("en-x-mirror",):
    made = make(f"{folder}/{tag}.trayproof", "--language", tag)
    other = [bare(one) for one in made]
    assert refused_lists(made) == lists, f"{tag}: what is kept of refused rows depends on who imports"
    curve = next(one["seq"] for one in made if one["kind"] == "curve-measured")
    told = run(*(("--language", tag) if tag in LANGUAGES else ()), "import", "refused", str(curve), ledger=f"{folder}/{tag}.trayproof").stdout
    assert (catalogue["importer.refused.no-time"] in told) == (tag not in LANGUAGES), (tag, told)
    assert len(other) == len(english)
    for one, here in zip(english, other):
        assert one == here, (tag, str(one)[:600], str(here)[:600])
    # A checker in another language finds nothing: what was kept is in no language.
    run("verify", "--full", ledger=f"{folder}/{tag}.trayproof")



def translation(tag, key):
    with open(f"{SOURCE}/ledger/words/languages/{tag}.po", encoding="utf-8") as file:
        return renew.translations(file.read())[0][key, catalogue[key]]


scope = catalogue["caution.scope"]
for tag in LANGUAGES:
    said = ("--language", tag)
    mixed = run(*said, "mix", "--agent", "sodium-hypochlorite", "--stock-percent", "5", "--percent", "0.5", "--volume-l", "10")
    assert f"[English: {catalogue['caution.chlorine']}]" in " ".join(mixed.stdout.split()), (tag, mixed.stdout)
    assert NOTICE in mixed.stderr and NOTICE not in run(*said, "--quiet", "mix", "--agent", "sodium-hypochlorite", "--stock-percent",
                                                        "5", "--percent", "0.5", "--volume-l", "10").stderr
    assert NOTICE in run("gaps", TRAYPROOF_LANGUAGE=tag).stderr
    # What was recorded is told in the words of the forms; in English as it stands.
    story = run(*said, "trace", "DA-1014-2").stdout
    assert f"{translation(tag, 'form.field-method')}: {translation(tag, 'form.choice-steam-gravity')}" in story, (tag, story)
    assert f"{translation(tag, 'thing.procedure')} PR-0049 ({translation(tag, 'how.reached')})" in story, (tag, story)
    assert translation(tag, "desk.because-chosen") in run(*said, "trace", "DA-1005-1").stdout, tag
    assert "method steam-gravity" not in story and "method steam-gravity" in run("trace", "DA-1014-2").stdout
    # Scripts get English, whatever the ward's machine speaks.
    shape = run("--json", "gaps", TRAYPROOF_LANGUAGE=tag)
    assert shape.stdout == run("--json", "gaps").stdout and NOTICE not in shape.stderr
    # The book: opens, has as many rows on as many sheets as the English one, and says that nobody reviewed it.
    run("report", "--from", "2026-10-01", "--to", "2026-10-31", "-o", f"{folder}/{tag}-english.xlsx")
    run(*said, "report", "--from", "2026-10-01", "--to", "2026-10-31", "-o", f"{folder}/{tag}.xlsx")
    book, plain = (openpyxl.load_workbook(f"{folder}/{name}.xlsx") for name in (tag, f"{tag}-english"))
    assert len(book.sheetnames) == len(plain.sheetnames) and book.sheetnames != plain.sheetnames
    for here, there in zip(book, plain):
        assert len(here.title) <= 31, here.title
        assert here.max_row - there.max_row in (0, 1), (tag, here.title)  # the cover has the notice
    # What the book does not say, and that nobody reviewed it, stand on the cover's one page.
    heights = [sheets.worksheets[0].page_setup.fitToHeight for sheets in (book, plain)]
    assert heights[0] in (None, 1, "1") and heights[1] in (0, "0"), (tag, heights)
    # A cell that holds a word of the format in English holds another here; what an edition states stays as its file has it.
    words = {key.split("-", 1)[1] for key in catalogue if key.startswith(("form.choice-", "workbook.word-"))}
    words |= {key.split(".", 1)[1] for key in catalogue if key.startswith("thing.")} | {"pass", "fail"}
    words |= {text for key, text in catalogue.items() if key.startswith(("review.unit-", "review.reader-"))}
    kept = {"container", "ultrasonic", "information", "service", "calibration", "qualification", "solution", "solutions", "lot", "set",
            "indicator", "detergent", "no"}  # spelled alike in some
    told = 0
    for here, there in list(zip(book, plain))[1:]:
        for row, english_row in zip(here.iter_rows(), there.iter_rows()):
            for cell, other in zip(row, english_row):
                values = there.title == "Limits" and cell.column == 3
                if isinstance(other.value, str) and other.value.replace(" ", "-") in words - kept and not values:
                    told += 1
                    assert cell.value != other.value, (tag, here.title, cell.coordinate, cell.value)
                assert not re.search(r"\b(inside|outside) pass\b|^(steam-(gravity|prevacuum|sterilizer)|not-reached)$", str(cell.value)) or values, (tag, here.title, cell.value)
    assert told > 500, told
    cells = [cell.value for row in book.worksheets[0].iter_rows() for cell in row]
    assert any(isinstance(value, str) and NOTICE in value for value in cells), tag
    # A sheet of paper: its letters are letters again.
    run(*said, "report", "PR-0049", "-o", f"{folder}/{tag}.pdf")
    text = subprocess.run(["pdftotext", "-layout", f"{folder}/{tag}.pdf", "-"], capture_output=True, text=True, check=True).stdout
    assert "the English text decides" in " ".join(text.split()), tag
    if tag == "hi":
        assert len(re.findall(r"[\u0900-\u097F]", text)) > 200, text

# Days and numbers as babel has them, every month of a year.
for tag in LANGUAGES:
    locale = babel.Locale.parse(tag)
    for month in range(1, 13):
        first = datetime.date(2027, month, 9)
        head = run("--language", tag, "gaps", "--from", first.isoformat(), "--to", first.isoformat()).stdout
        # With blanks that no line is broken at.
        shown = babel.dates.format_skeleton("yMMMd", first, locale=locale).replace(" ", "\u00a0")
        assert f"{shown} 00:00" in head and f"{shown} 23:59" in head, (tag, shown, head[:300])
    half = babel.numbers.format_decimal(0.5, locale=locale)
    mixed = run("--language", tag, "mix", "--agent", "sodium-hypochlorite", "--stock-percent", "5.25", "--percent", "0.5", "--volume-l",
                "10").stdout
    assert f"{half} %" in " ".join(mixed.replace("\u202f", " ").split()) and babel.numbers.format_decimal(5.25, locale=locale) in mixed, (tag, mixed)
    assert "percent=0.5 " in mixed, (tag, mixed)  # a line to copy is the same in every language

# A language that is none is told, with those there are; help comes in the language too.
refused = run("--language", "xx", "gaps", status=2)
assert "xx" in refused.stderr and "en, es, fr, hi, sw" in refused.stderr
assert run("--language", "fr-CD", "--help").stdout == run("--language=fr", "--help").stdout != run("--help").stdout
print("hashed bytes alike in six languages")
