#!/usr/bin/env python3
"""Editions of the SOP through the real program: checked, compared, adopted, confirmed by two, tried as what if. What a
comparison must say is worked out here from the files with another TOML reader.

    stories_test.py PROGRAM SOURCE-FOLDER
"""
import sys
import tomllib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "privacy"))
from ward import Ward, check, finish

sops = Path(sys.argv[2]) / "samples" / "sop"
names = ("labour-room", "clean-first", "theatre-strict")
file_of = {n: str(sops / f"{n}.toml") for n in names}


def flat(name):
    """Every limit by its name; elements of lists by what names them."""
    out = {}

    def walk(table, path):
        for key, value in table.items():
            here = f"{path}.{key}" if path else key
            if isinstance(value, dict):
                walk(value, here)
            elif isinstance(value, list) and value and isinstance(value[0], dict):
                for one in value:
                    own = one.get("agent", one.get("temperature_c"))
                    for k, v in one.items():
                        out[f"{here} {own} {k}"] = v
            elif not here.startswith("sop."):
                out[here] = sorted(value) if isinstance(value, list) else value
    walk(tomllib.loads(Path(file_of[name]).read_text()), "")
    out.setdefault("release.methods", sorted(["steam-gravity", "steam-prevacuum", "dry-heat", "chemical-sterilization"]))
    out.setdefault("records.clock_minutes", 5)
    out.setdefault("recall.policy", "at-once")
    return out


def spelt(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(value)
    return str(int(value)) if isinstance(value, float) and value == int(value) else str(value)


ward = Ward().staffed()
for before in names:
    for after in names:
        found = ward.run("sop", "compare", file_of[before], file_of[after])
        a, b = flat(before), flat(after)
        wanted = {k for k in set(a) | set(b) if a.get(k) != b.get(k)}
        check(f"what differs from {before} to {after}", sorted(c["key"] for c in found["changes"]), sorted(wanted))
        check("how many are alike", found["same"], sum(k in b and a[k] == b[k] for k in a))
        for change in found["changes"]:
            for side, limits in (("before", a), ("after", b)):
                value = limits.get(change["key"])
                told = change[side]
                if isinstance(value, list) and told is not None:
                    told = ", ".join(sorted(told.split(", ")) if told else [])
                check(f"{change['key']} {side}", told, None if value is None else spelt(value))
        back = ward.run("sop", "compare", file_of[after], file_of[before])
        check("backwards the stricter are the looser", [back["stricter"], back["looser"], back["different"]], [found["looser"], found["stricter"], found["different"]])
strict = {c["key"]: c["direction"] for c in ward.run("sop", "compare", file_of["labour-room"], file_of["theatre-strict"])["changes"]}
# By hand, from the two files: seven days of shelf life become thirty; late is after 4 h in both or sooner; two persons.
check("a longer shelf life is looser", strict["shelf.days.wrapped"], "looser")
check("two persons are stricter", strict["release.second_person"], "stricter")
check("daily biologicals are stricter", strict["indicators.biological_days"], "stricter")
check("soak first and clean first are only different", strict["decontamination.mode"], "different")
page = ward.run("sop", "compare", file_of["theatre-strict"], as_json=False)
check("the edition in force is compared", page.startswith('From "Labour room, soak first"'))
check("no line is longer than eighty columns", [l for l in page.splitlines() if len(l) > 80], [])

bad = ward.write("bad.toml", ["[steam]", "warm_up_minutes = 5"])
ward.run("sop", "adopt", bad, status=3)
check("an unknown key is refused with its place", "line 2, column 1" in ward.said)
adopted = ward.run("sop", "adopt", file_of["theatre-strict"], "--as", "noor")
check("the comparison is told with it", adopted["changes"], ward.run("sop", "compare", file_of["labour-room"], file_of["theatre-strict"])["changes"])
editions = ward.run("sop", "list")["editions"]
check("two editions", [[e["title"], e["in_force_now"], e["confirmed"]] for e in editions],
      [["Labour room, soak first", False, False], [adopted["after"]["title"], True, False]])
ward.run("sop", "confirm", file_of["clean-first"], status=3)
ward.run("sop", "confirm", file_of["labour-room"], status=3)
check("once somebody may sign in for it, the station may not", "to confirm an SOP" in ward.said)
ward.run("sop", "adopt", file_of["clean-first"], "--as", "ana", status=3)
check("nor may who has not the right", "put an SOP in force" in ward.said)
ward.run("sop", "confirm", "99999", status=3)
confirmed = ward.run("sop", "confirm", file_of["theatre-strict"], "--second", "ana", "--as", "noor")
check("the list says so", [[e["confirmed"], e.get("second")] for e in ward.run("sop", "list")["editions"]], [[False, None], [True, "awaiting-second"]])
check("the list says so to people", "awaiting" in ward.run("sop", "list", as_json=False))
check("it awaits the second", [confirmed["sop"], confirmed["second"]], [adopted["seq"], "awaiting-second"])
ward.run("countersign", str(confirmed["seq"]), "--as", "ana")
check("nothing is awaited now", ["second" in e for e in ward.run("sop", "list")["editions"]], [False, False])
same_again = ward.run("sop", "adopt", file_of["theatre-strict"], "--as", "noor")
check("the text in force is not adopted again", [same_again["seq"], same_again["repeated"], len(ward.run("sop", "list")["editions"])], [adopted["seq"], True, 2])
check("confirmed", [e["confirmed"] for e in ward.run("sop", "list")["editions"]], [False, True])
check("by its number too", ward.run("sop", "confirm", str(editions[0]["seq"]), "--as", "noor")["sop"], editions[0]["seq"])
later = ward.run("sop", "adopt", file_of["clean-first"], "--in-force", "2199-01-01", "--as", "noor")
check("one for later does not judge yet", [e["in_force_now"] for e in ward.run("sop", "list")["editions"]], [False, True, False])
for key in ("nonsense.key", "shelf.dayz", ""):
    ward.run("answer", "limit-history", "--key", key, status=3)
check("all keys of a table", len(ward.run("answer", "limit-history", "--key", "steam.program")["rows"]) > 4)
history = ward.run("answer", "limit-history", "--key", "shelf.days.wrapped")
check("the limit's history", [r[1] for r in history["rows"]], [spelt(flat(n)["shelf.days.wrapped"]) for n in ("labour-room", "theatre-strict", "clean-first")])
ward.run("record", "solution-prepared", "solution=S-1", "agent=sodium-hypochlorite", "use=decontamination", "percent=0.5", "stock_percent=5",
         "stock_ml=1000", "water_ml=9000", "--at", "2026-10-05T08:00:00+05:00", "--by", "ana")
ward.run("record", "soaked", "set=DS-1", "solution=S-1", "until=2026-10-05T09:12:00+05:00", "--at", "2026-10-05T09:00:00+05:00", "--by", "ana")
short = lambda *words: [r[0] for r in ward.run("answer", "short-soaks", "--from", "2026-10-01", "--to", "2026-10-31", *words)["rows"]]
check("twelve minutes are enough by the labour room", short(), [])
tried = ward.write("tried.toml", ["[sop]", 'title = "Longer soak"', "[decontamination]", "soak_minutes_min = 15"])
check("and too short by an edition that is tried", short("--sop", tried), ["DS-1"])
what_if = ward.run("gaps", "--rule", "soak-too-short", "--sop", tried)
check("the rule says the same", [g["subject"]["id"] for g in what_if["gaps"]], ["DS-1"])
check("trying records nothing", len(ward.run("sop", "list")["editions"]), 3)
check("verify is content", ward.run("verify", "--full")["ok"])
finish()
