#!/usr/bin/env python3
"""A register measured: taking in against the bare machine, memory, and a lot recalled over many facilities' years.

    register_bench.py TRAYPROOF BENCH_REGISTER [--events N] [--facilities N] [--years N] [--year-events N] [--parts P,P]

Facilities beyond the first are copies of its derived rows under other ledger ids, made by PostgreSQL itself: as many rows, as
many things of the same names, and the same lots everywhere, which is the worst case for a recall.
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
asked.add_argument("--events", type=int, default=100_000)
asked.add_argument("--facilities", type=int, default=200)
asked.add_argument("--years", type=int, default=10)
asked.add_argument("--year-events", type=int, default=3_500)
asked.add_argument("--parts", default="receive,memory,recall")
asked = asked.parse_args()

# What a lot's recall reads.
TABLES = ("mentions", "indicators", "biological_placed", "biological_read", "solution_prepared", "loads", "packed", "pack_received",
          "load_packs", "uses", "procedure_done", "facility_described")


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


def day(i):
    """A day of a facility: one load of 12 packs, read, released, used."""
    at = f"{2015 + i // 336}-{1 + i // 28 % 12:02d}-{1 + i % 28:02d}T"
    lot = f"IND-{i // 30}"
    packs = [f"P{i}-{n}" for n in range(12)]
    yield from ({"kind": "packed", "at": f"{at}07:{n:02d}Z", "by": "ana", "pack": pack, "set": "DS-1", "wrap": "wrapped", "indicator_lot": lot,
                 "wrap_lot": f"WRP-{i // 60}"} for n, pack in enumerate(packs))
    yield {"kind": "load-started", "at": at + "08:00Z", "by": "ana", "load": f"L{i}", "method": "steam-gravity", "equipment": "ST-1", "packs": packs}
    yield {"kind": "load-ended", "at": at + "09:00Z", "by": "ana", "load": f"L{i}", "complete": True, "temperature_c": 121.5, "hold_min": 31}
    yield {"kind": "indicator-read", "at": at + "09:05Z", "by": "ana", "load": f"L{i}", "lot": f"CH-{i // 30}", "type": 5, "where": "inside", "result": "pass"}
    yield {"kind": "load-released", "at": at + "09:10Z", "by": "noor", "load": f"L{i}"}
    yield from ({"kind": "procedure-done", "at": f"{at}1{n // 6}:{n % 6}0Z", "by": "ana", "procedure": f"D{i}-{n}", "sort": "delivery", "place": "Room 1",
                 "patient": f"MRN{i:06d}-{n}", "packs": [pack]} for n, pack in enumerate(packs[:10]))


def recalls(database, folder, key):
    facility = Facility(asked.program, folder, "Bench", opened="2015-01-01")
    events = []
    i = 0
    while len(events) < asked.years * asked.year_events:
        events.extend(day(i))
        i += 1
    facility.record(events)
    file, _ = facility.send(0)
    begun = time.monotonic()
    done = subprocess.run([asked.program, "receive", file, "--witness", key, "--register", database.at("owner")], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    print(f"taken in  {len(events):,} events of {asked.years} years, derived too: {time.monotonic() - begun:.1f} s", flush=True)
    ledger = facility.ledger()
    begun = time.monotonic()
    other = f"md5(n::text || '{ledger}')"
    copies = f"generate_series(2, {asked.facilities}) AS n"
    database.sql(f"INSERT INTO register.ledgers SELECT {other}, 'trayproof/' || {other}, first, received FROM register.ledgers, {copies} WHERE ledger = '{ledger}'")
    for table in TABLES:
        columns = database.sql("SELECT string_agg(quote_ident(attname), ', ' ORDER BY attnum) FROM pg_attribute WHERE attrelid = "
                               f"'derived.{table}'::regclass AND attnum > 1 AND NOT attisdropped")
        database.sql(f"INSERT INTO derived.{table} (ledger, {columns}) SELECT {other}, {columns} FROM derived.{table}, {copies} WHERE ledger = '{ledger}'")
    database.sql("VACUUM ANALYZE")
    rows = sum(int(database.sql(f"SELECT count(*) FROM derived.{table}")) for table in TABLES)
    size = database.sql("SELECT pg_size_pretty(pg_database_size(current_database()))")
    print(f"copied    to {asked.facilities} facilities, {asked.facilities * len(events):,} events' rows ({rows:,}, {size}): {time.monotonic() - begun:.0f} s", flush=True)
    for lot in (f"IND-{i // 60}", f"CH-{i // 60}", f"WRP-{i // 120}"):
        took = []
        for _ in range(5):
            begun = time.monotonic()
            done = subprocess.run([asked.program, "--json", "register", "lot", lot, "--register", database.at("owner")], capture_output=True, text=True)
            took.append(time.monotonic() - begun)
            assert done.returncode == 0, done.stderr
        answer = json.loads(done.stdout)
        sums = [sum(row[at] for row in answer["rows"]) for at in (2, 3, 4)]
        print(f"recall    of {lot}: {len(answer['rows'])} facilities, {sums[0]:,} loads, {sums[1]:,} packs, {sums[2]:,} procedures: "
              f"{sorted(took)[2]:.2f} s (under 1)", flush=True)


def main():
    folder = Path(tempfile.mkdtemp(prefix="trayproof-bench-"))
    database = Database(large=True)
    try:
        key = folder / "register.key"
        subprocess.run([asked.program, "register", "witness", key, "--name", "bench.example/register"], check=True, capture_output=True)
        subprocess.run([asked.program, "register", "prepare", "--register", database.at("owner")], check=True, capture_output=True)
        for portion in (1, 200) if "receive" in asked.parts else ():
            print(subprocess.run([asked.bench, database.at("owner"), str(asked.events), str(portion)], check=True, capture_output=True, text=True).stdout, end="", flush=True)
        peaks = []
        for count in (asked.events // 10, asked.events) if "memory" in asked.parts else ():
            facility = Facility(asked.program, folder, f"M{count}", opened="2015-01-01")
            events = (one for i in range(count // 26 + 1) for one in day(i))
            facility.record(list(events))
            file, _ = facility.send(0)
            peaks.append((count, peak_mib(asked.program, "receive", file, "--later", "--witness", key, "--register", database.at("owner"))))
        if peaks:
            print("memory    " + "; ".join(f"{count:,} events: {mib:.0f} MiB" for count, mib in peaks), flush=True)
        if "recall" in asked.parts:
            recalls(database, folder, key)
    finally:
        database.close()
        shutil.rmtree(folder)


main()
