#!/usr/bin/env python3
"""Patients' numbers of several shapes are planted in a ledger; then everything that the program says and every file that
it writes is searched for them. With --numbers they are found by the same search: it can fail.

    planted_test.py PROGRAM
"""
import base64
import hashlib
import json
import zipfile
from pathlib import Path

from ward import Ward, check, contents, finish, problems

# Letters, digits, blanks, other scripts, the shortest that are looked for, and shorter ones; none of them can come about
# by chance. The last two are typed nowhere but in corrections.
NUMBERS = ["MRN-7741-22", "8830014455", "77G12", "QX 99 12 K", "Ж-55-4410", "نمبر٧٧٤١٢", "ZZ" + "9" * 62, "七八", "Ωψ",
           "REPL-4471-9", "5520093371"]
AT = "2026-10-05T09:00:00+05:00"


def spellings(number):
    """The bytes in which a number could stand somewhere."""
    plain = number.encode()
    digest = hashlib.sha256(plain).digest()
    found = {plain, number.encode("utf-16-le"), plain.hex().encode(), digest, digest.hex().encode(), base64.b64encode(digest)[:40]}
    if len(plain) >= 6:
        found.add(base64.b64encode(plain).rstrip(b"=")[:-1])
    if not number.isascii():
        found.add(json.dumps(number)[1:-1].encode())
    return found


SPELLED = {number: spellings(number) for number in NUMBERS}


def found_in(data):
    return [number for number, spelled in SPELLED.items() if any(one in data for one in spelled)]


def delivery(procedure, **more):
    return {"kind": "procedure-done", "at": AT, "by": "ana", "procedure": procedure, "sort": "delivery", "place": "room 1",
            "packs": ["PK-1"], **more}


def event(kind, **more):
    return {"kind": kind, "at": AT, "by": "ana", **more}


ward = Ward().staffed()
ward.run("record", "--from", ward.write("stock.jsonl", [
    event("set-defined", set="DS-1", title="Delivery set", items=[{"item": "clamp", "count": 2}], contact="critical"),
    event("equipment-registered", equipment="ST-1", sort="steam-sterilizer"),
    event("packed", at="2026-10-04T09:00:00+05:00", pack="PK-1", set="DS-1", wrap="wrapped"),
    event("load-started", at="2026-10-04T10:00:00+05:00", load="L-1", method="steam-gravity", equipment="ST-1", packs=["PK-1"]),
    event("load-ended", at="2026-10-04T11:00:00+05:00", load="L-1", complete=True),
    event("load-released", at="2026-10-04T12:00:00+05:00", load="L-1")]))

# Planted: in a file, by standard input, with a slip and again, as newborns, and by corrections.
taken = ward.run("record", "--from", ward.write("deliveries.jsonl",
                 [delivery(f"P-{i}", patient=number, slip=f"slip-{i}") for i, number in enumerate(NUMBERS[:6])] +
                 [delivery("P-6", newborns=NUMBERS[6:9])]))
check("planted", [taken["taken"], taken["refused"]], [7, []])
first = taken["first"]
ward.run("record", "--from", str(ward.folder / "deliveries.jsonl"))
ward.run("record", "procedure-done", "procedure=P-7", "sort=delivery", "place=room", "patient=-", "packs=", given="8830014455\n")
ward.run("record", "--from", ward.write("corrections.jsonl", [
    event("corrected", of=first, why="another mother", replacement=delivery("P-0", patient=NUMBERS[9])),
    event("corrected", of=first + 1, why="a child too", replacement=delivery("P-1", patient=NUMBERS[1], newborns=[NUMBERS[10]]))]))

# Refused in every way that can be thought of; nothing of it may be told.
N = NUMBERS[1]
bad_lines = [
    delivery("P-9", patient=int(N)), delivery("P-9", patient=[N]), delivery("P-9", patient={"number": N}), delivery("P-9", patient=N * 9),
    delivery("P-9", patient=N + "\u0007"), delivery("P-9", newborns=N), delivery("P-9", newborns=[N, N]), delivery("P-9", newborns=[int(N)]),
    delivery("P-9", patient=N, unknown={"patient": "not-recorded"}), delivery("P-9", patient=N, until="yesterday"),
    delivery("P-9", note=f"mother {N}"), delivery(N), delivery("P-9", place=N), delivery("P-9", paper=f"page of {N}"), delivery("P-9", slip=N),
    delivery("P-9", as_read={"patient": N}), delivery("P-9", as_read={N: "x"}), delivery("P-9", unknown={N: "not-recorded"}),
    delivery("P-1", patient="77G12", slip="slip-1"), delivery("P-0", patient=N), delivery("P-9", patient=N, at="2036-01-01T00:00:00Z"),
    event("pack-opened", pack=N), event("remarked", subject={"kind": "patient", "id": N}, text="x"), event("remarked", subject={"kind": "set", "id": "DS-1"}, text=N),
    event("corrected", of=first, why=N, replacement=None), event("corrected", of=first, why="x", replacement=delivery("P-0", patient=N, note=N)),
    event("corrected", of=99999, why="x", replacement=delivery("P-0", patient=N)), event("person-enrolled", person="cleo", name=N, roles=["nurse"]),
    event(N, pack="PK-1"), {**delivery("P-9"), "pateint": N}, {**delivery("P-9"), N: "x"}, {**delivery("P-9", patient=N), "v": 1}]
broken_lines = ['{"kind":"procedure-done","patient":"' + N + '"', '["' + N + '"]', '"' + N + '"', N + "0.5.5",
                '{"kind":"procedure-done","patient":"' + N + '","patient":"' + N + '"}', '{"patient":"' + N + '\\ud800"}']
for number, line in enumerate(bad_lines + broken_lines):
    ward.run("record", "--from", ward.write("bad.jsonl", [line]), status=3)
    ward.run("record", "--from", str(ward.folder / "bad.jsonl"), status=3, as_json=False)
ward.run("record", "procedure-done", "procedure=P-9", "sort=delivery", "place=room", f"note=mother of {N}", "packs=", status=3)

# Asked in every way.
call = ["recall", "--because", "load-failed", "--load", "L-1"]
period = ["--from", "2026-10-01", "--to", "2026-10-31"]
outside = ward.folder / "outside"  # what is given with --numbers goes here
outside.mkdir()
for as_json in (True, False):
    for words in ([["verify", "--full"], ["gaps"], ["exposure"], ["key", "list"], ["person", "list"], call, ["rebuild"], ["checkpoint"]] +
                  [["trace", f"P-{i}"] for i in range(8)] + [["trace", "L-1"], ["trace", "PK-1"], ["trace", "DS-1"], ["trace", "ana", "--kind", "person"]]):
        ward.run(*words, as_json=as_json)
ward.run(*call, "--call-list", str(ward.folder / "calls.csv"))
ward.run(*call, "--call-list", str(ward.folder / "calls.xlsx"), "--open", "R-1")
ward.run("report", *period, "-o", str(ward.folder / "book.xlsx"))
ward.run("backup", str(ward.folder / "copy"))
ward.run("export", as_json=False)
ward.run("trace", N, status=3)  # typed by somebody who did not know better
ward.outputs[-1] = (("trace", "a number"), ward.outputs[-1][1])
ward.run("erase", "--second", "noor", "--as", "mara", given="no such number\n", status=3)
ward.run("erase", "--second", "noor", given=N + "\n", status=3)
ward.run("erase", "--second", "noor", "--as", "ana", given=N + "\n", status=3)
asked = ward.run("erase", "--second", "noor", "--as", "mara", given=NUMBERS[4] + "\n")
ward.run("erase", "--second", "noor", "--as", "mara", given=NUMBERS[4] + "\n", status=3)
ward.run("countersign", str(asked["seq"]), "--as", "noor", as_json=False)
ward.run("erase", "--second", "noor", "--as", "mara", given=NUMBERS[4] + "\n", status=3)
for words in ([*call, "--numbers"], [*call, "--reason", "x"]):
    ward.run(*words, status=2)
for words in ([*call, "--numbers", "--reason", "to call"], ["trace", "P-1", "--numbers", "--reason", "to call"],
              ["evidence", "P-1", "-o", str(ward.folder / "no.zip"), "--numbers", "--reason", "to call"],
              ["report", *period, "-o", str(ward.folder / "no.xlsx"), "--numbers", "--reason", "to call"]):
    ward.run(*words, status=3)
check("nothing was written for somebody without the right", (ward.folder / "no.xlsx").exists(), False)
helped = ward.run("--help", as_json=False, status=0)
if "evidence" in helped.split():
    ward.run("evidence", "P-1", "-o", str(ward.folder / "pack.zip"), status=None)
    ward.run("evidence", "L-1", "-o", str(ward.folder / "pack-2.zip"), "--whole", status=None)
if "label" in helped.split():
    ward.run("label", "PK-1", "-o", str(ward.folder / "label.svg"), status=None)
if "answer" in helped.split():
    for question in ([], *[[one] for one in ("processed-by", "loads", "cases")]):
        ward.run("answer", *question, *(period if question else []), status=None)
if "send" in helped.split():
    ward.run("send", "-o", str(ward.folder / "sent"), status=None)

# What was planted came from these files; everything else is the program's.
for name in ("deliveries.jsonl", "corrections.jsonl", "bad.jsonl"):
    (ward.folder / name).unlink()
searched = 0
for words, said in ward.outputs:
    searched += 1
    if numbers := found_in(said):
        problems.append(f"the output of {' '.join(words)} holds {numbers}: {said[:300]!r}")
for path in sorted(ward.folder.rglob("*")):
    if numbers := found_in(str(path.relative_to(ward.folder)).encode()):
        problems.append(f"the file name {path.name} holds {numbers}")
    if path.is_file():
        searched += 1
        for data in contents(path):
            if numbers := found_in(data):
                problems.append(f"{path.name} holds {numbers}")
check("there was much to be searched", searched > 130)
check("ledger and derived tables among it", all((ward.folder / ("ward.trayproof" + end)).exists() for end in ("", ".links", ".keys")))
check("verify", ward.run("verify", "--full")["ok"])

# The same search finds them when somebody with the right asks: in text, in JSON, in lists and in workbooks.
reason = ["--numbers", "--reason", "to call the patients", "--as", "ana"]
before = len(ward.entries())
in_text = ward.run(*call, *reason, as_json=False)
check("by name in the recall", {N, NUMBERS[9], NUMBERS[2], NUMBERS[10]} - set(found_in(in_text.encode())) - {NUMBERS[10]}, set())
answer = ward.run(*call, *reason)
check("in the JSON", N in answer["numbers"].values() and any(p["patient"] == N for p in answer["procedures"]))
check("who was erased has a pseudonym", NUMBERS[4] in answer["numbers"].values(), False)
check("in the trace", N in found_in(ward.run("trace", "P-1", *reason, as_json=False).encode()))
for name in ("calls.csv", "calls.xlsx"):
    ward.run(*call, "--call-list", str(outside / name), *reason)
ward.run("report", *period, "-o", str(outside / "book.xlsx"), *reason)
for path in outside.iterdir():
    found = {number for data in contents(path) for number in found_in(data)}
    check(f"numbers in {path.name}", {N, NUMBERS[9], NUMBERS[3], NUMBERS[5]} <= found)
    check(f"an erased one in {path.name}", NUMBERS[4] in found, False)
    check(f"{path.name} is its owner's", path.stat().st_mode & 0o077, 0)
ward.run("evidence", "P-1", "-o", str(outside / "pack.zip"), *reason)
found = {number for data in contents(outside / "pack.zip") for number in found_in(data)}
check("the number in the pack", N in found)
check("an erased one in the pack", NUMBERS[4] in found, False)
check("the pack is its owner's", (outside / "pack.zip").stat().st_mode & 0o077, 0)
with zipfile.ZipFile(outside / "pack.zip") as pack:
    check("only on its page", {m for m in pack.namelist() if found_in(pack.read(m))}, {"START-HERE.html"})
reads = [one for one in ward.entries()[before:] if one["kind"] == "numbers-read"]
check("each reading is an event", [[one["by"], one["subject"]] for one in reads],
      [["ana", {"id": "L-1", "kind": "load"}]] * 2 + [["ana", {"id": "P-1", "kind": "procedure"}]] +
      [["ana", {"id": "L-1", "kind": "load"}]] * 2 + [["ana", {"id": "2026-10-01/2026-10-31", "kind": "report"}],
       ["ana", {"id": "P-1", "kind": "procedure"}]])
check("the ledger's file still holds none", found_in(Path(ward.ledger).read_bytes()), [])
check("verify at the end", ward.run("verify", "--full")["ok"])
finish()
