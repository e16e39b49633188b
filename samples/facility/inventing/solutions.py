"""The chlorine buckets, two a day, and the tub of glutaraldehyde."""

from .journal import minutes, on
from .stock import attendant


class Bucket:
    def __init__(self, name, prepared, tested):
        self.name, self.prepared, self.tested = name, prepared, tested


class Solutions:
    def __init__(self, chance, journal):
        self._chance, self._journal = chance, journal
        self._buckets = []
        self.glutaraldehyde = None

    def bucket_at(self, at):
        """The newest bucket that is made, and tested where the people in charge did as they should."""
        return [bucket for bucket in self._buckets if bucket.tested <= at][-1]

    def mix_chlorine(self, at, letter, quirks):
        by = attendant(at)
        name = f"CL-{at:%m%d}-{letter}"
        write = self._journal.write
        old = self._buckets[-1] if self._buckets else None
        if quirks.once("bleaching-powder", at):
            recipe = dict(agent="bleaching-powder", available_percent=35, powder_g=143, water_ml=10000)
        elif quirks.once("recipe-off", at):
            recipe = dict(agent="sodium-hypochlorite", stock_percent=5, stock_ml=700, water_ml=9300)
        else:
            recipe = dict(agent="sodium-hypochlorite", stock_percent=5, stock_ml=1000, water_ml=9000)
        prepared = at + minutes(self._chance.whole(0, 4))
        write("solution-prepared", prepared, by, solution=name, use="decontamination", percent=0.5, lot="HC-5",
              covered=True, **recipe)
        tested = prepared + minutes(self._chance.whole(4, 7))
        late = quirks.once("tested-late", at)
        lot = "CT-20" if at < on(26) else "CT-22"
        if quirks.once("expired-strip", at):
            lot = "CT-20"
        if quirks.once("mistyped-lot", at):
            lot = "CT-2O"
        reading = dict(percent=self._chance.one_of([0.5, 0.5, 0.5, 0.55])) if letter == "A" else dict(strip="pass")
        write("solution-tested", tested + minutes(290) if late else tested, by, solution=name, lot=lot, **reading)
        if old and not quirks.once("never-discarded", at):
            write("solution-discarded", prepared + minutes(self._chance.whole(28, 36)), by, solution=old.name)
        self._buckets.append(Bucket(name, prepared, tested))

    def open_glutaraldehyde(self, at):
        name = f"GL-{at:%m%d}"
        if self.glutaraldehyde:
            self._journal.write("solution-discarded", at - minutes(12), "attendant-1", solution=self.glutaraldehyde,
                                why="two weeks are over")
        self._journal.write("solution-prepared", at, "attendant-1", solution=name, agent="glutaraldehyde",
                            use="high-level-disinfection", percent=2, ready_to_use=True, lot="GA-2", covered=True)
        self.glutaraldehyde = name

    def test_glutaraldehyde(self, at):
        self._journal.write("solution-tested", at, "attendant-1", solution=self.glutaraldehyde, strip="pass",
                            lot="GT-08")
