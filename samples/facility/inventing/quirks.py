"""The ordinary slips of an ordinary month, each with the moment from which its first occasion is taken."""

from .journal import on

WHEN = {
    # Solutions
    "tested-late": on(12, "06:00"),
    "bleaching-powder": on(17, "06:00"),
    "recipe-off": on(19, "18:00"),
    "never-discarded": on(22, "06:00"),
    "expired-strip": on(27, "06:00"),
    "mistyped-lot": on(28, "18:00"),
    # Turns
    "soak-short": on(9),
    "soak-open": on(15, "12:00"),
    "cleaning-unrecorded": on(16),
    "rinse-unknown": on(18),
    "missing-unknown": on(12),
    "forceps-missing": on(21),
    "inspection-damaged": on(25),
    # Cycles
    "hold-mistyped": on(8, "12:00"),
    "power-cut": on(18),
    "counter-skipped": on(20, "09:00"),
    "pressure-unread": on(7, "12:00"),
    "released-early": on(13, "12:00"),
    "readings-missing": on(28, "12:00"),
    "wet-load": on(17),
    # Shelf and use
    "no-pack": on(11),
    "disposable": on(14, "18:00"),
    "patient-unknown": on(16, "18:00"),
    "strip-unread": on(19),
    "twins": on(10),
    "no-number": on(22),
    "typed-next-day": on(27, "19:00"),
    "drum-too-long": on(17),
    "hour-only": on(24, "18:00"),
}


class Quirks:
    def __init__(self):
        self._left = dict(WHEN)

    def once(self, name, at):
        """True at the first occasion from its moment on, and never again."""
        if name in self._left and at >= self._left[name]:
            del self._left[name]
            return True
        return False

    def left(self):
        return sorted(self._left)
