#!/usr/bin/env python3
"""What awaits a second person, on one page, signed there by PIN; badges that are scanned instead of tapping a name, read back by
zbar from the sheet that the desk prints.

    seconds_test.py PROGRAM
"""
import re
import subprocess
import urllib.parse
from pathlib import Path

from running import Browser, Desk, check, finish, give_pins

pins = {"mara": "slow-otter-31", "uma": "tall-heron-77", "ken": "quiet-mole-52"}


def prepare(desk):
    give_pins(desk, pins)
    for pack in ("P-1", "P-2", "P-3"):
        desk.run("record", "pack-stored", f"pack={pack}", "place=shelf", "--by", "ana")
    desk.run("--as", "mara", "person", "enrol", "gone", "--name", "Invented gone", "--role", "nurse", pins=[pins["mara"]])
    desk.run("--as", "mara", "person", "leave", "gone", pins=[pins["mara"]])


desk = Desk(prepare=prepare)
station = Browser(desk).become_station("corridor")
uma = Browser(desk).become_station("office").sign_in("uma", pins["uma"])


def entries(kind):
    return [entry for entry in desk.entries() if entry["kind"] == kind]


check("nothing waits yet", "Nothing waits for a second person." in station.get("/seconds").text)
check("and the first page has no way there", "/seconds" in station.get("/").text, False)
waiting = []
for stored in entries("pack-stored"):
    page = uma.get(f"/correct/{stored['seq']}").text
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page.split('class="record"')[-1]))
    named = {"correction-second": "ken"} if stored["pack"] == "P-3" else {}
    check("corrected", uma.post(f"/correct/{stored['seq']}", {**hidden, **named, "pack": stored["pack"], "place": "other shelf",
                                                            "correction-why": "wrong shelf"}, csrf=hidden["csrf"]).status, 303)
    waiting.append(entries("corrected")[-1]["seq"])

# The page: everything that waits, the longest first, and who may be chosen.
page = station.get("/").text
check("the way there", 'href="/seconds"' in page and [f'href="/second/{seq}"' in page for seq in waiting] == [True] * 3)
page = station.get("/seconds").text
check("all three, in order", re.findall(r'name="seq" value="(\d+)"', page), [str(seq) for seq in waiting])
check("what is signed for", ("other shelf" in page, "ken is named" in page, "Done by uma." in page), (True, True, True))
check("who has a PIN", sorted(re.findall(r'<option value="(\w+)"', page.split('name="person"')[1].split("</select>")[0])), ["ken", "mara", "uma"])
check("nothing is ticked for anybody", "checked" in page.split('class="to-sign"')[1], False)


def sign(browser, seqs, person, pin):
    fields = [("seq", str(seq)) for seq in seqs] + [("person", person), ("pin", pin)]
    csrf = browser.csrf("/seconds")
    body = urllib.parse.urlencode([*fields, ("csrf", csrf)]).encode()
    return browser.send("POST", "/seconds", body, [("Content-Type", "application/x-www-form-urlencoded"),
                                                   ("Origin", f"http://{browser.host}")])


# Where nobody tapped a name, by whoever has the PIN.
before = len(desk.entries())
check("nothing ticked", sign(station, [], "mara", pins["mara"]).status, 422)
check("a wrong PIN", sign(station, waiting, "mara", "wrong-otter-31").status, 403)
check("nothing signed", len(desk.entries()), before)
answer = sign(station, waiting, "uma", pins["uma"])
check("who did it cannot", (answer.status, answer.text.count("<li>") >= 3, len(desk.entries())), (422, True, before))
answer = sign(station, [waiting[0], waiting[2]], "mara", pins["mara"])
check("one that names another is told, the other is signed", (answer.status, f'href="/entry/{waiting[2]}"' in answer.text, len(desk.entries())),
      (422, True, before + 1))
check("by whom", (entries("countersigned")[-1]["of"], entries("countersigned")[-1]["by"]), (waiting[0], "mara"))
check("it waits no more", re.findall(r'name="seq" value="(\d+)"', answer.text), [str(seq) for seq in waiting[1:]])
check("the ticks are still there", 'name="seq" value="%d" checked="checked"' % waiting[2] in answer.text)
answer = sign(station, waiting[1:], "ken", pins["ken"])
check("both", (answer.status, answer.header("location")), (303, "/seconds?signed=2"))
check("told", "Signed: 2." in station.get("/seconds?signed=2").text)
check("nothing waits", "Nothing waits for a second person." in station.get("/seconds").text)
check("nobody is at that station", station.me()["person"], None)
check("who was at the other stays", uma.me()["person"], "uma")
check("what is not there", sign(station, [99999], "ken", pins["ken"]).status, 422)
slow = [sign(station, [1], "mara", f"wrong-{i}").status for i in range(4)]
check("guesses wait here as anywhere", slow[-1], 429)

# Badges: the id and nothing else, read back by another program.
sheet = station.get("/label/badges")
check("a sheet", (sheet.status, sheet.header("content-type"), sheet.body[:5]), (200, "application/pdf", b"%PDF-"))
folder = Path(desk.folder.name)
(folder / "badges.pdf").write_bytes(sheet.body)
subprocess.run(["pdftoppm", "-r", "200", "-singlefile", "-png", folder / "badges.pdf", folder / "badges"], check=True)
read = subprocess.run(["zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", folder / "badges.png"], capture_output=True, text=True, check=True)
codes = sorted(read.stdout.split())
check("one for each who is here", codes, ["ana", "ken", "mara", "uma"])
text = subprocess.run(["pdftotext", "-layout", folder / "badges.pdf", "-"], capture_output=True, text=True, check=True).stdout
check("names, and no PIN", ("Invented ana" in text, [pin for pin in pins.values() if pin in text]), (True, []))
check("one alone", (station.get("/label/badge/ana").status, station.get("/label/badge/gone").status, station.get("/label/badge/x").status), (200, 404, 404))
told = desk.run("label", "--badges", "ana", "ken", "-o", str(folder / "two.pdf"))
check("by the verb", [one["person"] for one in told["badges"]], ["ana", "ken"])
desk.run("label", "--badges", "gone", "-o", str(folder / "gone.pdf"), status=3)
desk.run("label", "--badges", "--load", "L-1", "-o", str(folder / "both.pdf"), status=2)

# Scanned: the same claim as a tapped name, and no more.
for given, person in (("ana", "ana"), ("  KEN\r\n", "ken"), ("Invented uma", "uma")):
    scanned = Browser(desk).become_station(f"at {person}")
    check(f"the badge {given!r}", scanned.post("/name", {"badge": given}).status, 303)
    check("who is here, by a claim", (scanned.me()["person"], scanned.me()["level"]), (person, "name"))
    check("no PIN came with it", scanned.get("/correct/1").status, 303)
    check("and no right", scanned.post("/sign/load-released", {"slip": "s", "load": "L-1"}).status, 403)
there = Browser(desk).become_station("ward")
check("back to where they were", there.post("/name", {"badge": "ana", "next": "/record/packed"}).header("location"), "/record/packed")
for given in ("gone", "nobody", "P-1", "<script>", "an", "Invented", "ana ken", "x" * 5000):
    unknown = Browser(desk)
    unknown.cookies = dict(station.cookies)
    answer = unknown.post("/name", {"badge": given})
    check(f"the badge {given[:20]!r}", (answer.status, "Nobody here has that badge" in answer.text, "<script>" in answer.text.replace('<script src', '')),
          (400, True, False))
check("a badge from no station", Browser(desk).post("/name", {"badge": "ana"}, csrf=False).status, 401)

status, said = desk.stop()
check("ended", status, 0)
check("no PIN in the log", [pin for pin in pins.values() if pin in said], [])
finish("seconds")
