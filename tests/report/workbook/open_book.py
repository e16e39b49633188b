"""Opens the invented workbook with another program's library and compares it with what the invented facts say."""
import datetime
import sys
import zipfile

import openpyxl

book = openpyxl.load_workbook(sys.argv[1])
SHEETS = ["Cover", "Summary", "Cases", "Packs", "Loads", "Curves", "Indicators", "Biological calendar", "Gaps",
          "Solutions", "Recalls", "People", "Equipment", "Limits", "Ledger proof", "Not checked", "Figures"]
assert book.sheetnames == SHEETS, book.sheetnames


def table(name):
    rows = list(book[name].iter_rows(min_row=3, values_only=True))
    return [dict(zip(rows[0], row)) for row in rows[1:]]


def same(found, wanted):
    assert found == wanted, (found, wanted)


cases = table("Cases")
same(len(cases), 2)
same(cases[0]["Procedure"], "D-2025-0117")
same(cases[0]["When"], datetime.datetime(2025, 3, 4, 14, 5))
same(cases[0]["Packs"], "1. P-0412\n2. P-0413")
same(cases[0]["Curve verdict"], "1. reached\n2. not reached")
same(cases[0]["Biological"], "1. negative, read 2025-03-05\n2. not recorded")
same(cases[0]["Soaked in"], "1. S-0301\n2. S-0301")
same(cases[0]["Gaps"], "used-from-failed-load P-0413\nindicator-unread P-0413")
same(cases[1]["Procedure"], "0042")
same(cases[1]["Sort"], "=SUM(A1:A9)")
same(cases[1]["Place"], "+labour room")
same(cases[1]["Patient"], "not recorded")
same(cases[1]["Newborns"], "2 without number")
same(cases[1]["Its chain"], "no pack recorded")
same(cases[1]["Gaps"], "none found")
# Kept as text: openpyxl reads the type of the cell from the file ("f" would be a formula).
same(book["Cases"]["C5"].data_type, "s")

loads = table("Loads")
same([row["Load"] for row in loads], ["L-0088", "L-0089"])
same(loads[0]["Started"], datetime.datetime(2025, 3, 4, 9, 10))
same(loads[0]["Read: pressure (kPa gauge)"], 106)
same(loads[0]["Curve: F0, lower bound (min)"], 29.41)
same(loads[1]["Curve verdict"], "not reached")
same(loads[1]["Decision"], "undecided")
same(loads[1]["Decided"], "not recorded")

gaps = table("Gaps")
same([row["Rule"] for row in gaps], ["used-from-failed-load", "entered-late"])
same([row["Severity"] for row in gaps], ["critical", "minor"])
same(gaps[0]["Entries"], "118, 131, 140")
same(gaps[0]["State"], "open")

same(table("Solutions")[0]["Worked out (%)"], 0.5)
recalls = table("Recalls")
same([row["Sort"] for row in recalls], ["recall", "DRILL"])
same(recalls[0]["Closed"], "open")
same(recalls[1]["Closed"], datetime.datetime(2025, 3, 5, 12, 30))

proof = {row["What"]: row["Value"] for row in table("Ledger proof")}
same(proof["Entries in the ledger"], "162")
same(proof["Signed checkpoint"].split("\n")[1], "162")
same(len(table("Limits")), 2)
same(len(table("Not checked")), 2)

summary = {row[0]: row for row in book["Summary"].iter_rows(min_row=4, values_only=True)}
same(summary["Packs used from a load that reached its limits"][1:5], (230, 241, 9, "99.1 % of 232"))
same(summary["Air-removal tests missing"][1:5], (0, 0, 0, "none could be judged"))
cover = {row[0]: row for row in book["Cover"].iter_rows(min_row=4, values_only=True)}
same(cover["Facility"][1], "Invented Hospital & Maternity Home")
same(cover["Data as of"][1], datetime.datetime(2025, 4, 2, 9, 0))
same(cover["Cases"][1:3], (2, "Cases: each procedure with everything that it rests on"))


def target(sheet, cell):
    return book[sheet][cell].hyperlink.location


# Every sheet is led to from the cover, and a case leads to its packs, a pack to load, curve, indicator and solution.
links = {row[0].value: row[0].hyperlink.location for row in book["Cover"].iter_rows(min_row=4) if row[0].hyperlink}
same(links, {name: f"'{name}'!A1" for name in SHEETS[1:]})
same(target("Cases", "G4"), "'Packs'!A4:A5")
same(book["Cases"]["G4"].value, "2 packs")
same(target("Packs", "A4"), "'Cases'!A4")
same(target("Packs", "F4"), "'Loads'!A4")
same(target("Packs", "F5"), "'Loads'!A5")
same(target("Packs", "G4"), "'Curves'!A4")
same(target("Packs", "I5"), "'Indicators'!A5")
same(target("Packs", "L4"), "'Solutions'!A4")
same(target("Loads", "L4"), "'Curves'!A4")
same(target("Curves", "A4"), "'Loads'!A4")
# (This library shows pictures only where another one is installed.)
with zipfile.ZipFile(sys.argv[1]) as archive:
    same([name for name in archive.namelist() if name.startswith("xl/media/")], ["xl/media/image1.png"])
same((gaps[0]["First seen at entry"], gaps[0]["Days open"]), ("140", 27))
same(table("People")[0]["Without competence in date on"], "2025-03-01, 2025-03-02")
same(table("Equipment")[0]["Of these past it"], 27)
same(table("Biological calendar")[1]["Wednesday"], "2 loads\nPOSITIVE 1\nproves nothing 1\ncannot tell whether it proves anything 1\nlate")
# Charts stand on the summary and are drawn from cells that hold the numbers.
same(len(book["Summary"]._charts), 6)
figures = list(book["Figures"].iter_rows(min_row=4, values_only=True))
same(figures[2][:4], ("Procedures with a pack", 118, 2, 0))

for name in SHEETS:
    sheet = book[name]
    same(sheet.page_setup.orientation, "landscape")
    same(str(sheet.page_setup.paperSize), "9")
    if name in ("Summary", "Curves"):
        same(str(sheet.page_setup.scale), {"Summary": "68", "Curves": "90"}[name])
    else:
        same((sheet.page_setup.fitToWidth or 1, sheet.page_setup.fitToHeight), (1, 0))  # 1 is the default
    same(sheet.print_title_rows, "$3:$3")
    assert sheet.freeze_panes in ("A4", "B4"), sheet.freeze_panes
    assert "of &N" in sheet.oddFooter.center.text.replace("&[Pages]", "&N"), sheet.oddFooter.center.text
    assert "head ddb89be403809e32" in sheet.oddFooter.right.text
    if name not in ("Cover", "Summary", "Curves", "Ledger proof", "Figures"):
        assert sheet.auto_filter.ref, name
    for row in sheet.iter_rows(values_only=True):
        for value in row:
            assert not (isinstance(value, str) and "sterile" in value.lower()), value

same(book.properties.created, datetime.datetime(2025, 4, 2, 3, 30))
print("the workbook reads as the facts say")
