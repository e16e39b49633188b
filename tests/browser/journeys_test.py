#!/usr/bin/env python3
"""Journeys through the desk in a real Chromium.

    journeys_test.py PROGRAM [FOLDER FOR PICTURES]

A day is recorded with a scanner (fast keys, Enter at the end); the connection goes and comes back; everything is done by the
keyboard alone; no request leaves the machine.
"""
import time

from browsing import Keys, Window, check, enrol, finish, tap
from running import Desk

pins = {"mara": "slow-otter-31"}


def ward(desk):
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
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
check("packs are scanned one after the other", window.focused(), "packs.more")
window.scan("P-4")
window.scan("P-5")
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
window.find("[name=pin]").send_keys(pins["mara"] + Keys.ENTER)
window.until(lambda: not window.path.startswith("/sign-in"))
window.go("/record/load-released?load=L-7").picture("load-released")
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
check("released by", entries("load-released")[-1]["by"], "mara")
window.picture("released")

# Used for a patient, whose number is shown nowhere.
tap(window, "ana")
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
