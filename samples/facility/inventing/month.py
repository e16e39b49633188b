"""The calendar: 5 October to 3 November 2026, one occasion after the other."""

import heapq
import math
from datetime import timedelta

from .journal import Chance, Journal, SEED, minutes, on
from .place import DRUM, OVEN, SORTS, TABLE, set_ids, settle_in
from .plant import Plant
from .quirks import Quirks
from .solutions import Solutions
from .stock import Stock
from .troubles import Troubles
from .ward import Ward

FIRST, LAST = on(5), on(3, "20:00", month=11)
STOPPED = on(31, "10:10")
BIOLOGICALS = {  # day of October: machine
    5: DRUM, 9: DRUM, 16: DRUM, 23: DRUM, 27: DRUM, 29: DRUM,
    7: TABLE, 14: TABLE, 21: TABLE, 28: TABLE,
    8: OVEN, 15: OVEN, 22: OVEN,
}


class Month:
    def __init__(self):
        self.chance = Chance(SEED)
        self.journal = Journal(self.chance)
        self.quirks = Quirks()
        self.stock = Stock()
        self.solutions = Solutions(self.chance, self.journal)
        self.ward = Ward(self.chance, self.journal, self.stock, self.solutions, self.quirks)
        self.plant = Plant(self.chance, self.journal, self.stock, self.ward, self.quirks)
        self.troubles = Troubles(self)
        self._agenda = []
        self._planned = 0
        self._biologicals = 0

    def at(self, moment, what, *with_these):
        self._planned += 1
        heapq.heappush(self._agenda, (moment, self._planned, what, with_these))

    def live(self):
        settle_in(self.journal)
        for day in range(31):
            morning = on(4) + timedelta(days=day)
            for letter, clock in (("A", 408), ("B", 1128)):
                self.solutions.mix_chlorine(morning + minutes(clock), letter, self.quirks)
        for row, set_id in enumerate(set_id for sort in SORTS for set_id in set_ids(sort)):
            self.ward.turn(set_id, on(5, "07:10") + minutes(3 * row))
        for day in range(30):
            self._plan_day(FIRST + timedelta(days=day))
        self._plan_births()
        self.troubles.plan()
        while self._agenda:
            moment, _, what, with_these = heapq.heappop(self._agenda)
            what(moment, *with_these)
        self.troubles.afterwards()

    # The days' fixed occasions

    def _plan_day(self, day):
        sunday = day.weekday() == 6
        moment = lambda clock: day + minutes(60 * int(clock[:2]) + int(clock[3:]))
        troubled = day >= on(31)
        if (not sunday or troubled) and day != on(19):
            self.at(moment("07:38"), self.plant.air_removal_test)
        drum = ["08:40", "13:30"] if sunday else ["08:10", "11:40", "15:20"]
        table = [] if sunday else ["10:00", "14:10"]
        if day == FIRST:
            drum, table = ["10:10", "12:40", "15:20"], ["11:20", "14:10"]
        elif day == on(13):
            drum = ["08:10"]
        elif day == on(31):
            drum, table = ["08:10"], ["11:30", "14:10", "16:40"]
        elif troubled:
            drum, table = (["15:20"] if day == on(3, month=11) else []), ["09:10", "11:40", "14:10", "16:40"]
        for clock in drum:
            self.at(moment(clock), self._slot, DRUM)
        for clock in table:
            self.at(moment(clock), self._slot, TABLE)
        if day.weekday() == 3:
            self.at(moment("10:30"), self._oven)
        if day.weekday() in (1, 4):
            self.at(moment("08:20"), self._boil)
        if day.weekday() == 2 and day < on(31):
            self.at(moment("11:00"), self._masks)
        if day in (FIRST, on(19)):
            self.at(moment("09:30"), self.solutions.open_glutaraldehyde)

    def _slot(self, at, equipment):
        """A load, if enough sets wait for it."""
        first = not any(run.equipment == equipment and run.start.date() == at.date() for run in self.plant.runs)
        if equipment == DRUM:
            sorts = ["DEL", "CRD", "DRM"] + ([] if at.weekday() < 5 else ["EPI"])
        else:
            sorts = ["CSN", "EPI", "FCP"] if at < STOPPED else ["CSN", "EPI", "DEL", "DRM", "CRD"]
        most = 9 if equipment == DRUM else 7
        if equipment == DRUM and at.date() == on(14).date() and first:
            most = 2
        packs = self._old(sorts, at)
        if equipment == DRUM or at > STOPPED:
            packs, self.plant.again = self.plant.again + packs, []
        new = self.stock.ready(sorts, at)[:max(0, most - len(packs))]
        biological = self._biological(equipment, at) if first else None
        if not biological and not packs and len(new) < (1 if first else 2):
            return
        release = not (equipment == DRUM and at.date() == on(31).date())
        run = self.plant.heat_load(equipment, at, packs + self.plant.wrap(new, at), biological, release)
        self.troubles.ran(run)
        self._shelve_later(run)
        if biological:
            self._read_later(run, biological)

    def _old(self, sorts, at):
        """Packs that would pass their week on the shelf are run again."""
        old = [pack for sort in sorts for pack in self.stock.shelf[sort] if at - pack.load_end > timedelta(days=6)]
        for pack in old:
            self.stock.shelf[pack.sort].remove(pack)
        return old

    def _shelve_later(self, run):
        if run.shelved and not run.bare:
            self.at(run.shelved, self._shelve, run.packs)

    def _shelve(self, _, packs):
        for pack in packs:
            self.stock.put(pack)

    def _biological(self, equipment, at):
        day = at.day if at.month == 10 else 0
        due = BIOLOGICALS.get(day) == equipment
        if not due:
            return None
        self._biologicals += 1
        return f"BT-{self._biologicals:02d}", "BD-630" if equipment == OVEN else "BI-630"

    def _read_later(self, run, biological):
        read = run.end + timedelta(days=2) + minutes(self.chance.whole(24, 31))
        day = run.start.day if run.equipment == DRUM else 0
        result, control, note = "negative", "growth", {}
        if day == 27:
            control, note = "no-growth", {"note": "the control vial did not turn; another test on Thursday"}
        if day == 29:
            result = "positive"
        self.journal.write("biological-read", read, "laboratory-1", load=run.load, biological=biological[0],
                           lot=biological[1], hours=48, result=result, control=control, **note)

    def _oven(self, at):
        new = self.stock.ready(["FCP"], at)
        packs = self._old(["FCP"], at)
        biological = self._biological(OVEN, at)
        if not (new or packs or biological):
            return
        run = self.plant.heat_load(OVEN, at, packs + self.plant.wrap(new, at), biological)
        self._shelve_later(run)
        if biological:
            self._read_later(run, biological)

    def _boil(self, at):
        wanted = self.stock.ready(["SPC"], at)[:2]
        if not wanted:
            return
        for row, pack in enumerate(self.plant.boil(at, wanted)):
            self.at(at + minutes(130 + 75 * row + self.chance.whole(0, 40)), self._examination, pack)

    def _examination(self, at, pack):
        self.ward.procedure("examination", at, 15, [], "examination room", 0, chosen=[pack])

    def _masks(self, at):
        wanted = self.stock.ready(["MSK"], at)[:2]
        if not wanted:
            return
        self.solutions.test_glutaraldehyde(at - minutes(14))
        packs = self.plant.soak_masks(at, wanted, self.solutions.glutaraldehyde)
        self.at(at + minutes(90), self._shelve, packs)

    # Births and operations

    def _plan_births(self):
        moment = on(5, "19:30")
        while True:
            moment += minutes(-math.log(1 - self.chance.between(0, 0.999)) * 60 * 8.8 + 20)
            if moment > LAST:
                break
            self.at(moment, self._delivery)
        moment = on(6, "05:00")
        while True:
            moment += minutes(-math.log(1 - self.chance.between(0, 0.999)) * 60 * 50 + 180)
            if moment > LAST:
                break
            self.at(moment, self._caesarean)

    def _delivery(self, at):
        chance, wanted = self.chance, ["DEL"]
        assisted = chance.likely(0.11) and bool(self.stock.shelf["FCP"])
        for sort, share in (("EPI", 0.40), ("CRD", 0.25), ("DRM", 0.5)):
            if chance.likely(share):
                wanted.append(sort)
        if assisted:
            wanted.append("FCP")
        masks = self.stock.shelf["MSK"]
        if masks and at - masks[0].load_end < timedelta(hours=20):
            wanted.append("MSK")
        kit = True
        if self.quirks.once("no-pack", at):
            wanted, kit = [], False
        elif self.quirks.once("disposable", at):
            wanted = []
        place = "labour room 2" if chance.likely(0.4) else "labour room 1"
        twins = 2 if self.quirks.once("twins", at) else 1
        event = self.ward.procedure("assisted-delivery" if assisted else "delivery", at, chance.whole(14, 40), wanted,
                                    place, twins, chosen=self.troubles.cupboard(at), kit=kit)
        if self.quirks.once("typed-next-day", at):
            event["paper"] = "delivery register, page 41, line 7"
            self.journal.type_later(event, at + timedelta(hours=31))

    def _caesarean(self, at):
        self.ward.procedure("caesarean", at, self.chance.whole(45, 75), ["CSN"], "theatre", 1)
