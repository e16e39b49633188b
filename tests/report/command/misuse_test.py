#!/usr/bin/env python3
"""What the command line refuses, through the real program: the exit status that commands name, a sentence with what was
found, and nothing recorded. And a record that was changed behind the program: no verb may write on and hide it.

    misuse_test.py PROGRAM
"""
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

program = sys.argv[1]
problems = []
DONE, USAGE, REFUSED, BROKEN = 0, 2, 3, 4


def check(what, found, wanted=True):
    if found != wanted:
        problems.append(f"{what}: found {found!r}, expected {wanted!r}")


class Ward:
    """A ledger in a folder of its own."""

    def __init__(self):
        self.holder = tempfile.TemporaryDirectory()
        self.folder = Path(self.holder.name)
        self.ledger = self.folder / "ward.trayproof"
        self.keys = Path(str(self.ledger) + ".keys")
        self.run("create", "--name", "Invented ward", "--zone", "Etc/GMT-5", "--altitude-m", "1180")

    def run(self, *words, status=DONE, given="", says=()):
        done = subprocess.run([program, "--ledger", str(self.ledger), "--json", *map(str, words)], capture_output=True,
                              text=True, input=given)
        name = " ".join(map(str, words))
        check(f"{name} ({done.stderr.strip()})", done.returncode, status)
        for one in says:
            check(f"{name} says {one!r} ({done.stderr.strip()} {done.stdout.strip()})", one in done.stderr + done.stdout)
        return json.loads(done.stdout) if done.stdout.startswith("{") else None

    def size(self):
        done = subprocess.run([program, "--ledger", str(self.ledger), "export"], capture_output=True, text=True, check=True)
        return len(done.stdout.splitlines())

    def loaded(self):
        self.run("record", "packed", "pack=P-1", "set=S-1", "wrap=drum", "--at", "2026-10-05T07:00+05:00", "--by", "ana")
        self.run("record", "load-started", "load=L-1", "method=steam-gravity", "equipment=AC-1", "packs=P-1",
                 "--at", "2026-10-05T08:00+05:00", "--by", "ana")
        return self

    def cut_after(self, size):
        """Takes the entries after `size` away, as somebody with a database shell would."""
        with sqlite3.connect(self.ledger) as book:
            guard = book.execute("SELECT sql FROM sqlite_master WHERE name = 'entries_never_go'").fetchone()[0]
            book.execute("DROP TRIGGER entries_never_go")
            book.execute("DELETE FROM entries WHERE seq > ?", (size,))
            book.execute(guard)
        Path(str(self.ledger) + ".links").unlink(missing_ok=True)


def periods_that_run_backwards():
    ward = Ward()
    backward = ("--from", "2026-10-05", "--to", "2026-10-01")
    says = ("2026-10-05", "2026-10-01")
    ward.run("gaps", *backward, status=USAGE, says=says)
    ward.run("answer", "procedures-without-set", *backward, status=USAGE, says=says)
    ward.run("report", "-o", ward.folder / "book.xlsx", *backward, status=USAGE, says=says)
    ward.run("report", "-o", ward.folder / "book.pdf", *backward, status=USAGE, says=says)
    check("no book", sorted(p.suffix for p in ward.folder.iterdir() if p.stem == "book"), [])


def fields_that_stand_twice():
    ward = Ward()
    before = ward.size()
    ward.run("record", "pack-opened", "pack=P-1", "pack=P-2", "--by", "ana", status=USAGE, says=("pack",))
    ward.run("record", "pack-opened", "pack=P-1", "--body", '{"pack":"P-2"}', "--by", "ana", status=USAGE, says=("pack",))
    ward.run("record", "pack-opened", "pack=P-1", "by=zed", "--by", "ana", status=USAGE, says=("by",))
    ward.run("record", "pack-opened", "pack=P-1", "unknown.by=x", "unknown.by=y", "--by", "ana", status=USAGE, says=("unknown.by",))
    check("nothing recorded", ward.size(), before)
    ward.run("record", "pack-opened", "--body", '{"kind":"pack-opened","pack":"P-1"}', "--by", "ana")


def numbers_of_patients_as_arguments():
    ward = Ward()
    before = ward.size()
    ward.run("record", "procedure-done", "procedure=R-1", "sort=delivery", "place=ward", "packs=P-1", "--by", "ana",
             "--body", '{"patient":"555555"}', status=USAGE, says=("patient", "standard input"))
    ward.run("record", "corrected", "of=5", "why=slip", "--by", "ana",
             "--body", '{"replacement":{"kind":"procedure-done","patient":"555555"}}', status=USAGE, says=("patient",))
    ward.run("record", "procedure-done", "procedure=R-1", "sort=delivery", "place=ward", "packs=P-1", "--by", "ana",
             "--body", '{"newborns":["555555"]}', status=USAGE, says=("newborns",))
    check("nothing recorded", ward.size(), before)
    ward.run("record", "procedure-done", "procedure=R-1", "sort=delivery", "place=ward", "packs=P-1", "patient=-",
             "--by", "ana", given="555555\n")


def fields_named_where_json_cannot_be_kept():
    ward = Ward()
    line = '{"kind":"load-ended","at":"2026-10-05T09:00:00Z","by":"ana","load":"L-1","complete":true,%s}'
    for member, field in (('"temperature_c":121.12345678901234', "temperature_c"),
                          ('"hold_min":1000000000000000', "hold_min"), ('"load":"L-2"', "load")):
        answer = ward.run("record", "--from", "-", status=REFUSED, given=line % member + "\n")
        check(f"{member}: field", answer["refused"][0]["field"], field)
    given = '{"kind":"corrected","of":5,"why":"slip","replacement":{"hold_min":1.2345678901234567}}\n'
    answer = ward.run("record", "--from", "-", status=REFUSED, given=given)
    check("inside a replacement", answer["refused"][0]["field"], "replacement.hold_min")


def recalls():
    ward = Ward().loaded()
    before = ward.size()
    ward.run("recall", "--because", "equipment-out-of-tolerance", "--equipment", "AC-1", "--at",
             "2026-10-05T10:00+05:00", "--check", "nope", status=USAGE, says=("nope", "calibration"))
    ward.run("recall", "--because", "load-failed", "--load", "L-1", "--open", "R-1", "--call-list",
             ward.folder / "nowhere" / "calls.csv", status=BROKEN, says=("nowhere",))
    check("no recall opened", ward.size(), before)
    answer = ward.run("recall", "--because", "chosen", "--packs", "P-1,P-1", "--why", "drill of the list")
    check("each pack once", answer["subject"]["packs"], ["P-1"])
    # A day alone is meant whole: the fault may have been found at its end.
    answer = ward.run("recall", "--because", "equipment-out-of-tolerance", "--equipment", "AC-1", "--at", "2026-10-05")
    check("loads of the day on which the fault was found", [one["load"] for one in answer["loads"]], ["L-1"])


def files_that_cannot_be_written():
    ward = Ward().loaded()
    nowhere = ward.folder / "nowhere"
    for words in (("checkpoint", "-o", nowhere / "c"), ("checkpoint", "--qr", nowhere / "c.svg"),
                  ("evidence", "load/L-1", "-o", nowhere / "e.zip"), ("label", "P-1", "-o", nowhere / "l.pdf"),
                  ("report", "-o", nowhere / "b.xlsx", "--from", "2026-10-01", "--to", "2026-10-31"),
                  ("report", "-o", nowhere / "b.pdf", "--from", "2026-10-01", "--to", "2026-10-31"),
                  ("backup", nowhere / "copy.trayproof")):
        ward.run(*words, status=BROKEN, says=("nowhere",))


def an_end_that_was_cut_off():
    ward = Ward().loaded()
    ward.run("record", "biological-read", "load=L-1", "result=positive", "control=growth", "--by", "ana")
    size = ward.size()
    ward.cut_after(size - 1)
    opened = ("record", "pack-opened", "pack=P-1", "--by", "ana")
    ward.run(*opened, status=BROKEN, says=(str(size), str(size - 1), "verify"))
    check("verify still tells", ward.run("verify", status=1)["ok"], False)


def keys_of_another_time():
    ward = Ward().loaded()
    copy = ward.folder / "copy.trayproof"
    ward.run("backup", copy)
    old_keys = ward.folder / "old.keys"
    shutil.copy(ward.keys, old_keys)
    ward.run("key", "rotate", "ledger")
    ward.run("key", "rotate", "station")
    # Checkpoints are the ledger key's; one that the record retired signs none.
    new_keys = ward.keys.read_bytes()
    shutil.copy(old_keys, ward.keys)
    ward.run("checkpoint", status=REFUSED, says=("not in force",))
    ward.run("record", "pack-opened", "pack=P-1", "--by", "ana", status=REFUSED, says=("not in force",))
    ward.keys.write_bytes(new_keys)
    check("nothing to tell", ward.run("verify")["ok"])
    # A backup from before needs the key file of before, and says so.
    ward.run("restore", copy, "--second", "ines", status=REFUSED, says=("rotated", ward.keys.name))
    check("the ledger is as it was", ward.run("verify")["ok"])
    shutil.copy(old_keys, ward.keys)
    os.rename(ward.ledger, ward.folder / "lost.trayproof")
    ward.run("restore", copy, "--second", "ines")
    # Keys that the restored record never added sign nothing in it.
    ward.keys.write_bytes(new_keys)
    ward.run("record", "pack-opened", "pack=P-1", "--by", "ana", status=REFUSED, says=("not in force",))
    shutil.copy(old_keys, ward.keys)
    ward.run("record", "pack-opened", "pack=P-1", "--by", "ana")
    check("and it holds", ward.run("verify", "--full")["ok"])


def known_numbers_where_they_should_not_be():
    """A number of a patient who is known, typed as an id: refused, and not said again by any verb."""
    ward = Ward().loaded()
    number = "MR75326"
    done = {"kind": "procedure-done", "at": "2026-10-05T09:00:00+05:00", "by": "ana", "procedure": "PR-1", "patient": number,
            "sort": "delivery", "place": "room", "packs": ["P-1"]}
    ward.run("record", "--from", "-", given=json.dumps(done))
    asked = ("recall --because index-patient --procedure N", "recall --because load-failed --load N", "recall --because N",
             "recall show N", "evidence N -o x.zip", "evidence N --kind procedure -o x.zip", "label N -o x.png", "trace N",
             "person pin N", "person leave N", "gaps --rule N", "answer N", "key retire N --cause lost", "countersign N",
             "import place N L-1", "import rejudge --logger N --error-k 1", "answer late-entries --from N", "check N", "N",
             "recall --because load-failed --load L-1 --open N extra N")
    for words in asked:
        found = subprocess.run([program, "--ledger", str(ward.ledger), *words.replace("N", number).split()], capture_output=True,
                               text=True)
        check(f"{words}: refused", found.returncode in (USAGE, REFUSED))
        check(f"{words}: not said again", number in found.stdout + found.stderr, False)
    status, text = said(ward, "recall", "show", number)
    check("masked", "masked" in text)
    status, text = said(ward, "evidence", "MR75327", "-o", "x.zip")
    check("what is no patient's is said", "MR75327" in text)


def said(ward, *words):
    done = subprocess.run([program, "--ledger", str(ward.ledger), *map(str, words)], capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def key_files_that_cannot_be_used():
    """The chain needs no secrets: it is verified, and the key file is named as what is wrong."""
    ward = Ward().loaded()
    good = ward.keys.read_bytes()
    whole = ward.run("verify", "--full")
    other = Ward()
    overwritten = good[:300] + bytes(range(200, 220)) + good[320:]
    for what, bytes_ in (("overwritten", overwritten), ("empty", b""), ("another's", other.keys.read_bytes())):
        ward.keys.write_bytes(bytes_)
        found = ward.run("verify", "--full", status=1)
        check(f"{what}: not well", found["ok"], False)
        check(f"{what}: the chain", [found["events"], found["head"], found["root"]],
              [whole["events"], whole["head"], whole["root"]])
        check(f"{what}: the key file alone", [len(found["problems"]), ward.keys.name in found["problems"][0]["what"]], [1, True])
        check(f"{what}: read, without keys", [found["read"], found["with_keys"]], [True, False])
        status, text = said(ward, "verify", "--full")
        check(f"{what}: status", status, 1)
        for wanted in ("THE KEY FILE CANNOT BE USED", "as far as it can be checked without its key file",
                       "Not checked without the key file", whole["root"]):
            check(f"{what}: says {wanted}", wanted in text)
        check(f"{what}: nothing said of the record", "DOES NOT HOLD" in text, False)
    ward.keys.write_bytes(good)
    os.chmod(ward.keys, 0o644)
    check("open to others", ["0600" in p["what"] for p in ward.run("verify", status=1)["problems"]], [True])
    os.chmod(ward.keys, 0o600)
    check("put back", ward.run("verify", "--full")["ok"])
    # A damaged record beside a damaged key file: both are told.
    size = ward.size()
    ward.keys.write_bytes(b"")
    ward.cut_after(size - 1)
    check("both", len(ward.run("verify", status=1)["problems"]) > 1)


def a_file_that_is_no_ledger():
    """Nothing is said to have been checked, and no head is told."""
    ward = Ward()
    ward.keys.unlink()
    ward.ledger.write_text("an invented host\n")
    found = ward.run("verify", status=1)
    check("nothing", [found["ok"], found["read"], found["head"], found["root"]], [False, False, None, None])
    status, text = said(ward, "verify", "--full")
    check("no claim", [status, "Checked" in text, "Head" in text, "0000" in text, "Nothing was checked" in text],
          [1, False, False, False, True])


stories = [known_numbers_where_they_should_not_be, key_files_that_cannot_be_used, a_file_that_is_no_ledger, periods_that_run_backwards, fields_that_stand_twice, numbers_of_patients_as_arguments,
           fields_named_where_json_cannot_be_kept, recalls, files_that_cannot_be_written, an_end_that_was_cut_off,
           keys_of_another_time]
for story in stories:
    try:
        story()
    except Exception as error:  # told with its story, and the others still run
        problems.append(f"{story.__name__}: {type(error).__name__} {error}")
print(f"{len(stories)} stories")
for one in problems:
    print(one)
sys.exit(1 if problems else 0)
