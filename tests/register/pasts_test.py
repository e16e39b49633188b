#!/usr/bin/env python3
"""Ledgers that tell several pasts, and what a register says when part of its work fails.

    pasts_test.py TRAYPROOF CLOCK_PARCELS
"""
import json
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from database import Database
from facilities import Facility, work
from register import Register, check, finished, rows_of

PROGRAM, CLOCK_PARCELS = sys.argv[1:]


def signed(register, facility, size):
    return register.count("register.states", f"ledger = '{facility.ledger()}' AND size = {size} AND cosigned IS NOT NULL")


def both_go_on(register, facility):
    """A backup is restored on another machine, and the old one goes on as well."""
    file, _ = facility.send()
    check("the first parcel is co-signed", register.one(file, 0)["co_signed"])
    backup = facility.folder / "stick.backup"
    facility.run("backup", backup)
    spare = facility.copy(facility.name + "-spare")
    facility.record(work(facility.name, 3, first=5))
    file, told = facility.send()
    check("what goes on is co-signed", register.one(file, 0)["co_signed"])
    spare.run("restore", backup, "--second", "noor")
    early, _ = spare.send(0)
    spare.record(work("spare", 1, first=9))
    later, _ = spare.send(0)
    done = register.one(later, 1)
    check("the spare is a restore, and its answer is of another state", (done["outcome"], done["co_signed"]), ("restored", False))
    check("a state that it sent before is older, whatever the lost past had", register.one(early, 0)["outcome"], "older")
    facility.record(work(facility.name, 1, first=10))
    file, goes_on = facility.send(told["size"])
    done = register.one(file, 1)
    check("the old machine goes on beside it", (done["outcome"], done["parted"], done["co_signed"]), ("forked", None, False))
    check("and is not co-signed", (signed(register, facility, told["size"]), signed(register, facility, goes_on["size"])), (1, 0))
    apart = [row for row in rows_of(register.json("register", "apart", at="asker")) if row["size"] == goes_on["size"]]
    check("it is shown apart", [row["outcome"] for row in apart], ["forked"])
    listed = {row["ledger"]: row for row in rows_of(register.json("register", "facilities", at="asker"))}
    check("and counted as a fork", (listed[facility.ledger()]["forks"], listed[facility.ledger()]["restores"]), (1, 1))
    done = register.one(file, 1)
    check("told again it is still apart", (done["outcome"], done["apart"]), ("repeated", True))
    spare.record(work("spare", 1, first=11))
    file, _ = spare.send(0)
    done = register.one(file, 0)
    check("the restored past is taken, not co-signed", (done["outcome"], done["co_signed"]), ("taken", False))
    spare.record(work("spare", 1, first=12))
    file, _ = spare.send(0)
    said = register.call("receive", file, "--witness", register.key).stdout
    check("and so it says", ("does not co-sign this line" in said, "has co-signed" in said), (True, False))


def restored_fork(register, facility):
    """What is restored from a backup of a fork is no past that answers count."""
    file, _ = facility.send()
    register.one(file, 0)
    two, three = facility.copy(facility.name + "-two"), facility.copy(facility.name + "-three")
    facility.record(work(facility.name, 1, first=5))
    file, told = facility.send()
    register.one(file, 0)
    two.record(work("two", 3, first=5))
    file, _ = two.send(0)
    check("another past", register.one(file, 1)["outcome"], "forked")
    backup = two.folder / "stick.backup"
    two.run("backup", backup)
    two.record(work("two", 2, first=9))
    file, _ = two.send(0)
    check("goes on", register.one(file, 1)["outcome"], "forked")
    two.run("restore", backup, "--second", "noor")
    two.record(work("two", 1, first=12))
    file, _ = two.send(0)
    done = register.one(file, 1)
    check("restored from its own backup it is a fork still", (done["outcome"], done["parted"] is not None), ("forked", True))
    check("and answers count the first past", register.database.sql(f"SELECT line FROM derived.watermark WHERE ledger = '{facility.ledger()}'"), "1")
    three.record(work("three", 2, first=5))
    size = three.json("verify")["events"]
    three.record(work("three", 1, first=8))
    file, _ = three.send(size)
    done = register.one(file, 3)
    check("a third that begins behind the present past needs what is before", (size > told["size"], done["outcome"], done["held"]),
          (True, "needs-before", told["size"]))


def half_done(register, facility, other):
    """Answers that cannot be written and tables that cannot be worked out take nothing back."""
    facility.record([{"kind": "packed", "at": "2026-11-20T08:00:00+05:30", "by": "ana", "pack": "NEW-1", "set": "DS-1", "wrap": "wrapped",
                      "indicator_lot": "IND-NEW"}])
    file, _ = facility.send(0)
    done = register.call("receive", file, "--witness", register.key, "-o", facility.folder / "none" / "answer", json_out=True)
    told = json.loads(done.stdout)["files"][0]
    check("an answer that cannot be written", (done.returncode, told["outcome"], told["answer"]), (3, "taken", None))
    check("what was taken in stands", "What was taken in stands" in done.stderr)
    register.database.sql("DELETE FROM derived.watermark")
    broken = register.call("receive", file, "--witness", register.key, json_out=True, env={"TMPDIR": "/nonexistent"})
    answer = json.loads(broken.stdout)
    check("tables that cannot be worked out", (broken.returncode, answer["files"][0]["outcome"], [one["ledger"] for one in answer["not_derived"]]),
          (4, "repeated", [facility.ledger()]))
    check("in words that are true", ("its tables could not be worked out" in broken.stderr, "nothing" in broken.stderr), (True, False))
    listed = {row["ledger"]: row["tables"] for row in rows_of(register.json("register", "facilities", at="asker"))}
    check("tables that are behind are shown", set(listed.values()), {"behind"})
    asked = register.call("register", "lot", "IND-NOWHERE", at="asker", json_out=True)
    said = json.loads(asked.stdout)
    check("no lot is unknown meanwhile", (asked.returncode, said["rows"], facility.ledger() in said["behind"]), (3, [], True))
    said = " ".join(register.call("register", "lot", "IND-NOWHERE", at="asker").stdout.split())
    check("in plain words", ("That is no answer yet" in said, "None found" in said), (True, False))
    check("the same file again catches up", register.one(file, 0)["outcome"], "repeated")
    listed = {row["ledger"]: row["tables"] for row in rows_of(register.json("register", "facilities", at="asker"))}
    check("its tables are current", (listed[facility.ledger()], listed[other.ledger()]), ("current", "behind"))

    where = f"ledger = '{other.ledger()}' AND line = 1 AND seq = 3"
    kept = register.database.sql(f"SELECT entry FROM register.entries WHERE {where}")
    register.database.sql(f"UPDATE register.entries SET entry = left(entry, 20) WHERE {where}")
    done = register.call("register", "derive", json_out=True)
    told = json.loads(done.stdout)
    check("one ledger that fails is named, the others are worked out",
          (done.returncode != 0, [one["ledger"] for one in told["failed"]], told["ledgers"]), (True, [other.ledger()], len(listed) - 2))
    listed = {row["ledger"]: row["tables"] for row in rows_of(register.json("register", "facilities", at="asker"))}
    check("and shown", [ledger for ledger, state in listed.items() if state == "behind"], [other.ledger()])
    register.database.sql(f"UPDATE register.entries SET entry = $entry${kept}$entry$ WHERE {where}")
    check("put back, it is worked out", register.json("register", "derive")["failed"], [])
    check("then a lot that nobody names is unknown", register.call("register", "lot", "IND-NOWHERE", at="asker").returncode, 3)
    check("and nothing is behind", register.json("register", "lot", "IND-NEW", at="asker")["behind"], [])


def named_otherwise(register, facility):
    """Who carries a parcel can call it anything: names come of entries."""
    file, _ = facility.send(0)
    out = file.with_name("named.parcel")
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            data = old.read(member)
            if member == "parcel.json":
                data = json.dumps({**json.loads(data), "facility": "Ward\u001b[31m\u202eX\nY"}).encode()
            new.writestr(member, data)
    done = register.call("receive", out, "--witness", register.key)
    said = done.stdout + done.stderr
    check("named by its entries", ("Ward" in said, f"Health centre {facility.name}" in said), (False, True))
    stranger = Facility(PROGRAM, facility.folder, "stranger")
    file, _ = stranger.send(0)
    done = register.one(file, 0)
    check("a new one too", (done["facility"], done["new"]), ("Health centre stranger", True))


def clock_noted(register, folder):
    """A clock that was set back is noted before the restore: a restore all the same."""
    subprocess.run([CLOCK_PARCELS, folder], check=True)
    done = register.one(folder / "before.parcel", 0)
    ledger = done["ledger"]
    done = register.one(folder / "after.parcel", 1)
    kinds = register.database.sql(f"SELECT kind FROM register.entries WHERE ledger = '{ledger}' AND line = 2 ORDER BY seq LIMIT 2").split()
    check("the clock stands before the restore", kinds, ["clock-noted", "ledger-restored"])
    check("and it is a restore", (done["outcome"], done["entries"] >= 2), ("restored", True))
    check("from where the clock was noted", register.database.sql(f"SELECT min(seq) FROM register.entries WHERE ledger = '{ledger}' AND line = 2"),
          str(done["parted"]))
    check("answers count it", register.database.sql(f"SELECT line FROM derived.watermark WHERE ledger = '{ledger}'"), "2")


def clock_ahead(register, folder):
    """An event that a wrong clock put years ahead takes nothing from what the rules look at."""
    judged = lambda ledger: register.database.sql(f"SELECT rule, subjects FROM derived.gap_counts WHERE ledger = '{ledger}' AND subjects >= 6 ORDER BY rule").splitlines()
    ledger = register.one(folder / "month.parcel", 0)["ledger"]
    rules = [one.split("|")[0] for one in judged(ledger)]
    check("rules look at six packs", len(rules) >= 3)
    register.one(folder / "ahead.parcel", 0)
    check("and still do with one event of years ahead", set(rules) - {one.split("|")[0] for one in judged(ledger)}, set())


def small_numbers(register):
    """Of all facilities together as of one."""
    sums = {}
    for line in register.database.sql("SELECT rule, sum(subjects), sum(gaps), sum(cannot_tell) FROM derived.gap_counts GROUP BY rule").splitlines():
        rule, *counts = line.split("|")
        sums[rule] = [int(one) for one in counts]
    rows = {row["rule"]: row for row in rows_of(register.json("register", "gaps", at="asker"))}
    few = lambda count: 0 < count < 5
    wanted = {rule: (None if few(of) else of, *(None if few(of) or few(one) or few(of - one) else one for one in (gaps, open_)))
              for rule, (of, gaps, open_) in sums.items()}
    check("counts below five are withheld", {rule: (row["of"], row["gaps"], row["cannot_tell"]) for rule, row in rows.items()}, wanted)
    check("some are, some are not", (any(None in one for one in wanted.values()), any(None not in one for one in wanted.values())), (True, True))


def main():
    started = time.monotonic()
    folder = Path(tempfile.mkdtemp(prefix="trayproof-pasts-"))
    database = Database()
    try:
        register = Register(PROGRAM, database, folder)
        register.json("register", "prepare", at="owner")
        database.sql("CREATE ROLE clerk LOGIN IN ROLE trayproof_writer; CREATE ROLE asker LOGIN IN ROLE trayproof_reader")
        facilities = [Facility(PROGRAM, folder, f"P{i}") for i in range(3)]
        for facility in facilities:
            facility.record(work(facility.name, 2))
        both_go_on(register, facilities[0])
        restored_fork(register, facilities[1])
        half_done(register, facilities[2], facilities[0])
        named_otherwise(register, facilities[2])
        clock_noted(register, folder)
        clock_ahead(register, folder)
        small_numbers(register)
    finally:
        database.close()
        shutil.rmtree(folder)
    finished("pasts", started)


main()
