"""What a register does when it grows: work shared, partitions, a replica, a copy put back. The commands are those of
docs/operations.md."""
import json
import os
import subprocess
from pathlib import Path

from facilities import work
from register import check


def shared(register):
    """Two that work tables out at once share the ledgers between them."""
    register.database.sql("DELETE FROM derived.watermark")
    running = [subprocess.Popen([register.program, "--json", "register", "derive", "--register", register.database.at("clerk")], stdout=subprocess.PIPE, text=True)
               for _ in range(2)]
    told = [json.loads(one.communicate()[0]) for one in running]
    check("two at once: nobody fails", ([one.returncode for one in running], [one["failed"] for one in told]), ([0, 0], [[], []]))
    check("each ledger once", sum(one["ledgers"] for one in told), register.count("register.ledgers"))


def commands_from_page(beginning, ending):
    """As they stand in docs/operations.md."""
    page = (Path(__file__).resolve().parents[2] / "docs" / "operations.md").read_text()
    begin = page.index(beginning)
    return page[begin:page.index(ending, begin) + len(ending)]


def dumped(register, facility):
    """A register put back from an older copy, by the commands of docs/operations.md, takes in again what it lacks."""
    database = register.database
    commands = commands_from_page("    pg_dump ", "district.dump\n").replace("host=db", f"host={database.socket}")
    held = int(database.sql(f"SELECT max(size) FROM register.states WHERE ledger = '{facility.ledger()}'"))
    subprocess.run(["bash", "-euc", commands.split("\n", 1)[0]], check=True, cwd=facility.folder)
    facility.record(work(facility.name, 1, first=67))
    file, _ = facility.send()
    check("after the copy one more parcel is taken", register.one(file, 0)["outcome"], "taken")
    facility.keep(str(file) + ".cosigned", register.vkey)
    facility.record(work(facility.name, 1, first=68))
    file, _ = facility.send()
    subprocess.run(["bash", "-euc", commands.split("\n", 1)[1]], check=True, cwd=facility.folder, env={**os.environ, "PGHOST": str(database.socket), "PGUSER": "keeper"})
    again = lambda one: json.loads(subprocess.run([register.program, "--json", "receive", one, "--witness", register.key, "--register", database.at("clerk", "district_again")],
                                                  capture_output=True, text=True).stdout)["files"][0]
    done = again(file)
    check("a register put back lacks what came after the copy", (done["outcome"], done["held"]), ("needs-before", held))
    file, _ = facility.send(held)
    done = again(file)
    check("and takes it in again, each entry once", (done["outcome"], done["co_signed"], done["since"]), ("taken", True, held))


def grown(register, facility):
    """Partitions and a replica, by the commands of docs/operations.md."""
    database = register.database
    commands = commands_from_page("    BEGIN;\n    ALTER TABLE register.entries", "    COMMIT;\n")
    before = register.count()
    database.script(commands)
    check("nothing is lost in partitions", (register.count(), register.count("register.entries_0") + register.count("register.entries_1")), (before, before))
    register.json("register", "prepare", at="owner")
    check("clerks may write there, and no more", database.refuses("DELETE FROM register.entries_0", "clerk"))
    facility.record(work(facility.name, 1, first=66))
    file, _ = facility.send()
    check("a parcel is taken into partitions", register.one(file, 0)["outcome"], "taken")
    database.sql("CREATE ROLE copier LOGIN REPLICATION", "keeper")
    with database.replica("copier", 5433) as at:
        asked_there = subprocess.run([register.program, "--json", "register", "lot", "IND-A", "--register", at("asker")], capture_output=True, text=True)
        check("a replica answers", json.loads(asked_there.stdout)["rows"], register.json("register", "lot", "IND-A", at="asker")["rows"])
        taken = subprocess.run([register.program, "receive", file, "--witness", register.key, "--register", at("clerk")], capture_output=True, text=True)
        check("and takes nothing in", (taken.returncode, "read-only" in taken.stderr), (3, True))
