"""The bench loggers' exports, each in a shape of its own, with the small ugliness that such files have.

A logger's clock is not the wall's: each file has its own error, at most a minute and a half.
"""

import os
from datetime import timedelta

from . import curves
from .curves import AMBIENT
from .journal import Chance, on
from .place import DRUM, OVEN, TABLE

KGF = 98.0665      # kPa in a kgf/cm²
PSI = 6.894757293  # kPa in a psi


class Sampler:
    """Walks through the runs of one machine and says what a logger beside it saw."""

    def __init__(self, chance, curve, runs, every_s, clock_error_s):
        self._chance, self._curve, self._runs = chance, curve, runs
        self._every, self._error = timedelta(seconds=every_s), timedelta(seconds=clock_error_s)

    def __call__(self, before_min, after_min, start_c=31.0):
        """(the logger's time, first channel, second channel) from before the first run to after the last."""
        at = self._runs[0].start - timedelta(minutes=before_min)
        until = self._runs[-1].end + timedelta(minutes=after_min)
        number, before, wander = -1, start_c, 0.0
        while at <= until:
            if number + 1 < len(self._runs) and at >= self._runs[number + 1].start:
                if number >= 0:
                    before = self._true(number, at, before)[0]
                number += 1
            first, second = self._true(max(number, 0), at, before)
            wander = 0.9 * wander + self._chance.wobble(0.02)
            yield at + self._error, first + wander + self._chance.wobble(0.03), second + self._chance.wobble(0.09)
            at += self._every

    def _true(self, number, at, before):
        run = self._runs[number]
        more = {"air_kpa": run.air_kpa} if run.air_kpa else {}
        return self._curve(run.plan, run.nature, (at - run.start).total_seconds(), before, **more)


def runs_on(month, equipment, *days):
    return [run for run in month.plant.runs if run.equipment == equipment and run.start.day in days
            and run.start.month == 10]


def comma_iso(sampler):
    """Comma, ISO times, °C and kPa absolute. A sensor mark, a stamp twice, the last row torn off."""
    lines = ["Time,Chamber [°C],Pressure [kPa abs]"]
    for row, (at, celsius, kpa) in enumerate(sampler(4, 12)):
        cell = "OL" if row in (701, 702) else f"{celsius:.2f}"
        lines.append(f"{at:%Y-%m-%dT%H:%M:%S},{cell},{kpa:.2f}")
        if row == 1190:
            lines.append(lines[-1])
    lines[-1] = lines[-1][:17]
    return "\n".join(lines).encode("utf-8")


def semicolon_comma(sampler):
    """Semicolon, decimal comma, day.month.year, °C and bar gauge, with a preamble and a row of units, Windows-1252."""
    def number(value, digits):
        return f"{value:.{digits}f}".replace(".", ",")
    lines = ["Tabletop autoclave, record of the bench logger", "Device;BL-5533", "Accuracy;± 0,3 K",
             "Interval;15 s", "", "Date/Time;Temperature;Pressure", ";°C;bar(g)"]
    for row, (at, celsius, kpa) in enumerate(sampler):
        temperature = "---" if row in (31, 32) else number(celsius, 1)
        lines.append(f"{at:%d.%m.%Y %H:%M:%S};{temperature};{number((kpa - AMBIENT) / 100, 3)}")
        if row == 250:
            lines += ["", lines[5], lines[6]]
    lines += ["", "# end of record"]
    return ("\r\n".join(lines) + "\r\n").encode("cp1252")


def tab_twelve_hours(sampler):
    """Tab, UTF-16LE, date and time apart, a 12-hour clock, °F and psi gauge. Cut off in the last row."""
    lines = ["Drum autoclave data record", "Logger\tBL-5510", "", "Date\tTime\tTemp (°F)\tPress (psig)"]
    for row, (at, celsius, kpa) in enumerate(sampler):
        clock = f"{(at.hour - 1) % 12 + 1}:{at:%M:%S} {'AM' if at.hour < 12 else 'PM'}"
        cell = "ERR" if row == 411 else f"{celsius * 9 / 5 + 32:.1f}"
        lines.append(f"{at:%d/%m/%Y}\t{clock}\t{cell}\t{(kpa - AMBIENT) / PSI:.2f}")
        if row == 522:
            lines.append(lines[-1])
    lines[-1] = lines[-1][:15]
    return b"\xff\xfe" + "\r\n".join(lines).encode("utf-16-le")


def pipe_elapsed(sampler):
    """Pipe, seconds since a start that the preamble gives, °C and kgf/cm² gauge."""
    rows = list(sampler)
    start = rows[0][0]
    lines = ["# table-top steriliser, validation run", f"# start: {start:%Y-%m-%d %H:%M:%S}", "# logger: BL-5533",
             "elapsed s|T chamber °C|P gauge kgf/cm2"]
    for at, celsius, kpa in rows:
        lines.append(f"{int((at - start).total_seconds())}|{celsius:.2f}|{(kpa - AMBIENT) / KGF:.3f}")
    lines.insert(90, lines[89])
    return ("\n".join(lines) + "\n").encode("utf-8")


def oven_offset(sampler):
    """Comma, quoted cells, UTF-8 with a byte order mark, ISO times with an offset, two thermocouples."""
    lines = ['"timestamp","TC1 door (°C)","TC2 upper shelf (°C)"']
    for row, (at, door, shelf) in enumerate(sampler):
        cell = "NaN" if row == 52 else f"{shelf:.1f}"
        lines.append(f'"{at:%Y-%m-%dT%H:%M:%S}+05:00","{door:.1f}","{cell}"')
    return b"\xef\xbb\xbf" + ("\n".join(lines) + "\n").encode("utf-8")


def chained(*samplers):
    """Several recordings one after the other in one file."""
    for sampler in samplers:
        yield from sampler


def export_all(month, folder):
    """Writes the five exports and returns [(file name, equipment, logger, runs)]."""
    os.makedirs(folder, exist_ok=True)
    written = []

    def keep(name, equipment, logger, runs, content):
        with open(os.path.join(folder, name), "wb") as file:
            file.write(content)
        written.append((name, equipment, logger, runs))

    def sampler(curve, runs, every_s, clock_error_s):
        return Sampler(Chance(len(written) + 7), curve, runs, every_s, clock_error_s)

    runs = runs_on(month, DRUM, 14)
    keep("drum-autoclave-14-october.csv", DRUM, "logger-1", runs, comma_iso(sampler(curves.gravity, runs, 10, 41)))
    runs = runs_on(month, TABLE, 15, 16)
    parts = [sampler(curves.prevacuum, [run], 15, -38)(3, 8) for run in runs]
    keep("tabletop-15-and-16-october.csv", TABLE, "logger-2", runs, semicolon_comma(chained(*parts)))
    runs = runs_on(month, TABLE, 21)[:1]
    keep("tabletop-21-october.txt", TABLE, "logger-2", runs,
         pipe_elapsed(sampler(curves.prevacuum, runs, 10, -44)(2, 6)))
    runs = runs_on(month, OVEN, 22)
    keep("oven-22-october.csv", OVEN, "logger-3", runs, oven_offset(sampler(curves.dry_heat, runs, 30, 12)(2, 10)))
    runs = runs_on(month, DRUM, 24, 25)
    parts = [sampler(curves.gravity, [run], 20, 63)(3, 25) for run in runs]
    keep("drum-autoclave-24-and-25-october.txt", DRUM, "logger-1", runs, tab_twelve_hours(chained(*parts)))
    return written
