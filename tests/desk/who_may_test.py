#!/usr/bin/env python3
"""Every row of the table of addresses, asked by everybody: nobody, a station, a program, a tapped name, each role with
their PIN. What each may is worked out here from docs/desk.md and docs/operations.md, not from the program. Then forms
from elsewhere, sessions that ended, wrong PINs, and the description of the API against the table.

    who_may_test.py PROGRAM
"""
import json
import re
import time

from running import Browser, Desk, check, finish, give_pins

pins = {"mara": "slow-otter-31", "uma": "tall-heron-77", "ken": "quiet-mole-52"}


desk = Desk(prepare=lambda desk: give_pins(desk, pins))
table = desk.run("serve", "--routes")["routes"]
check("the table has rows", len(table) > 10)

stranger = Browser(desk)
station = Browser(desk).become_station()
name = Browser(desk).become_station("sluice").tap("ana")
signed = {person: Browser(desk).become_station(f"at {person}").sign_in(person, pin) for person, pin in pins.items()}
token = desk.run("station", "add", "logger room", "--token")["token"]
program_ = Browser(desk)
program_.extra = [("Authorization", f"Bearer {token}")]

order = ["anyone", "station", "name", "pin"]
askers = {"a stranger": (stranger, "anyone"), "a station": (station, "station"), "a program": (program_, "station"),
          "a name": (name, "name"), **{f"{person} with PIN": (browser, "pin") for person, browser in signed.items()}}
roles = {"mara": {"steward"}, "uma": {"quality"}, "ken": {"processor"}}
# docs/operations.md, the table of rights.
rights = {"enrol": {"steward"}, "retire-key": {"steward"},
          "read-numbers": {"nurse", "infection-control", "quality", "steward"}, "erase": {"quality", "steward"},
          "close-recall": {"infection-control", "quality", "steward"}}


def is_let_in(row, asker, level):
    if order.index(level) < order.index(row["who"]):
        return False
    return not row["right"] or bool(roles.get(asker.split()[0], set()) & rights[row["right"]])


def example(address):
    places = {"name": "desk.css", "kind": "pack", "id": "PK-1", "seq": "1", "rule": "used-before-release",
              "question": "last-positive", "token": "00", "first": "1", "last": "1"}
    return re.sub(r"\{(\w+)\}", lambda place: places[place.group(1)], address)


for row in table:
    if row["address"] == "/sign-out":
        continue  # asked last: it ends the session
    for asker, (browser, level) in askers.items():
        what = f"{row['method']} {row['address']} by {asker}"
        kept = dict(browser.cookies)
        if row["method"] == "GET":
            answer = browser.get(example(row["address"]))
            turned_away = answer.status in (401, 403) or (answer.status == 303 and answer.header("location").split("?")[0] in ("/station", "/sign-in"))
        else:
            # A form of this desk that holds nothing: refused for what it lacks, not for who sent it.
            csrf = browser.me().get("csrf", "") if level != "anyone" else ""
            answer = browser.post(example(row["address"]), {"code": "", "person": "", "pin": ""}, csrf=csrf)
            says = answer.text
            turned_away = answer.status in (401, 403) and ("station" in says and level == "anyone" and row["who"] != "anyone"
                                                          or "Tap your name first" in says or "your PIN for this" in says
                                                          or bool(row["right"]) and level == "pin")
        browser.cookies = kept
        check(what, not turned_away, is_let_in(row, asker, level))

# A form from elsewhere, from before, of somebody else.
good = {"kind": "counted", "at": "2026-11-02T08:00:00+05:00", "what": "births", "from": "2026-11-01T00:00:00+05:00",
        "until": "2026-11-02T00:00:00+05:00", "number": 3}


def event(slip, **more):
    return {**good, "slip": slip, **more}


def post_event(browser, document, headers):
    body = json.dumps(document).encode()
    return browser.send("POST", "/api/v1/events", body, [("Content-Type", "application/json"), *headers]).status


csrf = name.me()["csrf"]
check("without the token", post_event(name, event("s-1"), []), 403)
check("with another's token", post_event(name, event("s-1"), [("X-CSRF-Token", station.me()["csrf"])]), 403)
check("with the token from another site",
      post_event(name, event("s-1"), [("X-CSRF-Token", csrf), ("Origin", "http://elsewhere.example")]), 403)
check("as browsers tell of another site",
      post_event(name, event("s-1"), [("X-CSRF-Token", csrf), ("Sec-Fetch-Site", "cross-site")]), 403)
check("from nowhere", post_event(name, event("s-1"), [("X-CSRF-Token", csrf), ("Origin", "null")]), 403)
check("as it should be", post_event(name, event("s-1"), [("X-CSRF-Token", csrf), ("Origin", f"http://{name.host}")]), 200)

# Sent again it is taken once; another thing under its slip is refused; without a slip it is not taken.
again = name.api("/api/v1/events", event("s-1"))
check("sent again", (again.status, again.json()["taken"], again.json()["repeated"]), (200, 0, 1))
other = name.api("/api/v1/events", event("s-1", number=4))
check("another number under the slip", (other.status, [r["field"] for r in other.json()["refused"]]), (422, ["slip"]))
none = name.api("/api/v1/events", good)
check("no slip", (none.status, none.json()["refused"][0]["field"]), (422, "slip"))
mixed = {"events": [event("s-2"), {**event("s-3"), "what": "stars"}, event("s-4")], "keep_good": True}
mixed = name.api("/api/v1/events", mixed)
check("one bad among good ones, kept", (mixed.status, mixed.json()["taken"], mixed.json()["refused"][0]["line"],
                                        [seq > 0 for seq in mixed.json()["seqs"]]), (422, 2, 2, [True, False, True]))
all_or_none = name.api("/api/v1/events", {"events": [event("s-5"), {**event("s-6"), "what": "stars"}]})
check("one bad among good ones, all or nothing", (all_or_none.status, all_or_none.json()["taken"]), (422, 0))
counted = [entry for entry in desk.entries() if entry["kind"] == "counted"]
check("who tapped is who did it", {entry["by"] for entry in counted}, {"ana"})
check("and the station signs", len({entry["key"] for entry in counted}), 1)

# What needs a PIN.
release = {"kind": "load-released", "at": "2026-11-02T08:00:00+05:00", "load": "L-1", "slip": "s-7"}
told = name.api("/api/v1/events", release)
check("a release by name", (told.status, told.json()["refused"][0]["field"]), (422, "kind"))
check("a release by name, at the other address", name.api("/api/v1/signed-events", release).status, 403)
told = signed["uma"].api("/api/v1/signed-events", release)
check("a release by PIN", (told.status, told.json()["taken"]), (200, 1))

# PINs: wrong ones wait, at that station only.
time.sleep(1.2)  # the empty codes above made this address wait
guesser = Browser(desk).become_station("corridor")
statuses = [guesser.post("/sign-in", {"person": "mara", "pin": f"wrong-{i}"}).status for i in range(4)]
check("three wrong PINs at once, then a wait", statuses, [403, 403, 403, 429])
check("another station does not wait for it", Browser(desk).become_station("ward 2").sign_in("mara", pins["mara"]).me()["level"], "pin")
check("a wrong person", guesser.post("/sign-in", {"person": "nobody", "pin": "xxxxxxx"}).status, 403)
check("nobody taps a name that is not enrolled", guesser.post("/name", {"person": "stranger"}).status, 400)

# Leaving ends it, for whoever kept the cookie too.
left = signed["ken"]
kept = dict(left.cookies)
check("leaving", left.post("/sign-out", {}).status, 303)
left.cookies = kept
check("the old cookie is nobody's", left.me()["level"], "station")
moved = Browser(desk)
moved.cookies = {"trayproof-session": signed["uma"].cookies["trayproof-session"]}
check("a session without its station is nothing", moved.get("/api/v1/me").status, 401)
desk.run("station", "remove", "sluice")
time.sleep(1.5)
check("a removed station is out", name.get("/api/v1/me").status, 401)
codes = Browser(desk)
code = desk.run("station", "add", "once")["code"]
check("a code", codes.post("/station", {"code": code.lower()[:4] + "-" + code[4:]}, csrf=False).status, 303)
check("works once", Browser(desk).post("/station", {"code": code}, csrf=False).status, 403)

# What goes with every answer.
for address in ("/", "/sign-in", "/station", "/recent", "/api/v1/me", "/nothing", "/live"):
    answer = station.get(address)
    if answer.status == 404:
        continue
    policy = answer.header("content-security-policy") or ""
    check(f"{address}: nothing from elsewhere, nothing inline",
          ("default-src 'none'" in policy, "unsafe" in policy, "frame-ancestors 'none'" in policy), (True, False, True))
    check(f"{address}: not kept", answer.header("cache-control"), "no-store")
    check(f"{address}: no script or style in the page", bool(re.search(r"<script(?![^>]*src=)|<style| style=| on[a-z]+=", answer.text)), False)
cookie = [v for k, v in Browser(desk).post("/station", {"code": desk.run("station", "add", "x")["code"]}, csrf=False).headers if k == "set-cookie"][0]
check("the cookie", all(part in cookie for part in ("HttpOnly", "SameSite=Strict", "Path=/")))

# The description of the API and the table, both ways.
described = station.get("/assets/openapi.json").json()
wanted = {(row["method"].lower(), row["address"]) for row in table if row["address"].startswith("/api/")}
found = {(method, path) for path, methods in described["paths"].items() for method in methods if method in ("get", "post")}
check("every address of the API is described, and no other", found, wanted)
for row in table:
    if not row["address"].startswith("/api/"):
        continue
    what = described["paths"][row["address"]][row["method"].lower()]
    check(f"{row['address']}: who may", what.get("x-who"), row["who"])
    places = set(re.findall(r"\{(\w+)\}", row["address"]))
    check(f"{row['address']}: its places", {p["name"] for p in what.get("parameters", []) if p["in"] == "path"}, places)

status, said = desk.stop()
check("stopped", status, 0)
for secret in [*pins.values(), token, code]:
    check("no secret in the log", secret in said, False)
finish("who may")
