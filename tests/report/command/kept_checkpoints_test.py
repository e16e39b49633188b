#!/usr/bin/env python3
"""Checkpoints kept elsewhere, through the real program: a declared loss is told from a rollback, as editors save them they are
read, the drawn card is read back, and a witness whose key is given must have signed.

    kept_checkpoints_test.py PROGRAM
"""
import base64
import hashlib
import json
import os
import shutil
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

program = sys.argv[1]
problems = []
PINS = {"mara": "483920", "noor": "550731"}


def check(what, found, wanted=True):
    if found != wanted:
        problems.append(f"{what}: found {found!r}, expected {wanted!r}")


class Ward:
    """A ledger in a folder of its own, with a steward and a quality officer who can sign in."""

    def __init__(self):
        self.holder = tempfile.TemporaryDirectory()
        self.folder = Path(self.holder.name)
        self.ledger = self.folder / "ward.trayproof"
        self.run("create", "--name", "Invented ward", "--zone", "Etc/GMT-5", "--altitude-m", "1180")
        self.run("person", "enrol", "mara", "--name", "Mara Invented", "--role", "steward")
        self.run("person", "pin", "mara", pins=[PINS["mara"]])
        self.run("person", "enrol", "noor", "--name", "Noor Invented", "--role", "quality", by="mara")
        self.run("person", "pin", "noor", by="mara", pins=[PINS["noor"]])

    def call(self, *words, by=None, pins=(), options=()):
        handed = []
        if by or pins:
            reading, writing = os.pipe()
            os.write(writing, "".join(pin + "\n" for pin in ([PINS[by]] if by else []) + list(pins)).encode())
            os.close(writing)
            options, handed = [*options, "--pin-fd", str(reading), *(["--as", by] if by else [])], [reading]
        done = subprocess.run([program, "--ledger", str(self.ledger), *options, *map(str, words)], capture_output=True, text=True,
                              pass_fds=handed, stdin=subprocess.DEVNULL)
        for one in handed:
            os.close(one)
        return done

    def run(self, *words, status=0, **how):
        done = self.call(*words, options=["--json"], **how)
        check(f"{' '.join(map(str, words))} ({done.stderr.strip()})", done.returncode, status)
        return json.loads(done.stdout) if done.stdout.startswith("{") else {}

    def packed(self, *packs):
        for pack in packs:
            self.run("record", "packed", f"pack={pack}", "set=DS-1", "wrap=wrapped", "--by", "ana")

    def checkpoint(self, name):
        self.run("checkpoint", "-o", self.folder / name)
        return self.folder / name

    def against(self, checkpoint, status):
        """Status, state and all that verify says of one checkpoint kept elsewhere."""
        found = self.run("verify", "--checkpoint", checkpoint, status=status)
        return found["checkpoint_states"][-1], " ".join(one["what"] for one in found["problems"])

    def pack_of(self, pack, name):
        self.run("evidence", pack, "-o", self.folder / name, "--kind", "pack")
        return self.folder / name


def a_declared_loss():
    ward = Ward()
    ward.packed("PK-1")
    backup = ward.folder / "stick.backup"
    ward.run("backup", backup)
    ward.packed("PK-2")
    between = ward.checkpoint("between.cp")
    ward.packed("PK-3", "PK-4")
    kept = ward.checkpoint("kept.cp")
    ward.packed("PK-5")
    later = ward.checkpoint("later.cp")
    os.rename(ward.ledger, ward.folder / "lost.trayproof")
    restored = ward.run("restore", backup, "--second", "noor", "--checkpoint", kept, by="mara")
    seq = restored["seq"]
    check("what is declared", restored["lost_after"]["size"] > restored["size"])

    # One person's word so far: told as a declared loss, and a problem until the second countersigns.
    state, says = ward.against(kept, 1)
    check("declared", [state["state"], state["declared_by"]], ["declared-lost", seq])
    check("names the entry", [f"seq {seq} declares" in says, "has not countersigned" in says], [True, True])
    check("no accusation", "OLDER COPY" in says or "ANOTHER HISTORY" in says, False)
    ward.run("countersign", seq, by="noor")
    state, says = ward.against(kept, 0)
    check("an honest loss", [state["state"], state["declared_by"], says], ["declared-lost", seq, ""])
    said = ward.call("verify", "--checkpoint", kept).stdout
    check("not silently", [f"seq {seq} declares" in said, "IS NOT A STATE OF THIS RECORD" in said, "HOLDS:" in said],
          [True, True, False])

    # What no entry declares goes on being accused, before the record has grown past it and after.
    state, says = ward.against(later, 1)
    check("a later one", [state["state"], state["declared_by"], "OLDER COPY" in says], ["older-copy", None, True])
    state, says = ward.against(between, 1)
    check("one between", [state["state"], f"seq {seq} declares a later state" in says], ["other-history" if state["size"] <=
          ward.run("verify")["events"] else "older-copy", True])
    ward.packed("PK-6", "PK-7", "PK-8", "PK-9", "PK-10", "PK-11")
    state, says = ward.against(kept, 0)
    check("after more events", [state["state"], state["declared_by"]], ["declared-lost", seq])
    for name, one in (("later", later), ("between", between)):
        state, says = ward.against(one, 1)
        check(f"{name}, after more", [state["state"], "ANOTHER HISTORY" in says], ["other-history", True])

    pack = ward.pack_of("PK-6", "q.zip")
    vkey = ward.run("key", "list")["ledger"]["vkey"]
    found = ward.run("check", pack, "--checkpoint", kept, "--ledger-key", vkey, status=1)
    check("check", [found["holds"], found["whose"], [f"seq {seq} declares" in one for one in found["open"]]], [True, "ledger-key", [True]])
    found = ward.run("check", pack, "--checkpoint", later, "--ledger-key", vkey, status=1)
    check("check leaves what is not declared to be decided", [found["whose"], any("declares" in one for one in found["open"])],
          ["ledger-key", False])
    whole = ward.folder / "whole.zip"
    ward.run("evidence", "PK-6", "-o", whole, "--kind", "pack", "--whole")
    found = ward.run("check", whole, "--checkpoint", later, status=1)
    check("check accuses", [found["holds"], "made up" in found["problems"][0]["what"]], [False, True])


def a_key_rotated_after_the_restore():
    """By the size of the lost state another key is in force here; it is still just what was declared."""
    ward = Ward()
    backup = ward.folder / "stick.backup"
    ward.run("backup", backup)
    ward.packed("PK-1", "PK-2", "PK-3", "PK-4", "PK-5", "PK-6")
    kept = ward.checkpoint("kept.cp")
    os.rename(ward.ledger, ward.folder / "lost.trayproof")
    seq = ward.run("restore", backup, "--second", "noor", "--checkpoint", kept, by="mara")["seq"]
    ward.run("countersign", seq, by="noor")
    ward.run("key", "rotate", "ledger", by="mara")
    check("before it grew past", ward.against(kept, 0)[0]["state"], "declared-lost")
    ward.packed("PK-7", "PK-8", "PK-9", "PK-10")
    check("after", ward.against(kept, 0)[0]["state"], "declared-lost")


def a_rollback():
    """The same loss without a word: put back by hand."""
    ward = Ward()
    ward.packed("PK-1")
    shutil.copy(ward.ledger, ward.folder / "old")
    ward.packed("PK-2", "PK-3")
    kept = ward.checkpoint("kept.cp")
    shutil.copy(ward.folder / "old", ward.ledger)
    state, says = ward.against(kept, 1)
    check("older", [state["state"], "OLDER COPY" in says], ["older-copy", True])
    ward.packed("PK-4", "PK-5", "PK-6")
    state, says = ward.against(kept, 1)
    check("another history", [state["state"], "ANOTHER HISTORY" in says], ["other-history", True])


def saved_by_editors():
    ward = Ward()
    ward.packed("PK-1")
    note = ward.checkpoint("c.cp").read_bytes()
    pack = ward.pack_of("PK-1", "p.zip")
    handed = ward.folder / "handed.cp"
    mark = b"\xef\xbb\xbf"
    for what, saved in (("as it is", note), ("mark", mark + note), ("CRLF", note.replace(b"\n", b"\r\n")),
                        ("both", mark + note.replace(b"\n", b"\r\n")), ("no end", mark + note.rstrip(b"\n"))):
        handed.write_bytes(saved)
        check(f"verify, {what}", ward.against(handed, 0)[0]["state"], "holds")
        check(f"check, {what}", ward.run("check", pack, "--checkpoint", handed)["whose"], "checkpoint")
    handed.write_bytes(note.replace(b"trayproof/", b"trayproof/0", 1))
    check("another ledger's is still told", ward.against(handed, 1)[0]["state"], "other-ledger")
    # A restore takes them as verify does.
    backup = ward.folder / "stick.backup"
    ward.run("backup", backup)
    ward.packed("PK-2")
    handed.write_bytes(mark + ward.checkpoint("d.cp").read_bytes().replace(b"\n", b"\r\n"))
    os.rename(ward.ledger, ward.folder / "lost.trayproof")
    check("restore", ward.run("restore", backup, "--second", "noor", "--checkpoint", handed, by="mara")["lost_after"] is not None)


def a_card_read_back():
    ward = Ward()
    ward.packed("PK-1")
    card = ward.folder / "card.png"
    note = ward.run("checkpoint", "--qr", card)["note"]
    read = subprocess.run([program, "read-code"], stdin=card.open("rb"), capture_output=True)
    check("byte for byte", [read.returncode, read.stdout], [0, note.encode()])
    scanned = ward.folder / "scanned.cp"
    scanned.write_bytes(read.stdout)
    check("and it holds", ward.against(scanned, 0)[0]["state"], "holds")
    read = subprocess.run([program, "--json", "read-code"], stdin=card.open("rb"), capture_output=True, text=True)
    check("as JSON", json.loads(read.stdout), {"seen": "code", "codes": [note]})


class Witness:
    """Somebody with a key of their own who co-signs (C2SP tlog-cosignature); openssl signs."""

    def __init__(self, folder, name, number):
        self.name, self.seed = name, bytes([number]) * 32
        self.key = folder / f"{number}.der"
        self.key.write_bytes(bytes.fromhex("302e020100300506032b657004220420") + self.seed)
        public = subprocess.run(["openssl", "pkey", "-inform", "DER", "-in", self.key, "-pubout", "-outform", "DER"],
                                capture_output=True, check=True).stdout[-32:]
        self.id = hashlib.sha256(name.encode() + b"\n\x04" + public).digest()[:4]
        self.vkey = f"{name}+{self.id.hex()}+{base64.b64encode(bytes([4]) + public).decode()}"

    def cosigned(self, note, seconds=1791180000):
        text = note.split(b"\n\n")[0] + b"\n"
        message = self.key.with_suffix(".text")
        message.write_bytes(b"cosignature/v1\ntime %d\n" % seconds + text)
        signature = subprocess.run(["openssl", "pkeyutl", "-sign", "-keyform", "DER", "-inkey", self.key, "-rawin", "-in", message],
                                   capture_output=True, check=True).stdout
        line = base64.b64encode(self.id + struct.pack(">Q", seconds) + signature).decode()
        return note + f"— {self.name} {line}\n".encode()


def witnesses_who_did_not_sign():
    ward = Ward()
    ward.packed("PK-1")
    note = ward.checkpoint("c.cp").read_bytes()
    first, second = Witness(ward.folder, "district.example/1", 1), Witness(ward.folder, "district.example/2", 2)
    imposter = Witness(ward.folder, "district.example/1", 3)
    file = ward.folder / "w.cp"
    file.write_bytes(first.cosigned(note))

    def verified(*keys, status):
        asked = [word for key in keys for word in ("--witness-key", key)]
        found = ward.run("verify", "--checkpoint", file, *asked, status=status)
        return found, ward.call("verify", "--checkpoint", file, *asked).stdout

    found, said = verified(first.vkey, status=0)
    check("signed", [one["state"] for one in found["checkpoint_states"][-1]["signatures"]], ["fits", "fits"])
    found, said = verified(second.vkey, status=1)
    check("the second is missing", ["district.example/2" in found["problems"][0]["what"], len(found["problems"])], [True, 1])
    verified(first.vkey, second.vkey, status=1)
    # Under the name of a witness whose key is given, by another key.
    file.write_bytes(imposter.cosigned(note))
    found, said = verified(first.vkey, status=1)
    check("another's", found["checkpoint_states"][-1]["signatures"][-1]["state"], "other-key")
    check("in words", ["NOT BY THE KEY GIVEN" in said, "its key was not given" in said], [True, False])
    file.write_bytes(second.cosigned(first.cosigned(note)))
    verified(first.vkey, second.vkey, status=0)
    # Without a checkpoint from elsewhere those kept here are looked at.
    ward.run("verify", "--witness-key", first.vkey, status=1)
    file.write_bytes(first.cosigned(note))
    ward.run("checkpoint", "--witness", file, "--witness-key", first.vkey)
    ward.run("verify", "--witness-key", first.vkey, status=0)


stories = [a_declared_loss, a_key_rotated_after_the_restore, a_rollback, saved_by_editors, a_card_read_back, witnesses_who_did_not_sign]
for story in stories:
    try:
        story()
    except Exception as error:  # a story that stops is told like one that finds something
        problems.append(f"{story.__name__}: {type(error).__name__} {error}")
print(f"{len(stories)} stories")
for one in problems:
    print(one)
sys.exit(1 if problems else 0)
