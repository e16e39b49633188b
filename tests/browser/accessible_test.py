#!/usr/bin/env python3
"""Every page and every form in a real Chromium, for people who do not see, see well, hold still or use a mouse: accessible.js, names as
the browser itself works them out, the focus where Tab goes, and no sideways scroll at 320 px. Stands for a scan by axe, which
Debian does not have.

    accessible_test.py PROGRAM [FOLDER FOR PICTURES]
"""
import json
import re
import sys
from pathlib import Path

from browsing import Keys, Window, check, enrol, finish, tap
from running import Desk

facility = Path(__file__).parents[2] / "samples" / "facility"
pins = {"mara": "slow-otter-31"}
script = (Path(__file__).parent / "accessible.js").read_text()
# What one hears: roles that say nothing without a name.
needs_name = {"button", "link", "textbox", "searchbox", "combobox", "checkbox", "radio", "spinbutton", "listbox", "Date", "DateTime", "InputTime",
              "DisclosureTriangle", "image", "img", "graphics-document", "group", "radiogroup", "navigation", "region", "alertdialog", "dialog"}


def prepare(desk):
    desk.run("record", "--from", str(facility / "events.jsonl"))
    for person, role in (("mara", "steward"), ("ana", "nurse")):
        desk.run("person", "enrol", person, "--name", f"Invented {person}", "--role", role)
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    desk.run("import", "curve", str(facility / "loggers" / "drum-autoclave-14-october.csv"), "--equipment", "autoclave-drum", "--logger", "logger-1")
    desk.run("recall", "--because", "chosen", "--loads", "DA-1005-1", "--why", "a drill", "--open", "RC-1")
    packed = next(one["seq"] for one in desk.entries() if one["kind"] == "packed")
    event = next(one for one in desk.entries() if one["seq"] == packed)
    fields = {key: event[key] for key in ("kind", "pack", "set", "wrap", "at", "by")}
    Path(desk.folder.name, "one.jsonl").write_text(json.dumps({"kind": "corrected", "of": packed, "replacement": {**fields, "wrap": "drum"}, "why": "a drum",
                                                               "at": fields["at"], "by": "ana"}) + "\n")
    desk.run("record", "--from", str(Path(desk.folder.name, "one.jsonl")))


desk = Desk(people=False, prepare=prepare)
window = Window(desk)
window.go("/station")
pages_of_strangers = ["/station"]


def names():
    """What has no name, by the browser's own reckoning."""
    nodes = window.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    found = []
    for node in nodes:
        role = node.get("role", {}).get("value")
        if node.get("ignored") or role not in needs_name:
            continue
        if not (node.get("name", {}).get("value") or "").strip():
            where = window.driver.execute_cdp_cmd("DOM.describeNode", {"backendNodeId": node["backendDOMNodeId"]})["node"]
            # A group without a role of its own (details) is named by its summary.
            if role == "group" and where["localName"] in ("details", "optgroup"):
                continue
            found.append(f"a {role} without a name: <{where['localName']} {' '.join(where.get('attributes', []))[:80]}>")
    return found


def focus(most):
    """Where Tab goes: what has the focus shows it, and nothing lies over it."""
    found = []
    window.driver.execute_script("document.activeElement.blur(); window.scrollTo(0, 0)")
    for _ in range(most):
        window.keys(Keys.TAB)
        said = window.driver.execute_script("""
            const one = document.activeElement;
            if (one === document.body) return null;
            const holder = one.matches(".photo input") ? one.parentElement : one.closest("svg") ? one.querySelector("rect") ?? one : one;
            const style = getComputedStyle(holder), box = holder.getBoundingClientRect();
            const outlined = (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || parseFloat(style.strokeWidth) >= 3;
            const name = one.tagName + " " + (one.name || one.id || one.textContent.trim().slice(0, 30));
            if (!outlined) return "the focus on " + name + " is not seen";
            if (box.bottom < 0 || box.top > innerHeight) return "the focus on " + name + " is out of sight";
            return "";""")
        if said is None:
            break
        if said:
            found.append(said)
    return found


def look(address, capture=False, tabs=12):
    for width in ("phone", "desk"):
        window.wide(width)
        if width == "phone":
            window.go(address)
        window.driver.execute_script("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        check(f"{address} on a {width}", window.driver.execute_script(script, capture and width == "phone"), [])
    check(f"{address}: names", names(), [])
    check(f"{address}: the focus", focus(tabs), [])
    window.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": 320, "height": 640, "deviceScaleFactor": 1, "mobile": True})
    wide = window.driver.execute_script("return document.documentElement.scrollWidth")
    check(f"{address}: at 320 px nothing scrolls sideways", wide <= 320)
    window.wide("desk")


for address in pages_of_strangers:
    look(address)
enrol(window, desk)
look("/sign-in", capture=True, tabs=30)
tap(window, "ana")
window.go("/sign-in")
window.find("select[name=person]").send_keys("Invented mara")
window.find("form[action='/sign-in'] [name=pin]").send_keys(pins["mara"] + Keys.ENTER)
window.until(lambda: not window.path.startswith("/sign-in"))

entries = desk.entries()
places = {"id": None, "seq": str(next(one["seq"] for one in entries if one["kind"] == "corrected")), "rule": "used-before-release",
          "question": "last-positive", "token": "", "kind": "packed"}
things = {"pack": "PK-0001", "load": "DA-1005-1", "procedure": "PR-0001", "solution": next(one["solution"] for one in entries if one["kind"] == "solution-prepared"),
          "set": next(one["set"] for one in entries if one["kind"] == "set-defined"), "lot": next(one["lot"] for one in entries if one["kind"] == "supply-received"),
          "person": "ana", "equipment": "autoclave-drum", "recalls": "RC-1"}
finding = desk.run("gaps", "--from", "2026-10-01", "--to", "2026-11-03")["gaps"][0]
looked_at = set()
for row in desk.run("serve", "--routes")["routes"]:
    address = row["address"]
    if row["method"] != "GET" or address.startswith(("/api/", "/assets/", "/label/", "/live", "/ready")) or address.endswith((".csv", ".svg")):
        continue
    if address in ("/station", "/sign-in", "/import/{token}"):
        continue
    if address.startswith("/gaps/{rule}"):
        address = f"/gaps/{finding['rule']}/{finding['subject']['kind']}/{finding['subject']['id']}"
    address = re.sub(r"\{(\w+)\}", lambda place: things.get(address.split("/")[1], "") if place[1] == "id" else places[place[1]], address)
    looked_at.add(address)
    look(address, capture=address.startswith("/record"))
check("pages were looked at", len(looked_at) > 20)
window.go("/record")
kinds = sorted(set(re.findall(r'href="[^"]*/record/([a-z-]+)"', window.driver.page_source)))
check("forms were looked at", len(kinds) > 30)
for kind in kinds:
    look(f"/record/{kind}", capture=True, tabs=5)
for address in ("/record/packed?several=yes", "/gaps?from=2026-10-01&to=2026-11-03", "/questions/biological-frequency?from=2026-10-01&to=2026-11-03",
                "/find?q=PK-00", "/find?q=nothing", "/seconds?signed=2"):
    look(address, capture=address.startswith("/record"))

# What comes back after something went wrong, and after it went well.
window.go("/record/packed")
window.find("form.record > button").click()
window.until(lambda: window.all("#refused"))
check("a refused form", window.driver.execute_script(script, False) + names(), [])
check("what is wrong has the focus", window.focused(), "refused")
window.find("[name=pack]").send_keys("P-A11Y")
window.find("[name=set]").send_keys("S-1")
window.find("input[name=wrap][value=pouch]").click()
window.find("form.record > button").click()
window.until(lambda: "after=" in window.path)
check("a recorded one", window.driver.execute_script(script, False) + names(), [])

# The checks themselves find what they are for.
planted = {"contrast": "main.append(Object.assign(document.createElement('p'), {textContent: 'faint text', style: 'color:#aaa'}))",
           "h4": "main.append(Object.assign(document.createElement('h4'), {textContent: 'too deep'}))",
           "twice": "main.append(Object.assign(document.createElement('p'), {id: 'main'}))", "tabindex 3": "main.firstChild.tabIndex = 3",
           "scope": "main.append(Object.assign(document.createElement('table'), {innerHTML: '<tr><td>x</td></tr>'}))",
           "px": "main.append(Object.assign(document.createElement('button'), {textContent: 'x', style: 'min-height:0;height:9px;padding:0;display:block'}))",
           "legend": "main.append(document.createElement('fieldset'))", "language": "document.documentElement.lang = ''"}
for what, plant in planted.items():
    window.go("/recent")
    window.driver.execute_script("const main = document.querySelector('main'); " + plant)
    check(f"a planted fault is found: {what}", any(what in one for one in window.driver.execute_script(script, False)))
window.go("/recent")
window.driver.execute_script("document.querySelector('main').append(document.createElement('button'), document.createElement('textarea'))")
check("names that are missing are found", len(names()), 2)

window.close()
desk.stop()
finish("accessible")
