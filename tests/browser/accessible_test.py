#!/usr/bin/env python3
"""Every page and every form in a real Chromium, for people who do not see, see well, hold still or use a mouse: accessible.js, names as
the browser itself works them out, the focus where Tab goes, and no sideways scroll at 320 px. axe_test.py looks at the same pages with
other eyes.

    accessible_test.py PROGRAM [FOLDER FOR PICTURES]
"""
from pathlib import Path

import everywhere
from browsing import Keys, Window, check, enrol, finish, tap
from running import Desk

script = (Path(__file__).parent / "accessible.js").read_text()
# What one hears: roles that say nothing without a name.
needs_name = {"button", "link", "textbox", "searchbox", "combobox", "checkbox", "radio", "spinbutton", "listbox", "Date", "DateTime", "InputTime",
              "DisclosureTriangle", "image", "img", "graphics-document", "group", "radiogroup", "navigation", "region", "alertdialog", "dialog"}


desk = Desk(people=False, prepare=everywhere.prepare)
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
        check(f"{address}: on a {width} nothing scrolls sideways", window.driver.execute_script("return document.documentElement.scrollWidth <= innerWidth"))
    check(f"{address}: names", names(), [])
    check(f"{address}: the focus", focus(tabs), [])
    window.across(320, 640)
    wide = window.driver.execute_script("return document.documentElement.scrollWidth")
    check(f"{address}: at 320 px nothing scrolls sideways", wide <= 320)
    window.wide("desk")


for address in pages_of_strangers:
    look(address)
enrol(window, desk)
look("/sign-in", capture=True, tabs=30)
tap(window, "ana")
everywhere.sign_in(window, Keys)
pages, forms = everywhere.pages(desk), everywhere.forms(window)
for address in pages:
    look(address, capture=address.startswith("/record"))
for address in forms:
    look(address, capture=True, tabs=5)
check("pages and forms were looked at", len(pages) > 20 and len(forms) > 30)

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
