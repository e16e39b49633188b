"""The record as `export` gives it, read the slow and obvious way: corrections applied, loads with what they hold, uses with
their relevant load. Nothing of the program's tables. Times in milliseconds; every time of these records is known exactly."""
import json
from datetime import date, datetime, timedelta, timezone

HOUR, DAY = 3600000, 86400000
STEAM = ("steam-gravity", "steam-prevacuum")
HOT = STEAM + ("dry-heat",)
DISINFECTS = ("boiling", "steaming", "thermal-disinfection", "chemical-disinfection")
zone = timezone(timedelta(hours=5))


def ms(text):
    return round(datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp() * 1000)


def day_of(at):
    return datetime.fromtimestamp(at / 1000, zone).date()


def start_of(day):
    return round(datetime(day.year, day.month, day.day, tzinfo=zone).timestamp() * 1000)


class Record:
    def __init__(self, lines, sop_text):
        import tomllib
        self.sop = tomllib.loads(sop_text)
        families, family_of = {}, {}
        for line in lines:
            entry = json.loads(json.loads(line)["entry"])
            seq = entry["seq"]
            if entry["kind"] == "corrected":
                origin = family_of.get(entry["of"], entry["of"])
                family_of[seq] = origin
                first = families[origin]
                held = entry["replacement"]
                families[origin] = {"seq": seq, "recorded": first["recorded"], "entered": first["entered"],
                                    "event": held, "corrected": True}
            family_of.setdefault(seq, seq)
            families[seq] = {"seq": seq, "recorded": entry["recorded"], "entered": entry.get("entered"), "event": entry}
        self.events = []
        for origin, family in sorted(families.items()):
            event = family["event"]
            if event is None:
                continue
            event = dict(event)
            event.update(origin=origin, entry=family["seq"], ms=ms(event["at"]),
                         typed=ms(family["entered"] or family["recorded"]), noted=ms(family["recorded"]))
            self.events.append(event)
        self.last = max(e["ms"] for e in self.events)
        self.tie()

    def of(self, *kinds):
        return sorted((e for e in self.events if e["kind"] in kinds), key=lambda e: (e["ms"], e["entry"]))

    def latest(self, kind, at=None, **fields):
        found = [e for e in self.of(kind) if all(e.get(k) == v for k, v in fields.items()) and (at is None or e["ms"] <= at)]
        return found[-1] if found else None

    def tie(self):
        self.loads = {}
        for e in self.of("load-started"):
            self.loads[e["load"]] = dict(id=e["load"], start=e["ms"], end=None, complete=None, dry=None, holds=list(e.get("packs", [])),
                                         method=e["method"], equipment=e.get("equipment"), solution=e.get("solution"), by=e["by"],
                                         cycle=e.get("cycle"), entry=e["entry"], read=None, marked="packs" in e.get("unknown", {}))
        for e in self.of("load-changed"):
            holds = self.loads[e["load"]]["holds"]
            holds[:] = [p for p in holds if p not in e.get("removed", [])] + [p for p in e.get("added", []) if p not in holds]
        for e in self.of("load-ended"):
            load = self.loads[e["load"]]
            load.update(end=e["ms"], complete=e.get("complete"), dry=e.get("dry"),
                        read=(e.get("temperature_c"), e.get("pressure_kpa_gauge"), e.get("hold_min")))
        for load in self.loads.values():
            load["late"] = load["end"] if load["end"] is not None else load["start"]
            decisions = [e for e in self.of("load-released", "load-rejected") if e["load"] == load["id"]]
            load["decision"] = decisions[-1] if decisions else None
        self.packs = {e["pack"]: e for e in self.of("packed", "pack-received")}
        self.in_loads = {}
        for load in self.loads.values():
            for pack in load["holds"]:
                self.in_loads.setdefault(pack, []).append(load)
        for loads in self.in_loads.values():
            loads.sort(key=lambda l: (l["late"], l["id"]))
        self.uses = []
        for e in self.of("procedure-done"):
            at = ms(e["until"]) if "until" in e else e["ms"]
            for pack in e.get("packs", []):
                self.uses.append(dict(procedure=e["procedure"], pack=pack, at=at, entry=e["entry"], done=e, load=self.relevant(pack, at)))
        self.soaks = []
        ends = self.of("soak-ended")
        starts = self.of("soaked")
        for e in starts:
            end = ms(e["until"]) if "until" in e else None
            if end is None:
                again = [s["ms"] for s in starts if s["set"] == e["set"] and s["solution"] == e["solution"] and s["ms"] > e["ms"]]
                for one in ends:
                    if one["set"] == e["set"] and one["solution"] == e["solution"] and one["ms"] >= e["ms"]:
                        if not again or one["ms"] < min(again):
                            end = one["ms"]
                        break
            self.soaks.append(dict(e, end=end))
        self.curve_of = {}
        for e in sorted(self.of("curve-placed"), key=lambda e: e["entry"]):
            self.curve_of[e["curve"]] = e["load"]

    def relevant(self, pack, at):
        held = [l for l in self.in_loads.get(pack, []) if l["late"] <= at]
        return held[-1] if held else None

    def readings(self, load):
        """Indicators of a load, those that name only a pack included."""
        out = []
        for e in self.of("indicator-read"):
            named = e.get("load")
            if named is None:
                found = self.relevant(e["pack"], e["ms"])
                named = found["id"] if found else None
            if named == load:
                out.append(e)
        return out

    def turn(self, pack):
        """Soaks, cleanings and inspections of the pack's set since its packing before."""
        own = self.packs[pack]
        before = [e["ms"] for e in self.of("packed") if e["set"] == own["set"] and e["ms"] < own["ms"]]
        low = max(before) if before else -1
        return [e for e in self.of("soaked", "cleaned", "inspected") if e["set"] == own["set"] and low < e["ms"] <= own["ms"]]

    def has_evidence(self, load):
        read = load["read"] and any(v is not None for v in load["read"])
        return bool(read or load["id"] in self.curve_of.values() or self.readings(load["id"])
                    or any(e["load"] == load["id"] for e in self.of("biological-read")))

    def biologicals(self):
        out = []
        for e in self.of("biological-read"):
            load = self.loads[e["load"]]
            lot = e.get("lot") or next((p.get("lot") for p in self.of("biological-placed") if p["biological"] == e.get("biological")), None)
            supply = self.latest("supply-received", at=e["ms"], lot=lot) or next((s for s in self.of("supply-received") if s["lot"] == lot), None)
            in_date = not supply or "expires" not in supply or day_of(e["ms"]) <= date.fromisoformat(supply["expires"])
            grew = any(o["load"] == e["load"] and o.get("result") == "positive" for o in self.of("biological-read"))
            rejected = load["decision"] and load["decision"]["kind"] == "load-rejected"
            counts = (e.get("result") == "negative" and e.get("control") == "growth" and in_date and load["end"] is not None
                      and load["complete"] is True and not rejected and not grew)
            out.append(dict(e, lot_used=lot, supply=supply, counts=counts, of=load))
        return out

    def sop_keys_stated(self):
        """Names of tables and keys as docs/sop-format.md has them."""
        out = set()
        def walk(table, name):
            for key, value in table.items():
                here = f"{name}.{key}" if name else key
                if isinstance(value, dict):
                    walk(value, here)
                elif isinstance(value, list) and value and isinstance(value[0], dict):
                    for one in value:
                        walk(one, here)
                else:
                    out.add(here)
        walk(self.sop, "")
        return out
