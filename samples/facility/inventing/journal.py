"""Chance with a fixed seed, and the journal that the invented staff write."""

import json
import random
from datetime import datetime, timedelta

SEED = 1275
LEDGER_HEAD = 5  # Events that `create` writes by itself, so line n of events.jsonl becomes seq LEDGER_HEAD + n.


class Chance:
    """Every draw is made from `random.Random.random` alone: its numbers are the same in every Python 3."""

    def __init__(self, seed):
        self._random = random.Random(seed)

    def between(self, low, high):
        return low + (high - low) * self._random.random()

    def whole(self, low, high):
        """A whole number from low to high, both included."""
        return low + int((high - low + 1) * self._random.random())

    def likely(self, share):
        return self._random.random() < share

    def one_of(self, things):
        return things[int(len(things) * self._random.random())]

    def wobble(self, size):
        """A bell-shaped error with that standard deviation: twelve draws summed."""
        return size * (sum(self._random.random() for _ in range(12)) - 6)


def on(day, clock="00:00", month=10):
    """A moment of the invented autumn of 2026, in the facility's own time."""
    hours, minutes = clock.split(":")
    return datetime(2026, month, day, int(hours), int(minutes))


def minutes(count):
    return timedelta(minutes=int(round(count)))


def stamp(moment):
    return moment.strftime("%Y-%m-%dT%H:%M:%S+05:00")


class Journal:
    def __init__(self, chance):
        self._chance = chance
        self._lines = []  # (typed at, running number, event)

    def write(self, kind, at, by, typed=None, **body):
        """Keeps one event. `typed` is when it was entered; a few minutes after it was over when nothing is said."""
        over = max([at] + [body[name] for name in ("until",)
                           if name in body and kind in ("soaked", "procedure-done")])
        typed = typed or over + minutes(self._chance.whole(1, 11))
        event = {"kind": kind, "at": stamp(at), "by": by, "entered": stamp(typed)}
        for name, value in body.items():
            event[name] = stamp(value) if isinstance(value, datetime) else value
        self._lines.append([typed, len(self._lines), event])
        return event

    def type_later(self, event, typed):
        """The same event, typed in at another time."""
        for line in self._lines:
            if line[2] is event:
                line[0] = typed
                event["entered"] = stamp(typed)
                return

    def each(self):
        return [event for _, _, event in self._lines]

    def save(self, path):
        """Writes one JSON object a line in the order of typing. A correction names the seq its original will get."""
        self._lines.sort(key=lambda line: (line[0], line[1]))
        place = {id(event): number for number, (_, _, event) in enumerate(self._lines, 1)}
        with open(path, "w", encoding="utf-8", newline="\n") as file:
            for _, _, event in self._lines:
                if event["kind"] == "corrected":
                    event = dict(event, of=LEDGER_HEAD + place[id(event["of"])])
                file.write(json.dumps(event, ensure_ascii=False) + "\n")
        return len(self._lines)
