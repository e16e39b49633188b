"""The small exports in samples/loggers/, each made to show one question, one refusal or one failed cycle."""

import math
import os
from datetime import datetime, timedelta

from . import curves
from .curves import AMBIENT
from .journal import Chance
from .steam import saturation_kpa

PLAN = {"heat": 840, "vent": 360, "rise": 540, "hold": 1920, "exhaust": 360, "dry": 1020}


def cycle(seed, start, every_s=60, first_s=-120, last_s=None):
    """(time, °C, kPa absolute) of one good cycle in the drum autoclave."""
    chance = Chance(seed)
    own, last_s = curves.nature(chance), last_s or sum(PLAN.values()) + 300
    for second in range(first_s, last_s + 1, every_s):
        celsius, kpa = curves.gravity(PLAN, own, second, 30.0)
        yield start + timedelta(seconds=second), celsius + chance.wobble(0.04), kpa + chance.wobble(0.1)


def date_order():
    lines = ["Date;Time;Temperature °C;Pressure kPa abs"]
    lines += [f"{at:%d/%m/%Y};{at:%H:%M:%S};{celsius:.1f};{kpa:.1f}"
              for at, celsius, kpa in cycle(3, datetime(2026, 6, 5, 9, 10))]
    return lines


def gauge_or_absolute():
    """Switched on when the pressure was up already and off before it fell, so no resting value tells."""
    lines = ["Time,Temperature (°C),Pressure (bar)"]
    lines += [f"{at:%Y-%m-%d %H:%M:%S},{celsius:.1f},{kpa / 100 - 0.879:.3f}"
              for at, celsius, kpa in cycle(4, datetime(2026, 6, 18, 9, 10), first_s=1500, last_s=3600)]
    return lines


def power_cut():
    """The current fails thirteen minutes into the hold; the logger runs on from its battery."""
    cut_s = 840 + 360 + 540 + 780
    lines = ["# Drum autoclave; the lights went out at about 11:52", "Time,Temperature (°C),Pressure (kPa abs)"]
    for at, celsius, kpa in cycle(5, datetime(2026, 6, 24, 11, 10), every_s=20):
        after = (at - datetime(2026, 6, 24, 11, 10)).total_seconds() - cut_s
        if after > 0:
            celsius = 40 + 81.5 * math.exp(-after / 1500)
            kpa = max(AMBIENT, saturation_kpa(celsius))
        lines.append(f"{at:%Y-%m-%d %H:%M:%S},{celsius:.2f},{kpa:.2f}")
    return lines


def no_start():
    start = datetime(2026, 6, 30, 8, 0)
    lines = ["minutes\ttemperature °C\tpressure kPa abs"]
    lines += [f"{(at - start).total_seconds() / 60:.1f}\t{celsius:.1f}\t{kpa:.1f}"
              for at, celsius, kpa in cycle(6, start, first_s=0)]
    return lines


def stock_list():
    return ["Item,Shelf,In stock", "Wrapping paper 60 x 60,A2,180", "Strips type 4,A3,75", "Gloves size 7,B1,24",
            "Drum filters,B2,6"]


def write_small(folder):
    os.makedirs(folder, exist_ok=True)
    for name, lines in (("date-order.csv", date_order()), ("gauge-or-absolute.csv", gauge_or_absolute()),
                        ("power-cut.csv", power_cut()), ("no-start.txt", no_start()),
                        ("stock-list.csv", stock_list())):
        with open(os.path.join(folder, name), "w", encoding="utf-8", newline="\n") as file:
            file.write("\n".join(lines) + "\n")
