"""Makes labels of packs with the real program; reads them with other programs.

  labels_test.py TRAYPROOF SOURCE_DIR

What scans them: zbar (zbarimg). What reads them: pdftotext (poppler). What writes days: python3-babel. What computes the check digit of ISO/IEC 7064 MOD 11,10: python3-stdnum.
"""
import datetime
import html
import itertools
import json
import os
import random
import re
import subprocess
import sys
import tempfile

import babel
import babel.dates
from stdnum.iso7064 import mod_11_10

TRAYPROOF, SOURCE = sys.argv[1:]
sys.path.insert(0, f"{SOURCE}/tests/words")
import renew  # noqa: E402

folder = tempfile.mkdtemp()
os.environ["TRAYPROOF_LEDGER"] = f"{folder}/month.trayproof"


def run(*arguments, status=0):
    done = subprocess.run([TRAYPROOF, *arguments], capture_output=True, text=True)
    assert status is None or done.returncode == status, (arguments, done.returncode, done.stderr)
    return done.stderr if status else done.stdout


def scanned(picture):
    done = subprocess.run(["zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", picture], capture_output=True, text=True,
                          check=True)
    return sorted(done.stdout.split("\n")[:-1])


def text_of(path):
    return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout


def alike(text):
    """Letters and signs alone: programs that read a PDF put blanks where a script has its marks."""
    return re.sub(r"\s", "", text)


def labels_on(path, page):
    """Each label of a sheet as a picture: ten of 95 by 54 mm, two in a row, 10 mm from the left, 13.5 mm from the top."""
    dots = 300 / 25.4
    for place in range(10):
        x, y = 10 + place % 2 * 95, 13.5 + place // 2 * 54
        picture = f"{folder}/label-{page}-{place}"
        subprocess.run(["pdftoppm", "-r", "300", "-f", str(page), "-l", str(page), "-x", str(round(x * dots)), "-y",
                        str(round(y * dots)), "-W", str(round(95 * dots)), "-H", str(round(54 * dots)), "-singlefile", "-png",
                        path, picture], check=True)
        yield picture + ".png"


run("create", "--name", "Invented unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--sop",
    f"{SOURCE}/samples/sop/labour-room.toml")
run("record", "--from", f"{SOURCE}/samples/facility/events.jsonl")
entries = [json.loads(json.loads(line)["entry"]) for line in run("export").splitlines()]
packed = {one["pack"]: one for one in entries if one["kind"] == "packed"}
loads = {}
for one in entries:
    if one["kind"] == "load-started":
        for pack in one["packs"]:
            loads.setdefault(pack, []).append(one["load"])
packs = sorted(packed)

# Sheets: every code on them is read back, and is the pack's id.
asked = packs[:23]
told = json.loads(run("--json", "label", *asked, "-o", f"{folder}/sheets.pdf"))
assert [one["pack"] for one in told["labels"]] == asked
pictures = [picture for page in (1, 2, 3) for picture in labels_on(f"{folder}/sheets.pdf", page)]
assert [scanned(picture) for picture in pictures[:len(asked)]] == [[pack] for pack in asked]
text = text_of(f"{folder}/sheets.pdf")
for one in told["labels"]:
    seq, check = one["code"].split("-")
    assert int(seq) == packed[one["pack"]]["seq"], one
    assert check == mod_11_10.calc_check_digit(seq), one
    assert one["code"] in text and one["pack"] in text, one
assert not re.search(r"\bsterile\b", text, re.I)
# The same record gives the same bytes, and a file is never written over.
again = json.loads(run("--json", "label", *asked, "-o", f"{folder}/again.pdf"))
assert again["sha256"] == told["sha256"]
assert "again.pdf" in run("label", *asked, "-o", f"{folder}/again.pdf", status=3)

# Alone: a page of the label's own size (95 by 54 mm), a picture, a drawing.
one = next(pack for pack in packs if pack in loads)
run("label", one, "-o", f"{folder}/one.pdf", "--single")
size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", subprocess.run(
    ["pdfinfo", f"{folder}/one.pdf"], capture_output=True, text=True, check=True).stdout)
assert abs(float(size[1]) - 95 / 25.4 * 72) < 0.1 and abs(float(size[2]) - 54 / 25.4 * 72) < 0.1, size[0]
run("label", one, "-o", f"{folder}/one.png")
assert scanned(f"{folder}/one.png") == [one]
run("label", one, "-o", f"{folder}/one.svg")
subprocess.run(["rsvg-convert", "-d", "300", "-p", "300", "-o", f"{folder}/drawn.png", f"{folder}/one.svg"], check=True)
assert scanned(f"{folder}/drawn.png") == [one]

# A pack in a load shows it; a pack without one has the line to write on.
text = text_of(f"{folder}/one.pdf")
assert loads[one][-1] in text, text
run("record", "packed", "pack=P-fresh", f"set={packed[one]['set']}", "wrap=wrapped", "--by", "ana")
run("label", "P-fresh", "-o", f"{folder}/fresh.pdf")
text = text_of(f"{folder}/fresh.pdf")
assert "P-fresh" in text and "no indicator lot recorded" in text and "Load" in text and loads[one][-1] not in text, text
assert "Keeps" in text, text

# All of a load.
load = loads[one][-1]
told = json.loads(run("--json", "label", "--load", load, "-o", f"{folder}/load.pdf"))
held = sorted(pack for pack, held_by in loads.items() if load in held_by)
assert [label["pack"] for label in told["labels"]] == held, (told, held)

# A load that failed gives its packs no date: not when it was rejected, not run to its end, or when a strip, a biological or a
# curve says that it missed its conditions.
printed = itertools.count()


def dated(pack):
    path = f"{folder}/dated-{next(printed)}.pdf"
    run("label", pack, "-o", path)
    said = text_of(path)
    assert "Use by" in said, said
    return re.search(r"Use by\s+\d{4}-\d\d-\d\d", said) is not None, "Keeps" in said


def loaded(name, complete="true"):
    pack, load = f"P-{name}", f"L-{name}"
    run("record", "packed", f"pack={pack}", f"set={packed[one]['set']}", "wrap=wrapped", "--by", "ana")
    run("record", "load-started", f"load={load}", "method=steam-gravity", "equipment=autoclave-drum", f"packs={pack}", "--by", "ana")
    run("record", "load-ended", f"load={load}", f"complete={complete}", "--by", "ana")
    return pack, load


pack, load = loaded("good")
assert dated(pack) == (True, True)
run("record", "indicator-read", f"load={load}", "result=pass", "--by", "ana")
run("record", "load-released", f"load={load}", "--by", "ana")
assert dated(pack) == (True, True)
pack, load = loaded("rejected")
run("record", "load-rejected", f"load={load}", "why=wet packs", "--by", "ana")
assert dated(pack) == (False, False)
run("record", "pack-stored", f"pack={pack}", "place=shelf", "use_by=2027-01-31", "--by", "ana")
assert dated(pack) == (False, False)
assert dated(loaded("stopped", complete="false")[0]) == (False, False)
pack, load = loaded("strip")
run("record", "indicator-read", f"pack={pack}", f"load={load}", "result=fail", "--by", "ana")
assert dated(pack) == (False, False)
pack, load = loaded("biological")
run("record", "biological-read", f"load={load}", "result=positive", "control=growth", "--by", "ana")
assert dated(pack) == (False, False)
# Another load afterwards: its own date.
run("record", "load-started", "load=L-again", "method=steam-gravity", "equipment=autoclave-drum", f"packs={pack}", "--by", "ana")
run("record", "load-ended", "load=L-again", "complete=true", "--by", "ana")
assert dated(pack) == (True, True)
run("import", "curve", f"{SOURCE}/samples/facility/loggers/drum-autoclave-14-october.csv", "--equipment", "autoclave-drum", "--logger", "logger-1")
air = json.loads(run("--json", "gaps", "--rule", "strip-and-curve-disagree", status=None))["gaps"][0]["subject"]["id"]
held = [pack for pack, held_by in loads.items() if held_by[-1] == air]
assert held and {dated(pack) for pack in held} == {(False, False)}, (air, held)

# In other languages, of every month: nothing that has to be read is cut off or stands on something else. A label of its own
# is a page; the ends of the lines to write on are in its drawing.
LANGUAGES = ("en", "es", "fr", "hi", "sw")
English = dict(renew.english())


def in_language(tag, key):
    if tag == "en":
        return English[key]
    with open(f"{SOURCE}/ledger/words/languages/{tag}.po", encoding="utf-8") as file:
        return renew.translations(file.read())[0][key, English[key]]


def boxes(path):
    """[(word, left, top, right, bottom)] of each page, in points."""
    pages = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True).stdout.split("<page ")[1:]
    return [[(html.unescape(found[4]), *(float(found[i]) for i in range(4))) for found in re.findall(
        r'<word xMin="([-.\d]+)" yMin="([-.\d]+)" xMax="([-.\d]+)" yMax="([-.\d]+)">(.*?)</word>', page)] for page in pages]


def rules(path):
    """[(left, right, height)] of the lines to write on."""
    with open(path) as file:
        lines = re.findall(r'fill:none;stroke-width:0.6;.*? d="M ([\d.]+) ([\d.]+) L ([\d.]+) ([\d.]+) "', file.read())
    return [(float(left), float(right), float(y)) for left, y, right, _ in lines]


dated_packs = [f"P-month-{month:02}" for month in range(1, 13)]
for pack in dated_packs:
    run("record", "packed", f"pack={pack}", f"set={packed[one]['set']}", "wrap=wrapped", "indicator_lot=CI-4407", "--by", "processor-1")
run("record", "load-started", "load=L-months", "method=steam-gravity", "equipment=autoclave-drum", f"packs={','.join(dated_packs)}", "--by", "ana")
run("record", "load-ended", "load=L-months", "complete=true", "--by", "ana")
for month, pack in enumerate(dated_packs, 1):
    run("record", "pack-stored", f"pack={pack}", "place=shelf", f"use_by=2027-{month:02}-28", "--by", "ana")
run("record", "packed", "pack=P-open", f"set={packed[one]['set']}", "wrap=wrapped", "--by", "processor-1")
for tag in LANGUAGES:
    path = f"{folder}/{tag}-months.pdf"
    run("--language", tag, "label", *dated_packs, "P-open", "--single", "-o", path)
    pages = boxes(path)
    assert len(pages) == 13
    caution = in_language(tag, "caution.pack")
    if tag != "en":
        caution += f" [English: {English['caution.pack']}]"
    use_by, opened = in_language(tag, "label.pack-use-by"), in_language(tag, "label.pack-opened")
    for month, words in enumerate(pages, 1):
        said = " ".join(" ".join(word[0] for word in words).split())
        assert "…" not in said, (tag, said)
        assert alike(caution) in alike(said), (tag, said)
        assert "wrapped" not in said or tag == "en", (tag, said)
        if month <= 12:
            day = datetime.date(2027, month, 28)
            shown = day.isoformat() if tag == "en" else babel.dates.format_skeleton("yMMMd", day, locale=babel.Locale.parse(tag))
            assert alike(f"{use_by} {shown}") in alike(said), (tag, shown, said)
        # Inside the frame, and no word on another.
        for word, left, top, right, bottom in words:
            assert left > 3 and top > 3 and right < 95 / 25.4 * 72 - 3 and bottom < 54 / 25.4 * 72 - 3, (tag, month, word)
        for (a, *one_box), (b, *other) in itertools.combinations(words, 2):
            beside = one_box[2] <= other[0] + 0.1 or other[2] <= one_box[0] + 0.1
            # Lines may overlap by what their letters never reach.
            below = min(one_box[3], other[3]) - max(one_box[1], other[1]) < 0.4 * min(one_box[3] - one_box[1], other[3] - other[1])
            assert beside or below, (tag, month, a, b)
    # The day and the next name have room between them; a line to write on begins behind its name, and a day fits it.
    for pack, words in ((dated_packs[3], pages[3]), ("P-open", pages[12])):
        run("--language", tag, "label", pack, "--single", "-o", f"{folder}/{tag}-{pack}.svg")
        drawn = rules(f"{folder}/{tag}-{pack}.svg")
        assert len(drawn) == (1 if pack != "P-open" else 3), (tag, pack, drawn)
        for left, right, y in drawn:
            assert right - left >= 45, (tag, pack, left, right)
            names = [word for word in words if word[2] < y <= word[4] + 2]
            assert names, (tag, pack, y)
            assert not [word for word in names if word[1] < right and word[3] > left], (tag, pack, y, names)

# What cannot be.
assert "P-none" in run("label", "P-none", "-o", f"{folder}/none.pdf", status=3)
assert not os.path.exists(f"{folder}/none.pdf")
assert "allowed" in run("label", one, "-o", f"{folder}/one.gif", status=2)
assert "10" in run("label", *asked, "-o", f"{folder}/many.png", status=3)
run("label", "-o", f"{folder}/nothing.pdf", status=2)
run("label", one, "--load", load, "-o", f"{folder}/both.pdf", status=2)

# The check digit tells every single wrong digit and, of exchanged neighbours, all but the few the standard allows.
chance = random.Random(7064)
wrong = swapped = told_swapped = 0
for number in (str(chance.randrange(1, 10_000_000)) for _ in range(300)):
    check = mod_11_10.calc_check_digit(number)
    for place, digit in itertools.product(range(len(number)), "0123456789"):
        if digit != number[place]:
            changed = number[:place] + digit + number[place + 1:]
            assert mod_11_10.calc_check_digit(changed) != check, (number, changed)
            wrong += 1
    for place in range(len(number) - 1):
        if number[place] != number[place + 1]:
            changed = number[:place] + number[place + 1] + number[place] + number[place + 2:]
            swapped += 1
            told_swapped += mod_11_10.calc_check_digit(changed) != check
print(f"{len(asked) + 3} codes scanned; {wrong} wrong digits told, {told_swapped} of {swapped} exchanges")
assert told_swapped / swapped > 0.97
