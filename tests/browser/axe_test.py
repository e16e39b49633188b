#!/usr/bin/env python3
"""axe-core over every page and every form of the desk in a real Chromium: nothing that it calls wrong, and nothing left to a person but
contrast that it cannot work out (accessible.js does, for every text). Without an axe it says so and looks at nothing.

    axe_test.py PROGRAM
"""
import collections
import sys

import axe
import everywhere
from browsing import Keys, Window, check, enrol, finish, tap
from running import Desk

# What differs between widths where no rule of the style does.
LAYOUT = ["target-size", "scrollable-region-focusable"]
LANGUAGES = ["en-x-mirror", "es", "fr", "hi", "sw"]

desk = Desk(people=False, prepare=everywhere.prepare)
window = Window(desk)
looking = axe.Axe(window.driver)
if looking.version is None:
    print("skipped: all, for there is no axe-core: none in Chromium's developer tools and none that tests/install got")
    window.close()
    desk.stop()
    sys.exit(0)
print(f"axe-core {looking.version}, {looking.whence}")
looked = collections.Counter()


def unfold():
    window.driver.execute_script("document.querySelectorAll('details').forEach((one) => { one.open = true; })")


def look(where, rules=None):
    found = looking.look(rules)
    looked[found["passes"] > 0] += 1
    check(where, found["violations"], [])
    left = [one for one in found["incomplete"] if one["rule"] != "color-contrast"]
    check(f"{where}: nothing is left to a person", left, [])


def visit(address, widths=(360, 1440), language=None):
    if language:
        window.driver.add_cookie({"name": "trayproof-language", "value": language})
    for wide in widths:
        window.across(wide)
        if wide == widths[0]:
            window.go(address)
            unfold()
        look(f"{address} at {wide} px", LAYOUT if wide == 320 else None)
    if language:
        check(f"{address} speaks {language}", window.driver.execute_script("return document.documentElement.lang"), language)
        window.driver.delete_cookie("trayproof-language")


# Before anybody is there; each page in one of the other languages, seen without a name, and each form with one; all in English
# with a PIN.
for address in ("/station", "/", "/nothing-here", "/ledger/verify"):
    visit(address)
enrol(window, desk)
visit("/sign-in", (360, 1440, 320))
pages = everywhere.pages(desk)
open_pages = [one for one in pages if not one.startswith(("/record", "/correct", "/second/"))]
for number, address in enumerate(open_pages):
    visit(address, (360,), LANGUAGES[number % len(LANGUAGES)])
tap(window, "ana")
visit("/")
forms = everywhere.forms(window)
for number, address in enumerate(forms):
    visit(address, (360,), LANGUAGES[number % len(LANGUAGES)])
everywhere.sign_in(window, Keys)
for address in pages + forms:
    visit(address, (360, 1440, 320))
check("pages and forms were looked at", len(open_pages) > 20 and len(forms) > 30)

# What comes of pressing: refused, recorded, a file that was read, the record verified.
window.across(360)
window.go("/record/packed")
window.find("form.record > button").click()
window.until(lambda: window.all("#refused"))
look("a refused form")
window.find("[name=pack]").send_keys("P-A11Y")
window.find("[name=set]").send_keys("S-1")
window.find("input[name=wrap][value=pouch]").click()
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
look("a recorded one")
window.go("/record/packed?several=yes")
window.scan("P-A11Z")
window.scan("P A !")
look("what was scanned")
window.go("/import")
window.find("[name=file]").send_keys(str(everywhere.facility / "loggers" / "oven-22-october.csv"))
window.find("main form button").click()
window.until(lambda: window.path.startswith("/import/"))
look("a logger's file that was read")
window.go("/ledger")
window.find("form[action='/ledger/verify'] button").click()
window.until(lambda: window.path == "/ledger/verify")
look("the record verified")

# What axe is for is found.
planted = {"image-alt": "Object.assign(document.createElement('img'), {src: 'data:,'})", "label": "document.createElement('input')",
           "color-contrast": "Object.assign(document.createElement('p'), {textContent: 'faint text', style: 'color:#aaa'})",
           "target-size": "...'abc'.split('').map((one) => Object.assign(document.createElement('button'), {textContent: one, style: 'min-height:0;height:9px;width:9px;padding:0;border:0'}))",
           "heading-order": "Object.assign(document.createElement('h5'), {textContent: 'too deep'})",
           "aria-valid-attr-value": "Object.assign(document.createElement('p'), {ariaHidden: 'perhaps'})"}
for rule, plant in planted.items():
    window.go("/recent")
    window.driver.execute_script(f"document.querySelector('main').append({plant})")
    check(f"a planted fault is found: {rule}", sorted({one["rule"] for one in looking.look()["violations"]}), [rule])
window.go("/recent")
window.driver.execute_script("document.documentElement.lang = ''")
check("a page without a language is found", [one["rule"] for one in looking.look()["violations"]], ["html-has-lang"])

check("each look found something in order", looked[False], 0)
print(f"{sum(looked.values())} looks")
window.close()
desk.stop()
finish("axe")
