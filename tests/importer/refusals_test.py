#!/usr/bin/env python3
"""Rows of an export that could not be read, through the real program: told at the import, kept beside it, shown again, given with the evidence, and missed
by verify when they are gone.

    refusals_test.py PROGRAM SOURCE-FOLDER
"""
import hashlib
import json
import sqlite3
import zipfile

from unit import expect, finish, folder, ledger, run

run("create", "--name", "Small unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180")
events = folder / "events.jsonl"
at = "2024-05-13T"
events.write_text("\n".join(json.dumps(e) for e in [
    {"kind": "equipment-registered", "by": "ana", "at": at + "08:00+05:00", "equipment": "AC-1", "sort": "steam-sterilizer"},
    {"kind": "load-started", "by": "ana", "at": at + "22:48+05:00", "load": "L-1", "method": "steam-gravity", "equipment": "AC-1", "packs": ["P-1"],
     "temperature_c": 121},
    {"kind": "load-ended", "by": "ana", "at": at + "23:20+05:00", "load": "L-1", "complete": True}]))
code, out, err = run("record", "--from", str(events))
expect(code == 0, f"recorded: {out} {err}")
export = folder / "export.csv"
rows = ["Time,T1 (°C)"]
for minute, t in enumerate([24, 40, 60, 85, 100, 111, 118, 121.4, 121.6, 121.5, 121.6, 121.5, 121.7, 121.6, 121.4, 121.5, 121.6, 121.5, 121.6, 121.7, 121.4, 121.6,
                            121.5, 121.6, 99, 80, 60, 39, 30]):
    rows.append(f"2024-05-13 22:{50 + minute}:00,{t}" if minute < 10 else f"2024-05-13 23:{minute - 10:02}:00,{t}")
rows.insert(4, "lost in the middle 7")
rows.insert(9, "2024-02-31 22:58:00,121.1")
export.write_text("\n".join(rows) + "\n")
wanted = [(5, "lost in the middle 7"), (10, "2024-02-31 22:58:00,121.1")]

code, out, err = run("import", "curve", str(export), "--equipment", "AC-1")
told = json.loads(out)
expect(code == 0 and [(r["line"], r["text"]) for r in told["refused"]] == wanted, f"told: {told['refused']}")
code, out, _ = run("export")
entries = [json.loads(json.loads(line)["entry"]) for line in out.splitlines()]
measured = next(e for e in entries if e["kind"] == "curve-measured")
expect({k: measured["reading"][k] for k in ("rows", "readings", "marks", "refused")} == {"rows": 31, "readings": 29, "marks": 0, "refused": 2},
       f"counts in the entry: {measured['reading']}")
curve, listed = str(measured["seq"]), measured["files"][0]

code, out, _ = run("import", "refused", curve)
found = json.loads(out)
expect(found["rows"] == told["refused"] and found["refused"] == 2 and found["list"] == listed, f"shown again: {found}")
for row, (line, text) in zip(found["rows"], wanted):
    data = export.read_bytes()
    expect(data[row["byte"]:].startswith(text.encode()), f"byte {row['byte']} is not where {text!r} stands")
    expect(row["why"] and row["mend"], f"why and mend: {row}")
code, out, _ = run("import", "refused", curve, as_json=False)
expect("Line 5 refused" in out and "lost in the middle" in out and "byte" in out, f"for people: {out}")
code, out, err = run("import", "refused", "2")
expect(code == 3 and "2" in err, f"no curve: {code} {err}")
code, out, _ = run("trace", "L-1", as_json=False)
expect(listed in out and "refused 2" in out, f"trace names the list and how many it has: {out}")

pack = folder / "evidence.zip"
code, out, err = run("evidence", "L-1", "-o", str(pack))
expect(code == 0, f"evidence: {err}")
with zipfile.ZipFile(pack) as given:
    kept = given.read(f"attachments/{listed}")
    page = "".join(given.read(n).decode() for n in given.namelist() if n.endswith(".html"))
expect(hashlib.sha256(kept).hexdigest() == listed and json.loads(kept)["rows"] == told["refused"], "the list is in the pack")
expect(len(kept.decode().splitlines()) == 4, "a line a row")
expect("lost in the middle 7" in page and "2 rows of this file could not be read" in page, "the page shows them")
code, out, _ = run("check", str(pack))
expect(json.loads(out).get("problems") in ([], None), f"check: {out[:600]}")

# A file without a fault names no list.
good = folder / "good.csv"
good.write_text(export.read_text().replace("lost in the middle 7\n", "").replace("2024-02-31 22:58:00,121.1\n", "").replace("2024-05-13", "2024-05-20"))
code, out, _ = run("import", "curve", str(good), "--equipment", "AC-1")
code, out, _ = run("export")
last = [json.loads(json.loads(line)["entry"]) for line in out.splitlines()]
last = [e for e in last if e["kind"] == "curve-measured"][-1]
expect("files" not in last and last["reading"]["refused"] == 0, f"without a fault: {last}")
code, out, _ = run("import", "refused", str(last["seq"]))
expect(code == 0 and json.loads(out)["refused"] == 0, f"none refused: {out}")
code, out, _ = run("verify", "--full")
expect(code == 0, f"verify: {out}")

with sqlite3.connect(ledger) as database:
    database.execute("DELETE FROM attachment_parts WHERE sha256 = ?", (bytes.fromhex(listed),))
    database.execute("DELETE FROM attachments WHERE sha256 = ?", (bytes.fromhex(listed),))
database.close()
code, out, _ = run("verify", "--full")
expect(code == 1 and listed in out, f"verify must miss the list: {code} {out[:600]}")

finish()
