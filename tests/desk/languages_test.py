#!/usr/bin/env python3
"""What readers of other languages see at the desk, whatever it speaks itself: findings wherever they are shown, refusals,
the words of the format, days and numbers; and which numbers a form takes as a page writes them.

    languages_test.py PROGRAM SOURCE_DIR
"""
import html
import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

from running import Browser, Desk, check, finish, program

SOURCE = Path(sys.argv[2])
sys.path[:0] = [str(SOURCE / "tests/words"), str(SOURCE / "tests/browser")]
import everywhere  # noqa: E402
import renew  # noqa: E402

catalogue = dict(renew.english())
translated = {tag: renew.translations((SOURCE / f"ledger/words/languages/{tag}.po").read_text())[0] for tag in ("fr", "hi")}


def said(tag, key):
    return catalogue[key] if tag == "en" else translated[tag][key, catalogue[key]]


def prepare(desk):
    everywhere.prepare(desk)
    facility = SOURCE / "samples" / "facility"
    desk.run("import", "curve", str(facility / "loggers" / "tabletop-15-and-16-october.csv"), "--equipment", "autoclave-table", "--logger", "logger-2")


def reader(desk, tag):
    browser = Browser(desk).become_station(f"at {tag}").sign_in("mara", everywhere.pins["mara"])
    check(f"{tag} is chosen", browser.post("/language", {"language": tag, "next": "/"}).status, 303)
    return browser


class Texts(HTMLParser):
    """What is read: without ids, bytes, and what stands in fields."""
    alone = {"meta", "link", "input", "br", "hr", "img", "path", "rect", "line", "polygon"}

    def __init__(self, page):
        super().__init__()
        self.open, self.all = [], []
        self.feed(page[page.index("<main"):page.index("<footer")])

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag not in self.alone:
            self.open.append(tag in ("pre", "code", "textarea", "title") or (given.get("class") == "id"))
        self.all += [given[name] for name in ("aria-label", "placeholder", "data-head") if name in given]

    def handle_startendtag(self, tag, attributes):
        pass

    def handle_endtag(self, tag):
        self.open.pop()

    def handle_data(self, data):
        if data.strip() and not any(self.open):
            self.all.append(data.strip())


def findings_of(page):
    """What the findings of a page say."""
    lists = re.findall(r'<ul class="findings[^"]*">.*?</ul>', page, re.S)
    return {html.unescape(text) for one in lists for text in re.findall(r'<div class="says">(.*?)</div>', one)}


# Findings beside other things are said to their reader, in whatever language somebody looked at them before.
desk = Desk(people=False, prepare=prepare)
gaps = desk.run("gaps")["gaps"]
subjects = sorted({f"/{one['subject']['kind']}/{one['subject']['id']}" for one in gaps if one["subject"]["kind"] in ("load", "solution", "equipment", "set")})
check("there are things with findings", len(subjects) > 8)
french, english, hindi = (reader(desk, tag) for tag in ("fr", "en", "hi"))
for tag, browser in (("en", english), ("fr", french), ("hi", hindi), ("en", english), ("fr", french)):
    everything = findings_of(browser.get("/gaps").text)
    check(f"{tag}: all findings", len(everything) > 20)
    for address in ["/", *subjects[:12]]:
        here = findings_of(browser.get(address).text)
        check(f"{tag} {address}: what its findings say", here - everything, set())
        check(f"{tag} {address}: it has findings", address == "/" or bool(here))

# A refusal is said to whoever is refused: of the ledger's own thread too.
good = {"solution": "B-1", "agent": "sodium-hypochlorite", "use": "decontamination", "percent": "0.5", "stock_percent": "5", "stock_ml": "1000", "water_ml": "9000"}


def give(browser, fields, kind="solution-prepared"):
    page = browser.get(f"/record/{kind}").text
    hidden = dict(re.findall(r'name="(csrf|slip)" value="([^"]*)"', page))
    return browser.post(f"/record/{kind}", {**hidden, **good, **fields}, csrf=hidden["csrf"])


def refusals_of(answer):
    check("refused", answer.status, 422)
    return html.unescape(" ".join(Texts(re.search(r'<main.*<footer', answer.text, re.S)[0]).all[:8]))


for field, wrong in (("stock_ml", "a litre"), ("at", "yesterday"), ("water_ml", "-1")):
    told = {tag: refusals_of(give(browser, {field: wrong})) for tag, browser in (("en", english), ("fr", french), ("hi", hindi))}
    check(f"{field}: English", f'found "{wrong}"' in told["en"] or "found -1" in told["en"])
    for tag in ("fr", "hi"):
        check(f"{field} in {tag}: {told[tag]}", re.search(r"\bfound\b|\ballowed\b", told[tag]), None)

# Numbers as pages write them, and the one comma that may be either.
taken = {"1 000": 1000, "1\u00a0000": 1000, "1\u202f000,5": 1000.5, "12 345 678": 12345678, "1,000,000": 1000000, "1,00,000": 100000,
         "9,000.5": 9000.5, "0,125": 0.125, "1000,125": 1000.125, "0,5": 0.5, "1 000,125": 1000.125, "7": 7}
for number, (typed, wanted) in enumerate(taken.items()):
    answer = give(french, {"solution": f"N-{number}", "stock_ml": typed})
    check(f"{typed!r} is taken", answer.status, 303)
    check(f"{typed!r}", desk.entries()[-1].get("stock_ml"), wanted)
for typed in ("1 00", "10 00", "1 0000", "1000 000", "1  000", "1,00,00", "1,000,0.5", ",5 000", "1.000.000", "1 000.5 0"):
    check(f"{typed!r} is refused", give(french, {"stock_ml": typed}).status, 422)
for tag, browser in (("en", english), ("fr", french)):
    for typed, whole, decimal in (("9,000", "9000", "9.0"), ("1,250", "1250", "1.25")):
        told = refusals_of(give(browser, {"stock_ml": typed}))
        ending = said(tag, "form.comma-either").removeprefix("{why}").format(whole=whole, decimal=decimal)
        check(f"{tag}: why {typed} is refused: {told}", ending in told)

# The words of the format, days and numbers, on every page: what the catalogue has in their language stands in it.
prefixes = ("how.", "word.", "thing.", "form.choice-", "desk.word-", "desk.because-")
for tag, browser in (("fr", french), ("hi", hindi)):
    theirs = {translated[tag][key, text] for key, text in catalogue.items() if translated[tag].get((key, text))}
    foreign = set()
    for key, text in catalogue.items():
        prefix = next((one for one in prefixes if key.startswith(one)), None)
        if prefix and said(tag, key) != text:
            foreign |= {key[len(prefix):], text} - theirs
    words, days, broken, points = {}, {}, {}, {}
    months = {"fr": "janv|févr|mars|avr|mai|juin|juil|août|sept|oct|nov|déc",
                                                "hi": "जन|फ़र|मार्च|अप्रैल|मई|जून|जुल|अग|सित|अक्तू|नव|दिस"}[tag]
    one_finding = html.unescape(re.search(r'href="(/gaps/[^"]+)"', browser.get("/gaps").text)[1])
    pages = [*(page for page in everywhere.pages(desk) if not page.startswith("/gaps/")), one_finding, "/recalls/RC-1/calls", *(f"/record/{kind}" for kind in ("load-started", "set-returned", "biological-placed")),
             *(f"/questions/{one}" for one in ("is-it-improving", "random-procedures", "solution-log", "competences", "disinfected-only"))]
    for address in pages:
        answer = browser.get(address)
        if answer.status == 404 and address == "/find?q=nothing":
            continue
        check(f"{tag} {address}", answer.status, 200)
        for text in Texts(answer.text).all:
            for piece in re.split(r"[,:;(] |[)]", text):
                if piece.strip() in foreign:
                    words.setdefault(piece.strip(), address)
            if re.search(r"\b\d{4}-\d\d-\d\d", text):
                days.setdefault(text, address)
            if re.search(rf"\d (?:{months})|(?:{months})\.? \d{{4}}", text):
                broken.setdefault(text, address)
            if tag == "fr" and re.search(r"(?<![\w.-])\d+\.\d+(?![\w.])", text):
                points.setdefault(text, address)
    for what, found in (("words of the format", words), ("days as they are stored", days), ("days that break", broken), ("decimal points", points)):
        check(f"{tag}: {what}", dict(list(found.items())[:12]), {})

# At the terminal: a station's time to the second, where the facility is.
list_of_stations = subprocess.run([program, "--ledger", desk.ledger, "--language", "fr", "--quiet", "station", "list"], capture_output=True, text=True, check=True).stdout
for line in list_of_stations.splitlines():
    check(f"a station's line: {line}", bool(re.search(r"\s\d\d:\d\d:\d\d\s\+05:00$", line)))
check("each of them", len(list_of_stations.splitlines()), 3)
check("its JSON has the instant", all(re.search(r"\+00:00$", one["since"]) for one in desk.run("station", "list")["stations"]))
check("the record verifies", desk.run("verify", "--full")["ok"])
desk.stop()

# The other way round: a desk that speaks French, and who reads English at it.
desk = Desk(people=False, prepare=prepare)
desk.stop()
os.environ["TRAYPROOF_LANGUAGE"] = "fr"
desk.start()
english = reader(desk, "en")
everything = findings_of(english.get("/gaps").text)
for address in subjects[:4]:
    check(f"{address} at a French desk", findings_of(english.get(address).text) - everything, set())
check("an English refusal at a French desk", 'found "a litre"' in refusals_of(give(english, {"stock_ml": "a litre"})))
desk.stop()
finish("languages")
