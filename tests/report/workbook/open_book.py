"""Opens the invented workbook with another program's library and compares it with what the invented facts say."""
import datetime
import sys

import openpyxl

book = openpyxl.load_workbook(sys.argv[1])
SHEETS = ["Summary", "Cases", "Loads", "Gaps", "Solutions", "Recalls", "Ledger proof", "Limits", "Not checked"]
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
same(cases[1]["Packs"], "no pack recorded")
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
same(summary["Facility"][1], "Invented Hospital & Maternity Home")
same(summary["Packs used from a load that reached its limits"][1:5], (230, 241, 9, "99.1 % of 232"))
same(summary["Air-removal tests missing"][1:5], (0, 0, 0, "none could be judged"))
same(book["Summary"].cell(row=[r[0].value for r in book["Summary"].iter_rows()].index("Gaps") + 1, column=1)
     .hyperlink.location, "'Gaps'!A1")

for name in SHEETS:
    sheet = book[name]
    same(sheet.page_setup.orientation, "landscape")
    same(str(sheet.page_setup.paperSize), "9")
    same((sheet.page_setup.fitToWidth or 1, sheet.page_setup.fitToHeight), (1, 0))  # 1 is the default
    same(sheet.print_title_rows, "$3:$3")
    assert sheet.freeze_panes in ("A4", "B4"), sheet.freeze_panes
    assert "of &N" in sheet.oddFooter.center.text.replace("&[Pages]", "&N"), sheet.oddFooter.center.text
    assert "head ddb89be403809e32" in sheet.oddFooter.right.text
    if name not in ("Summary", "Ledger proof"):
        assert sheet.auto_filter.ref, name
    for row in sheet.iter_rows(values_only=True):
        for value in row:
            assert not (isinstance(value, str) and "sterile" in value.lower()), value

same(book.properties.created, datetime.datetime(2025, 4, 2, 3, 30))
print("the workbook reads as the facts say")
