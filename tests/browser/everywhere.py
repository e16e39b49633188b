"""The invented month with something to show on every page of the desk, and the addresses of all pages and forms."""
import json
import re
from pathlib import Path

facility = Path(__file__).parents[2] / "samples" / "facility"
pins = {"mara": "slow-otter-31"}


def prepare(desk):
    """Two persons, a measured curve, an open recall, a correction."""
    desk.run("record", "--from", str(facility / "events.jsonl"))
    for person, role in (("mara", "steward"), ("ana", "nurse")):
        desk.run("person", "enrol", person, "--name", f"Invented {person}", "--role", role)
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    desk.run("import", "curve", str(facility / "loggers" / "drum-autoclave-14-october.csv"), "--equipment", "autoclave-drum", "--logger", "logger-1")
    desk.run("recall", "--because", "chosen", "--loads", "DA-1005-1", "--why", "a drill", "--open", "RC-1")
    event = next(one for one in desk.entries() if one["kind"] == "packed")
    fields = {key: event[key] for key in ("kind", "pack", "set", "wrap", "at", "by")}
    Path(desk.folder.name, "one.jsonl").write_text(json.dumps({"kind": "corrected", "of": event["seq"], "replacement": {**fields, "wrap": "drum"},
                                                               "why": "a drum", "at": fields["at"], "by": "ana"}) + "\n")
    desk.run("record", "--from", str(Path(desk.folder.name, "one.jsonl")))


def sign_in(window, keys):
    """Mara, with her PIN."""
    window.go("/sign-in")
    window.find("select[name=person]").send_keys("Invented mara")
    window.find("form[action='/sign-in'] [name=pin]").send_keys(pins["mara"] + keys.ENTER)
    window.until(lambda: not window.path.startswith("/sign-in"))


def pages(desk):
    """An address of every page in the route table that somebody who is signed in reads, and of some that a question belongs to."""
    entries = desk.entries()
    first = {what: next(one[what] for one in entries if one["kind"] == kind)
             for what, kind in (("solution", "solution-prepared"), ("set", "set-defined"), ("lot", "supply-received"))}
    things = {"pack": "PK-0001", "load": "DA-1005-1", "procedure": "PR-0001", **first, "person": "ana", "equipment": "autoclave-drum", "recalls": "RC-1"}
    places = {"seq": str(next(one["seq"] for one in entries if one["kind"] == "corrected")), "question": "last-positive", "kind": "packed"}
    finding = desk.run("gaps", "--from", "2026-10-01", "--to", "2026-11-03")["gaps"][0]
    found = set()
    for row in desk.run("serve", "--routes")["routes"]:
        address = row["address"]
        if row["method"] != "GET" or address.startswith(("/api/", "/assets/", "/label/", "/live", "/ready")) or address.endswith((".csv", ".svg")):
            continue
        if address in ("/station", "/sign-in", "/import/{token}"):
            continue
        if address.startswith("/gaps/{rule}"):
            address = f"/gaps/{finding['rule']}/{finding['subject']['kind']}/{finding['subject']['id']}"
        found.add(re.sub(r"\{(\w+)\}", lambda place: things.get(address.split("/")[1], "") if place[1] == "id" else places[place[1]], address))
    return sorted(found) + ["/record/packed?several=yes", "/gaps?from=2026-10-01&to=2026-11-03", "/find?q=PK-00", "/find?q=nothing", "/seconds?signed=2",
                            "/questions/biological-frequency?from=2026-10-01&to=2026-11-03"]


def forms(window):
    """An address of every kind's form, as the page that lists them links to them."""
    window.go("/record")
    return [f"/record/{kind}" for kind in sorted(set(re.findall(r'href="[^"]*/record/([a-z-]+)"', window.driver.page_source)))]
