#!/usr/bin/env python3
"""An export that was imported for the wrong equipment: it is told where it is kept, and a person's word places its curves. A logger's error that is
said twice tells the second time too which loads fail. What a foreign file holds does not steer the terminal.

    wrong_equipment_test.py PROGRAM SOURCE-FOLDER
"""
import json

from unit import expect, finish, folder, problems, run, source


def events(*lines):
    path = folder / "events.jsonl"
    path.write_text("".join(json.dumps(line) + "\n" for line in lines))
    code, out, err = run("record", "--from", str(path))
    expect(code == 0, f"recorded: status {code}, {out} {err}")


run("create", "--name", "Small unit", "--zone", "Etc/GMT-5", "--altitude-m", "0")
code, _, err = run("sop", "adopt", str(source / "samples/sop/labour-room.toml"), "--in-force", "2024-01-01")
expect(code == 0, f"adopted: status {code}, {err}")
at = "2024-05-14T07:00:00+05:00"
events({"kind": "equipment-registered", "at": at, "by": "ana", "equipment": "AC-1", "sort": "steam-sterilizer"},
       {"kind": "equipment-registered", "at": at, "by": "ana", "equipment": "BP-1", "sort": "boiler"},
       {"kind": "packed", "at": at, "by": "ana", "pack": "PK-1", "set": "SET-A", "wrap": "unwrapped"},
       {"kind": "load-started", "at": "2024-05-14T08:00:00+05:00", "by": "ana", "load": "L-1", "method": "steam-gravity", "equipment": "AC-1",
        "packs": ["PK-1"], "temperature_c": 121, "hold_min": 20},
       {"kind": "load-ended", "at": "2024-05-14T09:00:00+05:00", "by": "ana", "load": "L-1", "complete": True})
export = str(source / "tests/cases/importer/air-in-chamber.csv")

code, out, _ = run("import", "curve", export, "--equipment", "BP-1", "--logger", "LG-1")
expect(code == 0 and json.loads(out)["cycles"][0]["load"] is None, f"for the wrong one: status {code}, {out}")
code, out, err = run("import", "curve", export, "--equipment", "AC-1", "--logger", "LG-1")
again = json.loads(out)
expect(code == 3 and again["repeated"] and again["cycles"][0]["load"] is None, f"for the right one: status {code}, {out}")
expect("taken in before for BP-1" in again["notes"][-1] and "taken in before for BP-1" in err, f"it is told where it is kept: {out} {err}")
code, out, _ = run("import", "curve", export, "--equipment", "BP-1", "--logger", "LG-1")
expect(code == 0 and json.loads(out)["repeated"], f"the same again: status {code}, {out}")

curve = str(json.loads(run("import", "waiting")[1])["waiting"][0]["curve"])
code, _, err = run("import", "place", curve, "L-1", as_json=False)
expect(code == 3 and "Load L-1 was on AC-1" in err, f"without a word on the equipment: status {code}, {err}")
code, _, err = run("import", "place", curve, "L-1", "--equipment", "BP-1", as_json=False)
expect(code == 3, f"on equipment that the load was not on: status {code}")
code, out, err = run("import", "place", curve, "L-1", "--equipment", "AC-1")
verdict = json.loads(out)["verdict"] if code == 0 else None
expect(code == 0 and verdict == "not-reached", f"placed: status {code}, {out} {err}")
traced = run("trace", "L-1")[1]
expect(f'"curve":{curve}' in traced or "curve-placed" in traced, f"the load shows its curve: {traced[:400]}")
code, out, _ = run("import", "rejudge", "--logger", "LG-1", "--error-k", "0", "--dry-run")
judged = json.loads(out)
expect((code, judged["not_reached"], judged["new"], judged["unreadable"]) == (0, 1, 0, []), f"judged again it is the same: {out}")
expect(run("verify", "--full")[0] == 0, "the record holds")
code, out, _ = run("import", "curve", export, "--equipment", "AC-1", "--logger", "LG-1")
expect(json.loads(out)["cycles"][0]["load"] == "L-1", f"its place is told: {out}")

# A hold that a logger which reads too high only seemed to reach.
dry = folder / "hold.csv"
rows = ["Time,T1 (°C),P (kPa abs)"]
for minute in range(60):
    t = 25 + 8 * minute if minute < 12 else 122.0 if minute < 45 else max(30, 122 - 7 * (minute - 44))
    rows.append(f"2024-05-15 08:{minute:02d}:00,{min(t, 122.0):.2f},{101.3 if t < 100 else 211.5:.2f}")
dry.write_text("\n".join(rows) + "\n")
events({"kind": "packed", "at": at, "by": "ana", "pack": "PK-2", "set": "SET-A", "wrap": "unwrapped"},
       {"kind": "load-started", "at": "2024-05-15T08:00:00+05:00", "by": "ana", "load": "L-2", "method": "steam-gravity", "equipment": "AC-1",
        "packs": ["PK-2"], "temperature_c": 121, "hold_min": 20},
       {"kind": "load-ended", "at": "2024-05-15T09:00:00+05:00", "by": "ana", "load": "L-2", "complete": True})
code, out, _ = run("import", "curve", str(dry), "--equipment", "AC-1", "--logger", "LG-2")
expect(json.loads(out)["cycles"][0]["verdict"] == "reached", f"as read: {out}")
first = run("import", "rejudge", "--logger", "LG-2", "--error-k", "1.5", as_json=False)[1]
second = run("import", "rejudge", "--logger", "LG-2", "--error-k", "1.5", as_json=False)[1]
expect("L-2" in first and "recall" in first, f"the first time: {first}")
expect("L-2" in second and "recall" in second, f"the second time: {second}")

steering = folder / "steering.csv"
steering.write_bytes(b"Time,T1 (\xc2\xb0C)\n2024-05-16 08:00:00,30.0\n2024-05-16 08:01:00,30.5\n2024-05-16 08:02:00,\x1b[31mred\x07\x00\n2024-05-16 08:03:00,31.0\n")
code, out, err = run("import", "curve", str(steering), "--equipment", "AC-1", as_json=False)
expect(not any(c in out + err for c in "\x1b\x07\x00"), f"control characters are shown: {out!r}")
kept = [json.loads(json.loads(line)["entry"]) for line in run("export", as_json=False)[1].splitlines()]
curve = str(max(entry["seq"] for entry in kept if entry["kind"] == "curve-measured"))
out = run("import", "refused", curve, as_json=False)[1]
expect("red" in out and not any(c in out for c in "\x1b\x07\x00"), f"and again: {out!r}")

print("wrong equipment: told, and placed by a person's word" if not problems else f"{len(problems)} problems")
finish()
