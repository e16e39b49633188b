"""What the sensors would have shown: temperature and absolute pressure through a cycle, second by second.

In the hold of a good steam cycle the chamber is full of steam, so the temperature is the saturation temperature of the
absolute pressure. Where air was left, it adds its own share to the pressure, and the steam stays behind what the pressure promises.
"""

import math
from datetime import timedelta

from .place import ALTITUDE_M
from .steam import ambient_kpa, saturation_c, saturation_kpa

AMBIENT = ambient_kpa(ALTITUDE_M)
ROOM_C = 27.0


def nature(chance):
    """What makes one run unlike the next: how the control swings, how the heat comes up, where it settles."""
    return {"offset": chance.between(-0.1, 0.3), "swing": chance.between(0.12, 0.3), "period": chance.between(95, 210),
            "turn": chance.between(0, 6.2), "bend": chance.between(1.3, 2.1), "drift": chance.between(-0.1, 0.25),
            "depth": chance.between(14.0, 22.0)}


def steady(middle, own, second, part):
    """The controlled temperature in the hold."""
    swing = own["swing"] * math.sin(second / own["period"] + own["turn"])
    return middle + own["offset"] + swing * (0.6 + 0.4 * math.sin(second / 611 + own["turn"])) + own["drift"] * part


def whole_minutes(chance, low, high):
    """Seconds of a phase: whole minutes and what the timer adds."""
    return chance.whole(low, high) * 60 + chance.whole(0, 19)


def gravity_plan(chance):
    """Seconds of heating up, venting, rising, holding, exhaust and drying."""
    return {"heat": chance.whole(780, 990), "vent": chance.whole(290, 420), "rise": chance.whole(470, 600),
            "hold": whole_minutes(chance, 31, 33), "exhaust": chance.whole(280, 430), "dry": chance.whole(960, 1200)}


def prevacuum_plan(chance):
    return {"pulses": chance.whole(720, 850), "rise": chance.whole(220, 290), "hold": whole_minutes(chance, 31, 32),
            "exhaust": chance.whole(100, 140), "dry": chance.whole(720, 850)}


def dry_heat_plan(chance):
    return {"heat": chance.whole(2500, 3000), "hold": whole_minutes(chance, 62, 66), "cool": chance.whole(2400, 2900)}


def length(plan):
    return timedelta(seconds=sum(plan.values()))


def phase_at(plan, second):
    """The phase that holds this second of the cycle and how far into it, from 0 to 1."""
    for name, lasts in plan.items():
        if second < lasts:
            return name, second / lasts
        second -= lasts
    return "after", second


def gravity(plan, own, second, before_c, air_kpa=None):
    """(°C, kPa absolute) of the drum autoclave. `air_kpa` is the air left in the chamber when the drain was shut."""
    if second < 0:
        return before_c, AMBIENT
    phase, part = phase_at(plan, second)
    boiling = saturation_c(AMBIENT)
    if phase == "heat":
        return before_c + (boiling - 0.4 - before_c) * (1 - (1 - part) ** own["bend"]), AMBIENT + 1.2 * part
    if phase == "vent":
        celsius = boiling - 0.4 + 1.6 * part
        return celsius, max(AMBIENT + 1.2, saturation_kpa(celsius))
    if phase in ("rise", "hold"):
        level = steady(121.75, own, second, part if phase == "hold" else 0)
        full = boiling + 1.2 + (level - boiling - 1.2) * (1 - (1 - part) ** 1.25) if phase == "rise" else level
        left = 0 if air_kpa is None else air_kpa * (part if phase == "rise" else 1 - 0.28 * part)
        return full, saturation_kpa(full) + left
    if phase == "exhaust":
        celsius = 121.6 + own["offset"] - (121.6 + own["offset"] - boiling - 0.6) * (1 - (1 - part) ** 1.4)
        left = 0 if air_kpa is None else air_kpa * 0.72 * (1 - part) ** 3
        return celsius, saturation_kpa(celsius) + left
    if phase == "dry":
        return boiling + 0.6 - 9 * part, AMBIENT + 0.4 * (1 - part)
    return ROOM_C + (boiling - 8.4 - ROOM_C) * math.exp(-part / 1500), AMBIENT


def prevacuum(plan, own, second, before_c):
    """(°C, kPa absolute) of the tabletop autoclave: three vacuum pulses, hold, vacuum drying."""
    if second < 0:
        return before_c, AMBIENT
    phase, part = phase_at(plan, second)
    if phase == "pulses":
        number, inside = int(part * 3), part * 3 % 1
        low, high = (AMBIENT if number == 0 else 142.0), 142.0
        if inside < 0.55:
            kpa = low + (own["depth"] - low) * (1 - (1 - inside / 0.55) ** 2)
        else:
            kpa = own["depth"] + (high - own["depth"]) * ((inside - 0.55) / 0.45) ** 0.8
        lag = 1 - math.exp(-(number + inside) * 1.7)
        return before_c + (saturation_c(kpa) - before_c) * lag, kpa
    if phase == "rise":
        celsius = saturation_c(142.0) + (steady(121.9, own, second, 0) - saturation_c(142.0)) * (1 - (1 - part) ** 1.3)
        return celsius, saturation_kpa(celsius)
    if phase == "hold":
        celsius = steady(121.9, own, second, part)
        return celsius, saturation_kpa(celsius)
    if phase == "exhaust":
        celsius = 121.8 - 24.0 * (1 - (1 - part) ** 1.5)
        return celsius, AMBIENT + (saturation_kpa(121.8) - AMBIENT) * (1 - part) ** 1.8
    if phase == "dry":
        fall = min(1.0, part / 0.15)
        kpa = AMBIENT + (12.0 - AMBIENT) * fall if part < 0.93 else 12.0 + (AMBIENT - 12.0) * (part - 0.93) / 0.07
        return 97.8 - 22 * part, kpa
    return ROOM_C + (75.8 - ROOM_C) * math.exp(-part / 1800), AMBIENT


def dry_heat(plan, own, second, before_c):
    """(°C at the door, °C on the upper shelf) of the hot-air oven. The door is the coldest place."""
    if second < 0:
        return before_c, before_c + 0.3
    phase, part = phase_at(plan, second)
    if phase == "heat":
        celsius = before_c + (172.0 + own["offset"] - before_c) * (1 - (1 - part) ** (own["bend"] - 0.1))
        return celsius, celsius + 6 * part * (1 - part) * 4 * 0.5 + 2.0 * part
    if phase == "hold":
        celsius = steady(172.0, own, second / 3, part) + own["swing"] * math.sin(second / 240)
        return celsius, celsius + 2.0 + 0.3 * math.sin(second / 170)
    if phase == "cool":
        celsius = 172.0 - (172.0 - 62.0) * (1 - (1 - part) ** 1.8)
        return celsius, celsius + 2.0 + 3 * part
    return 62.0 - 20 * (1 - math.exp(-part / 2400)), 66.0 - 22 * (1 - math.exp(-part / 2400))
