#!/usr/bin/env python3
"""A register measured: taking in against the bare machine, memory, a lot recalled over many facilities' years, and growth.

    register_bench.py TRAYPROOF BENCH_REGISTER [--parts receive,memory,recall,growth] [--events N] [--facilities N] [--years N]
                      [--year-events N] [--grown N] [--grown-events N] [--ways N]

receive   the ratio of `receive` to the bare COPY and signatures (aim: at most 2), with a signature for each load of some 27 events, and one for 200 events
memory    the most memory of `receive` and of `register derive`, for a parcel and for one ten times as long
recall    a lot's recall over FACILITIES with YEARS of YEAR-EVENTS each (aim: under 1 s). One of them is there for real, and its
          answer is held against its own recall. Of the others there are the rows that the question reads, copied by PostgreSQL
          under other ledger ids: the same lots everywhere, which is the worst case
growth    GROWN facilities of GROWN-EVENTS each, every one of them a ledger of its own that sends, is taken in and derived, WAYS at
          once; then every question, and what the rows take on the disk
"""
import argparse
import json
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "register"))
from database import Database
from facilities import Facility

asked = argparse.ArgumentParser()
asked.add_argument("program")
asked.add_argument("bench")
asked.add_argument("--parts", default="receive,memory,recall")
asked.add_argument("--events", type=int, default=100_000)
asked.add_argument("--facilities", type=int, default=200)
asked.add_argument("--years", type=int, default=10)
asked.add_argument("--year-events", type=int, default=35_000)
asked.add_argument("--grown", type=int, default=2_000)
asked.add_argument("--grown-events", type=int, default=660)
asked.add_argument("--ways", type=int, default=2)
asked = asked.parse_args()

# What a lot's recall reads of each ledger.
TABLES = ("register.ledgers", "register.lines", "register.states", "derived.watermark", "derived.facility_described", "derived.lot_reach")
DAYS = 336  # of an invented year: 12 months of 28 days
LOAD_EVENTS = 26


def peak_mib(*command):
    """The most memory that the program had at once."""
    running = subprocess.Popen([str(one) for one in command], stdout=subprocess.DEVNULL)
    peak = 0
    # Asked while it runs: what the system says afterwards counts this script's memory too.
    while running.poll() is None:
        try:
            lines = Path(f"/proc/{running.pid}/status").read_text().splitlines()
        except OSError:
            break
        peak = max([peak, *(int(one.split()[1]) for one in lines if one.startswith("VmHWM"))])
        time.sleep(0.01)
    assert running.wait() == 0, command
    return peak / 1024


def loads(i, count):
    """A day of a facility: so many loads of 12 packs each, read, released, used."""
    at = f"{2015 + i // DAYS}-{1 + i // 28 % 12:02d}-{1 + i % 28:02d}T"
    for n in range(count):
        tag, lot = f"{i}-{n}", f"IND-{i // 30}"
        packs = [f"P{tag}-{k}" for k in range(12)]
        yield from ({"kind": "packed", "at": f"{at}{3 * n:02d}:{k:02d}Z", "by": "ana", "pack": pack, "set": "DS-1", "wrap": "wrapped", "indicator_lot": lot,
                     "wrap_lot": f"WRP-{i // 60}"} for k, pack in enumerate(packs))
        yield {"kind": "load-started", "at": f"{at}{3 * n:02d}:20Z", "by": "ana", "load": f"L{tag}", "method": "steam-gravity", "equipment": "ST-1", "packs": packs}
        yield {"kind": "load-ended", "at": f"{at}{3 * n + 1:02d}:20Z", "by": "ana", "load": f"L{tag}", "complete": True, "temperature_c": 121.5, "hold_min": 31}
        yield {"kind": "indicator-read", "at": f"{at}{3 * n + 1:02d}:25Z", "by": "ana", "load": f"L{tag}", "lot": f"CH-{i // 30}", "type": 5, "where": "inside", "result": "pass"}
        yield {"kind": "load-released", "at": f"{at}{3 * n + 1:02d}:30Z", "by": "noor", "load": f"L{tag}"}
        yield from ({"kind": "procedure-done", "at": f"{at}{3 * n + 2:02d}:{5 * k:02d}Z", "by": "ana", "procedure": f"D{tag}-{k}", "sort": "delivery", "place": "Room 1",
                     "patient": f"MRN{i:06d}-{n}-{k}", "packs": [pack]} for k, pack in enumerate(packs[:10]))


def days(events):
    """So many events, in a facility's order."""
    a_day = max(1, min(7, round(asked.year_events / DAYS / LOAD_EVENTS)))
    i = sent = 0
    while sent < events:
        for one in loads(i, a_day):
            yield one
            sent += 1
        i += 1


def answered(database, *question):
    """The answer and the median of five askings, in seconds."""
    took = []
    for _ in range(5):
        begun = time.monotonic()
        done = subprocess.run([asked.program, "--json", "register", *question, "--register", database.at("owner")], capture_output=True, text=True)
        took.append(time.monotonic() - begun)
        assert done.returncode == 0, done.stderr
    return json.loads(done.stdout), sorted(took)[2]


def memory(database, folder, key):
    taking, deriving = [], []
    for count in (asked.events // 10, asked.events):
        facility = Facility(asked.program, folder, f"M{count}", opened="2015-01-01")
        facility.record(list(days(count)))
        file, _ = facility.send(0)
        at = ("--register", database.at("owner"))
        taking.append(f"{count:,} events: {peak_mib(asked.program, 'receive', file, '--later', '--witness', key, *at):.0f} MiB")
        deriving.append(f"{count:,} events: {peak_mib(asked.program, 'register', 'derive', *at):.0f} MiB")
    print("memory    taking in " + "; ".join(taking) + ". Deriving " + "; ".join(deriving), flush=True)


def recalls(database, folder, key):
    facility = Facility(asked.program, folder, "Bench", opened="2015-01-01")
    events = list(days(asked.years * asked.year_events))
    facility.record(events)
    file, _ = facility.send(0)
    begun = time.monotonic()
    at = ("--register", database.at("owner"))
    subprocess.run([asked.program, "receive", file, "--later", "--witness", key, *at], check=True, capture_output=True)
    taken = time.monotonic()
    subprocess.run([asked.program, "register", "derive", *at], check=True, capture_output=True)
    print(f"taken in  {len(events):,} events of {asked.years} years: {taken - begun:.1f} s; derived: {time.monotonic() - taken:.1f} s", flush=True)
    ledger = facility.ledger()
    other = f"md5(n::text || '{ledger}')"
    for table in TABLES:
        columns = database.sql("SELECT string_agg(quote_ident(attname), ', ' ORDER BY attnum) FROM pg_attribute WHERE attrelid = "
                               f"'{table}'::regclass AND attnum > 0 AND attname <> 'ledger' AND NOT attisdropped")
        # Each ledger's rows lie together, as they do when ledgers are derived one after the other.
        database.sql(f"INSERT INTO {table} (ledger, {columns}) SELECT {other}, {columns} FROM {table}, generate_series(2, {asked.facilities}) AS n "
                     f"WHERE ledger = '{ledger}' ORDER BY n")
    database.sql("VACUUM ANALYZE")
    rows = int(database.sql("SELECT count(*) FROM derived.lot_reach"))
    size = database.sql("SELECT pg_size_pretty(pg_total_relation_size('derived.lot_reach'))")
    print(f"copied    to {asked.facilities} facilities: {rows:,} lots of theirs ({size}), of {asked.facilities * len(events):,} events", flush=True)
    last = len(events) // LOAD_EVENTS // max(1, asked.year_events // DAYS // LOAD_EVENTS)
    for lot in (f"IND-{last // 60}", f"CH-{last // 60}", f"WRP-{last // 120}"):
        answer, took = answered(database, "lot", lot)
        sums = [sum(row[at] for row in answer["rows"]) for at in (2, 3, 4)]
        mine = next(row for row in answer["rows"] if row[0] == ledger)
        own = facility.json("recall", "--because", "lot-withdrawn", "--lot", lot)
        same = all(mine[at].split() == sorted(one[what] for one in own[what + "s"]) for at, what in ((5, "load"), (6, "pack"), (7, "procedure")))
        assert same and len(answer["rows"]) == asked.facilities
        print(f"recall    of {lot}: {len(answer['rows'])} facilities, {sums[0]:,} loads, {sums[1]:,} packs, {sums[2]:,} procedures: "
              f"{took:.2f} s (under 1), as its own recall says", flush=True)


def growth(database, folder):
    program = Path(asked.bench).with_name("bench_register_growth")
    subprocess.run([program, database.at("keeper"), str(asked.grown), str(asked.grown_events), str(asked.ways)], check=True)
    database.sql("VACUUM ANALYZE")
    events = int(database.sql("SELECT count(*) FROM register.entries"))
    for schema in ("register", "derived"):
        size = int(database.sql(f"SELECT sum(pg_total_relation_size(oid)) FROM pg_class WHERE relnamespace = '{schema}'::regnamespace AND relkind = 'r'"))
        print(f"rows      {schema}: {size / 1e6:,.0f} MB, {size / events:.0f} bytes an event", flush=True)
    for question in (["facilities"], ["lot", "CI-0"], ["coverage"], ["coverage", "--measure", "load-known"], ["gaps"], ["silent"], ["sizes"], ["apart"]):
        answer, took = answered(database, *question)
        print(f"asked     {' '.join(question)}: {len(answer['rows']):,} rows in {took:.2f} s", flush=True)
    begun = time.monotonic()
    peak = peak_mib(asked.program, "register", "report", "-o", folder / "district.xlsx", "--register", database.at("owner"))
    print(f"asked     report as a workbook: {time.monotonic() - begun:.1f} s, {peak:.0f} MiB", flush=True)


def main():
    folder = Path(tempfile.mkdtemp(prefix="trayproof-bench-"))
    parts = asked.parts.split(",")
    for part in parts:
        database = Database(large=True)
        try:
            key = folder / f"{part}.key"
            subprocess.run([asked.program, "register", "witness", key, "--name", "bench.example/register"], check=True, capture_output=True)
            subprocess.run([asked.program, "register", "prepare", "--register", database.at("owner")], check=True, capture_output=True)
            if part == "receive":
                for portion in (1, 200):
                    print(subprocess.run([asked.bench, database.at("keeper"), str(asked.events), str(portion)], check=True, capture_output=True, text=True).stdout,
                          end="", flush=True)
            elif part == "memory":
                memory(database, folder, key)
            elif part == "recall":
                recalls(database, folder, key)
            elif part == "growth":
                growth(database, folder)
            else:
                sys.exit(f"no part {part}")
        finally:
            database.close()
    shutil.rmtree(folder)


main()
