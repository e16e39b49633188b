#!/usr/bin/env python3
"""The pages that are read, over the invented facility: what they show against the --json of the verbs, names that would
be markup, patients' numbers in no page, log or address, recalls from trigger to closed, gaps answered, and that every
link leads somewhere.

    reading_test.py PROGRAM
"""
import csv
import html
import io
import json
import re
import urllib.parse
from html.parser import HTMLParser
from pathlib import Path

from running import Browser, Desk, check, finish, month_and_two

facility = Path(__file__).parents[2] / "samples" / "facility"
exports = [("drum-autoclave-14-october.csv", "autoclave-drum", "logger-1"), ("oven-22-october.csv", "oven-1", "logger-3")]
pins = {"mara": "slow-otter-31", "uma": "tall-heron-77"}
hostile = "<script>alert('x')</script>&\"quoted\""  # as a title or a place; as an id it is refused
slashed = "S/1:a"

numbers = set()
for line in (facility / "events.jsonl").read_text().splitlines():
    event = json.loads(line)
    numbers |= {n for n in [event.get("patient"), *event.get("newborns", [])] if n}
check("there are patients' numbers to look for", len(numbers) > 30)


def prepare(desk):
    month_and_two(desk, pins)
    for file, equipment, logger in exports:
        desk.run("import", "curve", str(facility / "loggers" / file), "--equipment", equipment, "--logger", logger)
    hour = "2026-11-02T08:00:00+05:00"
    for event in ({"kind": "set-defined", "set": slashed, "title": hostile, "items": [{"item": "forceps", "count": 1}], "contact": "critical"},
                  {"kind": "packed", "pack": "PK-H", "set": slashed, "wrap": "wrapped"},
                  {"kind": "load-started", "load": "L-H", "method": "steam-gravity", "equipment": "autoclave-drum", "packs": ["PK-H"]},
                  {"kind": "load-ended", "load": "L-H", "complete": True},
                  {"kind": "pack-stored", "pack": "PK-H", "place": hostile}):
        Path(desk.folder.name, "one.jsonl").write_text(json.dumps({**event, "at": hour, "by": "ana"}) + "\n")
        desk.run("record", "--from", str(Path(desk.folder.name, "one.jsonl")))
    desk.run("record", "set-defined", f"set={hostile}", "title=x", "items=[]", "contact=critical", status=3)


desk = Desk(people=False, prepare=prepare)
station = Browser(desk).become_station()
signed = {person: Browser(desk).become_station(f"at {person}").sign_in(person, pin) for person, pin in pins.items()}
seen = {}


class Reading(HTMLParser):
    """Elements that stand open, links, and whether attributes that run anything are there."""
    alone = {"meta", "link", "input", "br", "hr", "img", "path", "rect", "line", "polygon", "col"}

    def __init__(self):
        super().__init__()
        self.open, self.links, self.wrong, self.heads = [], [], [], []

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if len(given) != len(attributes):
            self.wrong.append(f"an attribute twice in {tag}")
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
        if any(name.startswith("on") or name == "style" for name in given):
            self.wrong.append(f"{tag} runs or styles")
        if tag == "script" and not (given.get("src") or "").startswith("/assets/"):
            self.wrong.append("a script in the page")
        if tag not in self.alone:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        before = list(self.open)
        self.handle_starttag(tag, attributes)
        self.open = before

    def handle_endtag(self, tag):
        if not self.open or self.open[-1] != tag:
            self.wrong.append(f"{tag} ends where {self.open[-1:]} stands open")
        else:
            self.open.pop()


def visible(text):
    return html.unescape(re.sub(r"<[^>]*>", " ", text))


def look(browser, address, status=200, body=None):
    answer = browser.get(address) if body is None else browser.post(address, body)
    what = f"{'GET' if body is None else 'POST'} {address[:90]}"
    check(what, answer.status, status)
    if not (answer.header("content-type") or "").startswith("text/html"):
        return answer
    page = Reading()
    page.feed(answer.text)
    check(f"{what}: well formed", (page.wrong[:3], page.open), ([], []))
    check(f"{what}: its language and direction", '<html lang="en" dir="ltr">' in answer.text)
    check(f"{what}: no patient's number", [n for n in numbers if n in visible(answer.text)][:3], [])
    seen.setdefault(address, page.links)
    return answer


def cells(text, table=0):
    """Rows of a page's table as texts."""
    found = re.findall(r"<table.*?</table>", text, re.S)[table]
    return [[visible(c).strip() for c in re.findall(r"<td.*?</td>", row, re.S)] for row in re.findall(r"<tr.*?</tr>", found, re.S)][1:]


def address_of(kind, name):
    return f"/{kind}/{urllib.parse.quote(name, safe='')}"


# Now.
home = look(station, "/").text
exposure = desk.run("exposure")
shown = cells(home)
for one in exposure["sterilizers"]:
    row = next((r for r in shown if r and r[0] == one["equipment"]), None)
    check(f"exposure of {one['equipment']}", row and row[2:], [str(one[k]) for k in ("loads", "packs", "procedures", "patients")])
gaps = desk.run("gaps")["gaps"]
of = {s: sum(1 for g in gaps if g["state"] == "open" and g["severity"] == s) for s in ("critical", "major", "minor")}
check("open gaps, counted on the first page",
      f"{of['critical']} critical, {of['major']} major, {of['minor']} minor" in visible(home), True)
check("a load without a decision is due", "L-H" in home)
check("it leads to where it is decided", "/record/load-released?load=L-H" in home)
check("the sentence that it replaces nobody", "licensed practice" in home)

# Things, against trace.
subjects = [("load", json.loads(line)["load"]) for line in (facility / "events.jsonl").read_text().splitlines() if '"load-started"' in line][:3]
procedure = next(json.loads(line)["procedure"] for line in (facility / "events.jsonl").read_text().splitlines() if '"procedure-done"' in line)
traced = desk.run("trace", procedure, "--kind", "procedure")
subjects += [("procedure", procedure)] + sorted({(link["kind"], link["id"]) for link in traced["links"]
                                                 if link["kind"] in ("pack", "set", "load", "solution", "lot", "person", "equipment")})
for kind, name in subjects:
    text = look(station, address_of(kind, name)).text
    told = desk.run("trace", name, "--kind", kind)
    check(f"{kind} {name}: through the API", station.get(f"/api/v1/trace{address_of(kind, name)}").json(), told)
    words = visible(text)
    last = told["events"][-200:]
    check(f"{kind} {name}: every entry", [e["seq"] for e in last if f"/entry/{e['seq']}\"" not in text], [])
    check(f"{kind} {name}: every sentence", [e["says"] for e in last if " ".join(e["says"].split()) not in " ".join(words.split())][:2], [])
    ties = told["links"][:200]
    check(f"{kind} {name}: everything that ties to it", [t["id"] for t in ties if t["id"] not in words], [])
check("nothing of that name", look(station, "/pack/nothing-of-the-kind", 404).status, 404)

# A load with its curve.
curve = next(e for e in desk.entries() if e["kind"] == "curve-judged")
placed = next(e for e in desk.entries() if e["kind"] == "curve-placed" and e["curve"] == curve["curve"])
text = look(station, address_of("load", placed["load"])).text
check("the curve is drawn", 'class="curve"' in text and "saturated steam" in text)
check("its verdict in words", {"reached": "reached the conditions", "not-reached": "did not reach"}.get(curve["verdict"], "does not tell") in text)
check("the cautions", "Caution" in text)

# Names that would be markup.
for kind, name in (("set", slashed), ("pack", "PK-H")):
    text = look(station, address_of(kind, name)).text
    check(f"{kind} with a hostile text: escaped", ("<script>alert" in text, "&lt;script&gt;alert" in text), (False, True))
home = look(station, "/").text
check("escaped on the first page", "<script>alert" in home, False)

# Finding.
for what, wanted in (("L-H", "/load/L-H"), ("pk-h", "/pack/PK-H"), ("  L-H ", "/load/L-H"), ("#12", "/entry/12"), (slashed, address_of("set", slashed))):
    answer = station.post("/find", {"q": what})
    check(f"find {what!r}", (answer.status, answer.header("location")), (303, wanted))
check("by its address", station.get("/find?q=L-H").header("location"), "/load/L-H")
check("what begins so", "PK-0001" in look(station, "/find", 200, {"q": "pk-00"}).text)
number = sorted(numbers)[0]
before = len(desk.entries())
answer = look(station, "/find", 404, {"q": number})
check("a number by who has no PIN: nothing, and nothing recorded", (number in answer.text, len(desk.entries())), (False, before))
answer = look(signed["uma"], "/find", 200, {"q": number})
read = desk.entries()[-1]
check("a number by who may: its uses, and an entry", (read["kind"], read["by"], len(cells(answer.text)) > 0), ("numbers-read", "uma", True))

# Gaps, against --json.
for query, options in (("", []), ("?severity=major", ["--severity", "major"]),
                       ("?from=2026-10-10&to=2026-10-20", ["--from", "2026-10-10", "--to", "2026-10-20"]),
                       ("?rule=used-before-release", ["--rule", "used-before-release"])):
    wanted = desk.run("gaps", *options)
    text = " ".join(visible(look(station, "/gaps" + query).text).split())
    check(f"gaps{query}: every finding", [g["says"] for g in wanted["gaps"] if " ".join(g["says"].split()) not in text][:2], [])
    check(f"gaps{query}: through the API", station.get("/api/v1/gaps" + query).json(), wanted)
check("no such rule", station.get("/gaps?rule=nothing").status, 400)
gap = next(g for g in desk.run("gaps")["gaps"] if g["state"] == "open" and g["severity"] == "major")
page = f"/gaps/{gap['rule']}/{urllib.parse.quote(gap['subject']['kind'])}/{urllib.parse.quote(gap['subject']['id'], safe='')}"
query = "?arose=" + urllib.parse.quote(gap["at"], safe="")
check("one gap: what closes it", gap["closes"] in visible(look(station, page + query).text))
check("answered without a PIN", station.post(page, {"arose": gap["at"], "state": "explained", "text": "x"}).status, 403)
answered = signed["uma"].post(page, {"arose": gap["at"], "state": "explained", "text": "The label was soaked off."})
check("answered with a PIN", (answered.status, answered.header("location")), (303, page + query.replace("%2B", "%2B")))
again = next(g for g in desk.run("gaps")["gaps"] if (g["rule"], g["subject"], g["at"]) == (gap["rule"], gap["subject"], gap["at"]))
check("it stands as answered", again["state"], "explained")
check("an answer without text is refused on the page", look(signed["uma"], page, 422, {"arose": gap["at"], "state": "explained", "text": ""}).status, 422)

# Questions, against --json.
questions = desk.run("answer")["questions"]
check("the list", station.get("/api/v1/answers").json(), {"questions": questions})
text = look(station, "/questions").text
check("every question is on it", [q["question"] for q in questions if html.escape(q["words"], quote=True).replace("&#x27;", "&#39;") not in text], [])
given = {"equipment": "autoclave-drum", "load": subjects[0][1], "pack": "PK-H", "solution": "nothing", "lot": "nothing", "person": "ana",
         "set": slashed, "procedure": procedure, "on": "2026-11-03", "sample": "5", "seed": "4711"}
asked_with = 0
for question in questions:
    fields = {p: given[p] for p in question["parameters"] if p in given}
    query = "?" + urllib.parse.urlencode({**fields, "from": "2026-10-01", "to": "2026-11-03"})
    answer = station.get(f"/questions/{question['question']}{query}")
    api = station.get(f"/api/v1/answers/{question['question']}{query}")
    whole = "Give what the question needs" not in answer.text
    check(f"{question['question']}: page and API agree whether it can be asked", (answer.status if whole else 400), api.status)
    if api.status != 200:
        continue
    asked_with += 1
    told = desk.run("answer", question["question"], "--from", "2026-10-01", "--to", "2026-11-03", *[w for k, v in fields.items() for w in (f"--{k}", v)])
    found = api.json()
    told.pop("as_of"), found.pop("as_of")
    if told["from"] is None:  # the whole record: until now
        told.pop("until"), found.pop("until")
    check(f"{question['question']}: the API", found, told)
    text = look(station, f"/questions/{question['question']}{query}").text
    rows = cells(text) if told["rows"] else []
    check(f"{question['question']}: rows on the page", len(rows), min(len(told["rows"]), 1000))
    table = list(csv.reader(io.StringIO(station.get(f"/questions/{question['question']}/table.csv{query}").body.decode("utf-8-sig"))))
    check(f"{question['question']}: rows of the CSV", (table[0], len(table) - 1), ([c["name"] if isinstance(c, dict) else c for c in told["columns"]], len(told["rows"])))
check("most questions were asked", asked_with > 40)
check("no such question", station.get("/questions/nothing").status, 404)

# A recall from its trigger to its closing.
load = next(e["load"] for e in desk.entries() if e["kind"] == "biological-read" and e["result"] == "positive")
trigger = {"because": "biological-positive", "load": load}
wanted = desk.run("recall", "--because", "biological-positive", "--load", load)
found = station.get("/api/v1/recall?" + urllib.parse.urlencode(trigger)).json()
for moving in ("as_of", "seconds", "reread_seconds"):
    wanted.pop(moving), found.pop(moving)
check("who was reached, through the API", found, wanted)
text = look(station, "/recalls/new?" + urllib.parse.urlencode(trigger)).text
check("who was reached: every pack, use and load", [x for x in [*(p["pack"] for p in wanted["packs"]), *(p["procedure"] for p in wanted["procedures"]),
                                                               *(l["load"] for l in wanted["loads"])] if x not in visible(text)], [])
check("nothing is opened by looking", [e for e in desk.entries() if e["kind"] == "recall-opened"], [])
check("opening needs a PIN", station.post("/recalls", {**trigger, "recall": "RC-1"}).status, 403)
check("opening needs an id", look(signed["uma"], "/recalls", 400, trigger).status, 400)
opened = signed["uma"].post("/recalls", {**trigger, "recall": "RC-1"})
check("opened", (opened.status, opened.header("location")), (303, "/recalls/RC-1"))
entry = next(e for e in desk.entries() if e["kind"] == "recall-opened")
check("by who signed in, with their key", (entry["by"], entry["recall"]), ("uma", "RC-1"))
work = desk.run("recall", "show", "RC-1")
check("as work, through the API", station.get("/api/v1/recalls/RC-1").json(), work)
text = look(signed["uma"], "/recalls/RC-1").text
check("every line of it", [i["id"] for i in work["items"] if i["id"] not in visible(text)], [])
look(station, "/recalls")
calls = look(station, "/recalls/RC-1/calls").text
check("everybody to be called", [p["procedure"] for p in wanted["procedures"] if p["procedure"] not in visible(calls)], [])
check("as CSV, no numbers", [n for n in numbers if n in station.get("/recalls/RC-1/calls/list.csv").text], [])
check("numbers need a reason", signed["uma"].post("/recalls/RC-1/calls", {}).status, 400)
shown = signed["uma"].post("/recalls/RC-1/calls", {"reason": "to phone them"})
check("numbers for who may, read and recorded", (shown.status, any(n in shown.text for n in numbers), desk.entries()[-1]["kind"]), (200, True, "numbers-read"))
first = next(i for i in work["items"] if i["needs_answer"])
field = {"pack": "pack", "procedure": "procedure"}[first["kind"]]
outcome = {"pack": "found-held", "procedure": "patient-told"}[first["kind"]]
check("an outcome that does not fit", look(signed["uma"], "/recalls/RC-1/answer", 400, {field: first["id"], "outcome": "stars"}).status, 400)
check("closing with open lines", look(signed["uma"], "/recalls/RC-1/close", 400, {"conclusion": "all found", "second": "mara"}).status, 400)
for item in work["items"]:
    if item["needs_answer"]:
        field, outcome = ("pack", "found-held") if item["kind"] == "pack" else ("procedure", "patient-told")
        check(f"answered {item['id']}", signed["uma"].post("/recalls/RC-1/answer", {field: item["id"], "outcome": outcome}).status, 303)
work = desk.run("recall", "show", "RC-1")
text = " ".join(visible(look(signed["uma"], "/recalls/RC-1").text).split())
check("all answered", work["unanswered"], 0)
if work["percent_found"] is not None:
    check("per cent found, on the page", f"{work['percent_found']:g} % of the packs found" in text)
check("closed by one", signed["uma"].post("/recalls/RC-1/close", {"conclusion": "all found", "second": "mara"}).status, 303)
closed = desk.run("recall", "show", "RC-1")
check("awaits the second", closed["state"], "awaiting-second")
check("it is due on the first page", f"/entry/{closed['closed']['seq']}" in look(station, "/").text)
check("the same person again", signed["uma"].post(f"/entry/{closed['closed']['seq']}/countersign", {}).status in (400, 403))
check("the second", signed["mara"].post(f"/entry/{closed['closed']['seq']}/countersign", {}).status, 303)
check("closed by two", desk.run("recall", "show", "RC-1")["state"], "closed")
look(station, f"/entry/{closed['closed']['seq']}")
check("a drill", signed["uma"].post("/recalls", {"because": "load-failed", "load": load, "recall": "RC-D", "drill": "yes"}).status, 303)
check("is marked as one", "drill" in visible(look(station, "/recalls/RC-D").text))

# What is kept of a page is of the record as it is now, whoever changed it, and in the language that is asked for.
for again in range(3):
    Path(desk.folder.name, "one.jsonl").write_text(json.dumps({"kind": "pack-stored", "pack": "PK-H", "place": f"shelf {again}",
                                                               "at": f"2026-11-02T09:0{again}:00+05:00", "by": "ana"}) + "\n")
    desk.run("record", "--from", str(Path(desk.folder.name, "one.jsonl")))
    entry = f'href="/entry/{len(desk.entries())}"'
    for address in ("/", "/recent"):
        check(f"{address} shows what another program recorded, time {again}", entry in look(station, address).text)
        check(f"{address} is the same again, time {again}", entry in look(station, address).text)
heads = {tag: word for tag, word in (("en", "By"), ("es", "Por"), ("fr", "Par"))}
for address in ("/", "/recent"):
    for tag in ("en", "es", "fr", "es", "en"):
        station.cookies["trayproof-language"] = tag
        said = [other for other, word in heads.items() if f'data-head="{word}"' in station.get(address).text]
        check(f"{address} in {tag}", said, [tag])
del station.cookies["trayproof-language"]

# Every link of every page that was looked at leads somewhere.
leads = sorted({link for links in seen.values() for link in links if link.startswith("/")})
check("there are ways to where things are recorded", len([link for link in leads if link.startswith("/record/")]) > 3)
wrong = []
for link in sorted(leads, key=lambda link: not link.startswith("/record"))[:400]:
    answer = signed["mara"].get(link)
    if answer.status != 200:
        wrong.append((link, answer.status))
check(f"{len(leads)} links lead somewhere", wrong[:5], [])

status, said = desk.stop()
check("stopped", status, 0)
check("no patient's number in the log", [n for n in numbers if n in said], [])
finish("reading")
