"""import register, from the command line, on an invented unit: what is taken, repeated, refused and asked, and that no
patient's number stands in any output or any file beside the sealed ledger.

    registers_test.py TRAYPROOF REGISTERS [MONTH.csv]
"""
import json
import os
import subprocess
import sys
import tempfile

program = os.path.abspath(sys.argv[1])
cases = os.path.abspath(sys.argv[2])
NUMBERS = ["NM 4471 12", "00 712 / 26", "0071227", "7712345", "NM-778812", "55-01-77", "66-02-88", "66-02-99", "66-03-11",
           "66-03-22", "MRN-998877"]
said = []


def run(folder, *words, status=0, stdin=None):
    done = subprocess.run([program, "--ledger", os.path.join(folder, "unit.trayproof"), *words], capture_output=True,
                          text=True, input=stdin, check=False)
    said.append(done.stdout + done.stderr)
    assert done.returncode == status, (words, done.returncode, done.stdout, done.stderr)
    return done.stdout


def answer(folder, *words, status=0):
    return json.loads(run(folder, "--json", *words, status=status))


def write(folder, name, text):
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)
    return path


with tempfile.TemporaryDirectory() as folder:
    run(folder, "create", "--name", "Invented unit", "--zone", "Etc/GMT-5", "--altitude-m", "100")
    births = write(folder, "births.csv",
                   "Delivery No;Date;Time;Hospital No;Mode of delivery;Ward;Packs used\n"
                   "D-1;13.05.2025;08:10;55-01-77;normal;LR-1;PK-1, PK-2\n"
                   "D-2;14.05.2025;09:20;0071227;caesarean;OT;none\n")
    kind = ("--kind", "procedure-done")

    looked = answer(folder, "import", "register", births, *kind, "--dry-run")
    assert looked["taken"] == 0 and looked["would_take"] == 2 and len(looked["events"]) == 2, looked
    assert looked["events"][0]["patient"] == "(masked, 8 characters)", looked["events"]
    run(folder, "import", "register", births, *kind, "--dry-run")

    taken = answer(folder, "import", "register", births, *kind, "--save-profile", "births")
    assert (taken["taken"], taken["repeated"], taken["refused"]) == (2, 0, []), taken
    again = answer(folder, "import", "register", births, *kind, "--profile", "births")
    assert (again["taken"], again["repeated"]) == (0, 2), again
    assert (again["first"], again["last"]) == (taken["first"], taken["last"]), again
    run(folder, "import", "register", births, *kind)

    entries = [json.loads(json.loads(line)["entry"]) for line in run(folder, "export").splitlines()]
    first = next(entry for entry in entries if entry.get("procedure") == "D-1")
    assert first["paper"] == taken["file"] + ":2" and first["precision"] == "minute", first
    assert first["packs"] == ["PK-1", "PK-2"] and first["at"] == "2025-05-13T08:10:00+05:00", first
    assert len(first["patient"]) == 32 and first["by"] == first["station"], first

    # One bad row: nothing is taken, unless the good ones are asked for.
    more = write(folder, "more.csv",
                 "Delivery No,Date,Hospital No,Mode,Ward,Packs\n"
                 "D-1,2025-05-20,NM 4471 12,normal,LR-1,PK-3\n"
                 "D-3,2025-05-21,00 712 / 26,normal,LR-1,PK-4\n"
                 "D-4,2025-05-41,7712345,normal,LR-1,PK-5\n")
    refused = answer(folder, "import", "register", more, *kind, status=3)
    assert refused["taken"] == 0 and [one["line"] for one in refused["refused"]] == [2, 4], refused
    assert refused["refused"][1]["column"] == "Date" and refused["refused"][1]["field"] == "at", refused
    run(folder, "import", "register", more, *kind, status=3)
    good = answer(folder, "import", "register", more, *kind, "--keep-good", status=3)
    assert good["taken"] == 1 and len(good["refused"]) == 2, good

    # Questions take nothing; options answer them.
    open_order = write(folder, "open.csv", "Date,Load,Result\n03/04/2025,ST1-1,pass\n04/05/2025,ST1-2,pass\n")
    asked = answer(folder, "import", "register", open_order, "--kind", "indicator-read", status=3)
    assert asked["asks"][0]["what"] == "date-order" and asked["taken"] == 0, asked
    run(folder, "import", "register", open_order, "--kind", "indicator-read", status=3)
    told = answer(folder, "import", "register", open_order, "--kind", "indicator-read", "--date-order", "dmy")
    assert told["taken"] == 2, told

    bundle = answer(folder, "import", "register", os.path.join(cases, "bundle.json"), *kind, "--keep-good", status=3)
    assert bundle["sort"] == "fhir-bundle" and bundle["refused"][0]["line"] == 5, bundle

    # A number that slipped into another column, of its own row, of another row, or known to the ledger, is masked there
    # too: in the rehearsal as in refusals.
    slipped = write(folder, "slipped.csv",
                    "Delivery No,Date,Hospital No,Mode,Ward,Packs,Remarks\n"
                    "66-02-88,2025-05-22,66-02-88,normal,LR-1,PK-6,x\n"
                    "D-6,2025-05-23,66-02-99,normal,LR-1,PK-7,ring66-02-99\n"
                    "D-7,2025-05-24,66-03-11,normal,LR-1,PK-8,twin of 66-02-88 as 55-01-77\n"
                    "D-8,2025-05-99,66-03-22,normal,LR-1,PK-8,x\n"
                    "D-9,2025-05-25,66-03-33,normal,LR-1,PK-8,see 66-03-22\n")
    rehearsed = answer(folder, "import", "register", slipped, *kind, "--dry-run", status=3)
    assert rehearsed["events"][0]["procedure"] == "(masked, 8 characters)", rehearsed["events"]
    assert rehearsed["events"][2]["note"] == "twin of (masked, 8 characters) as (masked, 8 characters)", rehearsed["events"]
    assert "ring(masked, 8 characters)" in run(folder, "import", "register", slipped, *kind, "--dry-run", status=3)
    patient = {"identifier": {"value": "MRN-998877"}}
    write(folder, "slipped.json", json.dumps({"resourceType": "Bundle", "type": "collection", "entry": [
        {"resource": {"resourceType": "Procedure", "id": "pr1", "status": "completed", "identifier": [{"value": "MRN-998877"}],
                      "code": {"text": "Caesarean MRN-998877"}, "subject": patient, "performedDateTime": "2025-05-05T10:00:00+05:00"}},
        {"resource": {"resourceType": "Procedure", "id": "pr2", "status": "MRN-998877", "subject": patient}},
        {"resource": {"resourceType": "Procedure", "id": "pr3", "status": "completed", "subject": patient,
                      "performedDateTime": "MRN-998877"}}]}))
    slipped = os.path.join(folder, "slipped.json")
    rehearsed = answer(folder, "import", "register", slipped, *kind, "--dry-run", status=3)
    assert rehearsed["events"][0]["sort"] == "Caesarean (masked, 10 characters)", rehearsed["events"]
    run(folder, "import", "register", slipped, *kind, "--dry-run", status=3)
    os.remove(slipped)

    run(folder, "import", "register", births, "--kind", "ledger-opened", status=2)
    run(folder, "import", "register", births, *kind, "--column", "nothing=Date", status=2)
    run(folder, "import", "register", births, *kind, "--fixed", "patient=55-01-77x", status=2)
    run(folder, "import", "register", births, *kind, "--profile", "nobody", status=3)
    run(folder, "import", "register", os.path.join(folder, "not-there.csv"), *kind, status=3)

    assert answer(folder, "verify", "--full")["ok"]

    everything = "\n".join(said)
    names = []
    for root, _, files in os.walk(folder):
        for name in files:
            names.append(name)
            if name.endswith(".csv"):
                continue
            with open(os.path.join(root, name), "rb") as file:
                content = file.read()
            for number in NUMBERS:
                assert number.encode() not in content, (name, number)
    for number in NUMBERS:
        assert number not in everything, number
        assert not any(number in name for name in names), number
print("registers: taken, repeated, refused and asked as told")
