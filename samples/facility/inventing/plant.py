"""The machines: what is wrapped for a load, how it ran, what the strips said, who let it go."""

from . import curves
from .journal import minutes
from .place import BOILER, DRUM, OVEN, SORTS, TABLE
from .stock import processor, sister

PREFIX = {DRUM: "DA", TABLE: "TT", OVEN: "HO", BOILER: "BO"}
METHOD = {DRUM: "steam-gravity", TABLE: "steam-prevacuum", OVEN: "dry-heat", BOILER: "boiling"}
PLAN = {DRUM: curves.gravity_plan, TABLE: curves.prevacuum_plan, OVEN: curves.dry_heat_plan}
PSI = 6.894757


class Run:
    """One load as it truly ran; the loggers' exports are drawn from it."""

    def __init__(self, load, equipment, start, plan, packs, nature):
        self.load, self.equipment, self.start, self.plan, self.packs = load, equipment, start, plan, packs
        self.end = start + minutes(curves.length(plan).total_seconds() / 60)
        self.nature, self.air_kpa = nature, None
        self.bare = False          # nothing at all was written down about how it ran
        self.shelved = None        # when its packs were on the shelf


class Plant:
    def __init__(self, chance, journal, stock, ward, quirks):
        self._chance, self._journal, self._stock = chance, journal, stock
        self._ward, self._quirks = ward, quirks
        self._cycle = {DRUM: 2114, TABLE: 871}
        self._today = {}
        self.again = []   # packs that wait for a second run
        self.runs = []

    def load_id(self, prefix, at):
        key = f"{prefix}-{at:%m%d}"
        self._today[key] = self._today.get(key, 0) + 1
        return f"{key}-{self._today[key]}"

    def count_cycle(self, equipment, at):
        skipped = equipment == TABLE and self._quirks.once("counter-skipped", at)
        self._cycle[equipment] += 2 if skipped else 1
        return self._cycle[equipment]

    def air_removal_test(self, at):
        self._journal.write("equipment-checked", at, processor(at), equipment=TABLE, check="air-removal", result="pass",
                            lot="BW-77", cycle=self.count_cycle(TABLE, at))

    def wrap(self, set_ids, at):
        """Packs these clean sets, the last one a few minutes before `at`."""
        self._stock.take_clean(set_ids)
        packs = []
        for row, set_id in enumerate(set_ids):
            pack = self._stock.new_pack(set_id)
            body = {"pack": pack.id, "set": set_id, "wrap": pack.wrap}
            if pack.wrap != "unwrapped":
                body["indicator_lot"] = "CI-4407"
            if pack.wrap == "wrapped":
                body["wrap_lot"] = "WR-12"
            self._journal.write("packed", at - minutes(6 + 2 * (len(set_ids) - row)), processor(at), **body)
            packs.append(pack)
        return packs

    def start(self, equipment, at, packs, **more):
        load = self.load_id(PREFIX[equipment], at)
        body = dict(load=load, method=METHOD[equipment], equipment=equipment)
        if equipment in self._cycle:
            body["cycle"] = self.count_cycle(equipment, at)
        body.update(packs=[pack.id for pack in packs], **more)
        self._journal.write("load-started", at, processor(at), **body)
        return load

    def readings(self, equipment, at, plan):
        """What the operator read off the machine, in the machine's own unit too."""
        chance, hold_min = self._chance, plan["hold"] // 60
        if equipment == DRUM:
            psi, celsius = chance.one_of([(17.0, 121), (17.5, 121), (17.5, 122), (18.0, 122)])
            body = dict(temperature_c=celsius, pressure_kpa_gauge=round(psi * PSI, 1), hold_min=hold_min,
                        as_read={"pressure_kpa_gauge": f"{psi:g} psi"})
            if self._quirks.once("pressure-unread", at):
                body.pop("pressure_kpa_gauge")
                body.pop("as_read")
                body.update(unknown={"pressure_kpa_gauge": "not-readable"}, note="the gauge glass was fogged")
            if self._quirks.once("hold-mistyped", at):
                body.update(temperature_c=112)
            return body
        if equipment == TABLE:
            bar, celsius = chance.one_of([(1.19, 121.5), (1.2, 121.6), (1.21, 121.7), (1.22, 121.8)])
            return dict(temperature_c=celsius, pressure_kpa_gauge=round(bar * 100, 1), hold_min=hold_min,
                        as_read={"pressure_kpa_gauge": f"{bar:.2f} bar"})
        return dict(temperature_c=172, hold_min=hold_min + 4)

    def heat_load(self, equipment, at, packs, biological=None, release=True):
        """A steam or dry-heat load from start to shelf; returns its run. `biological` = (id, lot) placed in it."""
        chance, write = self._chance, self._journal.write
        programme = dict(temperature_c=170, hold_min=60) if equipment == OVEN else dict(temperature_c=121, hold_min=30)
        load = self.start(equipment, at, packs, **programme)
        run = Run(load, equipment, at, PLAN[equipment](chance), packs, curves.nature(chance))
        self.runs.append(run)
        by = processor(at)
        for pack in packs:
            pack.load, pack.equipment, pack.load_end = load, equipment, run.end
        if biological:
            write("biological-placed", at - minutes(2), by, biological=biological[0], load=load, lot=biological[1],
                  where="challenge pack over the drain" if equipment == DRUM else "challenge pack")
        if equipment == DRUM and self._quirks.once("power-cut", at):
            return self._cut_short(run, by)
        if equipment == DRUM and self._quirks.once("readings-missing", at):
            body = {"unknown": {name: "not-recorded" for name in ("temperature_c", "pressure_kpa_gauge", "hold_min")}}
            write("load-ended", run.end, by, load=load, complete=True, **body)
            run.bare = True
        else:
            dry = not (equipment == DRUM and self._quirks.once("wet-load", at))
            body = self.readings(equipment, at, run.plan)
            write("load-ended", run.end, by, load=load, dry=dry, complete=True, **body)
            write("indicator-read", run.end + minutes(9), by, load=load, lot="TP-118", where="outside", result="pass")
            if not dry:
                return self._too_wet(run, by)
        if not release:
            return run
        early = equipment == DRUM and self._quirks.once("released-early", at)
        released = run.end + minutes(8 if early else chance.whole(47, 70))
        more = dict(early="weekly biological pending; the strips and readings are good") if biological else {}
        write("load-released", released, sister(released), load=load,
              **({} if run.bare else {"basis": ["readings", "indicator"]}), **more)
        self.store(packs, released + minutes(6))
        run.shelved = released + minutes(60)
        return run

    def store(self, packs, at):
        for row, pack in enumerate(packs):
            what = SORTS[pack.sort]
            body = {"pack": pack.id, "place": what.place}
            if pack.wrap == "wrapped" and row % 2 == 0:
                body["use_by"] = f"{pack.load_end + minutes(7 * 1440):%Y-%m-%d}"
            self._journal.write("pack-stored", at + minutes(row), processor(at), **body)

    def _cut_short(self, run, by):
        run.end = run.start + minutes(41)
        self._journal.write("load-ended", run.end, by, load=run.load, complete=False,
                            unknown={"hold_min": "not-done"}, note="the current failed in the hold and stayed away")
        self._journal.write("load-rejected", run.end + minutes(20), sister(run.end), load=run.load,
                            why="cut short by a power failure; everything goes in again")
        self.again += run.packs
        run.packs = []
        return run

    def _too_wet(self, run, by):
        self._journal.write("load-rejected", run.end + minutes(25), sister(run.end), load=run.load,
                            why="the wraps came out wet")
        for row, pack in enumerate(run.packs):
            self._journal.write("pack-withdrawn", run.end + minutes(30 + row), by, pack=pack.id, why_withdrawn="wet")
            self._ward.turn(pack.set, run.end + minutes(40 + row))
        run.packs = []
        return run

    def boil(self, at, set_ids):
        packs = self.wrap(set_ids, at)
        by = "attendant-1"
        load = self.load_id("BO", at)
        self._journal.write("load-started", at, by, load=load, method="boiling", equipment=BOILER,
                            packs=[pack.id for pack in packs], hold_min=20)
        end = at + minutes(self._chance.whole(22, 26))
        self._journal.write("load-ended", end, by, load=load, hold_min=20, complete=True)
        for pack in packs:
            pack.load, pack.load_end = load, end
        self.store(packs, end + minutes(15))
        return packs

    def soak_masks(self, at, set_ids, solution):
        packs = self.wrap(set_ids, at)
        load = self.load_id("HD", at)
        self._journal.write("load-started", at, "attendant-1", load=load, method="chemical-disinfection",
                            solution=solution, packs=[pack.id for pack in packs])
        end = at + minutes(self._chance.whole(46, 50))
        self._journal.write("load-ended", end, "attendant-1", load=load, temperature_c=26, complete=True)
        for pack in packs:
            pack.load, pack.load_end = load, end
        self.store(packs, end + minutes(12))
        return packs
