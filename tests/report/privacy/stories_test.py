#!/usr/bin/env python3
"""Erasing, restoring and moving through the real program; moving runs the very commands of docs/operations.md.

    stories_test.py PROGRAM SOURCE-FOLDER
"""
import os
import re
import subprocess
import sys
from pathlib import Path

import ward as wards
from ward import Ward, check, finish, problems

AT = "2026-10-05T09:00:00+05:00"
NUMBER = "8830014455"
source = Path(sys.argv[2])


def delivered(ward):
    lines = [{"kind": "procedure-done", "at": AT, "by": "ana", "procedure": "P-1", "sort": "delivery", "place": "room", "packs": [],
              "patient": NUMBER, "note": "calm night"},
             {"kind": "procedure-done", "at": AT, "by": "ana", "procedure": "P-2", "sort": "delivery", "place": "room", "packs": [],
              "patient": "77G12345"}]
    return ward.run("record", "--from", ward.write("events.jsonl", lines))["first"]


def number_of(ward, procedure):
    answer = ward.run("trace", procedure, "--numbers", "--reason", "a test", "--as", "mara")
    return sorted(answer["numbers"].values())


def erasing():
    ward = Ward().staffed()
    first = delivered(ward)
    copy = str(ward.folder / "copy")
    ward.run("backup", copy)
    check("before", number_of(ward, "P-1"), [NUMBER])
    pseudonym = ward.entries()[first - 1]["patient"]
    ward.run("erase", "--pseudonym", pseudonym, "--second", "mara", "--as", "mara", status=3)
    check("not oneself", "must be somebody else" in ward.said)
    ward.run("erase", "--pseudonym", pseudonym, "--second", "nobody", "--as", "mara", status=3)
    ward.run("erase", "--pseudonym", pseudonym, "--second", "noor", status=3)
    ward.run("erase", "--pseudonym", pseudonym, "--second", "noor", "--as", "ana", status=3)
    ward.run("erase", "--pseudonym", "0" * 32, "--second", "noor", "--as", "mara", status=3)
    ward.run("erase", "--pseudonym", pseudonym, "--file", "0" * 64, "--second", "noor", "--as", "mara", status=2)
    ward.run("erase", "--text", str(first), "/place", "--second", "noor", "--as", "mara", status=3)
    asked = ward.run("erase", "--second", "noor", "--as", "mara", given=f" {NUMBER} \n")
    check("what was asked", [asked["sort"], asked["subject"], asked["second"]], ["patient", pseudonym, "noor"])
    check("the backup that holds it", [one["where"] for one in asked["backups"]], [copy])
    check("still there", number_of(ward, "P-1"), [NUMBER])
    ward.run("countersign", str(asked["seq"]), "--as", "mara", status=3)
    done = ward.run("countersign", str(asked["seq"]), "--as", "noor")
    check("destroyed", [done["second"], done["destroyed"], len(done["backups"])], ["confirmed", True, 1])
    check("gone", number_of(ward, "P-1"), [])
    check("the other stays", number_of(ward, "P-2"), ["77G12345"])
    text = ward.run("erase", "--text", str(first), "/note", "--second", "noor", "--as", "mara")
    ward.run("countersign", str(text["seq"]), "--as", "noor", as_json=False)
    check("the text is gone", b"calm night" in Path(ward.ledger).read_bytes(), False)
    check("and trace says so", "calm night" in ward.run("trace", "P-1", as_json=False), False)
    ward.run("backup", copy)
    check("no backup holds it now", ward.run("erase", "--second", "noor", "--as", "mara", given="77G12345\n")["backups"][0]["where"], copy)
    check("the new copy is clean", b"calm night" in Path(copy).read_bytes(), False)
    check("verify", ward.run("verify", "--full")["ok"])


def one_person_as_both():
    """Who may enrol can make up a second: the record says so where it is asked and where it is verified."""
    ward = Ward().staffed()
    delivered(ward)
    ward.run("person", "enrol", "ghost", "--name", "Nobody", "--role", "attendant", "--as", "mara")
    ward.run("person", "pin", "ghost", "--as", "mara", pins=[wards.PINS["mara"], "771204"])
    wards.PINS["ghost"] = "771204"
    asked = ward.run("erase", "--second", "ghost", "--as", "mara", given=NUMBER + "\n")
    check("told where it is asked", asked["second_has_key_from_asker"])
    ward.run("countersign", str(asked["seq"]), "--as", "ghost")
    found = ward.run("verify")
    check("verify shows it", [found["ok"], [one["seq"] for one in found["notes"]], "one person may have been both" in found["notes"][0]["what"]],
          [True, [asked["seq"]], True])
    check("in words too", "one person may have been both" in ward.run("verify", as_json=False))
    # A PIN that the second made anew from that one is no other person's either; one that another steward gave is.
    ward.run("person", "pin", "ghost", "--as", "ghost", pins=["771204", "771305"])
    wards.PINS["ghost"] = "771305"
    again = ward.run("erase", "--second", "ghost", "--as", "mara", given="77G12345\n")
    check("made anew from it", again["second_has_key_from_asker"])
    ward.run("person", "enrol", "sana", "--name", "Sana Invented", "--role", "steward", "--as", "mara")
    ward.run("person", "pin", "sana", "--as", "mara", pins=[wards.PINS["mara"], "881204"])
    wards.PINS["sana"] = "881204"
    ward.run("person", "pin", "ghost", "--as", "sana", pins=["881204", "991204"])
    wards.PINS["ghost"] = "991204"
    ward.run("countersign", str(again["seq"]), "--as", "ghost")
    check("given by another", [one["seq"] for one in ward.run("verify", "--full")["notes"]], [asked["seq"]])


def restoring():
    ward = Ward().staffed()
    first = delivered(ward)
    copy = str(ward.folder / "copy")
    size = ward.run("backup", copy)["size"]
    asked = ward.run("erase", "--second", "noor", "--as", "mara", given=NUMBER + "\n")
    ward.run("countersign", str(asked["seq"]), "--as", "noor")
    ward.run("checkpoint", "-o", str(ward.folder / "kept"))
    last = ward.run("verify")
    whole = Path(ward.ledger).read_bytes()
    Path(ward.ledger).write_bytes(b"damaged" * 1000 + whole[7000:])
    ward.run("verify", status=1)
    ward.run("restore", copy, "--second", "noor", status=3)
    ward.run("restore", copy, "--second", "noor", "--as", "ana", status=3)
    ward.run("restore", copy, "--second", "mara", "--as", "mara", status=3)
    ward.run("restore", copy, "--as", "mara", status=2)
    ward.run("restore", str(ward.folder / "none"), "--second", "noor", "--as", "mara", status=3)
    ward.run("restore", str(ward.folder / "kept"), "--second", "noor", "--as", "mara", status=4)
    check("nothing was put there", Path(ward.ledger).read_bytes()[:7], b"damaged")
    done = ward.run("restore", copy, "--second", "noor", "--checkpoint", str(ward.folder / "kept"), "--as", "mara")
    check("restored", [done["size"], done["seq"], done["erased_again"]], [size, size + 1, 1])
    check("the loss is declared", done["lost_after"], {"size": last["events"], "root": last["root"]})
    check("the damaged file is kept", Path(done["aside"]).read_bytes()[:7], b"damaged")
    check("nothing else is left", sorted(one.name for one in ward.folder.iterdir() if ".restoring" in one.name), [])
    check("verify", ward.run("verify", "--full")["ok"])
    check("still erased", number_of(ward, "P-1"), [])
    check("the other is there", number_of(ward, "P-2"), ["77G12345"])
    entry = ward.entries()[size]
    check("the entry", [entry["kind"], entry["by"], entry["second"], entry["size"]], ["ledger-restored", "mara", "noor", size])
    ward.run("countersign", str(done["seq"]), "--as", "noor")
    check("a gap asks for what was lost", [one["rule"] for one in ward.run("gaps", "--rule", "records-lost")["gaps"]], ["records-lost"])
    ward.run("record", "packed", "pack=PK-9", "set=DS-1", "wrap=wrapped")
    check("it goes on", ward.run("verify", "--full")["ok"])
    # A trial under another name needs no keys and changes nothing here.
    trial = str(ward.folder / "trial")
    tried = ward.run("restore", copy, "--second", "trial", ledger=trial)
    check("a trial", [tried["size"], tried["seq"]], [size, None])
    check("the trial holds", ward.run("verify", "--full", ledger=trial)["ok"])
    ward.run("record", "packed", "pack=PK-1", "set=DS-1", "wrap=wrapped", ledger=trial, status=None)
    check("and takes nothing", ward.status in (3, 4))


def moving():
    page = (source / "docs" / "operations.md").read_text()
    section = page[page.index("**Moving to another machine.**"):]
    blocks = re.findall(r"((?:^    .+\n)+)", section, re.M)[:2]
    ward = Ward("facility.trayproof").staffed()
    delivered(ward)
    new, stick = ward.folder / "new", ward.folder / "stick"
    new.mkdir()
    stick.mkdir()
    path = os.path.dirname(os.path.abspath(wards.program)) + ":" + os.environ["PATH"]
    said = []
    for block, folder in zip(blocks, (ward.folder, new)):
        script = "set -e\n" + re.sub("^    ", "", block, flags=re.M).replace("/media/stick", str(stick))
        check("the page has commands", "trayproof verify --full" in script)
        done = subprocess.run(["bash", "-c", script], cwd=folder, capture_output=True, text=True, env={**os.environ, "PATH": path})
        check(f"the page's commands in {folder.name}: {done.stderr}", done.returncode, 0)
        said.append(re.findall(r"^(?:Head|Root) [0-9a-f]{64}$", done.stdout, re.M))
    check("two lines", [len(one) for one in said], [2, 2])
    check("the same head and root", said[0], said[1])
    moved = str(new / "facility.trayproof")
    check("nobody goes on at the old place", Path(ward.ledger).exists(), False)
    ward.run("record", "packed", "pack=PK-9", "set=DS-1", "wrap=wrapped", "--as", "ana", ledger=moved)
    check("it goes on at the new one", ward.run("verify", "--full", ledger=moved)["ok"])


for story in (erasing, one_person_as_both, restoring, moving):
    count = len(problems)
    story()
    problems[count:] = [f"{story.__name__}: {problem}" for problem in problems[count:]]
finish()
