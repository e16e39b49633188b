"""The two real troubles of the month, and the corrections that people made.

A: the biological test in the drum autoclave's load of 29 October grows. The one before it, on the 27th, was void,
   because its control did not grow; so the last that counts is the one of the 23rd, six days before it.
B: on 14 October the drain of the drum autoclave was shut too early and air stayed in the chamber. The thermometer stood
   at 121, the operator wrote the usual figures, the strips turned; but the logger's pressure was that of steam three to
   four kelvins hotter, so part of it was air.
"""

from datetime import datetime, time, timedelta

from .journal import minutes, on
from .place import DRUM, TABLE
from .stock import processor

LAST_NEGATIVE, POSITIVE, FOUND = on(23), on(29), on(31, "10:25")
AIR_KPA = 29.0


class Troubles:
    def __init__(self, month):
        self._month = month
        self._cupboard = None  # the pack in the emergency cupboard that is used after the test was read
        self.left_air, self.positive, self.void = None, None, None

    def plan(self):
        month = self._month
        month.at(on(29, "22:20"), self._comes_back)
        month.at(on(29, "15:05"), self._torn)
        month.at(on(30, "09:30"), self._to_outreach)
        month.at(on(30, "16:10"), self._opened_for_nothing)
        month.at(FOUND, self._read)
        month.at(on(1, "12:30", month=11), self._repeat_test)

    def ran(self, run):
        """Looks at each steam load as it runs."""
        if run.equipment != DRUM:
            return
        today = [one for one in self._month.plant.runs if one.equipment == DRUM and
                 one.start.date() == run.start.date()]
        if run.start.date() == on(14).date() and len(today) == 2:
            run.air_kpa, self.left_air = AIR_KPA, run
        if run.start.date() == on(29).date() and len(today) == 1:
            self.positive = run
        if run.start.date() == on(27).date() and len(today) == 1:
            self.void = run
        if run.bare:
            self._month.stock.aside += run.packs

    def reached(self, pack):
        return pack.equipment == DRUM and self._start(pack.load) > LAST_NEGATIVE + minutes(600)

    def _start(self, load):
        return [run.start for run in self._month.plant.runs if run.load == load][0]

    def _reached_on_shelf(self, sort):
        return [pack for pack in self._month.stock.shelf[sort] if self.reached(pack)]

    # What happened between the last negative and the reading

    def _comes_back(self, at):
        """A mother is back with bleeding: a second procedure for one patient."""
        ward = self._month.ward
        before = [patient for event, packs, patient in ward.done if patient and event["sort"] == "delivery"
                  and any(self.reached(pack) for pack in packs)][-1]
        ward.procedure("manual-removal", at, 25, ["DEL"], "labour room 1", 0, patient=before)

    def _torn(self, at):
        pack = self._reached_on_shelf("DEL")[-1]
        self._month.stock.shelf["DEL"].remove(pack)
        self._month.journal.write("pack-withdrawn", at, "nurse-1", pack=pack.id, why_withdrawn="torn")
        self._month.ward.turn(pack.set, at + minutes(12))

    def _to_outreach(self, at):
        aside = self._month.stock.aside
        for row, pack in enumerate([aside.pop(0)] + self._reached_on_shelf("DEL")[-1:]):
            if pack in self._month.stock.shelf["DEL"]:
                self._month.stock.shelf["DEL"].remove(pack)
            self._month.journal.write("pack-issued", at + minutes(row), processor(at), pack=pack.id,
                                      place="outreach post, Lower Sarn")

    def _opened_for_nothing(self, at):
        pack = self._reached_on_shelf("DEL")[-1]
        self._month.stock.shelf["DEL"].remove(pack)
        self._month.ward.open_pack(pack, at, "labour room 2")
        self._month.journal.write("pack-returned", at + minutes(50), "nurse-2", pack=pack.id, state="opened",
                                  note="opened, then she was taken to theatre")

    def cupboard(self, at):
        """The day after, in the night, somebody reaches into the emergency cupboard."""
        if self._cupboard and at > on(1, month=11):
            pack, self._cupboard = self._cupboard, None
            return [pack]
        return None

    # The reading and what was done about it

    def _read(self, at):
        month, write = self._month, self._month.journal.write
        write("equipment-stopped", at, "sister-2", equipment=DRUM, why="biological test grew")
        write("load-rejected", at + minutes(15), "sister-2", load=self.positive.load,
              why="biological test of this load grew, its control too")
        shelf = {sort: self._reached_on_shelf(sort) for sort in ("DEL", "EPI", "CRD", "DRM")}
        for sort, packs in shelf.items():
            for pack in packs:
                month.stock.shelf[sort].remove(pack)
        fetched = shelf["DEL"][:1] + shelf["EPI"][:1] + shelf["DRM"][:1]
        again = shelf["DEL"][1:2] + shelf["CRD"][:1]
        for row, pack in enumerate(fetched):
            write("pack-withdrawn", at + minutes(35 + row), "infection-1", pack=pack.id, why_withdrawn="recalled")
            month.ward.turn(pack.set, at + minutes(55 + 2 * row))
        month.plant.again += again
        rest = [pack for packs in shelf.values() for pack in packs if pack not in fetched + again]
        left = [pack for pack in rest if pack.sort in ("DEL", "EPI", "CRD")]
        self._cupboard = left[0] if left else None
        if month.stock.drum and self.reached(month.stock.drum):
            month.ward.turn(month.stock.drum.set, at + minutes(65))
            month.stock.drum = None

    def _repeat_test(self, at):
        month, write = self._month, self._month.journal.write
        write("equipment-checked", at - minutes(90), "engineer-1", equipment=DRUM, check="service", result="pass",
              until=on(1, month=11) + timedelta(days=92), note="door gasket and steam trap renewed")
        write("equipment-resumed", at - minutes(30), "engineer-1", equipment=DRUM, why="for test loads only")
        run = month.plant.heat_load(DRUM, at, [], ("BT-90", "BI-630"), release=False)
        write("biological-read", run.end + timedelta(days=2) + minutes(20), "laboratory-1", load=run.load,
              biological="BT-90", lot="BI-630", hours=48, result="negative", control="growth")

    # Corrections, late typing, counts

    def afterwards(self):
        self._wrong_pack()
        self._mistyped()
        self._stored_twice()
        self._typed_at_dawn()
        self._counts()

    def _wrong_pack(self):
        """A pack's number was misread at the table, and another nurse put it right two days later."""
        ward, write = self._month.ward, self._month.journal.write
        for event, packs, _ in ward.done:
            hit = [pack for pack in packs if self.reached(pack)]
            if event["at"] < "2026-10-26" or len(hit) != 1 or hit[0].sort != "DEL" or event["sort"] != "delivery":
                continue
            other = [pack for old, packs_then, _ in ward.done for pack in packs_then
                     if old["at"] < "2026-10-20" and pack.sort == "DEL" and not self.reached(pack)][-1]
            true = {name: value for name, value in event.items() if name != "entered"}
            event["packs"] = [other.id if name == hit[0].id else name for name in event["packs"]]
            when = on(int(event["at"][8:10]), "09:40") + timedelta(days=2)
            write("corrected", when, "sister-1", of=event, replacement=true,
                  why="the label in the register shows another pack than was typed")
            return

    def _mistyped(self):
        for event in self._month.journal.each():
            if event["kind"] == "load-ended" and event.get("temperature_c") == 112:
                true = {name: value for name, value in event.items() if name != "entered"}
                true["temperature_c"] = 121
                when = on(int(event["at"][8:10]) + 1, "09:15")
                self._month.journal.write("corrected", when, "sister-1", of=event, replacement=true,
                                          why="112 was typed for 121, seen in the operator's book")
                return

    def _stored_twice(self):
        journal = self._month.journal
        for event in journal.each():
            if event["kind"] == "pack-stored" and event["at"] > "2026-10-20":
                day = on(int(event["at"][8:10]), event["at"][11:16])
                twice = journal.write("pack-stored", day + minutes(14), event["by"], pack=event["pack"],
                                      place="theatre")
                journal.write("corrected", day + minutes(170), "sister-2", of=twice, replacement=None,
                              why="the pack was put away once, in the cupboard")
                return

    def _typed_at_dawn(self):
        """The events of one nurse's longest night were all typed at the end of the shift."""
        nights = {}
        for event in self._month.journal.each():
            if event["by"] in ("nurse-3", "nurse-4") and not 7 <= int(event["at"][11:13]) < 19:
                evening = datetime.fromisoformat(event["at"][:19]) - timedelta(hours=7)
                nights.setdefault((evening.date(), event["by"]), []).append(event)
        (evening, _), longest = max(nights.items(), key=lambda night: (len(night[1]), night[0]))
        dawn = datetime.combine(evening, time(6, 53)) + timedelta(days=1)
        for row, event in enumerate(longest):
            self._month.journal.type_later(event, dawn + timedelta(seconds=9 * row))

    def _counts(self):
        month, write = self._month, self._month.journal.write
        october = [event for event, _, _ in month.ward.done if event["at"] < "2026-11"]
        births = sum(len(event.get("newborns", [])) + event.get("newborns_without_number", 0) for event in october)
        operations = sum(event["sort"] == "caesarean" for event in october)
        for what, number, source in (("births", births + 1, "delivery register"),
                                     ("operations", operations, "theatre register")):
            write("counted", on(2, "10:00", month=11), "clerk-1", what=what, number=number, source=source,
                  **{"from": on(5), "until": on(1, month=11)})
        write("counted", on(3, "18:30", month=11), "clerk-1", what="packs-on-shelf",
              number=sum(len(packs) for packs in month.stock.shelf.values()), source="shelf count",
              **{"from": on(3, "18:00", month=11), "until": on(3, "18:30", month=11)})
