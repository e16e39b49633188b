#!/usr/bin/env python3
"""An assessor across the table, in a real Chromium over the invented month: a load recalled from its page to its closing by two, five
questions answered, a logger's file handed in and confirmed, labels printed and read back, a page on paper, and all of it from
right to left.

    assessor_test.py PROGRAM [FOLDER FOR PICTURES]
"""
import base64
import json
import re
import subprocess
from pathlib import Path

from browsing import Keys, Window, check, enrol, finish, pictures
from running import Desk, month_and_two

facility = Path(__file__).parents[2] / "samples" / "facility"
pins = {"mara": "slow-otter-31", "uma": "tall-heron-77"}


def prepare(desk):
    month_and_two(desk, pins)


desk = Desk(people=False, prepare=prepare)
window = Window(desk)
enrol(window, desk, "office")
window.go("/sign-in")
window.find("select[name=person]").send_keys("Invented uma")
window.find("form[action='/sign-in'] [name=pin]").send_keys(pins["uma"] + Keys.ENTER)
window.until(lambda: not window.path.startswith("/sign-in"))


def entries(kind):
    return [entry for entry in desk.entries() if entry["kind"] == kind]


def press(text):
    next(one for one in window.all("main a, main button") if one.text == text).click()


def download(address):
    """What the browser gets there, by a request of its own page."""
    script = "const done = arguments[1]; fetch(arguments[0]).then((a) => a.blob()).then((b) => { const r = new FileReader(); r.onload = () => done(r.result); r.readAsDataURL(b); })"
    return base64.b64decode(window.driver.execute_async_script(script, address).split(",", 1)[1])


# From a number on a strip of tape to the load: typed into the search, which a scanner fills as well.
load = next(one["load"] for one in entries("biological-read") if one["result"] == "positive")
window.driver.execute_script("document.activeElement.blur()")
window.keys("/")
check("the search is one key away", window.focused(), "q")
window.keys(load)  # a scanner that ends with nothing
window.until(lambda: window.path == f"/load/{load}")
window.picture("load")

# Recalled: who would be reached, before anything is opened; opened; answered; closed by two.
press("Who was reached?")
window.until(lambda: window.path.startswith("/recalls/new"))
reached = desk.run("recall", "--because", "load-failed", "--load", load)
text = window.find("main").text
check("everybody who would be reached", [one["pack"] for one in reached["packs"] if one["pack"] not in text], [])
check("nothing is opened by looking", entries("recall-opened"), [])
window.picture("recall-before")
window.find("form[action='/recalls'] [name=recall]").send_keys("RC-7")
window.find("form[action='/recalls'] button").click()
window.until(lambda: window.path == "/recalls/RC-7")
work = desk.run("recall", "show", "RC-7")["items"]
window.picture("recall")
open_ones = [one for one in work if one["needs_answer"]]
for _ in open_ones:
    forms = window.all("main form.inline")
    forms[0].find_element("css selector", "button").click()
    window.until(lambda: desk.run("recall", "show", "RC-7")["unanswered"] < len(open_ones))
    window.go("/recalls/RC-7")
    if not window.all("main form.inline") or desk.run("recall", "show", "RC-7")["unanswered"] == 0:
        break
    open_ones = [one for one in desk.run("recall", "show", "RC-7")["items"] if one["needs_answer"] and not one.get("outcome")]
check("answered on the page", desk.run("recall", "show", "RC-7")["unanswered"], 0)
window.find("form[action$='/close'] [name=conclusion]").send_keys("all found and taken back")
window.find("form[action$='/close'] [name=second]").send_keys("mara")
window.find("form[action$='/close'] button").click()
window.until(lambda: desk.run("recall", "show", "RC-7")["state"] == "awaiting-second")
window.go("/seconds").picture("seconds-many")
window.find(f".to-sign input[value='{desk.run('recall', 'show', 'RC-7')['closed']['seq']}']").click()
window.find("form.seconds select").send_keys("Invented mara")
window.find("form.seconds [name=pin]").send_keys(pins["mara"])
window.find("form.seconds > button").click()
window.until(lambda: "signed=1" in window.path)
check("closed by two, on one screen", desk.run("recall", "show", "RC-7")["state"], "closed")
window.go("/recalls/RC-7").picture("recall-closed")

# Five questions, each with what it says beside what the verb says.
window.go("/questions").picture("questions")
for question in ("last-positive", "biological-frequency", "undecided-loads", "chlorine-each-day", "is-it-improving"):
    window.go(f"/questions/{question}?from=2026-10-01&to=2026-11-03")
    told = desk.run("answer", question, "--from", "2026-10-01", "--to", "2026-11-03")
    rows = len(window.all("main table tbody tr"))
    check(f"{question}: its rows", rows >= len(told["rows"]) > 0, True)
    window.picture(f"question-{question}")

# A logger's file: read, shown with its curve, confirmed.
window.go("/import")
window.find("[name=file]").send_keys(str(facility / "loggers" / "drum-autoclave-14-october.csv"))
window.find("[name=equipment]").send_keys("autoclave-drum")
window.find("[name=logger]").send_keys("logger-1")
window.find("main form button").click()
window.until(lambda: window.all("svg.curve"))
check("nothing is recorded by reading", entries("curve-measured"), [])
window.picture("import")
window.find("main form[action^='/import/'] button").click()
window.until(lambda: len(entries("curve-measured")) > 0)
window.picture("imported")

# Labels of a load, from its page, read back by another program.
held = next(one for one in entries("load-started") if len(one["packs"]) > 2)
window.go(f"/load/{held['load']}")
address = next(one.get_attribute("href") for one in window.all("main .doings a") if one.text == "Labels")
folder = Path(desk.folder.name)
(folder / "labels.pdf").write_bytes(download(address))
subprocess.run(["pdftoppm", "-r", "200", "-png", folder / "labels.pdf", folder / "label"], check=True)
read = subprocess.run(["zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", *sorted(folder.glob("label-*.png"))], capture_output=True, text=True, check=True)
check("a label for each pack that was packed here", set(read.stdout.split()) <= set(held["packs"]) and len(read.stdout.split()) > 0)

# On paper: the page of the load, without what is only for screens.
window.go(f"/load/{load}")
paper = base64.b64decode(window.driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"])
(folder / "page.pdf").write_bytes(paper)
printed = subprocess.run(["pdftotext", "-layout", folder / "page.pdf", "-"], capture_output=True, text=True, check=True).stdout
check("what is said stands on paper, and no buttons", (load in printed, "Scan or type an id" in printed), (True, False))

# From right to left.
window.driver.add_cookie({"name": "trayproof-language", "value": "en-x-mirror"})
for name, address in (("home", "/"), ("record", "/record"), ("several", "/record/packed?several=yes"), ("load", f"/load/{load}"), ("seconds", "/seconds")):
    window.go(address)
    check(f"{name} runs from right to left", window.driver.execute_script("return getComputedStyle(document.body).direction"), "rtl")
    window.picture(f"mirrored-{name}")
window.driver.delete_cookie("trayproof-language")
for tag in ("es", "fr", "hi", "sw"):
    window.driver.add_cookie({"name": "trayproof-language", "value": tag})
    window.go("/record/load-started")
    check(f"{tag}: its choices", "steam gravity" in window.find("select[name=method]").text, False)
    window.picture(f"spoken-{tag}")
window.driver.delete_cookie("trayproof-language")

elsewhere = [url for url in window.requests() if not url.startswith((f"http://127.0.0.1:{desk.port}/", "data:", "chrome", "about:", "blob:"))]
check("no request leaves the machine", elsewhere, [])
check("the browser complains of nothing", window.complaints(), [])
window.close()
check("the record verifies", desk.run("verify", "--full")["ok"])
desk.stop()
finish("assessor")
