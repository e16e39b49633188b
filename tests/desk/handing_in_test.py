#!/usr/bin/env python3
"""A logger's file from a browser and from a program: read without recording anything, questions answered, confirmed; what
is shown against `import curve --json`. Then the state of the record: verified, signed, exported by pages, countersigned.

    handing_in_test.py PROGRAM
"""
import json
import re
import secrets
import urllib.parse
from pathlib import Path

from running import Browser, Desk, check, finish, program
import subprocess

samples = Path(__file__).parents[2] / "samples"
facility = samples / "facility"
drum = facility / "loggers" / "drum-autoclave-14-october.csv"
oven = facility / "loggers" / "oven-22-october.csv"
pins = {"mara": "slow-otter-31", "uma": "tall-heron-77"}
open_question = "Date;CH1 [°C]\n" + "".join(f"05/06/2026 08:{m:02};{20 + m}\n" for m in range(40))  # day first or month first?


def prepare(desk):
    desk.run("record", "--from", str(facility / "events.jsonl"))
    for person, role in (("mara", "steward"), ("uma", "quality"), ("ana", "nurse")):
        desk.run("person", "enrol", person, "--name", f"Invented {person}", "--role", role)
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    desk.run("--as", "mara", "person", "pin", "uma", pins=[pins["mara"], pins["uma"]])


desk = Desk(people=False, prepare=prepare)
name = Browser(desk).become_station().tap("ana")
other = Browser(desk).become_station("elsewhere").tap("ana")
signed = {person: Browser(desk).become_station(f"at {person}").sign_in(person, pin) for person, pin in pins.items()}
token = desk.run("station", "add", "logger room", "--token")["token"]
robot = Browser(desk)
robot.extra = [("Authorization", f"Bearer {token}")]


def hand_in(browser, address, file_name, data, fields):
    mark = "part-" + secrets.token_hex(12)
    if browser is not robot:
        fields = {**fields, "csrf": browser.csrf()}
    body = b"".join(f'--{mark}\r\nContent-Disposition: form-data; name="{k}"\r\n\r\n{v}\r\n'.encode() for k, v in fields.items())
    body += f'--{mark}\r\nContent-Disposition: form-data; name="file"; filename="{file_name}"\r\n'.encode()
    body += b"Content-Type: application/octet-stream\r\n\r\n" + data + f"\r\n--{mark}--\r\n".encode()
    return browser.send("POST", address, body, [("Content-Type", f"multipart/form-data; boundary={mark}")])


def entries():
    return len(desk.entries())


def dry(file, *options):
    done = subprocess.run([program, "--ledger", desk.ledger, "--json", "import", "curve", str(file), "--dry-run", *options], capture_output=True, text=True)
    return json.loads(done.stdout)


# By a program: as the verb tells it, and nothing recorded without the word.
before = entries()
fields = {"equipment": "autoclave-drum", "logger": "logger-1"}
answer = hand_in(robot, "/api/v1/import", "drum.csv", drum.read_bytes(), fields)
check("read by a program", (answer.status, answer.json()), (200, dry(drum, "--equipment", "autoclave-drum", "--logger", "logger-1")))
check("nothing recorded", entries(), before)
asks = hand_in(robot, "/api/v1/import", "x.csv", open_question.encode(), fields)
check("an open question", (asks.status, [a["what"] for a in asks.json()["asks"]]), (422, ["date-order"]))
check("confirmed with an open question: still nothing",
      (hand_in(robot, "/api/v1/import", "x.csv", open_question.encode(), {**fields, "confirm": "yes"}).status, entries()), (422, before))
check("no file", robot.send("POST", "/api/v1/import", b"a=1", [("Content-Type", "application/x-www-form-urlencoded")]).status, 400)
check("no such choice", hand_in(robot, "/api/v1/import", "x.csv", b"x", {**fields, "decimal": "star"}).status, 400)

# By a browser, step by step.
check("a station without a name hands nothing in", hand_in(Browser(desk).become_station("third"), "/import", "d.csv", b"x", fields).status, 403)
held = hand_in(name, "/import", "<b>drum</b>.csv", drum.read_bytes(), fields)
check("handed in", (held.status, bool(re.fullmatch(r"/import/[0-9a-f]{32}\?.*", held.header("location")))), (303, True))
page = name.get(held.header("location"))
told = dry(drum, "--equipment", "autoclave-drum", "--logger", "logger-1")
check("shown", page.status, 200)
check("each cycle drawn", page.text.count('class="curve"'), len(told["cycles"]))
check("each finding said", [f["says"] for c in told["cycles"] for f in c["findings"] if f["says"].replace("'", "&#39;") not in page.text], [])
check("the name of the file is text", ("<b>drum" in page.text, "&lt;b&gt;drum" in page.text), (False, True))
check("still nothing recorded", entries(), before)
place = held.header("location").split("?")[0]
check("another station has no part in it", other.get(held.header("location")).status, 404)
check("nor confirms it", (other.post(place, fields).status, entries()), (404, before))
confirmed = name.post(place, fields)
check("confirmed", confirmed.status, 303)
new = desk.entries()[before:]
check("as the verb records it", sorted(e["kind"] for e in new),
      sorted(k for c in told["cycles"] for k in (["curve-measured", "curve-placed", "curve-judged"])))
check("leads to its load", confirmed.header("location").startswith("/load/"))
check("the curve is on the load's page", 'class="curve"' in name.get(confirmed.header("location")).text)
check("confirmed twice: gone", name.post(place, fields).status, 404)
again = hand_in(name, "/import", "drum.csv", drum.read_bytes(), fields)
check("handed in again: taken before", ("taken in before" in (t := name.get(again.header("location")).text) or "already" in t, "Record these curves" in t), (True, False))

# What the file leaves open, side by side.
held = hand_in(name, "/import", "x.csv", open_question.encode(), fields)
page = name.get(held.header("location"))
check("asked", ('type="radio"' in page.text, 'value="dmy"' in page.text, 'value="mdy"' in page.text, "Record these curves" in page.text), (True, True, True, False))
page = name.get(held.header("location") + "&date-order=dmy")
check("answered", ('type="radio"' in page.text, "Record these curves" in page.text), (False, True))
check("in one step by a program", (hand_in(robot, "/api/v1/import", "oven.csv", oven.read_bytes(), {"equipment": "oven-1", "logger": "logger-3", "confirm": "yes"}).status,
                                   any(e["kind"] == "curve-measured" and e["equipment"] == "oven-1" for e in desk.entries())), (200, True))
check("again: repeated", hand_in(robot, "/api/v1/import", "oven.csv", oven.read_bytes(), {"equipment": "oven-1", "confirm": "yes"}).json()["repeated"], True)
# No more is held than there is room for: the ninth file makes the first go.
first = hand_in(name, "/import", "a.csv", b"time,temp\n1,2\n", fields).header("location")
for _ in range(8):
    last = hand_in(name, "/import", "a.csv", b"time,temp\n1,2\n", fields).header("location")
check("the oldest goes for room", (name.get(first).status, name.get(last).status != 404), (404, True))

# The state of the record.
verified = desk.run("verify")
found = robot.send("POST", "/api/v1/verify", b"").json()
for key in ("ok", "events", "head", "root", "checkpoints", "problems"):
    check(f"verify: {key}", found[key], verified[key])
page = name.post("/ledger/verify", {})
check("verified on the page", (page.status, verified["head"] in page.text, verified["root"] in page.text, "holds" in page.text), (200, True, True, True))
page = name.get("/ledger")
check("the page of the record", (page.status, verified["head"] in page.text, "No checkpoint was signed yet" in page.text), (200, True, True))
check("no checkpoint", robot.get("/api/v1/checkpoint").status, 404)
check("a checkpoint needs a PIN", name.post("/ledger/checkpoint", {}).status, 403)
made = signed["uma"].api("/api/v1/checkpoint", {})
check("signed", (made.status, made.json()["size"], made.json()["root"]), (200, verified["events"], verified["root"]))
check("the one kept last", robot.get("/api/v1/checkpoint").json(), made.json())
check("as the verb has it", made.json()["note"], desk.run("checkpoint")["note"])
card = name.get("/ledger/checkpoint.svg")
check("its code", (card.status, card.header("content-type"), "<svg" in card.text), (200, "image/svg+xml", True))
page = name.post("/ledger/verify", {"checkpoint": made.json()["note"].replace("\n", "\r\n")})
check("against the checkpoint given", "the checkpoint that you gave" in page.text and "does not hold" not in page.text)
page = name.post("/ledger/verify", {"checkpoint": made.json()["note"].replace(str(verified["events"]), str(verified["events"] - 1), 1)})
check("against one that was changed", "does not hold" in page.text)
check("against rubbish", name.post("/ledger/verify", {"checkpoint": "rubbish"}).text.count("role=\"alert\""), 1)
lines = subprocess.run([program, "--ledger", desk.ledger, "export"], capture_output=True, text=True, check=True).stdout
pages, at = "", "1"
count = 0
while at:
    one = robot.get(f"/api/v1/export?from={at}&limit=1000")
    pages, at, count = pages + one.text, one.header("next-seq"), count + 1
check("exported by pages: the same bytes", (pages == lines, count), (True, -(-len(lines.splitlines()) // 1000)))
for query in ("?from=0", "?from=x", "?limit=-1", "?limit=0"):
    check(f"export{query}", robot.get("/api/v1/export" + query).status, 400)
check("beyond the end", (robot.get("/api/v1/export?from=99999999").status, robot.get("/api/v1/export?from=99999999").text), (200, ""))
correction = next(e["seq"] for e in desk.entries() if e["kind"] == "corrected")
check("countersigning needs a PIN", name.api(f"/api/v1/countersign/{correction}", {}).status, 403)
done = signed["uma"].api(f"/api/v1/countersign/{correction}", {})
check("countersigned", (done.status, done.json()["of"], done.json()["second"]), (200, correction, "confirmed"))
check("it is an entry", (desk.entries()[-1]["kind"], desk.entries()[-1]["of"], desk.entries()[-1]["seq"]), ("countersigned", correction, done.json()["seq"]))
check("no such entry", signed["uma"].api("/api/v1/countersign/99999999", {}).status in (400, 404))
check("no such page", name.get("/entry/99999999").status, 404)

status, said = desk.stop()
check("stopped", status, 0)
finish("handing in")
