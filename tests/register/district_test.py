#!/usr/bin/env python3
"""Ten facilities and their register: the real program, a PostgreSQL of the test's own, and every fault on the way.

    district_test.py TRAYPROOF
"""
import csv
import io
import json
import math
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree
import zipfile
from fractions import Fraction
from pathlib import Path

import openpyxl

sys.path.insert(0, str(Path(__file__).parent))
from database import Database
from facilities import Facility, many, work
from growing import dumped, grown, shared
from register import Register, altered, check, finished, rows_of

PROGRAM = sys.argv[1]


def without_register(register, facility):
    """Not there, not prepared, no key."""
    file, _ = facility.send(0)
    dead = subprocess.run([PROGRAM, "receive", file, "--witness", register.key, "--register", "host=/nonexistent dbname=district"],
                          capture_output=True, text=True)
    check("a register that is down: status", dead.returncode, 4)
    check("a register that is down is said to be", "cannot be reached, and nothing was taken" in dead.stderr)
    check("no password or connection is repeated", "dbname" not in dead.stderr)
    unprepared = register.call("receive", file, "--witness", register.key, at="owner")
    check("a database that is no register: status", unprepared.returncode, 3)
    check("a database that is no register tells what to do", "register prepare" in unprepared.stderr)
    file.unlink()


def prepared(register):
    database = register.database
    first = register.json("register", "prepare", at="owner")
    check("prepare applies every migration", (first["applied"], first["derived_anew"]), (first["number"], True))
    again = register.json("register", "prepare", at="owner")
    check("prepare again does nothing", (again["applied"], again["derived_anew"]), (0, False))
    database.sql("CREATE ROLE clerk LOGIN IN ROLE trayproof_writer; CREATE ROLE asker LOGIN IN ROLE trayproof_reader")
    check("the register's key is its owner's alone", oct(register.key.stat().st_mode & 0o777), "0o600")
    keyed = database.sql("SELECT count(*) FROM pg_index i JOIN pg_class c ON c.oid = i.indrelid JOIN pg_namespace n ON n.oid = "
                         "c.relnamespace JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = i.indkey[0] WHERE i.indisunique AND "
                         "n.nspname IN ('register', 'derived') AND a.attname <> 'ledger' AND c.relname NOT IN ('migrations', 'shape')")
    check("the ledger's id is first in every key", keyed, "0")
    check("no triggers", database.sql("SELECT count(*) FROM pg_trigger WHERE NOT tgisinternal"), "0")
    check("no identity columns and no sequences",
          database.sql("SELECT (SELECT count(*) FROM pg_attribute WHERE attidentity <> '') + (SELECT count(*) FROM pg_sequences)"), "0")


def roles(database):
    for table in ("ledgers", "lines", "entries", "states", "deliveries"):
        for user in ("clerk", "asker"):
            check(f"{user} cannot change {table}", database.refuses(f"UPDATE register.{table} SET ledger = ledger", user))
            check(f"{user} cannot remove from {table}", database.refuses(f"DELETE FROM register.{table}", user))
            check(f"{user} cannot empty {table}", database.refuses(f"TRUNCATE register.{table}", user))
        check(f"asker cannot add to {table}", database.refuses(f"INSERT INTO register.{table} SELECT * FROM register.{table}", "asker"))
    check("asker cannot change what is derived", database.refuses("DELETE FROM derived.packs", "asker"))


def first_parcels(register, facilities):
    """Two parcels of each, all given at once in any order; then each facility keeps its answer."""
    files, wanted = [], 0
    for facility in facilities:
        file, told = facility.send()
        check(f"{facility.name}: nothing was answered yet, all is sent", told["since"], 0)
        files.append(file)
        facility.record(work(facility.name, 3, first=3, lots=("IND-A", "IND-B")))
        second, more = facility.send(told["size"])
        files.append(second)
        wanted += more["size"]
    random.Random(7).shuffle(files)
    status, told, _ = register.receive(*files)
    check("ten facilities' parcels: status", status, 0)
    check("ten facilities' parcels: all taken", {one["outcome"] for one in told.values()}, {"taken"})
    check("each first parcel shows the ledger's key", sum(one["vkey"] is not None for one in told.values()), len(facilities))
    check("every entry once", register.count(), wanted)
    for facility in facilities:
        answer = told[f"{facility.name}-2.parcel"]["answer"]
        kept = facility.keep(answer, register.vkey)
        check(f"{facility.name}: the register's signature is kept", kept["added"], 1)
    facility = facilities[0]
    facility.record(work(facility.name, 1, first=6))
    file, told = facility.send()
    check("the next parcel begins where the answer ended", told["since"], kept_size(facility))
    check("the next parcel is taken", register.one(file, 0)["outcome"], "taken")
    register.database.sql(f"DELETE FROM derived.facility_described WHERE ledger = '{facility.ledger()}'")
    untitled = register.call("receive", file, "--later", "--witness", register.key, json_out=True)
    check("where no table tells the title, the entries do", json.loads(untitled.stdout)["files"][0]["facility"], f"Health centre {facility.name}")
    register.database.sql(f"DELETE FROM derived.watermark WHERE ledger = '{facility.ledger()}'")
    register.json("register", "derive")
    facility.run("verify", "--full")


def kept_size(facility):
    notes = sqlite3.connect(facility.path).execute("SELECT note FROM checkpoints").fetchall()
    return max(int(note.split("\n")[1]) for (note,) in notes if "district.example/register" in note)


def rechecked(register):
    """By PostgreSQL itself: hashes over the bytes, and each entry's prev."""
    sql = register.database.sql
    check("every hash is that of its bytes",
          sql("SELECT count(*) FROM register.entries WHERE hash <> sha256('\\x00'::bytea || convert_to(entry, 'UTF8'))"), "0")
    check("every entry names the one before it",
          sql("SELECT count(*) FROM register.entries e JOIN register.entries p ON p.ledger = e.ledger AND p.line = e.line AND p.seq = "
              "e.seq - 1 WHERE (e.entry::jsonb)->>'prev' <> encode(p.hash, 'hex')"), "0")


def derived_equal(register, facility):
    """The derived tables in the register against those beside the ledger, row by row."""
    facility.run("rebuild")
    beside = sqlite3.connect(str(facility.path) + ".links")
    ledger = facility.ledger()
    tables = [name for (name,) in beside.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name <> 'watermark'")]
    wanted, reals, script = {}, {}, ""
    for table in tables:
        columns = [(row[1], row[2]) for row in beside.execute(f'SELECT * FROM pragma_table_info("{table}")')]
        reals[table] = {i for i, (_, sort) in enumerate(columns) if sort == "REAL"}
        wanted[table] = sorted(tuple("" if cell is None else str(float(cell)) if i in reals[table] else str(cell) for i, cell in enumerate(row))
                               for row in beside.execute(f'SELECT * FROM "{table}"'))
        picked = ", ".join(f'(extract(epoch FROM "{name[:-2]}time") * 1000)::bigint' if name.endswith("_ms") else '"ledger_told"' if name == "ledger"
                           else f'"{name}"' for name, _ in columns)
        script += f"\\echo === {table}\nCOPY (SELECT {picked} FROM derived.\"{table}\" WHERE ledger = '{ledger}') TO STDOUT (FORMAT csv);\n"
    rows = 0
    for part in register.database.script(script).split("=== ")[1:]:
        table, text = part.split("\n", 1)
        found = sorted(tuple(str(float(cell)) if i in reals[table] and cell else cell for i, cell in enumerate(row))
                       for row in csv.reader(io.StringIO(text)) if row)
        rows += len(found)
        here = wanted.pop(table)
        if here != found:
            check(f"{facility.name}: table {table}", found[:3], here[:3])
    check(f"{facility.name}: no table is missing", wanted, {})
    check(f"{facility.name}: {len(tables)} derived tables with {rows} rows are the facility's own", rows > 100)


def lots(register, facilities):
    """What went where, against each facility's own recall."""
    every = {lot for facility in facilities for (lot,) in sqlite3.connect(str(facility.path) + ".links").execute(
        "SELECT DISTINCT id FROM mentions WHERE thing = 'lot' AND holds = 1")}
    check("lots of several sorts", {"IND-A", "IND-B", "WRP-1", "CH-IND-A"} <= every)
    for lot in sorted(every):
        answer = rows_of(register.json("register", "lot", lot, at="asker"))
        by_ledger = {row["ledger"]: row for row in answer}
        found = {}
        for facility in facilities:
            done = facility.call("recall", "--because", "lot-withdrawn", "--lot", lot, json_out=True)
            if done.returncode == 0:
                found[facility.ledger()] = json.loads(done.stdout)
        check(f"{lot}: the facilities that name it", set(by_ledger), set(found))
        for ledger, recall in found.items():
            row = by_ledger[ledger]
            for what, key, column in (("loads", "load", "load_ids"), ("packs", "pack", "pack_ids"), ("procedures", "procedure", "procedure_ids")):
                theirs = sorted(one[key] for one in recall[what])
                check(f"{lot}: {row['facility']}: {what}", (sorted((row[column] or "").split()), row[what]), (theirs, len(theirs)))
    unknown = register.call("register", "lot", "NOBODY", at="asker")
    check("a lot that nobody names", (unknown.returncode, "NOBODY" in unknown.stderr), (3, True))


def quantile(of, share, level):
    """The smallest count whose cumulative binomial probability is at least `level`, in whole numbers."""
    share, total = Fraction(share), Fraction(0)
    for found in range(of + 1):
        total += math.comb(of, found) * share**found * (1 - share) ** (of - found)
        if total >= level:
            return found
    return of


def withheld_of(counts):
    """Those that tell of fewer than five, and the smallest others until the sums tell nothing of them."""
    tells = lambda found, of: any(0 < one < 5 for one in (found, of - found, of))
    out = [ledger for ledger, (found, of) in counts.items() if tells(found, of)]
    sums = lambda: [sum(counts[ledger][i] for ledger in out) for i in (0, 1)]
    rest = sorted((ledger for ledger in counts if ledger not in out), key=lambda ledger: counts[ledger][1])
    while out and rest and (len(out) == 1 or tells(*sums())):
        out.append(rest.pop(0))
    return set(out)


def coverage(register, facilities):
    answer = register.json("register", "coverage", at="asker")
    rows = {row["ledger"]: row for row in rows_of(answer)}
    counts = {}
    for facility in facilities:
        beside = sqlite3.connect(str(facility.path) + ".links")
        counts[facility.ledger()] = beside.execute("SELECT sum(evidence = 'recorded'), count(*) FROM loads WHERE start_seq IS NOT NULL").fetchone()
    found, of = (sum(one[i] for one in counts.values()) for i in (0, 1))
    check("coverage of all", (answer["overall"]["found"], answer["overall"]["of"]), (found, of))
    few = withheld_of(counts)
    for ledger, (mine, total) in counts.items():
        row = rows[ledger]
        if ledger in few:
            check(f"{row['facility']}: few are withheld", (row["found"], row["of"], row["share"], row["place"]), (None, None, None, "withheld"))
            continue
        check(f"{row['facility']}: its share", (row["found"], row["of"], round(row["share"], 9)), (mine, total, round(mine / total, 9)))
        for name, level in (("low_95", Fraction(25, 1000)), ("high_95", Fraction(975, 1000)), ("low_998", Fraction(1, 1000)), ("high_998", Fraction(999, 1000))):
            check(f"{row['facility']}: {name}", round(row[name] * total), quantile(total, Fraction(found, of), level))
    withheld = len(few)
    check("some are withheld, some shown", (withheld > 0, withheld < len(counts)), (True, True))
    volumes = [row["of"] for row in rows_of(answer) if row["of"] is not None]
    check("by volume", volumes, sorted(volumes, reverse=True))
    check("no such measure", register.call("register", "coverage", "--measure", "luck", at="asker").returncode, 3)
    none = register.json("register", "coverage", "--to", "2020-01-01", at="asker")
    check("a period without anything", none["rows"], [])
    known = register.json("register", "coverage", "--measure", "load-known", at="asker")
    check("every use has its load", known["overall"]["share"], 1)


def gap_shares(register, facilities):
    """What the rules say, against each facility's own `gaps` of the same year."""
    answer = rows_of(register.json("register", "gaps", at="asker"))
    sums = {}
    for facility in facilities:
        last = register.database.sql(f"SELECT to_char(until_time, 'YYYY-MM-DD\"T\"HH24:MI:SS.MS\"Z\"') FROM derived.gap_counts WHERE ledger = '{facility.ledger()}' LIMIT 1")
        for rule, one in facility.json("gaps", "--from", "2025-12-01", "--to", last)["looked_at"].items():
            if one["subjects"]:
                sums.setdefault(rule, []).append((one["subjects"], one["gaps"]))
    told = {row["rule"]: (row["facilities"], row["of"]) for row in answer}
    by_now = ("late", "overdue", "waiting")  # what the facility's clock decides is another matter today
    compared = [rule for rule in told if told[rule][1] is not None and not any(word in rule for word in by_now)]
    check("rules that looked at something", len(compared) > 10)
    wrong = [rule for rule in compared if told[rule] != (len(sums.get(rule, [])), sum(one[0] for one in sums.get(rule, [])))]
    check("each rule looked at what it looks at in each facility", wrong, [])
    rule = max(answer, key=lambda row: row["of"] or 0)["rule"]
    by_facility = register.json("register", "gaps", "--rule", rule, at="asker")
    check(f"{rule} by facility", len(by_facility["rows"]), told[rule][0])
    check("no such rule", register.call("register", "gaps", "--rule", "luck", at="asker").returncode, 3)


def other_questions(register, facilities, folder):
    listed = rows_of(register.json("register", "facilities", at="asker"))
    check("facilities: titles", sorted(row["facility"] for row in listed), sorted(f"Health centre {one.name}" for one in facilities))
    for row in listed:
        check(f"{row['facility']}: what it sent is co-signed", (row["entries"], row["forks"], row["warnings"]), (row["cosigned"], 0, 0))
    check("nobody is silent for 10,000 days", register.json("register", "silent", "--days", 10000, at="asker")["rows"], [])
    check("everybody is since this morning", len(register.json("register", "silent", "--days", 0, at="asker")["rows"]), len(facilities))
    sizes = rows_of(register.json("register", "sizes", at="asker"))
    check("each state that was taken in is listed", len(sizes), register.count("register.states"))
    check("nothing is apart yet", register.json("register", "apart", at="asker")["rows"], [])
    table = folder / "facilities.csv"
    register.json("register", "facilities", "-o", table, at="asker")
    with open(table, encoding="utf-8-sig", newline="") as file:
        check("as CSV", len(list(csv.DictReader(file))), len(facilities))
    book = folder / "coverage.xlsx"
    register.json("register", "coverage", "-o", book, at="asker")
    sheet = openpyxl.load_workbook(book).worksheets[0]
    check("as a workbook", any("Health centre F1" in str(cell.value) for row in sheet.iter_rows() for cell in row))
    drawn(register, folder)
    file, _ = facilities[0].send()
    asker = register.call("receive", file, "--witness", register.key, at="asker")
    check("a reader takes nothing in, and is told why", (asker.returncode, "needs trayproof_writer" in asker.stderr), (3, True))


def drawn(register, folder):
    """Funnel plots as files, and all answers as one workbook."""
    rule = max(rows_of(register.json("register", "gaps", at="asker")), key=lambda row: row["of"] or 0)["rule"]
    for question in (["coverage"], ["gaps", "--rule", rule]):
        plot = folder / f"{question[0]}.svg"
        answer = register.json("register", *question, "-o", plot, at="asker")
        svg = xml.etree.ElementTree.parse(plot).getroot()
        dots = [one for one in svg.iter("{http://www.w3.org/2000/svg}path") if one.get("fill-opacity") == "1"]
        shown = [row for row in rows_of(answer) if row["share"] is not None]
        check(f"{question[0]}: a dot for each share that is shown", len(dots), len(shown) if answer["overall"]["share"] is not None else 0)
        names = "".join(svg.itertext())
        inside = [row["facility"] for row in rows_of(answer) if not row["place"].endswith("-998") and row["facility"] in names]
        check(f"{question[0]}: no name of a place inside the limits, or withheld", inside, [])
    check("a plot of what has no shares is refused", register.call("register", "silent", "-o", folder / "silent.svg", at="asker").returncode, 2)
    book = folder / "district.xlsx"
    told = register.json("register", "report", "-o", book, at="asker")
    sheets = openpyxl.load_workbook(book).worksheets
    check("a book of all answers, and a plot for each of the three shares", (told["answers"], told["behind"], len(sheets)), (8, [], 11))
    with zipfile.ZipFile(book) as parts:
        check("with the plots in it", len([one for one in parts.namelist() if one.startswith("xl/media/")]), 3)
    first = [[cell.value for cell in row] for row in sheets[0].iter_rows()]
    head = next(i for i, row in enumerate(first) if "Facility" in row)
    check("as many facilities as are asked for", len([row for row in first[head + 1:] if row[0]]), len(rows_of(register.json("register", "facilities", at="asker"))))
    pdf = register.call("register", "report", "-o", folder / "district.pdf", at="asker")
    check("a book is a workbook", (pdf.returncode, ".csv" in pdf.stderr), (2, False))
    check("a book is not written over", register.call("register", "report", "-o", book, at="asker").returncode, 3)


def after_all(register):
    """What stands apart in the end, and what was signed with a stolen key."""
    outcomes = {row["outcome"] for row in rows_of(register.json("register", "apart", at="asker"))}
    check("what stands apart", outcomes, {"forked", "restored", "rolled-back", "other-past"})
    rows = {row["facility"]: row for row in rows_of(register.json("register", "facilities", at="asker"))}
    robbed = rows["Health centre F5"]
    stolen = register.database.sql(f"SELECT entry::jsonb->>'public' FROM register.entries WHERE ledger = '{robbed['ledger']}' AND kind = 'key-retired' "
                                   "AND entry::jsonb->>'cause' = 'stolen'")
    lines = {line: register.count(where=f"ledger = '{robbed['ledger']}' AND line {line} AND entry::jsonb->>'key' = '{stolen}'") for line in ("= 1", "> 1")}
    check("what the thief signed stands in another past", lines["> 1"] > 0)
    check("signed with a stolen key, in whatever past", robbed["signed_after_theft"], sum(lines.values()))
    check("nobody else's was", sum(row["signed_after_theft"] > 0 for row in rows.values()), 1)
    check("forks are counted", rows["Health centre F6"]["forks"], 1)
    check("restores are counted", rows["Health centre F9"]["restores"], 1)
    check("warnings are counted", (rows["Health centre F7"]["warnings"] > 0, rows["Health centre F8"]["warnings"] > 0), (True, True))
    register.database.sql("DELETE FROM derived.watermark")
    again = register.json("register", "derive")
    check("tables are worked out again", again["ledgers"], len(rows))
    check("and then there is nothing to do", register.json("register", "derive"), {"ledgers": 0, "rows": 0, "failed": []})


def repeats(register, facility):
    before = register.count()
    file, told = facility.send(0)
    check("a file that is held already: nothing new", register.one(file, 0)["outcome"], "repeated")
    check("the same file again: nothing new", register.one(file, 0)["outcome"], "repeated")
    answer = Path(str(file) + ".cosigned").read_text()
    check("and the same answer", f"\n{told['size']}\n" in answer and "district.example/register" in answer)
    facility.record(work(facility.name, 1, first=8))
    overlapping, told = facility.send(10)
    check("a file that overlaps brings what is new", register.one(overlapping, 0)["entries"], told["size"] - before_last(register, facility))
    check("nothing is doubled", register.count(), before + told["size"] - before_last(register, facility))


def before_last(register, facility):
    """How many entries the register held of it before its newest state."""
    sizes = register.database.sql(f"SELECT size FROM register.states WHERE ledger = '{facility.ledger()}' ORDER BY size").split()
    return int(sizes[-2])


def out_of_order(register, facility):
    held = int(register.database.sql(f"SELECT max(size) FROM register.states WHERE ledger = '{facility.ledger()}'"))
    facility.record(work(facility.name, 1, first=10))
    first, told = facility.send(held)
    facility.record(work(facility.name, 1, first=11))
    second, _ = facility.send(told["size"])
    before = register.count()
    done = register.one(second, 3)
    check("what comes too early is not taken", (done["outcome"], done["held"], register.count()), ("needs-before", held, before))
    said = register.call("receive", second, "--witness", register.key).stdout
    check("and says from where to send", f"send --since {held}" in said)
    check("then in order", (register.one(first, 0)["outcome"], register.one(second, 0)["outcome"]), ("taken", "taken"))


def refused(register, facility):
    before = register.count()
    facility.record(work(facility.name, 1, first=12))
    file, told = facility.send()
    size = told["since"]
    half = file.with_name("half.parcel")
    half.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    check("half a file is refused", register.one(half, 3)["outcome"], "refused")

    def swap_pack(lines):
        lines[4] = lines[4].replace("-P", "-Q", 1)
    done = register.one(altered(file, "byte.parcel", swap_pack), 3)
    check("a changed byte is named by its seq", (done["outcome"], done["wrong"]["seq"]), ("refused", size + 5))
    done = register.one(altered(file, "gap.parcel", lambda lines: lines.pop(2)), 3)
    check("a missing entry is named by its seq", (done["outcome"], done["wrong"]["seq"]), ("refused", size + 3))
    said = register.call("receive", file.with_name("gap.parcel"), "--witness", register.key).stdout
    check("in plain words", f"refused at entry {size + 3}, nothing of it was taken" in said)
    foreign = Facility(PROGRAM, facility.folder, "stranger")
    own, _ = foreign.send(0)
    with zipfile.ZipFile(own) as archive:
        lines = archive.read("entries.jsonl").decode().splitlines()
    done = register.one(altered(file, "foreign.parcel", lambda mine: mine.__setitem__(slice(None), lines)), 3)
    check("another ledger's entries are refused", done["outcome"], "refused")
    check("of what is refused nothing stays", register.count(), before)
    check("the true file is taken after all that", register.one(file, 0)["outcome"], "taken")


def two_at_once(register, facility, other):
    """The same file by three clerks, and another facility's by a fourth, at the same time."""
    before = register.count()
    facility.record(work(facility.name, 2, first=14))
    other.record(work(other.name, 2, first=14))
    (file, told), (file_2, told_2) = facility.send(), other.send()
    held = {one.name: int(register.database.sql(f"SELECT max(size) FROM register.states WHERE ledger = '{one.ledger()}'"))
            for one in (facility, other)}
    copies = [file, shutil.copy(file, file.with_name("copy-1.parcel")), shutil.copy(file, file.with_name("copy-2.parcel")), file_2]
    running = [subprocess.Popen([PROGRAM, "--json", "receive", one, "--witness", register.key, "--register", register.database.at("clerk")],
                                stdout=subprocess.PIPE, text=True) for one in copies]
    outcomes = [json.loads(one.communicate()[0])["files"][0]["outcome"] for one in running]
    check("at once: nobody fails", [one.returncode for one in running], [0, 0, 0, 0])
    check("at once: one takes the file, the others find it there", sorted(outcomes[:3]), ["repeated", "repeated", "taken"])
    check("at once: the other facility's is taken beside it", outcomes[3], "taken")
    check("at once: every entry once", register.count() - before, told["size"] - held[facility.name] + told_2["size"] - held[other.name])


def keys_change(register, facility):
    facility.run("key", "rotate", "station")
    facility.record(work(facility.name, 1, first=16))
    facility.run("key", "rotate", "ledger")
    facility.record(work(facility.name, 1, first=17))
    file, _ = facility.send()
    check("new keys of station and ledger are followed", register.one(file, 0)["outcome"], "taken")
    facility.keep(str(file) + ".cosigned", register.vkey)
    thief = facility.copy(facility.name + "-stolen")
    facility.run("key", "rotate", "station", "--cause", "stolen", "--since", "2026-01-01T00:00:00+05:30")
    file, _ = facility.send()
    check("a key reported stolen is taken in", register.one(file, 0)["outcome"], "taken")
    thief.record(work("T", 1, first=18))
    file, _ = thief.send()
    done = register.one(file, 1)
    check("what the thief writes with it is another past", done["outcome"], "forked")
    facility.record(work(facility.name, 1, first=19))
    file, _ = facility.send()
    check("the facility goes on beside it", register.one(file, 0)["outcome"], "taken")


def forks(register, facility):
    two = facility.copy(facility.name + "-two")
    facility.record(work(facility.name, 1, first=20))
    two.record(work("other", 1, first=20))
    ours, told = facility.send()
    theirs, _ = two.send()
    check("the first of two pasts is taken", register.one(ours, 0)["outcome"], "taken")
    ledger = facility.ledger()
    main_line = register.count(where=f"ledger = '{ledger}' AND line = 1")
    derived = register.database.sql(f"SELECT string_agg(pack, ',' ORDER BY pack) FROM derived.packs WHERE ledger = '{ledger}'")
    done = register.one(theirs, 1)
    check("the second is held apart, from the entry where they part", (done["outcome"], done["parted"] > told["since"]), ("forked", True))
    check("what was held is unchanged", register.count(where=f"ledger = '{ledger}' AND line = 1"), main_line)
    check("its entries are kept", register.count(where=f"ledger = '{ledger}' AND line = 2"), done["entries"])
    check("and not counted", register.database.sql(f"SELECT string_agg(pack, ',' ORDER BY pack) FROM derived.packs WHERE ledger = '{ledger}'"), derived)
    check("and not co-signed", register.database.sql(f"SELECT count(*) FROM register.states WHERE ledger = '{ledger}' AND line = 2 AND cosigned IS NOT NULL"), "0")
    check("the answer is the first past's", f"\n{told['size']}\n" in Path(str(theirs) + ".cosigned").read_text())
    check("told again, nothing changes", (register.one(theirs, 1)["outcome"], register.count(where=f"ledger = '{ledger}' AND line = 2")),
          ("repeated", done["entries"]))
    size = two.json("verify")["events"]
    facility.record(work(facility.name, 1, first=21))
    two.record(work("other", 1, first=21))
    later, _ = two.send(size)
    goes_on = register.one(later, 1)
    check("the other past goes on as its own line", (goes_on["outcome"], goes_on["parted"]), ("forked", None))
    file, _ = facility.send()
    check("the first goes on and is co-signed", (register.one(file, 0)["outcome"], Path(str(file) + ".cosigned").exists()), ("taken", True))


def other_past(register, facility):
    two = facility.copy(facility.name + "-b")
    facility.record(work(facility.name, 1, first=22))
    file, _ = facility.send()
    register.one(file, 0)
    two.record(work("elsewhere", 1, first=22))
    size = two.json("verify")["events"]
    two.record([{"kind": "set-stopped", "at": "2026-10-20T09:00:00+05:30", "by": "ana", "set": "DS-1"}])
    file, _ = two.send(size)
    before = register.count()
    done = register.one(file, 1)
    check("a past that parted before its first entry: kept as such", (done["outcome"], register.count()), ("other-past", before))
    check("with its signed checkpoint", register.count("register.deliveries", f"ledger = '{facility.ledger()}' AND outcome = 'other-past'"), 1)
    file, _ = two.send(0)
    check("and whole when it is sent from the beginning", register.one(file, 1)["outcome"], "forked")


def rolled_back(register, facility):
    old = facility.folder.with_name(facility.name + "-old")
    shutil.copytree(facility.folder, old)
    facility.record(work(facility.name, 1, first=24))
    file, told = facility.send()
    register.one(file, 0)
    copy = facility.copy(facility.name + "-back")
    shutil.copy(old / "facility.trayproof", copy.path)
    file, _ = copy.send(0)
    done = register.one(file, 1)
    check("a ledger put back to an older copy is shown", (done["outcome"], done["held"]), ("rolled-back", told["size"]))
    said = register.call("receive", file, "--witness", register.key).stdout
    check("in plain words that ask to look", "LOOK INTO THIS" in said and "older copy" in said)
    shown = copy.call("verify", "--checkpoint", str(file) + ".cosigned", "--witness-key", register.vkey)
    check("the register's answer shows it at the facility too", shown.returncode, 1)


def restored(register, facility):
    backup = facility.folder / "stick.backup"
    facility.run("backup", backup)
    facility.record(work(facility.name, 2, first=26))
    file, told = facility.send()
    register.one(file, 0)
    ledger = facility.ledger()
    held = register.count(where=f"ledger = '{ledger}'")
    facility.run("restore", backup, "--second", "noor")
    facility.record(work(facility.name, 1, first=29))
    file, _ = facility.send()
    done = register.one(file, 1)
    check("a restore is known for one", (done["outcome"], done["parted"] <= told["size"]), ("restored", True))
    check("what it lost stays", register.count(where=f"ledger = '{ledger}' AND line = 1"), held)
    check("answers count its present past", register.database.sql(f"SELECT line FROM derived.watermark WHERE ledger = '{ledger}'"), "2")
    check("which is not co-signed", register.database.sql(f"SELECT count(*) FROM register.states WHERE ledger = '{ledger}' AND line = 2 AND cosigned IS NOT NULL"), "0")
    derived_equal(register, facility)
    facility.record(work(facility.name, 1, first=30))
    file, _ = facility.send()
    check("and goes on", register.one(file, 0)["outcome"], "taken")
    derived_equal(register, facility)


def killed(register, facility):
    """PostgreSQL killed while a parcel is being written."""
    facility.record(many(facility.name, 20_000))
    file, told = facility.send()
    before = register.count()

    def swap_pack(lines):
        lines[-100] = lines[-100].replace("-M", "-Q", 1)
    done = register.one(altered(file, "late.parcel", swap_pack), 3)
    check("a changed byte behind megabytes that were sent already is named", (done["outcome"], done["wrong"]["seq"]), ("refused", told["size"] - 99))
    check("of those nothing stays", register.count(), before)
    for attempt in range(3):
        running = subprocess.Popen([PROGRAM, "receive", file, "--witness", register.key, "--register", register.database.at("clerk")],
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        copying = 0
        while running.poll() is None and copying == 0:
            copying = int(register.database.sql("SELECT count(*) FROM pg_stat_progress_copy WHERE relid = 'register.entries'::regclass AND tuples_processed > 0", "keeper"))
        if copying:
            break
        check("the parcel was too small to be caught", attempt < 2)
        return
    register.database.kill()
    out, errors = running.communicate()
    check("killed in the middle: status", running.returncode, 4)
    check("killed in the middle: told in plain words", "did not acknowledge is not kept" in errors or "never taken twice" in errors)
    register.database.start()
    check("nothing of it stays, nothing else is lost", register.count(), before)
    check("the same file again is taken", register.one(file, 0)["outcome"], "taken")
    ledger = facility.ledger()
    check("each entry once", register.count(where=f"ledger = '{ledger}' AND line = 1"), told["size"])


def main():
    started = time.monotonic()
    folder = Path(tempfile.mkdtemp(prefix="trayproof-district-"))
    database = Database()
    try:
        register = Register(PROGRAM, database, folder)
        facilities = []
        for i in range(10):
            facility = Facility(PROGRAM, folder, f"F{i}")
            facility.record(work(facility.name, 3, lots=("IND-A",) if i % 3 else ("IND-B",), wrap=f"WRP-{i % 2}", evidence_every=1 + i % 3))
            if i in (1, 2):
                facility.record(work(facility.name, 20, first=40, evidence_every=i + 1, packs=1 + i))
            facilities.append(facility)
        without_register(register, facilities[0])
        prepared(register)
        first_parcels(register, facilities)
        roles(database)
        rechecked(register)
        derived_equal(register, facilities[0])
        derived_equal(register, facilities[1])
        for facility in facilities:
            facility.run("rebuild")
        lots(register, facilities)
        coverage(register, facilities)
        gap_shares(register, facilities)
        other_questions(register, facilities, folder)
        repeats(register, facilities[0])
        out_of_order(register, facilities[1])
        refused(register, facilities[2])
        two_at_once(register, facilities[3], facilities[4])
        keys_change(register, facilities[5])
        forks(register, facilities[6])
        other_past(register, facilities[7])
        rolled_back(register, facilities[8])
        restored(register, facilities[9])
        killed(register, facilities[0])
        rechecked(register)
        after_all(register)
        shared(register)
        grown(register, facilities[2])
        dumped(register, facilities[2])
    finally:
        database.close()
        shutil.rmtree(folder)
    finished("district", started)


main()
