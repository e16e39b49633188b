#!/usr/bin/env python3
"""Journeys through the desk in a real Chromium.

    journeys_test.py PROGRAM [FOLDER FOR PICTURES]

A day is recorded with a scanner (fast keys, Enter at the end); the connection goes and comes back; everything is done by the
keyboard alone; no request leaves the machine.
"""
import time

from browsing import Keys, Window, check, enrol, finish, pictures, tap
from running import Desk

pins = {"mara": "slow-otter-31", "uma": "tall-heron-77"}


def ward(desk):
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    desk.run("--as", "mara", "person", "pin", "uma", pins=[pins["mara"], pins["uma"]])
    for line in (["set-defined", "set=S-1", "title=Delivery set", "contact=critical", 'items=[{"item":"scissors","count":1}]'],
                 ["equipment-registered", "equipment=A-1", "sort=steam-sterilizer"],
                 ["supply-received", "lot=CI-1", "sort=chemical-indicator", "type=5"]):
        desk.run("record", *line, "--by", "ana")


desk = Desk(prepare=ward)
window = Window(desk)
enrol(window, desk)
window.picture("sign-in")
tap(window, "ana")


def entries(kind):
    return [entry for entry in desk.entries() if entry["kind"] == kind]


# A packing in a few touches: scan the pack, scan the set, tap the wrap, Enter.
window.go("/record").picture("record")
window.go("/record/packed").picture("packed")
check("the first field waits for the scanner", window.focused(), "pack")
began = time.time()
window.scan("P-1")
check("the scanner's Enter goes on", window.focused(), "set")
window.scan("S-1")
check("and to the wrap, which is needed", window.focused(), "wrap")
window.find("input[name=wrap][value=wrapped]").click()
window.find("[name=indicator_lot]").send_keys("CI-1")
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
print(f"a packing by machine: {time.time() - began:.1f} s")
check("recorded", [(one["pack"], one["set"], one["wrap"], one["by"]) for one in entries("packed")], [("P-1", "S-1", "wrapped", "ana")])
window.picture("packed-done")
for number in range(2, 6):  # the wrap and the lot stand there already
    window.scan(f"P-{number}")
    window.keys("S-1" + Keys.ENTER)  # every field is full: Enter records
    window.until(lambda: len(entries("packed")) == number)
    window.until(lambda: "after=" in window.path and window.focused() == "pack")
check("five packs in order", [one["pack"] for one in entries("packed")], [f"P-{n}" for n in range(1, 6)])

# "These packs, load 7."
window.go("/record/load-started").picture("load-started")
check("packs are scanned one after the other", window.focused(), "f-packs-more-scan")


def scanned():
    return [one.text for one in window.all(".scanned bdi")]


def counted():
    return window.find(".count-of").text


# Those that could have been tapped are ticked; a scanner ends with Enter, with Tab, or with nothing at all.
window.scan("P-4")
window.keys("P-5" + Keys.TAB)
check("one that could be tapped is ticked", [window.find(f"input[name=packs][value=P-{n}]").is_selected() for n in (3, 4, 5)], [False, True, True])
window.keys("OLD-17")
window.until(lambda: scanned() == ["OLD-17"])
window.scan("OLD-18")
window.scan("OLD-17")
check("what comes twice is told and counts once", (window.find(".field.many [role=alert]").text, counted()), ("OLD-17 is there already. It counts once.", "Packs: 4"))
window.scan("P-4")
check("of those that are ticked too", window.find(".field.many [role=alert]").text, "P-4 is there already. It counts once.")
window.picture("load-scanned")
window.all(".scanned button")[0].click()
window.all(".scanned button")[0].click()
check("taken out again", (scanned(), counted()), ([], "Packs: 2"))
check("and the next scan goes on", window.focused(), "f-packs-more-scan")
for number in (1, 2, 3):
    window.find(f"input[name=packs][value=P-{number}]").click()
window.find("[name=load]").send_keys("L-7")
window.find("[name=method]").send_keys("steam gravity")
window.find("[name=equipment]").send_keys("A-1")
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
check("five packs in one load", sorted(entries("load-started")[-1]["packs"]), [f"P-{n}" for n in range(1, 6)])
window.go("/record/load-ended?load=L-7")
window.find("input[name=complete][value=yes]").click()
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)

# A release wants the PIN, and a second person on the same screen.
window.go("/sign-in")
window.find("select[name=person]").send_keys("Invented mara")
window.find("form[action='/sign-in'] [name=pin]").send_keys(pins["mara"] + Keys.ENTER)
window.until(lambda: not window.path.startswith("/sign-in"))
window.go("/record/load-released?load=L-7").picture("load-released")
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
check("released by", entries("load-released")[-1]["by"], "mara")
window.picture("released")

# Who is next comes with a badge; the scanner ends with a Tab.
window.go("/sign-in").picture("badge")
check("the badge is waited for", window.focused(), "badge")
window.keys("ana" + Keys.TAB)
window.until(lambda: not window.path.startswith("/sign-in"))
check("scanned, not tapped", "ana" in window.find(".here").text)

# Twelve packs in one sending: a list that grows, sent once.
window.go("/record/packed?several=yes")
check("scanned at once", window.focused(), "f-pack-more-scan")
began = time.time()
for number in range(21, 33):
    window.scan(f"P-{number}")
window.scan("P-25")
check("twelve, and one twice", (window.find(".count-of").text, len(scanned())), ("Packs: 12", 12))
window.find("[name=set]").send_keys("S-1")
window.find("input[name=wrap][value=pouch]").click()
window.picture("several")
window.find("form.record > button").click()
window.until(lambda: "count=12" in window.path)
print(f"twelve packs by machine: {time.time() - began:.1f} s")
check("twelve entries", sorted(one["pack"] for one in entries("packed")[-12:]), [f"P-{n}" for n in range(21, 33)])
window.picture("several-done")
window.scan("P-33")
window.scan("P 34!")
window.scan("P-21")
window.find("[name=set]").send_keys("S-1")
window.find("form.record > button").click()
window.until(lambda: window.all("#refused"))
check("the refused ones are named", all(name in window.find("#refused").text for name in ("34!", "P-21")))
check("what was scanned is still there", sorted(scanned()), ["34!", "P", "P-21", "P-33"])
window.picture("several-refused")

# A photo of a label fills the field beside it.
desk.run("label", "P-22", "-o", f"{desk.folder.name}/label.png")
window.go("/record/pack-opened")
window.find("input[name='photo.pack']").send_keys(f"{desk.folder.name}/label.png")
window.until(lambda: window.find("[name=pack]").get_attribute("value") == "P-22")
window.picture("photo")
window.go("/record/pack-opened?several=yes")
window.find("input[name='photo.pack']").send_keys(f"{desk.folder.name}/label.png")
window.until(lambda: window.find("input[name=pack][value=P-22]").is_selected() if window.all("input[name=pack][value=P-22]") else scanned() == ["P-22"])
(pictures / "nothing.png").write_bytes((pictures / "photo-phone.png").read_bytes())
window.find("input[name='photo.pack']").send_keys(str(pictures / "nothing.png"))
window.until(lambda: "No code was found" in window.find(".photo-says").text)

# Used for a patient, whose number is shown nowhere.
window.go("/record/procedure-done").picture("procedure-done")
window.find("[name=patient]").send_keys("MRN-4711-08")
window.find("[name=procedure]").send_keys("PR-1")
window.find("[name=sort]").send_keys("delivery")
window.find("[name=place]").send_keys("labour room")
window.find("input[name=packs][value=P-1]").click()  # released, and so among those to be tapped
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
check("used", entries("procedure-done")[-1]["packs"], ["P-1"])
check("the number is in no page of the browser", "MRN-4711-08" in window.driver.page_source, False)

# By the keyboard alone.
window.go("/record/set-returned")
window.tab_to("[name=set]").send_keys("S-1")
window.tab_to("form.record > button").send_keys(Keys.ENTER)
window.until(lambda: "after=" in window.path)
check("by keyboard", entries("set-returned")[-1]["set"], "S-1")

# What awaits a second person, signed on its own page.
window.go("/sign-in")
window.find("select[name=person]").send_keys("Invented mara")
window.find("form[action='/sign-in'] [name=pin]").send_keys(pins["mara"] + Keys.ENTER)
window.until(lambda: not window.path.startswith("/sign-in"))
returned = entries("set-returned")[-1]["seq"]
window.go(f"/correct/{returned}").picture("correct")
window.find("[name=correction-why]").send_keys("another set")
window.find("form.record > button").click()
window.until(lambda: window.path.startswith("/entry/"))
window.go("/").picture("home")
window.find("a[href='/seconds']").click()
window.until(lambda: window.path == "/seconds")
window.find(".to-sign input").click()
window.find("form.seconds select").send_keys("Invented uma")
window.find("form.seconds [name=pin]").send_keys(pins["uma"])
window.picture("seconds")
window.find("form.seconds > button").click()
window.until(lambda: "signed=1" in window.path)
check("signed", entries("countersigned")[-1]["by"], "uma")
tap(window, "ana")

# The connection goes; what is typed stays and is sent once, in order, when it comes back.
window.go("/record/pack-stored")
port = desk.port
desk.stop()
for number in (1, 2, 3):
    window.scan(f"P-{number}")
    window.find("[name=place]").send_keys(f"shelf {number}")
    window.find("form.record > button").click()
    window.until(lambda: str(number) in window.find("#waiting").text)
window.picture("waiting")
check("kept, not sent", len(entries("pack-stored")), 0)
desk.start(port=port)
window.until(lambda: "/sign-in" in window.find("#waiting").get_attribute("innerHTML"))  # names are tapped again
tap(window, "ken")
window.until(lambda: len(entries("pack-stored")) == 3)
stored = entries("pack-stored")
check("in order, once", [one["place"] for one in stored], ["shelf 1", "shelf 2", "shelf 3"])
check("by whom they were typed", {one["by"] for one in stored}, {"ana"})
check("when they were typed", all(one["entered"] == one["at"] < one["recorded"] for one in stored))
window.until(lambda: not window.find("#waiting").is_displayed())

# One that is refused does not hold up the next, and can be mended.
window.go("/record/pack-opened")
desk.stop()
for pack in ("P 4 !", "P-5"):
    window.scan(pack)  # nothing else is needed: the scanner's Enter records
    time.sleep(0.5)
window.until(lambda: "2" in window.find("#waiting").text)
desk.start(port=port)
tap(window, "ana")
window.until(lambda: len(entries("pack-opened")) == 1)
check("the good one", entries("pack-opened")[0]["pack"], "P-5")
window.until(lambda: "P" in window.find("#waiting").text and window.all("#waiting div button"))
window.picture("refused")
window.all("#waiting div button")[0].click()
window.until(lambda: window.all("#refused"))
check("what was typed stands in the form", window.find("[name=pack]").get_attribute("value"), "P 4 !")
window.picture("mend")
window.find("[name=pack]").clear()
window.find("[name=pack]").send_keys("P-4")
window.find("form.record > button").click()
window.until(lambda: len(entries("pack-opened")) == 2)

elsewhere = [url for url in window.requests() if not url.startswith((f"http://127.0.0.1:{port}/", "data:", "chrome:", "about:"))]
check("no request leaves the machine", elsewhere, [])
complaints = [one for one in window.complaints() if "ERR_CONNECTION_REFUSED" not in one and "422" not in one and "403" not in one]
check("the browser complains of nothing", complaints, [])
window.close()
check("the record verifies", desk.run("verify", "--full")["ok"])
desk.stop()
finish("journeys")
