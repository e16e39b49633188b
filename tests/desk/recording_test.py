#!/usr/bin/env python3
"""Recording by forms: the form of every kind shows and takes what it should; what is refused comes back with its field named
and everything that was typed; slips; corrections; the second person on the same screen; labels; patients' numbers.

    recording_test.py PROGRAM
"""
import re

from running import Browser, Desk, check, finish

pins = {"mara": "slow-otter-31", "uma": "tall-heron-77"}


def give_pins(desk):
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    desk.run("--as", "mara", "person", "pin", "uma", pins=[pins["mara"], pins["uma"]])


desk = Desk(prepare=give_pins)
ana = Browser(desk).become_station().tap("ana")
uma = Browser(desk).become_station("office").sign_in("uma", pins["uma"])


def form_of(browser, address):
    """The fields that the form of that page brings by itself, and the page."""
    page = browser.get(address)
    check(f"{address} shows", page.status, 200)
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.text.split('class="record"')[-1]))
    return hidden, page.text


def give(browser, kind, fields, address=None, status=303):
    hidden, _ = form_of(browser, f"/record/{kind}")
    answer = browser.post(address or f"/record/{kind}", {**hidden, **fields}, csrf=hidden["csrf"])
    check(f"{kind} {fields}", answer.status, status)
    return answer


def last():
    return desk.entries()[-1]


# What a form is given, and what then stands in the entry.
at = {"at": "2026-11-02T08:00"}
noon, noon_local = "2026-11-02T12:00:00+05:00", "2026-11-02T12:00"
examples = [
    ("equipment-registered", {"equipment": "A-1", "sort": "steam-sterilizer", "accuracy_k": "0,5"}, {"accuracy_k": 0.5}),
    ("equipment-stopped", {"equipment": "A-1", "why": "leaks"}, {"equipment": "A-1"}),
    ("equipment-resumed", {"equipment": "A-1"}, {}),
    ("equipment-checked", {"equipment": "A-1", "check": "calibration", "result": "pass", "as_found_k": "-0.3", "until": noon_local},
     {"as_found_k": -0.3, "until": noon}),
    ("set-defined", {"set": "S-1", "title": "Delivery set", "items": "2 artery forceps\nscissors", "contact": "critical",
                     "told_apart": "yes"},
     {"items": [{"item": "artery forceps", "count": 2}, {"item": "scissors", "count": 1}], "told_apart": True}),
    ("set-stopped", {"set": "S-1"}, {}),
    ("set-resumed", {"set": "S-1"}, {}),
    ("supply-received", {"lot": "CI-1", "sort": "chemical-indicator", "type": "5", "count": "200", "expires": "2027-01-31"},
     {"type": 5, "count": 200, "expires": "2027-01-31"}),
    ("counted", {"what": "births", "from": "2026-11-01T00:00", "until": "2026-11-02T00:00", "number": "3"}, {"number": 3}),
    ("competence-recorded", {"person": "ana", "skill": "packing", "until": "2027-11-01"}, {"until": "2027-11-01"}),
    ("rostered", {"person": "ana", "from": "2026-11-02T07:00", "until": "2026-11-02T15:00"}, {"from": "2026-11-02T07:00:00+05:00"}),
    ("solution-prepared", {"solution": "B-1", "agent": "sodium-hypochlorite", "use": "decontamination", "percent": "0,5",
                           "stock_percent": "5", "stock_ml": "1000", "water_ml": "9000", "covered": "yes"},
     {"percent": 0.5, "covered": True}),
    ("solution-tested", {"solution": "B-1", "strip": "pass"}, {"strip": "pass"}),
    ("set-returned", {"set": "S-1", "missing": "1 needle holder"}, {"missing": [{"item": "needle holder", "count": 1}]}),
    ("soaked", {"set": "S-1", "solution": "B-1", "until": "2026-11-02T08:10"}, {"until": "2026-11-02T08:10:00+05:00"}),
    ("soak-ended", {"set": "S-1", "solution": "B-1"}, {}),
    ("cleaned", {"set": "S-1", "method": "manual", "rinsed": "no"}, {"rinsed": False}),
    ("inspected", {"set": "S-1", "found": "wet"}, {"found": ["wet"]}),
    ("packed", {"pack": "P-1", "set": "S-1", "wrap": "wrapped", "indicator_lot": "CI-1"}, {"indicator_lot": "CI-1"}),
    ("pack-received", {"pack": "X-1", "from": "Regional store", "use_by": "2027-02-01"}, {"use_by": "2027-02-01"}),
    ("load-started", {"load": "L-1", "method": "steam-gravity", "equipment": "A-1", "cycle": "17", "packs": "P-1",
                      "packs.more": "P-1\nP-2, P-3"}, {"packs": ["P-1", "P-2", "P-3"], "cycle": 17}),
    ("load-changed", {"load": "L-1", "removed.more": "P-3"}, {"removed": ["P-3"]}),
    ("load-ended", {"load": "L-1", "temperature_c": "121,5", "complete": "yes", "dry": "yes"}, {"temperature_c": 121.5, "complete": True}),
    ("indicator-read", {"load": "L-1", "pack": "P-1", "result": "pass", "where": "inside", "type": "5"}, {"result": "pass"}),
    ("biological-placed", {"biological": "BI-1", "load": "L-1"}, {}),
    ("biological-read", {"load": "L-1", "biological": "BI-1", "hours": "48", "result": "negative", "control": "growth"}, {"hours": 48}),
    ("load-rejected", {"load": "L-1", "why": "wet packs"}, {}),
    ("pack-stored", {"pack": "P-1", "place": "shelf 2"}, {"place": "shelf 2"}),
    ("pack-issued", {"pack": "P-1", "place": "labour room"}, {}),
    ("pack-opened", {"pack": "P-1"}, {}),
    ("pack-returned", {"pack": "P-1", "state": "closed"}, {}),
    ("pack-withdrawn", {"pack": "P-2", "why_withdrawn": "wet"}, {}),
    ("procedure-done", {"procedure": "PR-1", "patient": "MRN-4711-08", "sort": "delivery", "place": "labour room",
                        "packs.more": "P-1", "newborns.more": "NB-4712-08\nNB-4713-08"}, {"packs": ["P-1"]}),
    ("solution-discarded", {"solution": "B-1", "why": "cloudy"}, {}),
    ("facility-described", {"title": "Invented ward", "zone": "Etc/GMT-5", "altitude_m": "1180"}, {"altitude_m": 1180}),
    ("remarked", {"subject.kind": "pack", "subject.id": "P-1", "text": "fell down"}, {"subject": {"kind": "pack", "id": "P-1"}}),
]
kinds = set(re.findall(r'href="/record/([a-z-]+)"', ana.get("/record").text)) - {"corrected"}
by_pin = {"load-released", "person-enrolled", "person-left", "sop-adopted", "sop-confirmed"}
check("a form for every kind that has one", sorted(kinds - by_pin), sorted(kind for kind, _, _ in examples))
for kind, fields, wanted in examples:
    answer = give(ana, kind, {**at, **fields})
    entry = last()
    check(f"{kind}: the entry's kind", entry["kind"], kind)
    check(f"{kind}: when", entry["at"], "2026-11-02T08:00:00+05:00")
    check(f"{kind}: by whom", entry["by"], "ana")
    for name, value in wanted.items():
        check(f"{kind}: {name}", entry.get(name), value)
    done = ana.get(answer.header("location")).text
    check(f"{kind}: what stands in the register", f"Recorded as entry {entry['seq']}:" in done)
for number in ("MRN-4711-08", "NB-4712-08", "NB-4713-08"):
    check(f"{number} in no page", [address for address in ("/record/procedure-done", "/record/packed", "/recent", "/procedure/PR-1",
                                                          "/record/procedure-done?after=" + str(last()["seq"]))
                                   if number in ana.get(address).text], [])
    check(f"{number} in no entry", number in str(desk.entries()), False)

# With a PIN, in the name of who signs.
page = ana.get("/record/load-released?load=L-1").text
check("a release asks for a PIN first", "signs for it with their PIN" in page and 'name="load"' not in page)
hidden, page = form_of(uma, "/record/load-released?load=L-1")
check("the load of the link stands in the field", 'name="load" type="text" autocomplete="off" value="L-1"' in page)
check("released", uma.post("/sign/load-released", {**hidden, "load": "L-1", "basis": "indicator", "second": "mara"},
                           csrf=hidden["csrf"]).status, 303)
released = last()
check("by whom", (released["by"], released["kind"], released["basis"]), ("uma", "load-released", ["indicator"]))
check("not as a claim", ana.post("/record/load-released", {"slip": "s-claim", "load": "L-1"}).status, 403)
check("not without a PIN", ana.post("/sign/load-released", {"slip": "s-claim", "load": "L-1"}).status, 403)

# The second person, on the same screen; nobody else's session changes.
before = len(desk.entries())
address = f"/second/{released['seq']}"
check("a wrong PIN", uma.post(address, {"person": "mara", "pin": "wrong-otter-31"}).status, 403)
check("the same person", uma.post(address, {"person": "uma", "pin": pins["uma"]}).status, 422)
check("the second person", uma.post(address, {"person": "mara", "pin": pins["mara"]}).status, 303)
check("their own signature", (last()["kind"], last()["of"], last()["by"]), ("countersigned", released["seq"], "mara"))
check("one entry more", len(desk.entries()), before + 1)
check("who is at the station", uma.me()["person"], "uma")

# What is refused: told by field, what was typed is still there, nothing taken, and no slip is used up.
hidden, _ = form_of(ana, "/record/packed")
typed = {"pack": "P-9", "set": "S-1", "wrap": "", "indicator_lot": "CI <9>", "note": "a <b>remark</b>"}
before = len(desk.entries())
answer = ana.post("/record/packed", {**hidden, **typed}, csrf=hidden["csrf"])
check("refused", answer.status, 422)
check("each with its field", [field in answer.text for field in ('href="#f-wrap"', 'href="#f-indicator_lot"')], [True, True])
check("what was typed", 'value="P-9"' in answer.text and "CI &lt;9&gt;" in answer.text and "&lt;b&gt;remark" in answer.text)
check("nothing as markup", "<b>remark" in answer.text, False)
check("nothing taken", len(desk.entries()), before)
good = {**hidden, "pack": "P-9", "set": "S-1", "wrap": "pouch"}
check("then taken", ana.post("/record/packed", good, csrf=hidden["csrf"]).status, 303)
again = ana.post("/record/packed", good, csrf=hidden["csrf"])
check("sent again: answered with the first", (again.status, again.header("location")), (303, f"/record/packed?after={last()['seq']}"))
check("taken once", len(desk.entries()), before + 1)
kept = ana.get(f"/record/packed?after={last()['seq']}").text
check("the next one keeps what is likely the same", 'value="pouch" checked="checked"' in kept and 'value="P-9"' not in kept)
check("a thousand or a third", give(ana, "load-ended", {**at, "load": "L-7", "temperature_c": "1,211", "complete": "yes"}, status=422).status, 422)

# Not known, and why; a time that is not exact; a page of the paper register.
give(ana, "packed", {**at, "pack": "P-10", "set": "S-1", "unknown.wrap": "not-recorded", "precision": "day", "paper": "p. 12, line 3"})
check("not known", (last()["unknown"], last()["precision"], last()["paper"]), ({"wrap": "not-recorded"}, "day", "p. 12, line 3"))

# As a browser sends it that had no connection: the time it was typed, who typed it; the answer is JSON.
hidden, _ = form_of(ana, "/record/pack-stored")
waited = {**hidden, "pack": "P-10", "place": "shelf 1", "typed": "2026-11-02T03:15:00.250Z", "by": "ken"}
told = ana.post("/record/pack-stored", waited, csrf=hidden["csrf"], headers=[("Accept", "application/json")])
check("taken later", (told.status, told.json()["seq"], told.json()["repeated"]), (200, last()["seq"], False))
check("when and by whom it was typed", (last()["at"], last()["entered"], last()["by"]),
      ("2026-11-02T03:15:00.25+00:00", "2026-11-02T03:15:00.25+00:00", "ken"))
told = ana.post("/record/pack-stored", waited, csrf=hidden["csrf"], headers=[("Accept", "application/json")])
check("sent twice", (told.json()["seq"], told.json()["repeated"]), (last()["seq"], True))
told = ana.post("/record/pack-stored", {**waited, "slip": "s-other", "place": ""}, csrf=hidden["csrf"], headers=[("Accept", "application/json")])
check("refused as JSON", (told.status, told.json()["refused"][0]["field"]), (422, "place"))

# Corrections: what stands, and what shall stand instead; the entry itself stays.
wrong = next(entry for entry in desk.entries() if entry["kind"] == "packed" and entry["pack"] == "P-10")
address = f"/correct/{wrong['seq']}"
check("a correction needs a PIN", ana.get(address).status, 303)
hidden, page = form_of(uma, address)
check("what stands now", 'value="P-10"' in page and '<option value="not-recorded" selected="selected">' in page)
fields = {**hidden, "pack": "P-10", "set": "S-1", "wrap": "drum", "at": "2026-11-02T09:30", "correction-why": "it was a drum"}
check("without a reason", uma.post(address, {**fields, "correction-why": ""}, csrf=hidden["csrf"]).status, 422)
check("corrected", uma.post(address, fields, csrf=hidden["csrf"]).status, 303)
check("of which", (last()["kind"], last()["of"], last()["replacement"]["wrap"], last()["replacement"]["by"]),
      ("corrected", wrong["seq"], "drum", "ana"))
hidden, page = form_of(uma, address)
check("the correction stands now", 'value="drum" checked="checked"' in page)
check("again", uma.post(address, {**hidden, "correction-why": "there was none", "correction-never": "yes"}, csrf=hidden["csrf"]).status, 303)
check("never happened", (last()["of"] > wrong["seq"], last()["replacement"]), (True, None))
check("nothing left to correct", uma.get(address).status, 400)
check("no such kind", ana.get("/record/countersigned").status, 404)
check("not by a form", ana.get("/record/recall-opened").status, 404)

# Labels.
for address, pages in (("/label/pack/P-1", 1), ("/label/load/L-1", 1)):
    label = ana.get(address)
    check(address, (label.status, label.header("content-type"), label.body[:5]), (200, "application/pdf", b"%PDF-"))
check("no such pack", ana.get("/label/pack/P-none").status, 404)

# Back to where they wanted to go, and nowhere else.
passing = Browser(desk).become_station("sluice")
check("asked who is there", passing.get("/record/packed").header("location"), "/sign-in?next=%2Frecord%2Fpacked")
check("and back", passing.post("/name", {"person": "ana", "next": "/record/packed"}).header("location"), "/record/packed")
there = "/record/load-released?load=L-1"
check("back to the form with its load", passing.post("/name", {"person": "ana", "next": there}).header("location"), there)
check("the way to the PIN leads back", "/sign-in?next=%2Frecord%2Fload-released%3Fload%3DL-1" in ana.get(there).text)
for elsewhere in ("//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere.example", "javascript:alert(1)"):
    check(elsewhere, passing.post("/name", {"person": "ana", "next": elsewhere}).header("location"), "/")

check("the record verifies", desk.run("verify", "--full")["ok"])
check("ended", desk.stop()[0], 0)
finish("recording")
