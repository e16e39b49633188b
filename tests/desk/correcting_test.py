#!/usr/bin/env python3
"""Corrections by a form: what was not changed stays as it stood, and what no form shows stays too: patients' numbers, seconds
of a time, marks of instruments, texts.

    correcting_test.py PROGRAM
"""
import html
import json
import re
import urllib.parse
from pathlib import Path

from running import Browser, Desk, check, finish

pins = {"mara": "slow-otter-31", "uma": "tall-heron-77"}
numbers = {"patient": "MRN-4711-08", "first": "NB-4712-08", "second": "NB-4713-08", "other": "MRN-5000-01"}
at = "2026-11-02T08:15:42+05:00"
given = [
    {"kind": "set-defined", "set": "S-1", "title": "Delivery set", "contact": "critical",
     "items": [{"item": "scissors", "count": 1, "marks": ["M-7"]}, {"item": "forceps", "count": 2}]},
    {"kind": "procedure-done", "procedure": "PR-1", "patient": numbers["patient"], "newborns": [numbers["first"], numbers["second"]],
     "sort": "delivery", "place": "labour room", "packs": ["P-1", "P-2"], "note": "first line\nsecond line", "precision": "second"},
    {"kind": "procedure-done", "procedure": "PR-2", "patient": numbers["patient"], "sort": "delivery", "place": "labour room", "packs": ["P-3"]},
    {"kind": "procedure-done", "procedure": "PR-3", "sort": "delivery", "place": "labour room", "packs": ["P-4"]},
    {"kind": "load-rejected", "load": "L-1", "why": "wet packs", "as_read": {"load": "L 1"}},
]


def prepare(desk):
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    desk.run("--as", "mara", "person", "pin", "uma", pins=[pins["mara"], pins["uma"]])
    file = Path(desk.folder.name, "given.jsonl")
    file.write_text("".join(json.dumps({**one, "at": at, "by": "ana"}) + "\n" for one in given))
    desk.run("record", "--from", str(file))


desk = Desk(prepare=prepare)
uma = Browser(desk).become_station("office").sign_in("uma", pins["uma"])
seen = []


class Form:
    """The correction form of an entry as a browser holds it: every field with what stands in it."""

    def __init__(self, seq, browser=uma):
        self.address = f"/correct/{seq}"
        answer = browser.get(self.address)
        check(f"{self.address} shows", answer.status, 200)
        seen.append(answer.text)
        self.page = answer.text
        body = answer.text.split('class="record"')[-1].split("</form>")[0]
        self.fields = []
        for tag in re.findall(r"<input[^>]*>", body):
            attributes = dict(re.findall(r'([a-z-]+)="([^"]*)"', tag))
            if attributes.get("type") in ("checkbox", "radio") and "checked" not in attributes or attributes.get("type") == "file":
                continue
            self.put(attributes.get("name"), attributes.get("value", "on" if "checked" in attributes else ""))
        for attributes, text in re.findall(r"<textarea([^>]*)>(.*?)</textarea>", body, re.S):
            self.put(re.search(r'name="([^"]+)"', attributes).group(1), text)
        for attributes, options in re.findall(r"<select([^>]*)>(.*?)</select>", body, re.S):
            chosen = re.search(r'<option value="([^"]*)" selected', options) or re.search(r'<option value="([^"]*)"', options)
            self.put(re.search(r'name="([^"]+)"', attributes).group(1), chosen.group(1))

    def put(self, name, value):
        if name:
            self.fields.append((name, html.unescape(value).replace("\n", "\r\n")))

    def change(self, **fields):
        for name, value in fields.items():
            name = name.replace("__", ".").replace("_why", "-why")
            self.fields = [one for one in self.fields if one[0] != name] + [(name, value)]
        return self

    def send(self, status=303, browser=uma):
        self.change(correction_why="it was written wrongly")
        csrf = dict(self.fields)["csrf"]
        fields = [one for one in self.fields if one[0] != "csrf"]
        body = urllib.parse.urlencode([*fields, ("csrf", csrf)]).encode()
        answer = browser.send("POST", self.address, body, [("Content-Type", "application/x-www-form-urlencoded"),
                                                           ("Origin", f"http://{browser.host}")])
        seen.append(answer.text)
        check(f"{self.address} sent", answer.status, status)
        return answer


def stands(kind):
    return [entry for entry in desk.entries() if entry["kind"] == kind]


first, second, without = stands("procedure-done")

# Sent as it was shown: nothing is lost, to the second; a number stays as it is, unseen.
form = Form(first["seq"])
check("how many numbers stand there", ("The number that stands there is kept" in form.page, "2 numbers stand there" in form.page), (True, True))
check("no number is needed", re.search(r'name="patient"[^>]*data-needed', form.page), None)
form.send()
replacement = stands("corrected")[-1]["replacement"]
check("the patient", replacement["patient"], {"pseudonym": first["patient"]} if isinstance(replacement["patient"], dict) else first["patient"])
for name in ("procedure", "sort", "place", "packs", "at", "by", "precision"):
    check(f"{name} stays", replacement[name], first[name])
check("the remark stays", replacement["note"], first["note"])
pseudonyms = [one if isinstance(one, str) else one["pseudonym"] for one in replacement["newborns"]]
check("the newborns", pseudonyms, first["newborns"])
check("no more fields", set(replacement) - {"kind"}, {"procedure", "patient", "newborns", "sort", "place", "packs", "at", "by", "precision", "note"})

# Of a correction, again; one field changed, the rest kept.
Form(first["seq"]).change(place="theatre").send()
replacement = stands("corrected")[-1]["replacement"]
kept = replacement["patient"] if isinstance(replacement["patient"], str) else replacement["patient"]["pseudonym"]
check("changed, and the number kept", (replacement["place"], kept, len(replacement["newborns"])), ("theatre", first["patient"], 2))
told = desk.run("--as", "uma", "trace", "PR-1", "--numbers", "--reason", "a test", pins=[pins["uma"]])
check("the numbers still open", [number in json.dumps(told) for number in (numbers["patient"], numbers["first"], numbers["second"])], [True] * 3)

# Another number in its place; taken away; put where none was.
Form(second["seq"]).change(patient=numbers["other"]).send()
replacement = stands("corrected")[-1]["replacement"]
check("another patient", replacement["patient"] not in (first["patient"], {"pseudonym": first["patient"]}, None))
form = Form(second["seq"])
form.fields.append(("patient.none", "yes"))
form.send()
check("taken away", "patient" in stands("corrected")[-1]["replacement"], False)
form = Form(without["seq"])
check("where none stands none is kept", "is kept and not shown" in form.page, False)
form.change(patient=numbers["patient"]).send()
replacement = stands("corrected")[-1]["replacement"]
check("the same patient's pseudonym", replacement["patient"] if isinstance(replacement["patient"], str) else replacement["patient"]["pseudonym"], first["patient"])

# Not known any more.
Form(first["seq"]).change(unknown__patient="not-recorded").send()
replacement = stands("corrected")[-1]["replacement"]
check("not known in place of a number", ("patient" in replacement, replacement["unknown"]), (False, {"patient": "not-recorded"}))

# Marks of instruments, a text in the entry's own words, what a scanner read.
entry = stands("set-defined")[0]
Form(entry["seq"]).change(title="Delivery set, large").send()
replacement = stands("corrected")[-1]["replacement"]
check("marks stay", (replacement["title"], replacement["items"]), ("Delivery set, large", entry["items"]))
entry = stands("load-rejected")[0]
form = Form(entry["seq"])
check("the reason stands in the form", "wet packs" in dict(form.fields)["why"])
form.send()
replacement = stands("corrected")[-1]["replacement"]
check("the reason and what was read stay", (replacement["why"], replacement["as_read"]), (entry["why"], entry["as_read"]))
Form(entry["seq"]).change(why="three wet packs", at="2026-11-02T09:00").send()
check("another time, another reason", stands("corrected")[-1]["replacement"]["at"], "2026-11-02T09:00:00+05:00")
check("its text", "three wet packs" in uma.get(f"/entry/{stands('corrected')[-1]['seq']}").text)

# Somebody else was quicker: what this form showed stands no more.
mine, theirs = Form(without["seq"]), Form(without["seq"])
theirs.change(place="theatre").send()
before = len(desk.entries())
check("told", f"somebody corrected this meanwhile; read entry {before}" in mine.change(place="ward").send(status=409).text)
check("nothing taken", len(desk.entries()), before)

# Nothing of a number is anywhere.
for name, number in numbers.items():
    check(f"{name}'s number in no page", [page for page in seen if number in page], [])
    check(f"{name}'s number in no entry", number in json.dumps(desk.entries()), False)
check("the record verifies", desk.run("verify", "--full")["ok"])
status, said = desk.stop()
check("ended", status, 0)
check("nor in the log", [number for number in numbers.values() if number in said], [])
finish("correcting")
