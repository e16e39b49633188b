#!/usr/bin/env python3
"""Every question of the catalogue through the real program, on the invented month and some events more, against the same
question worked out from `export` in the slow and obvious way (slow.py), without the program's tables and queries.

    answers_test.py PROGRAM SOURCE-FOLDER
"""
import hashlib
import json
import math
import re
import subprocess
import sys
import tempfile
from collections import Counter
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from slow import DAY, DISINFECTS, HOT, HOUR, STEAM, Record, day_of, ms, start_of, zone

program, source = sys.argv[1], Path(sys.argv[2])
samples = source / "samples"
folder = tempfile.TemporaryDirectory()
ledger = str(Path(folder.name) / "month.trayproof")
problems, asked = [], Counter()
FROM, UNTIL = ms("2026-10-05T00:00:00+05:00"), ms("2026-11-03T00:00:00+05:00") - 1
PERIOD = ["--from", "2026-10-05", "--to", "2026-11-02"]


def run(*words, status=0, text=None):
    done = subprocess.run([program, "--ledger", ledger, *words], capture_output=True, text=True, input=text)
    if done.returncode != status:
        problems.append(f"{' '.join(words)} ended with {done.returncode}: {done.stderr[:300]}")
    return done.stdout


def answer(question, *words):
    asked[question] += 1
    out = run("--json", "answer", question, *words)
    return json.loads(out) if out.strip() else {"columns": [], "rows": [], "examined": None, "cannot_tell": None}


def column(found, *names):
    places = [found["columns"].index(n) for n in names]
    rows = [[row[p] for p in places] for row in found["rows"]]
    return [r[0] for r in rows] if len(names) == 1 else rows


def same(what, found, wanted):
    if found != wanted:
        problems.append(f"{what}: found {json.dumps(found)[:500]}\n   expected {json.dumps(wanted)[:500]}")


def near(what, found, wanted, slack=0.006):
    fits = found is not None and wanted is not None and abs(found - wanted) <= slack
    if not fits and found != wanted:
        problems.append(f"{what}: found {found}, expected {wanted}")


def check(question, words, names, rows, examined, cannot_tell):
    found = answer(question, *words)
    got = [list(r) if len(names) > 1 else [r] for r in column(found, *names)]
    same(question, got, [list(r) for r in rows])
    same(question + " looked at", [found["examined"], found["cannot_tell"]], [examined, cannot_tell])
    return found


def shown(at):
    return datetime.fromtimestamp(at / 1000, zone).isoformat(timespec="auto" if at % 1000 == 0 else "milliseconds") if at is not None else None


def make_ledger():
    run("create", "--name", "Oraveth Maternity Unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--sop", str(samples / "sop/labour-room.toml"))
    run("record", "--from", str(samples / "facility/events.jsonl"))
    for file, equipment, logger in (("drum-autoclave-14-october.csv", "autoclave-drum", "logger-1"),
                                    ("tabletop-15-and-16-october.csv", "autoclave-table", "logger-2"),
                                    ("oven-22-october.csv", "oven-1", "logger-3")):
        run("import", "curve", str(samples / "facility/loggers" / file), "--equipment", equipment, "--logger", logger)
    at = "2026-10-{}T{}:00+05:00".format
    more = [
        {"kind": "set-defined", "at": at("05", "06:00"), "set": "IMP-1", "title": "Plate set", "items": [{"item": "plate", "count": 2}], "contact": "critical", "implant": True},
        {"kind": "packed", "at": at("20", "08:00"), "pack": "PX-1", "set": "IMP-1", "wrap": "unwrapped"},
        {"kind": "load-started", "at": at("20", "08:30"), "load": "LX-1", "method": "steam-gravity", "equipment": "autoclave-drum", "packs": ["PX-1"]},
        {"kind": "load-ended", "at": at("20", "09:30"), "load": "LX-1", "complete": True, "dry": False},
        {"kind": "load-released", "at": at("20", "09:40"), "load": "LX-1", "early": "no other plate"},
        {"kind": "procedure-done", "at": at("20", "10:00"), "procedure": "PRX-1", "sort": "plating", "place": "theatre", "packs": ["PX-1"]},
        {"kind": "biological-read", "at": at("22", "10:00"), "load": "LX-1", "result": "negative", "control": "growth", "hours": 48},
        {"kind": "pack-received", "at": at("21", "10:00"), "pack": "PO-1", "from": "district store", "lot": "DS-9", "use_by": "2026-10-22"},
        {"kind": "pack-received", "at": at("21", "10:00"), "pack": "PO-2", "from": "district store"},
        {"kind": "procedure-done", "at": at("24", "10:00"), "procedure": "PRX-2", "sort": "delivery", "place": "labour room 1", "packs": ["PO-1"]},
        {"kind": "procedure-done", "at": at("24", "23:00"), "procedure": "PRX-3", "sort": "delivery", "place": "labour room 1", "unknown": {"packs": "not-recorded"}},
        {"kind": "procedure-done", "at": at("25", "23:00"), "procedure": "PRX-4", "sort": "delivery", "place": "labour room 1", "packs": [], "disposable": True},
        {"kind": "equipment-checked", "at": at("26", "07:00"), "equipment": "autoclave-table", "check": "leak-rate", "result": "fail"},
        {"kind": "equipment-checked", "at": at("28", "07:00"), "equipment": "autoclave-table", "check": "leak-rate", "result": "pass", "cycle": 99999},
        {"kind": "biological-placed", "at": at("27", "08:00"), "biological": "BX-1", "load": "LX-1"},
        {"kind": "solution-prepared", "at": at("27", "08:00"), "solution": "SX-1", "agent": "bleaching-powder", "use": "decontamination", "percent": 0.5, "available_percent": 35, "powder_g": 143, "water_ml": 10000, "paper": "book 3, page 4"},
        {"kind": "soaked", "at": at("27", "09:00"), "set": "IMP-1", "solution": "SX-1", "until": at("27", "09:20")},
        {"kind": "finding-answered", "at": at("29", "09:00"), "rule": "soak-too-short", "subject": {"kind": "set", "id": "DRM-03"}, "arose": at("08", "00:54"), "state": "accepted", "text": "told the night shift", "due": "2026-11-30"},
    ]
    run("record", "--from", "-", text="\n".join(json.dumps(dict(e, by="sister-1")) for e in more))
    run("recall", "--because", "biological-positive", "--load", "DA-1029-1", "--open", "RC-1", "--drill")


make_ledger()
r = Record(run("export").splitlines(), (samples / "sop/labour-room.toml").read_text())
inside = lambda at: FROM <= at <= UNTIL
procedures = [e for e in r.of("procedure-done") if inside(e["ms"])]
uses = sorted((u for u in r.uses if inside(u["done"]["ms"])), key=lambda u: (u["at"], u["pack"], u["procedure"]))
loads = sorted((l for l in r.loads.values() if inside(l["start"])), key=lambda l: (l["start"], l["id"]))
given = [e for e in r.events if inside(e["ms"]) and e["kind"] not in
         ("ledger-opened", "key-added", "sop-adopted", "facility-described", "curve-measured", "curve-placed", "curve-judged", "recall-opened")]
everything = [e for e in r.events if inside(e["ms"])]
marked = lambda e: e.get("unknown", {}).get("packs") in ("not-recorded", "not-readable")
bare = lambda e: not e.get("packs") and not e.get("disposable")
weeks = {}
for n in range((UNTIL - FROM) // DAY + 1):
    day = day_of(FROM) + timedelta(days=n)
    weeks.setdefault("%d-W%02d" % day.isocalendar()[:2], []).append(day)
week_of = lambda at: "%d-W%02d" % day_of(at).isocalendar()[:2]
month_of = lambda at: day_of(at).isoformat()[:7]
months = sorted({month_of(start_of(d)) for ds in weeks.values() for d in ds})


def wilson(x, n):
    z = 1.959963984540054
    p = x / n
    half = z * math.sqrt(p * (1 - p) / n + z * z / 4 / n / n)
    return [100 * p, 100 * max(0, (p + z * z / 2 / n - half) / (1 + z * z / n)), 100 * min(1, (p + z * z / 2 / n + half) / (1 + z * z / n))]


def check_shares(question, found, x="found", n="of"):
    for row in column(found, x, n, "percent", "low_95", "high_95"):
        if row[1]:
            for got, wanted in zip(row[2:], wilson(row[0], row[1])):
                near(question + " interval", got, wanted)
        else:
            same(question + " without any", row[2:], [None, None, None])


# Use
check("procedures-without-set", PERIOD, ["procedure", "place", "entry"],
      [[e["procedure"], e["place"], e["entry"]] for e in procedures if bare(e) and not marked(e)], len(procedures), sum(map(marked, procedures)))
found = check("without-set-by-week", PERIOD, ["week", "without", "of"],
              [[w, sum(bare(e) for e in procedures if week_of(e["ms"]) == w and not marked(e)),
                sum(week_of(e["ms"]) == w and not marked(e) for e in procedures)] for w in weeks], len(procedures), sum(map(marked, procedures)))
check_shares("without-set-by-week", found, "without")
check("patients-not-recorded", PERIOD, ["procedure"], [[e["procedure"]] for e in procedures if "patient" not in e], len(procedures), 0)
case = [u for u in r.uses if u["procedure"] == "PR-0049"]
check("case-trail", ["--procedure", "PR-0049"], ["pack", "set", "load", "equipment", "decision", "strips_passed", "used"],
      [[u["pack"], r.packs[u["pack"]]["set"], u["load"]["id"], u["load"]["equipment"], u["load"]["decision"]["kind"][5:],
        sum(e["result"] == "pass" for e in r.readings(u["load"]["id"])), shown(u["at"])] for u in sorted(case, key=lambda u: u["pack"])],
      len(case), 0)


def use_by(use):
    pack, load = r.packs[use["pack"]], use["load"]
    if pack["kind"] == "pack-received":
        return start_of(date.fromisoformat(pack["use_by"]) + timedelta(days=1)) - 1 if "use_by" in pack else None
    stored = [e for e in r.of("pack-stored") if e["pack"] == use["pack"] and e["ms"] <= use["at"] and "use_by" in e
              and r.relevant(use["pack"], e["ms"]) is load]
    if stored:
        return start_of(date.fromisoformat(stored[-1]["use_by"]) + timedelta(days=1)) - 1
    if load is None:
        return None
    days = r.sop["shelf"]["disinfected_days"] if load["method"] in DISINFECTS else r.sop["shelf"]["days"][pack["wrap"]]
    return None if days == "until-damaged" else load["late"] + days * DAY


check("used-late", PERIOD, ["pack", "procedure", "use_by"],
      [[u["pack"], u["procedure"], shown(use_by(u))] for u in uses if use_by(u) is not None and u["at"] > use_by(u)], len(uses),
      sum(u["load"] is None and use_by(u) is None for u in uses))
drums = [u for u in uses if r.packs[u["pack"]].get("wrap") == "drum"]
opened = lambda u: min((e["ms"] for e in r.of("pack-opened") if e["pack"] == u["pack"] and e["ms"] <= u["at"]), default=None)
check("drums-open-too-long", PERIOD, ["pack", "procedure", "hours"],
      [[u["pack"], u["procedure"], round((u["at"] - opened(u)) / HOUR, 2)] for u in drums
       if opened(u) is not None and u["at"] - opened(u) > HOUR * r.sop["shelf"]["drum_open_hours"]], len(drums), sum(opened(u) is None for u in drums))
check("implants", PERIOD, ["procedure", "pack", "load", "result", "before_use", "early"], [["PRX-1", "PX-1", "LX-1", "negative", False, "no other plate"]], 1, 0)
check("disinfected-only", PERIOD, ["pack", "load", "method", "procedure"],
      [[u["pack"], u["load"]["id"], u["load"]["method"], u["procedure"]] for u in uses if u["load"] and u["load"]["method"] in DISINFECTS],
      len(uses), sum(u["load"] is None for u in uses))
start = {r.packs[u["pack"]]["set"]: r.packs[u["pack"]]["ms"] for u in case}
forward = []
for e in r.of("packed"):
    if e["set"] in start and e["ms"] > start[e["set"]]:
        later = sorted((u for u in r.uses if u["pack"] == e["pack"]), key=lambda u: (u["at"], u["procedure"]))
        forward += [[e["set"], e["pack"], u["procedure"]] for u in later] or [[e["set"], e["pack"], None]]
forward.sort(key=lambda f: (f[0], r.packs[f[1]]["ms"], f[1]))
check("forward-from", ["--procedure", "PR-0049"], ["set", "pack", "procedure"], forward, len(start), 0)
if not forward:
    problems.append("the forward trace of PR-0049 shows nothing: the month does not test it")

cases = ["PR-0049", "PR-0050", "PR-0061"]
pool = {e["procedure"] for e in procedures} | set(cases)
having = {}
for u in r.uses:
    if u["procedure"] not in pool:
        continue
    pack, load = r.packs[u["pack"]], u["load"]
    ties = {("pack", u["pack"]), ("set", pack.get("set")), ("packed by", pack["by"]), ("wrap lot", pack.get("wrap_lot")), ("indicator lot", pack.get("indicator_lot"))}
    if load:
        ties |= {("load", load["id"]), ("sterilizer", load["equipment"]), ("operator", load["by"])}
    if pack["kind"] == "packed":
        ties |= {("solution", e["solution"]) for e in r.turn(u["pack"]) if e["kind"] == "soaked"}
    for tie in ties:
        having.setdefault(tie, set()).add(u["procedure"])
for e in r.of("procedure-done"):
    if e["procedure"] in pool:
        having.setdefault(("place", e["place"]), set()).add(e["procedure"])


def fisher(a, n, c, m):
    ways = lambda k: math.comb(n, k) * math.comb(m, a + c - k)
    all_ways = sum(ways(k) for k in range(0, n + 1) if 0 <= a + c - k <= m)
    return float(Fraction(sum(ways(k) for k in range(0, n + 1) if 0 <= a + c - k <= m and ways(k) <= ways(a)), all_ways))


found = answer("common-to-cases", "--procedures", ",".join(cases), *PERIOD)
wanted = {}
for (kind, id), who in having.items():
    with_it = len(who & set(cases))
    if with_it and id is not None:
        wanted[(kind, id)] = [with_it, 3, len(who - set(cases)), len(pool) - 3]
got = {(k, i): [a, n, c, m, p] for k, i, a, n, c, m, p in column(found, "kind", "id", "cases_with", "cases", "others_with", "others", "p")}
same("common-to-cases", {k: v[:4] for k, v in sorted(got.items())}.__repr__(), dict(sorted(wanted.items())).__repr__())
for key, row in got.items():
    near(f"exact test of {key}", row[4], fisher(*row[:4]), 1e-7)
same("the least likely stand first", column(found, "p"), sorted(column(found, "p")))

# Packs
history = column(answer("pack-history", "--pack", "PK-0104"), "what", "entry")
wanted = sorted([w for e in r.events for w in [[{"packed": "packed", "pack-stored": "stored", "pack-issued": "issued", "pack-opened": "opened",
                 "pack-returned": "returned", "pack-withdrawn": "withdrawn"}.get(e["kind"]), e["entry"]]] if e.get("pack") == "PK-0104" and w[0]], key=lambda w: w[1])
same("pack-history of its own entries", sorted((h for h in history if h[0] in dict(wanted)), key=lambda h: h[1]), wanted)
same("pack-history in order", [h[1] for h in history], [h[1] for h in sorted(history, key=lambda h: next(e["ms"] for e in r.events if e["entry"] == h[1]))])
used_packs = {u["pack"] for u in r.uses}
openings = [e for e in r.of("pack-opened") if inside(e["ms"])]
check("opened-without-use", PERIOD, ["pack", "entry"], [[e["pack"], e["entry"]] for e in openings if e["pack"] not in used_packs], len(openings), 0)
held = sorted(r.loads["DA-1014-2"]["holds"])
reached = []
for pack in held:
    here = sorted((u for u in r.uses if u["pack"] == pack and u["load"]["id"] == "DA-1014-2"), key=lambda u: u["at"])
    reached += [[pack, u["procedure"]] for u in here] or [[pack, None]]
check("exposed-by-load", ["--load", "DA-1014-2"], ["pack", "procedure"], reached, len(held), 0)
shelf = []
for pack, own in r.packs.items():
    if not r.in_loads.get(pack):
        continue
    last = r.in_loads[pack][-1]
    moves = [e for e in r.of("pack-stored", "pack-issued", "pack-opened", "pack-withdrawn", "pack-returned") if e["pack"] == pack and r.relevant(pack, e["ms"]) is last]
    gone = any(e["kind"] in ("pack-opened", "pack-withdrawn") or e.get("state") == "opened" for e in moves) or any(u["pack"] == pack and u["load"] is last for u in r.uses)
    if moves and not gone and moves[-1]["kind"] != "pack-issued":
        shelf.append(pack)
found = answer("on-the-shelf")
same("on-the-shelf", sorted(column(found, "pack")), sorted(shelf))
now = datetime.now().timestamp() * 1000
lying = {pack: use_by({"pack": pack, "load": r.in_loads[pack][-1], "at": now}) for pack in shelf}
past = {pack for pack, until in lying.items() if until is not None and until < now}
same("past on the shelf", {p for p, late in zip(column(found, "pack"), column(found, "past")) if late}, past)
same("as the rule has it", past, {one["subject"]["id"] for one in json.loads(run("--json", "gaps", "--rule", "expired-on-shelf"))["gaps"]})
same("on the shelf by the SOP's shelf life alone", any("use_by" not in e for e in r.of("pack-stored") if e["pack"] in past), True)
returns = [e for e in r.of("set-returned") if inside(e["ms"])]
check("missing-instruments", PERIOD, ["set", "item", "count"], [[e["set"], m["item"], m["count"]] for e in returns for m in e.get("missing", [])],
      len(returns), sum("missing" not in e for e in returns))
life = [e for e in r.of("packed") if e["set"] == "DEL-06"]
check("set-life", ["--set", "DEL-06"], ["pack", "uses", "soaked", "cleaned", "inspected"],
      [[e["pack"], len({u["procedure"] for u in r.uses if u["pack"] == e["pack"]})] + [sum(t["kind"] == k for t in r.turn(e["pack"])) for k in ("soaked", "cleaned", "inspected")]
       for e in life], len(life), sum(not r.turn(e["pack"]) for e in life))
check("made-elsewhere", PERIOD, ["pack", "lot", "uses"], [["PO-1", "DS-9", 1], ["PO-2", None, 0]], 2, 1)


def drawn(ids, count, seed):
    return sorted(ids, key=lambda i: hashlib.sha256(f"{seed}:{i}".encode()).digest())[:count]


for question, ids, count in (("random-packs", [e["pack"] for e in r.of("packed") if inside(e["ms"])], 7),
                             ("random-procedures", [e["procedure"] for e in procedures], 12), ("random-loads", [l["id"] for l in loads], 5)):
    name = question[7:-1]
    found = answer(question, *PERIOD, "--seed", "4711", "--sample", str(count))
    same(question, sorted(set(column(found, name))), sorted(drawn(ids, count, "4711")))
    same(question + " looked at", found["examined"], count)
    free = answer(question, *PERIOD)
    same(question + " drawn again by its printed seed", column(answer(question, *PERIOD, "--seed", free["given"]["seed"]), name), column(free, name))
found = answer("random-loads", *PERIOD, "--seed", "4711", "--sample", "5")
same("evidence of random loads", column(found, "load", "strips_passed", "biologicals", "packs"),
     [[l["id"], sum(e["result"] == "pass" for e in r.readings(l["id"])), sum(e["load"] == l["id"] for e in r.of("biological-read")), len(l["holds"])]
      for l in loads if l["id"] in drawn([l["id"] for l in loads], 5, "4711")])
found = answer("random-procedures", *PERIOD, "--seed", "1", "--sample", "200")
WANTED = r.sop["release"].get("methods", ["steam-gravity", "steam-prevacuum", "dry-heat", "chemical-sterilization"])
decided = lambda u: u["load"] and (u["load"]["decision"]["kind"] if u["load"]["decision"] else u["load"]["method"] in WANTED)
same("not released of every procedure", column(found, "not_released"),
     [len({u["pack"] for u in uses if u["procedure"] == e["procedure"] and decided(u) and decided(u) != "load-released"})
      for e in sorted(procedures, key=lambda e: (e["ms"], e["procedure"]))])
same("packs of every procedure", column(found, "procedure", "packs"), [[e["procedure"], len(e.get("packs", []))] for e in sorted(procedures, key=lambda e: (e["ms"], e["procedure"]))])

# Loads
decision = lambda l: l["decision"]["kind"][5:] if l["decision"] else None
same("undecided loads that want no decision", any(decision(l) is None and l["method"] not in WANTED for l in loads), True)
groups = {}
for l in loads:
    groups.setdefault((month_of(l["start"]), l["equipment"] or "", l["method"]), []).append(l)
check("loads-by-month", PERIOD, ["month", "equipment", "method", "loads", "complete", "released", "rejected", "undecided", "no_decision_wanted", "packs"],
      [[m, e or None, k, len(ls), sum(l["complete"] is True for l in ls), sum(decision(l) == "released" for l in ls), sum(decision(l) == "rejected" for l in ls),
        sum(decision(l) is None and l["method"] in WANTED for l in ls), sum(decision(l) is None and l["method"] not in WANTED for l in ls),
        sum(len(l["holds"]) for l in ls)] for (m, e, k), ls in sorted(groups.items())], len(loads), sum(l["complete"] is None for l in loads))
rejections = [e for e in r.of("load-rejected") if inside(e["ms"]) and decision(r.loads[e["load"]]) == "rejected"]
found = answer("rejected-loads", *PERIOD)
same("rejected-loads", column(found, "load", "pack"), [[e["load"], p] for e in rejections for p in sorted(r.loads[e["load"]]["holds"]) or [None]])
same("why they were rejected", len([w for w in column(found, "why") if w]), len(found["rows"]))
later = {(e["load"], p): next((l["id"] for l in r.in_loads[p] if l["late"] > r.loads[e["load"]]["late"]), None) for e in rejections for p in r.loads[e["load"]]["holds"]}
same("where their packs went", column(found, "later_load"), [later[(l, p)] for l, p in column(found, "load", "pack")])
wants = [l for l in loads if l["method"] in r.sop["release"].get("methods", HOT + ("chemical-sterilization",))]
check("undecided-loads", PERIOD, ["load"], [[l["id"]] for l in wants if decision(l) is None], len(wants), 0)
check("loads-without-evidence", PERIOD, ["load"], [[l["id"]] for l in loads if not r.has_evidence(l)], len(loads), 0)
steam = [l for l in loads if l["method"] in STEAM]
wet = {}
for l in steam:
    if l["dry"] is not None:
        wet.setdefault((month_of(l["start"]), l["equipment"]), []).append(l["dry"] is False)
found = check("wet-loads", PERIOD, ["month", "equipment", "wet", "of"], [[m, e, sum(v), len(v)] for (m, e), v in sorted(wet.items())], len(steam), sum(l["dry"] is None for l in steam))
check_shares("wet-loads", found, "wet")
hot = [l for l in loads if l["method"] in HOT]
wrap = lambda p: r.packs[p].get("wrap") if p in r.packs else None
at_once = lambda l: l["holds"] and all(wrap(p) == "unwrapped" for p in l["holds"]) and any(u["load"] is l and u["at"] <= l["late"] + 3 * HOUR for u in r.uses)
full = [l for l in hot if l["holds"]]
check("immediate-use", PERIOD, ["month", "immediate", "of"], [[m, sum(bool(at_once(l)) for l in full if month_of(l["start"]) == m), sum(month_of(l["start"]) == m for l in full)] for m in months],
      len(hot), sum(not l["holds"] or any(wrap(p) is None for p in l["holds"]) for l in hot))
releases = [e for e in r.of("load-released") if inside(e["ms"])]
early = [e for e in releases if "early" in e]
found = check("early-releases", PERIOD, ["load", "entry"], [[e["load"], e["entry"]] for e in early], len(releases), 0)
same("results after early releases", column(found, "result_later"), [next((b["result"] for b in r.of("biological-read") if b["load"] == e["load"] and b["ms"] > e["ms"]), None) for e in early])
numbers = {}
for e in r.of("load-started", "equipment-checked"):
    if inside(e["ms"]) and "cycle" in e and "equipment" in e:
        numbers.setdefault(e["equipment"], set()).add(e["cycle"])
on_machine = [l for l in loads if l["equipment"]]
check("counter", PERIOD, ["equipment", "first", "last", "recorded", "missing"],
      [[q, min(n), max(n), len(n), max(n) - min(n) + 1 - len(n)] for q, n in sorted(numbers.items())], len(on_machine), sum(l["cycle"] is None for l in on_machine))
runs = {}
read_loads = [l for l in on_machine if l["read"] and any(v is not None for v in l["read"])]
for l in read_loads:
    runs.setdefault(l["equipment"], []).append(l["read"])


def longest_run(figures):
    best = now = 1
    for a, b in zip(figures, figures[1:]):
        now = now + 1 if a == b else 1
        best = max(best, now)
    return best


check("same-figures", PERIOD, ["equipment", "loads", "different", "longest_run"], [[q, len(f), len(set(f)), longest_run(f)] for q, f in sorted(runs.items())],
      len(on_machine), len(on_machine) - len(read_loads))
people = {}
for e in releases + [e for e in r.of("load-rejected") if inside(e["ms"])]:
    people.setdefault(e["by"], []).append(e)
check("releases-by-person", PERIOD, ["person", "released", "rejected", "early", "ran_it_too", "packed_too"],
      [[p, sum(e["kind"] == "load-released" for e in es), sum(e["kind"] == "load-rejected" for e in es), sum("early" in e for e in es),
        sum(e["kind"] == "load-released" and r.loads[e["load"]]["by"] == p for e in es),
        sum(e["kind"] == "load-released" and any(r.packs[k]["by"] == p for k in r.loads[e["load"]]["holds"] if k in r.packs and r.packs[k]["kind"] == "packed") for e in es)]
       for p, es in sorted(people.items())], len(releases), sum(not r.latest("person-enrolled", person=e["by"]) for e in releases))

# Indicators
tests = r.biologicals()
found = answer("last-positive")
grown = [b for b in tests if b["result"] == "positive"][-1]
same("last-positive begins with it", column(found, "what", "id", "entry")[0], ["biological read", grown["load"], grown["entry"]])
after = [e for e in r.events if e["ms"] >= grown["ms"] and e.get("equipment") == grown["of"]["equipment"] and e["kind"] in ("load-started", "equipment-stopped", "equipment-resumed", "equipment-checked")]
same("what the machine did after it", sorted(c[1] for c in column(found, "what", "entry") if c[0] not in ("biological read", "recall opened", "load rejected")), sorted(e["entry"] for e in after))
frequency = []
for q, m in sorted({(l["equipment"], l["method"]) for l in hot}):
    ran = [l for l in hot if (l["equipment"], l["method"]) == (q, m)]
    of = [b for b in tests if b["of"]["equipment"] == q and b["of"]["method"] == m and inside(b["of"]["start"])]
    marks = sorted({ran[0]["start"], ran[-1]["start"]} | {b["of"]["start"] for b in of if b["counts"]})
    gaps = [b - a for a, b in zip(marks, marks[1:])]
    frequency.append([q, m, len(ran), len(of), sum(b["counts"] for b in of), sum(b["result"] == "positive" for b in of), round(max(gaps) / DAY, 2) if gaps else None])
check("biological-frequency", PERIOD, ["equipment", "method", "loads", "tests", "that_count", "positive", "longest_days"], frequency, len(hot), 0)
read = [b for b in tests if inside(b["ms"])]
check("biological-log", PERIOD, ["load", "lot", "result", "control", "counts"], [[b["load"], b["lot_used"], b["result"], b["control"], b["counts"]] for b in read],
      len(read), sum(not b["lot_used"] or "control" not in b or "result" not in b for b in read))
placed = [e for e in r.of("biological-placed") if inside(e["ms"])]
check("biologicals-unread", PERIOD, ["biological"], [[e["biological"]] for e in placed if not any(b["load"] == e["load"] and b.get("biological", e["biological"]) == e["biological"] for b in r.of("biological-read"))],
      len(placed), 0)
vacuum = {}
for l in loads:
    if l["method"] == "steam-prevacuum" and l["equipment"]:
        vacuum.setdefault((day_of(l["start"]).isoformat(), l["equipment"]), []).append(l["start"])
wanted = []
for (day, q), starts in sorted(vacuum.items()):
    checks = [e for e in r.of("equipment-checked") if e["equipment"] == q and e["check"] == "air-removal" and day_of(e["ms"]).isoformat() == day]
    wanted.append([day, q, len(starts), checks[0].get("result") if checks else None, bool(checks) and checks[0]["ms"] <= min(starts)])
check("air-removal-days", PERIOD, ["day", "equipment", "loads", "result", "before_first"], wanted, len(wanted), 0)
strips = [e for e in r.of("indicator-read") if inside(e["ms"])]
sort_of = lambda e: e.get("type", next((s.get("type") for s in r.of("supply-received") if s["lot"] == e.get("lot")), None))
by = Counter((month_of(e["ms"]), sort_of(e), e.get("result")) for e in strips)
keys = sorted({k[:2] for k in by}, key=lambda k: (k[0], k[1] is not None, k[1] or 0))
found = check("strips", PERIOD, ["month", "type", "passed", "failed", "of"], [[m, t, by[m, t, "pass"], by[m, t, "fail"], by[m, t, "pass"] + by[m, t, "fail"]] for m, t in keys],
              len(strips), sum(e.get("result") in (None, "unreadable") for e in strips))
check_shares("strips", found, "failed")
bought = [s for s in r.of("supply-received") if s["sort"] in ("chemical-indicator", "biological-indicator", "air-removal-test", "test-strip")
          and s["ms"] <= UNTIL and s.get("expires", "9999") >= "2026-10-05"]
lot = lambda kind, l, name="lot": sum(e.get(name) == l for e in r.of(kind))
check("strips-bought-and-used", PERIOD, ["lot", "received", "packed_in", "read", "tests"],
      [[s["lot"], s.get("count"), lot("packed", s["lot"], "indicator_lot"), lot("indicator-read", s["lot"]),
        lot("biological-placed", s["lot"]) + lot("solution-tested", s["lot"]) + lot("equipment-checked", s["lot"])] for s in sorted(bought, key=lambda s: s["lot"])],
      len(bought), sum("count" not in s for s in bought))

# Solutions
made = [e for e in r.of("solution-prepared") if inside(e["ms"])]
tested = lambda s: [e for e in r.of("solution-tested") if e["solution"] == s]
soaks_in = lambda s: [k for k in r.soaks if k.get("solution") == s]
rows = []
for week in weeks.values():
    for day in week:
        here = [e for e in made if e["use"] == "decontamination" and day_of(e["ms"]) == day]
        third = lambda e: (e["ms"] - start_of(day)) // (8 * HOUR)
        first_use = lambda e: min((k["ms"] for k in soaks_in(e["solution"])), default=None)
        first_test = lambda e: min((t["ms"] for t in tested(e["solution"])), default=None)
        rows.append([day.isoformat(), sum(third(e) == 0 for e in here), sum(third(e) == 1 for e in here), sum(third(e) == 2 for e in here), sum(first_test(e) is not None for e in here),
                     sum(first_test(e) is not None and (first_use(e) is None or first_test(e) <= first_use(e)) for e in here), sum(day_of(k["ms"]) == day for k in r.soaks)])
check("chlorine-each-day", PERIOD, ["day", "made_0_to_8", "made_8_to_16", "made_16_to_24", "tested", "tested_before_use", "soaks"], rows,
      sum(e["use"] == "decontamination" for e in made), 0)


def by_recipe(e):
    if "stock_ml" in e:
        return round(e["stock_percent"] * e["stock_ml"] / (e["stock_ml"] + e["water_ml"]), 4)
    return round(e["available_percent"] * e["powder_g"] / e["water_ml"], 4) if "powder_g" in e else None


check("solution-log", PERIOD, ["solution", "by_recipe", "found_percent", "first_use"],
      [[e["solution"], by_recipe(e), tested(e["solution"])[0].get("percent") if tested(e["solution"]) else None,
        shown(min([k["ms"] for k in soaks_in(e["solution"])] + [l["start"] for l in r.loads.values() if l["solution"] == e["solution"]], default=None))] for e in made],
      len(made), sum("recipe" in e.get("unknown", {}) for e in made))
timed = [(k["end"] - k["ms"]) / 60000 if k["end"] is not None else None for k in r.soaks if inside(k["ms"])]
bands = [("under 5", -1, 5), ("5 to under 10", 5, 10), ("10 to under 15", 10, 15), ("15 to under 20", 15, 20), ("20 to under 30", 20, 30), ("30 to under 60", 30, 60), ("60 and more", 60, 1e9)]
check("soak-times", PERIOD, ["minutes", "soaks"], [[n, sum(t is not None and a <= t < b for t in timed)] for n, a, b in bands] + [["no end recorded", timed.count(None)]], len(timed), timed.count(None))
least = r.sop["decontamination"]["soak_minutes_min"]
check("short-soaks", PERIOD, ["set", "minutes"], [[k["set"], (k["end"] - k["ms"]) / 60000] for k in r.soaks if inside(k["ms"]) and k["end"] is not None and k["end"] - k["ms"] < least * 60000], len(timed), timed.count(None))
chemical = [l for l in loads if l["method"].startswith("chemical")]
prepared = {e["solution"]: e for e in r.of("solution-prepared")}
age = lambda l: round((l["start"] - prepared[l["solution"]]["ms"]) / DAY, 2)
last_test = lambda l: [t for t in tested(l["solution"]) if t["ms"] <= l["start"]][-1:]
check("disinfectant-age", PERIOD, ["load", "age_days", "strip"], [[l["id"], age(l), last_test(l)[0].get("strip") if last_test(l) else None] for l in sorted(chemical, key=lambda l: -age(l))],
      len(chemical), sum(l["solution"] not in prepared for l in chemical))
check("untested-solutions", PERIOD, ["solution", "uses"], [[e["solution"], len(soaks_in(e["solution"])) + sum(l["solution"] == e["solution"] for l in r.loads.values())] for e in made if not tested(e["solution"])],
      len(made), 0)

# Machines
ON = start_of(date(2026, 10, 21)) - 1
registered = sorted({e["equipment"] for e in r.of("equipment-registered") if e["ms"] <= ON})
wanted = []
for q in registered:
    names = sorted({e["check"] for e in r.of("equipment-checked") if e["equipment"] == q and e["ms"] <= ON})
    for name in names or [None]:
        last = r.latest("equipment-checked", at=ON, equipment=q, check=name) if name else None
        until = ms(last["until"]) if last and "until" in last else None
        wanted.append([q, name, last["result"] if last else None, (False if last["result"] == "fail" else until >= ON if until else None) if last else None])
check("equipment-on-date", ["--on", "2026-10-20"], ["equipment", "check", "result", "in_date"], wanted, len(registered),
      sum(not r.latest("equipment-checked", at=ON, equipment=q, check="calibration") for q in registered))
calibrations = [e for e in r.of("equipment-checked") if e["check"] == "calibration"]
check("as-found-errors", [], ["equipment", "as_found_k", "certificate"], [[e["equipment"], e.get("as_found_k"), e.get("certificate")] for e in sorted(calibrations, key=lambda e: (e["ms"], e["equipment"]))],
      len(calibrations), sum("as_found_k" not in e and "as_found_kpa" not in e for e in calibrations))
stops = [e for e in r.of("equipment-stopped") if inside(e["ms"])]
resumed = lambda e: next((s["ms"] for s in r.of("equipment-resumed") if s["equipment"] == e["equipment"] and s["ms"] >= e["ms"]), None)
check("downtime", PERIOD, ["equipment", "hours", "loads_meanwhile"],
      [[e["equipment"], round((resumed(e) - e["ms"]) / HOUR, 2), sum(l["equipment"] == e["equipment"] and e["ms"] <= l["start"] < resumed(e) for l in r.loads.values())] for e in stops],
      len({e["equipment"] for e in r.of("equipment-registered") if e["ms"] <= UNTIL}), 0)
checks = [e for e in r.of("equipment-checked") if inside(e["ms"])]
fails = [e for e in checks if e["result"] == "fail"]
passed = lambda e: next(p["ms"] for p in r.of("equipment-checked") if p["equipment"] == e["equipment"] and p["check"] == e["check"] and p["result"] == "pass" and p["ms"] > e["ms"])
check("failed-checks", PERIOD, ["equipment", "check", "loads_between"],
      [[e["equipment"], e["check"], sum(l["equipment"] == e["equipment"] and e["ms"] < l["start"] < passed(e) for l in r.loads.values())] for e in fails], len(checks), 0)

# People
ran = {}
for l in loads:
    competences = [e for e in r.of("competence-recorded") if e["person"] == l["by"] and e["skill"] == l["method"] and e["ms"] <= l["start"]]
    ran.setdefault((l["by"], l["method"]), []).append(bool(competences) and max(e["until"] for e in competences) >= day_of(l["start"]).isoformat())
check("competence-on-the-day", PERIOD, ["person", "method", "loads", "in_date", "without"], [[p, m, len(v), sum(v), len(v) - sum(v)] for (p, m), v in sorted(ran.items())], len(loads), 0)
enrolled = sorted({e["person"] for e in r.of("person-enrolled") if e["ms"] <= ON})
skills = []
for p in enrolled:
    names = sorted({e["skill"] for e in r.of("competence-recorded") if e["person"] == p and e["ms"] <= ON})
    skills += [[p, n, r.latest("competence-recorded", at=ON, person=p, skill=n)["until"] >= "2026-10-20"] for n in names] or [[p, None, None]]
check("competences", ["--on", "2026-10-20"], ["person", "skill", "in_date"], skills, len(enrolled), sum(s[1] is None for s in skills))
work = Counter((e["by"], e["kind"]) for e in everything)
found = answer("who-did-what", *PERIOD)
same("who-did-what", column(found, "person", "kind", "events"), [[p, k, n] for (p, k), n in sorted(work.items())])
roster = lambda p: [(ms(e["from"]), ms(e["until"])) for e in r.of("rostered") if e["person"] == p]
off = Counter()
for e in everything:
    off[e["by"], e["kind"]] += not any(a <= e["ms"] <= b for a, b in roster(e["by"]))
same("off the roster", column(found, "person", "kind", "off_roster"), [[p, k, off[p, k] if roster(p) else None] for (p, k), n in sorted(work.items())])

# The record
hours = [(e["typed"] - e["ms"]) / HOUR for e in given]
delays = [("within 1 h", -1e9, 1), ("1 to 4 h", 1, 4), ("4 to 24 h", 4, 24), ("24 to 72 h", 24, 72), ("over 72 h", 72, 1e12)]
found = check("late-entries", PERIOD, ["delay", "events", "of"], [[n, sum(a <= h < b for h in hours), len(hours)] for n, a, b in delays], len(hours), 0)
check_shares("late-entries", found, "events")
late = sorted(((-(e["typed"] - e["ms"]), e["entry"]) for e in given if e["typed"] - e["ms"] > 20 * HOUR))
found = answer("latest-entries", *PERIOD, "--hours", "20")
same("latest-entries", sorted(column(found, "entry")), sorted(e for _, e in late))
changes = []
for line in run("export").splitlines():
    e = json.loads(json.loads(line)["entry"])
    if e["kind"] == "corrected" and inside(ms(e["at"])):
        changes.append([e["of"], (e["replacement"] or {"kind": "never happened"})["kind"], e["seq"]])
check("changes", PERIOD, ["of", "kind", "entry"], changes, len(everything), 0)
if not changes:
    problems.append("the month has no correction: nothing tests changes")
check("entries-by-month", PERIOD, ["month", "happened", "first_entry", "last_entry"],
      [[m, len(es), min(es), max(es)] for m in months for es in [[e["entry"] for e in everything if month_of(e["ms"]) == m]]], len(everything), 0)
check("originals", ["--id", "SX-1"], ["kind", "paper"], [["solution-prepared", "book 3, page 4"], ["soaked", None]], 2, 1)
check("sop-history", [], ["title", "confirmed"], [[r.sop["sop"]["title"], None]], 1, 1)
check("limit-history", ["--key", "recall.hours_max"], ["key", "value"], [["recall.hours_max", str(r.sop["recall"]["hours_max"])]], 1, 0)
counts = [e for e in r.of("counted") if inside(e["ms"]) and e["what"] in ("births", "operations")]
birth = lambda e: any(w in e["sort"] for w in ("deliver", "birth", "esarean")) or bool(e.get("newborns")) or e.get("newborns_without_number", 0) > 0
operation = lambda e: any(w in e["sort"] for w in ("esarean", "laparotomy", "ectomy", "ligation", "operation", "surgery"))
wanted = []
for e in sorted(counts, key=lambda e: (ms(e["from"]), e["what"])):
    fits = [d for d in r.of("procedure-done") if ms(e["from"]) <= d["ms"] <= ms(e["until"]) and (birth if e["what"] == "births" else operation)(d)]
    other = Counter(d["sort"] for d in r.of("procedure-done") if ms(e["from"]) <= d["ms"] <= ms(e["until"]) and not birth(d) and not operation(d))
    sorts = ", ".join(f"{s} {n}" for s, n in sorted(other.items(), key=lambda o: (-o[1], o[0]))) or None
    wanted.append([e["what"], e["number"], len(fits), sum(bool(d.get("packs")) for d in fits), e["number"] - len(fits), other.total(), sorts])
check("births-and-sets", PERIOD, ["what", "counted", "recorded", "with_packs", "difference", "other", "other_sorts"], wanted, len(counts), 0)
same("a sort that is no word for an operation is listed and not counted", any("examination" in (w[6] or "") for w in wanted), True)
recall = r.of("recall-opened")[0]
work = json.loads(run("--json", "recall", "show", "RC-1"))
check("recalls", [], ["recall", "drill", "packs", "procedures", "packs_to_find", "answered_packs", "procedures_to_answer", "answered_procedures", "state"],
      [["RC-1", True, recall["counts"]["packs"], recall["counts"]["procedures"], work["packs_to_find"], work["packs_answered"],
        work["procedures"], work["procedures_answered"], work["state"]]], 1, 0)
counts = [e for e in r.of("counted") if inside(e["ms"]) and e["what"] in ("strips", "packs-on-shelf", "nothing-done")]
wanted = []
for e in sorted(counts, key=lambda e: (ms(e["from"]), e["what"])):
    span = lambda kind: sum(ms(e["from"]) <= d["ms"] <= ms(e["until"]) for d in r.of(kind))
    moves = {}
    for d in sorted((d for k in ("pack-stored", "pack-returned", "pack-issued", "pack-opened", "pack-withdrawn") for d in r.of(k)), key=lambda d: d["ms"]):
        if d["ms"] <= ms(e["until"]):
            moves[d["pack"]] = d["kind"] == "pack-stored" or d["kind"] == "pack-returned" and d.get("state") == "closed"
    used = {p for d in r.of("procedure-done") if d["ms"] <= ms(e["until"]) for p in d.get("packs", [])}
    here = {"strips": span("indicator-read"), "packs-on-shelf": sum(on and p not in used for p, on in moves.items()), "nothing-done": span("procedure-done")}[e["what"]]
    wanted.append([e["what"], e["number"], here, e["number"] - here])
check("counted-elsewhere", PERIOD, ["what", "counted", "recorded", "difference"], wanted, len(counts), 0)
check("answered-findings", PERIOD, ["rule", "subject", "state", "text", "due"], [["soak-too-short", "set DRM-03", "accepted", "told the night shift", "2026-11-30"]], 1, 0)
keys = re.findall(r"^\| `([a-z0-9_.]+)` \|", (source / "docs/sop-format.md").read_text(), re.M)
check("limits-not-stated", PERIOD, ["key"], [[k] for k in keys if k not in r.sop_keys_stated()], len(keys), 0)

# Over time
measured = []
for l in loads:
    if l["equipment"] == "autoclave-drum":
        curves = [c for c, load in r.curve_of.items() if load == l["id"]]
        judged = [e for e in r.of("curve-judged") if e["curve"] in curves]
        hold = judged[-1]["hold"]["minutes"] if judged and judged[-1].get("hold") else (l["read"] or (None, None, None))[2]
        if hold is not None:
            measured.append((l["id"], hold))
found = answer("hold-times", *PERIOD, "--equipment", "autoclave-drum")
same("hold-times", column(found, "load"), [m[0] for m in measured])
for got, (_, wanted) in zip(column(found, "hold_min"), measured):
    near("hold-times", got, wanted)
values = column(found, "hold_min")
mean, ranges = sum(values) / len(values), [abs(b - a) for a, b in zip(values, values[1:])]
spread = 3 * sum(ranges) / len(ranges) / 1.128
for got in column(found, "centre", "lower", "upper")[:1]:
    for g, w in zip(got, (mean, mean - spread, mean + spread)):
        near("limits of hold-times", g, w, 0.0001)
same("signals of hold-times", [s == "beyond-limits" for s in column(found, "signal")], [abs(v - mean) > spread for v in values])
bad = {
    "late-entries": [(e["ms"], e["typed"] - e["ms"] > 4 * HOUR) for e in given],
    "patients-not-recorded": [(e["ms"], "patient" not in e) for e in procedures],
    "soaks-under-10-min": [(k["ms"], k["end"] - k["ms"] < 600000) for k in r.soaks if inside(k["ms"]) and k["end"] is not None],
    "wet-loads": [(l["start"], l["dry"] is False) for l in steam if l["dry"] is not None],
    "loads-without-evidence": [(l["start"], not r.has_evidence(l)) for l in loads],
    "early-releases": [(e["ms"], "early" in e) for e in releases],
    "inspections-with-finding": [(e["ms"], bool(e["found"])) for e in r.of("inspected") if inside(e["ms"]) and "found" in e],
}
for measure, values in bad.items():
    found = answer("is-it-improving", *PERIOD, "--measure", measure)
    same(f"is-it-improving, {measure}", column(found, "week", "found", "of"), [[w, sum(b for t, b in values if week_of(t) == w), sum(week_of(t) == w for t, _ in values)] for w in weeks])
    percents = sorted(p for p in column(found, "percent") if p is not None)
    half = len(percents) // 2
    median = percents[half] if len(percents) % 2 else (percents[half - 1] + percents[half]) / 2
    near(f"median of {measure}", column(found, "median")[0], median, 0.0001)
parts = {"procedure without patient": bad["patients-not-recorded"], "procedure without set": [(e["ms"], bare(e)) for e in procedures],
         "procedure entered after 4 h": [(e["ms"], e["typed"] - e["ms"] > 4 * HOUR) for e in procedures], "soak under 10 min": bad["soaks-under-10-min"],
         "load released early": bad["early-releases"]}
part_of = lambda t: "weekend" if day_of(t).isoweekday() > 5 else "day" if 7 * HOUR <= t - start_of(day_of(t)) < 19 * HOUR else "night"
wanted = [[m, p, sum(b for t, b in v if part_of(t) == p), sum(part_of(t) == p for t, _ in v)] for m, v in sorted(parts.items()) for p in ("day", "night", "weekend")]
found = check("nights-and-days", PERIOD, ["measure", "when", "found", "of"], [w for w in wanted if w[3]], len(procedures) + len(timed) + len(releases), timed.count(None))
check_shares("nights-and-days", found)
own = [u for u in uses if r.packs[u["pack"]]["kind"] == "packed"]
kinds = lambda u: {e["kind"] for e in r.turn(u["pack"])}
steps = [("soak or cleaning recorded", lambda u: bool(kinds(u) & {"soaked", "cleaned"})), ("inspection recorded", lambda u: "inspected" in kinds(u)), ("packing recorded", lambda u: True),
         ("indicator inside", lambda u: "indicator_lot" in r.packs[u["pack"]]), ("load recorded", lambda u: u["load"] is not None),
         ("load with evidence", lambda u: bool(u["load"]) and r.has_evidence(u["load"])), ("load released", lambda u: bool(u["load"]) and decision(u["load"]) == "released"),
         ("inside indicator read", lambda u: any(e.get("pack") == u["pack"] and e["ms"] <= u["at"] for e in r.of("indicator-read"))), ("opening recorded", lambda u: opened(u) is not None)]
of_step = lambda s, m: [u for u in own if month_of(u["done"]["ms"]) == m and (s != "load released" or u["load"] is None or u["load"]["method"] in WANTED)]
check("coverage", PERIOD, ["month", "step", "with", "of"], [[m, s, sum(f(u) for u in of_step(s, m)), len(of_step(s, m))]
                                                          for m in months for s, f in steps if of_step(s, m)], len(uses), len(uses) - len(own))

# The command line
listed = {q["question"]: q for q in json.loads(run("--json", "answer"))["questions"]}
same("questions that no line above works out", sorted(set(listed) - set(asked)), [])
if len(listed) < 40:
    problems.append(f"only {len(listed)} questions")
needs = {"procedure": "PR-0049", "pack": "PK-0104", "set": "DEL-06", "load": "DA-1014-2", "equipment": "autoclave-drum", "procedures": "PR-0049,PR-0050", "id": "SX-1", "key": "shelf"}
for question, entry in listed.items():
    words = [w for p in entry["parameters"] if p in needs for w in ("--" + p, needs[p])] + (["--seed", "7"] if "seed" in entry["parameters"] else [])
    page = run("answer", question, *words, *PERIOD)
    for line in page.splitlines():
        if len(line) > 80:
            problems.append(f"{question} writes a line of {len(line)} columns: {line}")
            break
    for needed in ("looked at", "could not be judged", "Known up to entry", "SOP:", entry["words"]):
        if needed not in " ".join(page.split()):
            problems.append(f"the page of {question} does not say \"{needed}\"")
    # The plain shell gives the same rows from the printed query.
    script = run("answer", question, *words, *PERIOD, "--query")
    done = subprocess.run(["sqlite3", "-json", ledger + ".links"], input=script, capture_output=True, text=True)
    if done.returncode or done.stderr:
        problems.append(f"the query of {question} in the shell: {done.stderr[:300]}")
        continue
    # Where there is no row the shell prints nothing for the first query, and only how many were looked at.
    documents, texts = [], done.stdout.strip()
    while texts:
        document, end = json.JSONDecoder().raw_decode(texts)
        documents.append(document)
        texts = texts[end:].strip()
    again = answer(question, *words, *PERIOD)
    same(f"rows of {question} in the shell", len(documents[0]) if len(documents) > 1 else 0, len(again["rows"]))
    same(f"{question} in the shell, looked at", list(documents[-1][0].values()) if documents else [0, 0], [again["examined"], again["cannot_tell"]])
usual = answer("procedures-without-set")
same("the usual period", [usual["from"], usual["until"]], [shown(start_of(day_of(r.last)) - 90 * DAY), shown(start_of(day_of(r.last)) + DAY - 1)])
what_if = answer("short-soaks", *PERIOD, "--sop", str(samples / "sop/theatre-strict.toml"))
same("what if names itself", what_if["sop"][0].startswith("what if: "), True)
for words, status, part in ((["answer", "procedure-without-set"], 2, "procedures-without-set"), (["answer", "xyzzy"], 2, "trayproof answer"), (["answer", "pack-history"], 2, "--pack"),
                            (["answer", "pack-history", "--pack", "PK-9999"], 3, "PK-9999"), (["answer", "counter", "--pack", "PK-0001"], 2, "does not take"),
                            (["answer", "counter", "--from", "2026-13-01"], 2, "2026-13-01"), (["answer", "is-it-improving", "--measure", "mood"], 3, "wet-loads"),
                            (["answer", "random-loads", "--sample", "0"], 3, "--sample"), (["answer", "competences", "--on", "yesterday"], 3, "--on")):
    done = subprocess.run([program, "--ledger", ledger, *words], capture_output=True, text=True)
    if done.returncode != status or part not in done.stderr:
        problems.append(f"{' '.join(words)} ended with {done.returncode}, saying {done.stderr[:200]}")

page = (source / "docs/answers.md").read_text()
rows = {m[0]: (m[1].strip(), re.findall(r"`--([a-z]+)`", m[2]), re.findall(r"`([a-z0-9_]+)`", m[3])) for m in re.findall(r"^\| `([a-z-]+)` \| ([^|]*)\|([^|]*)\|([^|]*)\|$", page, re.M)}
same("docs/answers.md has the questions", sorted(rows), sorted(listed))
for question, entry in listed.items():
    if question in rows:
        same(f"docs/answers.md on {question}", list(rows[question]), [entry["words"], entry["parameters"], entry["columns"]])

for problem in problems:
    print(problem)
print(f"{len(asked)} questions, {sum(asked.values())} answers, {len(problems)} problems")
sys.exit(1 if problems else 0)
