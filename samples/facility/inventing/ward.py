"""Births, operations and what happens to a set from the table back to the clean shelf."""

from .journal import minutes
from .place import SORTS
from .stock import attendant, is_day, nurse, processor


class Ward:
    def __init__(self, chance, journal, stock, solutions, quirks):
        self._chance, self._journal, self._stock = chance, journal, stock
        self._solutions, self._quirks = solutions, quirks
        self._procedures = 0
        self._numbers = set()
        self.done = []  # (event, packs, patient)

    def number(self, prefix):
        """A patient's number, never given twice."""
        while True:
            number = f"{prefix}{self._chance.whole(20000, 89999)}"
            if number not in self._numbers:
                self._numbers.add(number)
                return number

    def drum(self, until, opened):
        """The open drum if it is younger than a day, else a fresh one."""
        open_one = self._stock.drum
        stale = open_one and (until - open_one.opened) > minutes(1400)
        if stale and self._quirks.once("drum-too-long", until):
            return open_one
        if open_one and not stale:
            return open_one
        fresh = self._stock.take("DRM")
        if not fresh:
            return None
        if open_one:
            self.turn(open_one.set, opened + minutes(15))
        self._stock.drum = fresh[0]
        fresh[0].opened = opened
        self.open_pack(fresh[0], opened, "labour-room trolley")
        return fresh[0]

    def open_pack(self, pack, at, place):
        by = nurse(at)
        self._journal.write("pack-opened", at, by, pack=pack.id, place=place)
        if SORTS[pack.sort].wrap != "unwrapped" and not self._quirks.once("strip-unread", at):
            self._journal.write("indicator-read", at + minutes(1), by, pack=pack.id, lot="CI-4407", where="inside",
                                result="pass")

    def procedure(self, sort, at, lasts, wanted, place, newborns, patient=None, chosen=None, kit=True):
        """One procedure: packs are opened, used, and their sets go back. What the shelf cannot give falls
        away; with no pack at all a disposable kit serves, unless `kit` says that nobody wrote one down."""
        until = at + minutes(lasts)
        packs = list(chosen or [])
        for want in [sort for sort in wanted if sort not in {pack.sort for pack in packs}]:
            if want == "DRM":
                drum = self.drum(until, at - minutes(14))
                packs += [drum] if drum else []
            else:
                packs += self._stock.take(want)
        opened = [pack for pack in packs if pack.sort != "DRM"]
        for place_in_row, pack in enumerate(opened):
            if sort == "caesarean":
                self._journal.write("pack-issued", at - minutes(50 - place_in_row), "processor-1" if is_day(at)
                                    else attendant(at), pack=pack.id, place="theatre")
            if pack.sort not in ("SPC", "MSK"):
                self.open_pack(pack, at - minutes(self._chance.whole(4, 11)), place)
        event = self._write(sort, at, until, place, packs, newborns, patient, kit)
        for row, pack in enumerate(opened):
            self.turn(pack.set, until + minutes(self._chance.whole(6, 16) + row), event["procedure"])
        self.done.append((event, packs, event.get("patient")))
        return event

    def _write(self, sort, at, until, place, packs, newborns, patient, kit):
        self._procedures += 1
        by = "theatre-1" if sort == "caesarean" else nurse(at)
        body = {"procedure": f"PR-{self._procedures:04d}"}
        if self._quirks.once("patient-unknown", at):
            body["unknown"] = {"patient": "not-recorded"}
        else:
            body["patient"] = patient or self.number("MR")
        if newborns and self._quirks.once("no-number", at):
            body["newborns_without_number"] = newborns
        elif newborns:
            body["newborns"] = [self.number("NB") for _ in range(newborns)]
        body.update(sort=sort, place=place, packs=[pack.id for pack in packs])
        if not packs and kit:
            body["disposable"] = True
        if self._quirks.once("hour-only", at):
            body["precision"] = "hour"
        return self._journal.write("procedure-done", at, by, until=until, **body)

    def turn(self, set_id, back, procedure=None):
        """Return, soak, cleaning and inspection. At night the set waits for the processor after it has been cleaned."""
        by, write, quirks = nurse(back), self._journal.write, self._quirks
        body = {"set": set_id}
        if procedure:
            body["procedure"] = procedure
        if quirks.once("missing-unknown", back):
            body["unknown"] = {"missing": "not-recorded"}
        elif set_id[:3] == "DEL" and quirks.once("forceps-missing", back):
            body["missing"] = [{"item": "artery forceps", "count": 1}]
            write("remarked", back + minutes(95), by, subject={"kind": "set", "id": set_id},
                  text="the artery forceps lay in the folded drape and is back in the set")
        else:
            body["missing"] = []
        write("set-returned", back, by, **body)
        start = back + minutes(self._chance.whole(3, 9))
        lasts = 6 if quirks.once("soak-short", back) else self._chance.whole(10, 14)
        until = start + minutes(lasts)
        bucket = self._solutions.bucket_at(start)
        soaker = attendant(start)
        if quirks.once("soak-open", back):
            write("soaked", start, soaker, set=set_id, solution=bucket.name)
        elif self._chance.likely(0.06):
            write("soaked", start, soaker, set=set_id, solution=bucket.name)
            write("soak-ended", until, soaker, set=set_id, solution=bucket.name)
        else:
            write("soaked", start, soaker, set=set_id, solution=bucket.name, until=until)
        cleaned = until + minutes(self._chance.whole(8, 25))
        if not quirks.once("cleaning-unrecorded", back):
            body = dict(set=set_id, method="manual", detergent_lot="DT-3")
            body.update({"unknown": {"rinsed": "not-recorded"}} if quirks.once("rinse-unknown", back)
                        else {"rinsed": True})
            write("cleaned", cleaned, attendant(cleaned), **body)
        self._inspect(set_id, cleaned)

    def _inspect(self, set_id, cleaned):
        looked = cleaned + minutes(self._chance.whole(15, 40))
        if looked.hour >= 18:
            looked = looked.replace(hour=7, minute=0) + minutes(1440 + self._chance.whole(5, 25))
        elif looked.hour < 7:
            looked = looked.replace(hour=7, minute=0) + minutes(self._chance.whole(5, 25))
        by = processor(looked)
        if self._quirks.once("inspection-damaged", cleaned):
            self._journal.write("inspected", looked, by, set=set_id, found=["damaged"],
                                note="one joint is stiff; oiled, and looked at again")
            looked += minutes(25)
        self._journal.write("inspected", looked, by, set=set_id, found=[])
        self._stock.clean.append((looked, set_id))
