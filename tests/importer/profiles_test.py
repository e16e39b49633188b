#!/usr/bin/env python3
"""Profiles of a logger through the real program: a question answered once is not asked of the next file, what is said now goes before, and a profile
that was written wrong is refused with the place.

    profiles_test.py PROGRAM SOURCE-FOLDER
"""
import json

from unit import expect, finish, folder, run, source

run("create", "--name", "Small unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180")
first = source / "tests/cases/importer/channels-unnamed.csv"
july = folder / "july.csv"
july.write_text(first.read_text().replace("2024-05", "2024-07"))
curve = ["import", "curve", str(first), "--equipment", "AC-1"]

code, out, _ = run(*curve, "--save-profile", "chamber")
expect(code == 3 and not (folder / "unit.trayproof.profiles").exists(), "an open question must leave no profile")
code, out, _ = run(*curve, "--unit", "CH1=°C", "--unit", "CH2=kPa", "--pressure", "absolute", "--save-profile", "chamber")
expect(code == 0, f"answered: status {code}, {out}")
path = folder / "unit.trayproof.profiles" / "curve-chamber.json"
profile = json.loads(path.read_text())
expect(profile == {"for": "curve", "delimiter": ",", "decimal": "point", "date_order": "ymd", "pressure": "absolute",
                   "units": [{"channel": "CH1", "unit": "°C"}, {"channel": "CH2", "unit": "kPa"}]}, f"saved: {profile}")

code, out, _ = run("import", "curve", str(july), "--equipment", "AC-1", "--profile", "chamber")
found = json.loads(out)
expect(code == 0 and not found["asks"] and found["reading"]["profile"] == "chamber", f"by the profile: {code}, {found['asks']}")
code, out, _ = run("export")
stored = [e for e in (json.loads(json.loads(line)["entry"]) for line in out.splitlines()) if e["kind"] == "curve-measured"]
expect([e["reading"]["profile"] for e in stored] == [None, "chamber"], "the profile's name must stand in the entry")
code, out, _ = run("import", "curve", str(july), "--equipment", "AC-1", "--profile", "chamber", "--dry-run", as_json=False)
expect("By profile chamber: " in out and "CH2=kPa" in out, f"the profile is told: {out[:400]}")
code, out, _ = run("import", "curve", str(july), "--dry-run", "--profile", "chamber", "--unit", "CH1=°F")
units = {u["channel"]: u["unit"] for u in json.loads(out)["reading"]["units"]}
expect(units == {"CH1": "°F", "CH2": "kPa"}, f"what is said now goes before: {units}")

# Two files that settle different things leave open what they do not share.
points, commas = folder / "points.csv", folder / "commas.csv"
points.write_text("Time;T (°C)\n" + "".join(f"2024-05-01 08:{m:02}:00;20.{m % 10}\n" for m in range(20)))
commas.write_text("Time;T (°C)\n" + "".join(f"2024-05-02 08:{m:02}:00;20,{m % 10}\n" for m in range(20)))
code, _, _ = run("import", "curve", str(points), str(commas), "--equipment", "AC-1", "--save-profile", "both")
both = json.loads((folder / "unit.trayproof.profiles" / "curve-both.json").read_text())
expect(code == 0 and both == {"for": "curve", "delimiter": ";", "date_order": "ymd", "units": []}, f"of two files: {both}")

# Written wrong by hand.
wrong = {
    "member": ({"for": "curve", "colour": "blue"}, ["colour", "allowed are the members for, encoding"]),
    "decimal": ({"for": "curve", "decimal": "dot"}, ["\"dot\" at decimal", "point, comma"]),
    "kind": ({"for": "curve", "decimal": 1}, ["says 1 at decimal"]),
    "unit": ({"for": "curve", "units": [{"channel": "A", "unit": "K"}, {"channel": "B", "unit": "furlong"}]}, ["\"furlong\" at units/2/unit"]),
    "twice": ({"for": "curve", "units": [{"channel": "A", "unit": "K"}, {"channel": "A", "unit": "°C"}]}, ["units/2/channel"]),
    "shape": ({"for": "curve", "units": [{"channel": "A"}]}, ["units/1"]),
    "list": ({"for": "curve", "units": {}}, ["units"]),
    "zone": ({"for": "curve", "zone": "Here"}, ["\"Here\" at zone"]),
    "other": ({"for": "register"}, ["\"register\"", "allowed here is \"curve\""]),
}
for name, (text, parts) in wrong.items():
    (path.parent / f"curve-{name}.json").write_text(json.dumps(text))
    code, _, err = run("import", "curve", str(july), "--dry-run", "--profile", name)
    for part in [f"curve-{name}.json", *parts]:
        expect(code == 3 and part in err, f"{name}: status {code}, no {part!r} in {err}")
path.write_text('{\n  "for": "curve",\n  "decimal": point\n}\n')
code, _, err = run("import", "curve", str(july), "--dry-run", "--profile", "chamber")
expect(code == 3 and "curve-chamber.json" in err and "column 3" in err, f"broken JSON: {code} {err}")
code, _, err = run("import", "curve", str(july), "--dry-run", "--profile", "none-such")
expect(code == 3 and "both, chamber" in err, f"missing: {code} {err}")
code, _, err = run("import", "curve", str(july), "--dry-run", "--profile", "../x")
expect(code == 3, f"a path is no name: {code} {err}")

finish()
