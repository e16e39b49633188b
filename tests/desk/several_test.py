#!/usr/bin/env python3
"""Several packs in one sending, as a form without a script gives them: a text area, one a line. All or nothing, the refused one
named, what came twice told, sent again taken once; numbers of labels in place of ids; labels of what was packed together.

    several_test.py PROGRAM
"""
import re

from running import Browser, Desk, check, finish


def ward(desk):
    for line in (["set-defined", "set=S-1", "title=Delivery set", "contact=critical", 'items=[{"item":"scissors","count":1}]'],
                 ["equipment-registered", "equipment=A-1", "sort=steam-sterilizer"]):
        desk.run("record", *line, "--by", "ana")


desk = Desk(prepare=ward)
ana = Browser(desk).become_station().tap("ana")


def form_of(address):
    page = ana.get(address).text
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.split('class="record"')[-1])), page


def give(kind, fields, status=303, hidden=None, headers=()):
    hidden = hidden or form_of(f"/record/{kind}?several=yes")[0]
    answer = ana.post(f"/record/{kind}", {**hidden, **fields}, csrf=hidden["csrf"], headers=headers)
    check(f"{kind} {fields}", answer.status, status)
    return answer


def entries(kind):
    return [entry for entry in desk.entries() if entry["kind"] == kind]


# The way there, and the form.
check("from one pack to several", 'href="/record/packed?several=yes"' in ana.get("/record/packed").text)
hidden, page = form_of("/record/packed?several=yes")
check("a text area", '<textarea name="pack.more"' in page and 'href="/record/packed"' in page)
for kind in ("packed", "pack-received", "pack-stored", "pack-issued", "pack-opened", "pack-returned", "pack-withdrawn"):
    check(f"{kind} takes several", 'name="pack.more"' in ana.get(f"/record/{kind}?several=yes").text)
for kind in ("load-ended", "set-returned", "procedure-done"):
    check(f"{kind} does not", 'name="pack.more"' in ana.get(f"/record/{kind}?several=yes").text, False)

# Twelve packs, alike but for their ids; ends of lines as browsers and hands leave them; two came twice.
ids = [f"P-{n}" for n in range(1, 13)]
typed = "\r\n".join(ids[:6]) + "\r\n" + " ,".join(ids[6:]) + "\n\n P-3\tP-12;P-3\n"
before = len(desk.entries())
answer = give("packed", {"pack.more": typed, "set": "S-1", "wrap": "wrapped", "note": "night"}, hidden=hidden)
packed = entries("packed")
check("each is an entry", [(one["pack"], one["set"], one["wrap"], one["by"]) for one in packed], [(pack, "S-1", "wrapped", "ana") for pack in ids])
check("and nothing else", len(desk.entries()), before + 12)
check("at one time", len({one["at"] for one in packed}), 1)
check("what came twice stands in the answer", answer.header("location"), f"/record/packed?after={packed[-1]['seq']}&count=12&twice=P-3&twice=P-12")
page = ana.get(answer.header("location")).text
first, last = packed[0]["seq"], packed[-1]["seq"]
check("told on the page", all(part in page for part in (f"12 packs, entries {first} to {last}", "Given twice, recorded once: P-3, P-12")))
check("each leads to its entry", [f'href="/entry/{one["seq"]}"' in page for one in packed], [True] * 12)
check("the next form takes several again", 'name="pack.more"' in page and 'value="wrapped" checked="checked"' in page)
label = ana.get(f"/label/entries/{first}/{last}")
check("their labels in one", (label.status, label.body[:5]), (200, b"%PDF-"))
for address in (f"/label/entries/{last}/{first}", "/label/entries/0/3", f"/label/entries/{first}/99999", "/label/entries/a/b", "/label/entries/1/2"):
    check(f"no labels at {address}", ana.get(address).status, 404)

# Pressed twice, or sent again after an answer was lost: the same entries.
again = give("packed", {"pack.more": typed, "set": "S-1", "wrap": "wrapped", "note": "night"}, hidden=hidden)
check("sent again", (again.header("location"), len(entries("packed"))), (answer.header("location"), 12))
more = give("packed", {"pack.more": typed + "P-13", "set": "S-1", "wrap": "wrapped", "note": "night"}, hidden=hidden)
check("one more in the same form is one entry more", [one["pack"] for one in entries("packed")], [*ids, "P-13"])

# All or nothing: one that cannot be taken refuses all, and is named; everything that was typed is still there.
before = len(desk.entries())
refused = give("packed", {"pack.more": "P-21\nP 22!\nP-23\nP-1", "set": "S-1", "wrap": "pouch"}, status=422)
check("nothing taken", len(desk.entries()), before)
said = re.search(r'id="refused".*?</div>', refused.text, re.S).group(0)
check("the refused ones named", ("22!: " in said, "P-1: " in said, "P-21" in said, "P-23" in said), (True, True, False, False))
check("still there", "P-21\nP 22!\nP-23\nP-1</textarea>" in refused.text and 'value="pouch" checked="checked"' in refused.text)
wrong = give("packed", {"pack.more": "P-21\nP-23", "set": "S-1", "wrap": ""}, status=422)
said = re.search(r'id="refused".*?</div>', wrong.text, re.S).group(0)
check("what is wrong with all is said once", (said.count("<li>"), "P-21" in said), (1, False))
empty = give("packed", {"pack.more": " \n", "set": "S-1", "wrap": "drum"}, status=422)
check("no pack at all", 'href="#f-pack"' in empty.text)
many = give("packed", {"pack.more": "\n".join(f"Q-{n}" for n in range(201)), "set": "S-1", "wrap": "drum"}, status=422)
check("too many at once", "found 201 packs; allowed are 200" in many.text)
check("nothing taken of these", len(desk.entries()), before)
most = give("packed", {"pack.more": "\n".join(f"Q-{n}" for n in range(200)), "set": "S-1", "wrap": "drum"})
check("two hundred at once", len(entries("packed")), 213)

# As a script sends it.
program = [("Accept", "application/json")]
told = give("pack-opened", {"pack.more": "P-1\nP-2", "typed": "2026-11-02T03:15:00Z", "by": "ken"}, status=200, headers=program).json()
check("as JSON", (told["next"], told["repeated"]), (f"/record/pack-opened?after={told['seq']}&count=2", False))
check("each with its time and who", [(one["pack"], one["entered"], one["by"]) for one in entries("pack-opened")],
      [(pack, "2026-11-02T03:15:00+00:00", "ken") for pack in ("P-1", "P-2")])
told = give("pack-opened", {"pack.more": "P-1\nP!2"}, status=422, headers=program).json()
check("refused as JSON, with the pack", [("P!2: " in one["says"], one["field"]) for one in told["refused"]], [(True, "pack")])

# Received from elsewhere, stored, issued: the same.
give("pack-received", {"pack.more": "X-1 X-2 X-3", "from": "Regional store"})
check("received", [one["pack"] for one in entries("pack-received")], ["X-1", "X-2", "X-3"])
give("pack-stored", {"pack": "X-1", "pack.more": "X-2", "place": "shelf 2"})
check("tapped and typed", [one["pack"] for one in entries("pack-stored")], ["X-1", "X-2"])

# "These packs, load 7": one entry with a list; twice is told there too.
hidden, _ = form_of("/record/load-started")
answer = give("load-started", {"load": "L-7", "method": "steam-gravity", "equipment": "A-1", "packs": "P-3",
                               "packs.more": "P-4\r\nP-5\r\nP-3\r\nP-5"}, hidden=hidden)
check("one load", entries("load-started")[-1]["packs"], ["P-3", "P-4", "P-5"])
page = ana.get(answer.header("location")).text
check("how many, and what came twice", "Packs: 3." in page and "Given twice, recorded once: P-3, P-5" in page)

# Numbers of labels: what a pencil wrote on indicator tape.
label = desk.run("label", "P-6", "P-7", "-o", f"{desk.folder.name}/two.pdf")["labels"]
numbers = {one["pack"]: one["code"] for one in label}
give("load-changed", {"load": "L-7", "added.more": f"{numbers['P-6']} P-8 {numbers['P-7']}"}, hidden=form_of("/record/load-changed")[0])
check("in a list", entries("load-changed")[-1]["added"], ["P-6", "P-8", "P-7"])
give("pack-opened", {"pack": numbers["P-6"]}, hidden=form_of("/record/pack-opened")[0])
check("in a field", entries("pack-opened")[-1]["pack"], "P-6")
seq, digit = numbers["P-7"].split("-")
wrong = f"{seq}-{(int(digit) + 1) % 10}"
refused = give("pack-opened", {"pack": wrong}, status=422, hidden=form_of("/record/pack-opened")[0])
check("a wrong digit is told", f"found {wrong}: a number like those on labels" in refused.text and f'value="{wrong}"' in refused.text)
check("and found from the search", ana.get(f"/find?q={numbers['P-7']}").header("location"), "/pack/P-7")
check("a wrong one is not", ana.get(f"/find?q={wrong}").status, 404)
give("packed", {"pack": wrong, "set": "S-1", "wrap": "wrapped"}, hidden=form_of("/record/packed")[0])
give("pack-opened", {"pack": wrong}, hidden=form_of("/record/pack-opened")[0])
check("an id that is spelled so means itself", entries("pack-opened")[-1]["pack"], wrong)

# A badge in the place of a pack, a set or a load: told, and not a new thing of that name.
before = len(desk.entries())
for kind, fields in (("packed", {"pack.more": "P-50\nken", "set": "S-1", "wrap": "drum"}), ("packed", {"pack.more": "P-50", "set": "ken", "wrap": "drum"})):
    refused = give(kind, fields, status=422)
    check(f"{kind} {fields}: told", "ken is a person: that was a badge" in refused.text)
for kind, fields in (("packed", {"pack": "ken", "set": "S-1", "wrap": "drum"}), ("load-started", {"load": "ken", "method": "steam-gravity", "equipment": "A-1", "packs.more": "P-9"}),
                     ("load-started", {"load": "L-9", "method": "steam-gravity", "equipment": "A-1", "packs.more": "P-9 ken"})):
    refused = give(kind, fields, status=422, hidden=form_of(f"/record/{kind}")[0])
    check(f"{kind} {fields}: told", "ken is a person: that was a badge" in refused.text)
check("nothing taken of these", len(desk.entries()), before)

# A patient's number among the packs: refused by its place, and repeated nowhere but where it was typed.
number = "20471-5"
form = form_of("/record/procedure-done")[0]
give("procedure-done", {"procedure": "PR-1", "patient": number, "sort": "delivery", "place": "ward", "packs.more": "P-9"}, hidden=form)
for fields in ({"pack.more": f"P-9\n{number}\nP-10", "place": "shelf"}, {"pack.more": number, "place": "shelf"}):
    refused = give("pack-stored", fields, status=422)
    said = re.search(r'id="refused".*?</div>', refused.text, re.S).group(0)
    check(f"{len(fields['pack.more'])}: told, not repeated", (number in said, "patient" in said), (False, True))
    told = give("pack-stored", fields, status=422, headers=program)
    check("nor to a script", (number in told.text, "patient" in told.text), (False, True))
check("none is in the record", number in str(desk.entries()), False)

# A query that says what was never recorded shows no more than the form.
for query in ("after=99999", "after=3&count=200", "after=1&count=5", "after=x&count=y", "twice=%3Cb%3E&after=3"):
    page = ana.get(f"/record/packed?{query}")
    check(f"?{query}", (page.status in (200, 400, 404), "<b>" in page.text), (True, False))

check("the record verifies", desk.run("verify", "--full")["ok"])
check("ended", desk.stop()[0], 0)
finish("several")
