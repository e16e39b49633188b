"""Who works in Oraveth Maternity Unit and what stands there. Every name, number and place is invented."""

from datetime import date, datetime, timedelta

from .journal import on

ALTITUDE_M = 1180
TITLE = "Oraveth Maternity Unit"
ZONE = "Etc/GMT-5"  # The zone's name has the sign of POSIX: five hours ahead of UTC.

PEOPLE = {
    "sister-1": ("Ildewa", ["nurse", "quality", "steward"]),
    "sister-2": ("Rethia", ["nurse", "quality"]),
    "nurse-1": ("Oruvi", ["nurse"]),
    "nurse-2": ("Tamsel", ["nurse"]),
    "nurse-3": ("Brenka", ["nurse"]),
    "nurse-4": ("Sellith", ["nurse"]),
    "theatre-1": ("Kesmira", ["nurse"]),
    "processor-1": ("Dovarin", ["processor"]),
    "processor-2": ("Anvolo", ["processor"]),
    "attendant-1": ("Maruvo", ["attendant"]),
    "attendant-2": ("Pellune", ["attendant"]),
    "laboratory-1": ("Ulmeri", ["laboratory"]),
    "infection-1": ("Nemori", ["infection-control"]),
    "engineer-1": ("Hadrel", ["engineer"]),
    "clerk-1": ("Tovrin", ["clerk"]),
}


class Sort:
    """One sort of set: how many there are, how it is wrapped and what may be done with it."""

    def __init__(self, title, count, wrap, contact, methods, items, place, told_apart=True):
        self.title, self.count, self.wrap, self.contact = title, count, wrap, contact
        self.methods, self.items, self.place, self.told_apart = methods, items, place, told_apart


STEAM = ["steam-gravity", "steam-prevacuum"]
SORTS = {
    "DEL": Sort("Delivery set", 9, "wrapped", "critical", STEAM,
                [("artery forceps", 3), ("cord scissors", 1), ("sponge holder", 1), ("kidney dish", 1)],
                "labour-room cupboard"),
    "EPI": Sort("Episiotomy set", 5, "wrapped", "critical", STEAM,
                [("episiotomy scissors", 1), ("needle holder", 1), ("toothed forceps", 1)], "labour-room cupboard"),
    "CRD": Sort("Cord set", 4, "pouch", "critical", STEAM, [("cord scissors", 1), ("artery forceps", 2)],
                "labour-room cupboard", told_apart=False),
    "CSN": Sort("Caesarean set", 4, "wrapped", "critical", STEAM,
                [("scalpel handle", 2), ("artery forceps", 10), ("needle holder", 2), ("retractor", 2)], "clean store"),
    "DRM": Sort("Instrument drum", 5, "drum", "critical", STEAM,
                [("gallipot", 4), ("sponge holder", 6), ("bowl", 2)], "labour-room trolley"),
    "FCP": Sort("Obstetric forceps", 2, "container", "critical", ["dry-heat"] + STEAM,
                [("forceps blade", 2)], "labour-room cupboard"),
    "SPC": Sort("Speculum set", 4, "unwrapped", "semi-critical", ["boiling"] + STEAM,
                [("speculum", 1), ("sponge holder", 1)], "examination room"),
    "MSK": Sort("Newborn mask and bag", 2, "unwrapped", "semi-critical", ["chemical-disinfection"],
                [("mask", 2), ("bag", 1)], "newborn corner"),
}

DRUM, TABLE, OVEN, BOILER = "autoclave-drum", "autoclave-table", "oven-1", "boiler-1"

EQUIPMENT = [
    (DRUM, "steam-sterilizer", "DV-0417", None),
    (TABLE, "steam-sterilizer", "TT-2209", None),
    (OVEN, "dry-heat-sterilizer", "HO-118", None),
    (BOILER, "boiler", None, None),
    ("basin-1", "soak-basin", None, None),
    ("basin-2", "soak-basin", None, None),
    ("incubator-1", "incubator", "IN-03", None),
    ("logger-1", "data-logger", "BL-5510", 0.3),
    ("logger-2", "data-logger", "BL-5533", 0.3),
    ("logger-3", "data-logger", "KT-0082", 0.5),
    ("gauge-1", "gauge", "PG-61", None),
]

# lot, sort, type, hours to reading, pieces, expiry
SUPPLIES = [
    ("TP-118", "chemical-indicator", 1, None, 600, date(2027, 8, 31)),
    ("CI-4407", "chemical-indicator", 4, None, 250, date(2027, 3, 31)),
    ("BI-630", "biological-indicator", None, 48, 25, date(2027, 1, 31)),
    ("BD-630", "biological-indicator", None, 48, 10, date(2027, 1, 31)),
    ("BW-77", "air-removal-test", 2, None, 40, date(2027, 6, 30)),
    ("CT-20", "test-strip", None, None, 50, date(2026, 10, 24)),
    ("CT-22", "test-strip", None, None, 50, date(2027, 4, 30)),
    ("GT-08", "test-strip", None, None, 30, date(2027, 2, 28)),
    ("HC-5", "disinfectant", None, None, 60, date(2027, 1, 31)),
    ("GA-2", "disinfectant", None, None, 6, date(2027, 5, 31)),
    ("DT-3", "detergent", None, None, 12, date(2028, 1, 31)),
    ("WR-12", "wrap", None, None, 400, date(2028, 6, 30)),
]

# equipment, check, day, months it lasts, error as found in K
CHECKS = [
    (DRUM, "calibration", (2026, 7, 14), (2027, 7, 14), 0.4),
    (DRUM, "service", (2026, 8, 20), (2026, 11, 20), None),
    (DRUM, "qualification", (2026, 2, 11), (2027, 2, 11), None),
    (TABLE, "calibration", (2026, 7, 14), (2027, 7, 14), 0.2),
    (TABLE, "service", (2026, 8, 20), (2026, 11, 20), None),
    (TABLE, "qualification", (2026, 2, 12), (2027, 2, 12), None),
    (OVEN, "calibration", (2026, 7, 15), (2027, 7, 15), None),  # Nobody wrote the error as found.
    (OVEN, "service", (2026, 8, 21), (2026, 11, 21), None),
    (OVEN, "qualification", (2026, 2, 12), (2027, 2, 12), None),
    ("incubator-1", "calibration", (2026, 7, 15), (2027, 7, 15), 0.1),
    ("logger-1", "calibration", (2026, 6, 30), (2027, 6, 30), 0.1),
    ("logger-2", "calibration", (2026, 6, 30), (2027, 6, 30), -0.1),
    ("logger-3", "calibration", (2026, 6, 30), (2027, 6, 30), 0.2),
    ("gauge-1", "calibration", (2026, 7, 14), (2027, 7, 14), None),
]

SKILLS = {
    "processor-1": ["steam-gravity", "steam-prevacuum", "dry-heat", "packing", "cleaning"],
    "processor-2": ["steam-gravity", "steam-prevacuum", "dry-heat", "packing", "cleaning"],
    "attendant-1": ["boiling", "chemical-disinfection", "cleaning", "solutions"],
    "attendant-2": ["boiling", "cleaning", "solutions"],
}


def set_ids(sort):
    return [f"{sort}-{number:02d}" for number in range(1, SORTS[sort].count + 1)]


def settle_in(journal):
    """Everything that was entered on the Sunday before the month began, and the engineer's earlier checks."""
    start = on(4, "09:00")
    for person, (name, roles) in PEOPLE.items():
        journal.write("person-enrolled", start, "sister-1", person=person, name=name, roles=roles)
    for equipment, sort, serial, accuracy_k in EQUIPMENT:
        more = {"serial": serial, "accuracy_k": accuracy_k}
        journal.write("equipment-registered", on(4, "09:20"), "engineer-1", equipment=equipment, sort=sort,
                      **{name: value for name, value in more.items() if value is not None})
    for number, (equipment, check, day, until, as_found_k) in enumerate(CHECKS, 1):
        more = {"until": datetime(*until)}
        if as_found_k is not None:
            more["as_found_k"] = as_found_k
        if equipment == "gauge-1":
            more["as_found_kpa"] = 1.2
        if check == "calibration":
            more["certificate"] = f"OV-{day[0]}-{number:03d}"
        journal.write("equipment-checked", datetime(*day, 10 + number % 6, 7 * number % 60), "engineer-1",
                      equipment=equipment, check=check, result="pass", **more)
    for person, skills in SKILLS.items():
        for skill in skills:
            lapses = person == "processor-2" and skill == "dry-heat"
            journal.write("competence-recorded", on(4, "09:40"), "sister-1", person=person, skill=skill,
                          until="2026-10-20" if lapses else "2027-05-31")
    for sort, what in SORTS.items():
        for set_id in set_ids(sort):
            more = {} if what.told_apart else {"told_apart": False}
            journal.write("set-defined", on(4, "10:05"), "processor-1", set=set_id, title=what.title,
                          items=[{"item": item, "count": count} for item, count in what.items],
                          contact=what.contact, methods=what.methods, **more)
    for lot, sort, indicator_type, read_hours, count, expires in SUPPLIES:
        more = {"type": indicator_type, "read_hours": read_hours}
        journal.write("supply-received", on(4, "11:00"), "processor-1", lot=lot, sort=sort, count=count,
                      expires=expires.isoformat(), **{name: value for name, value in more.items() if value})
    for week in range(5):
        monday = on(5) + timedelta(days=7 * week)
        for person, first in (("processor-1", 0), ("processor-2", 2), ("sister-1", 0), ("sister-2", 5)):
            journal.write("rostered", monday - timedelta(hours=18 if week else 12), "clerk-1", person=person,
                          **{"from": monday + timedelta(days=first, hours=7), "until": monday + timedelta(days=7)})
