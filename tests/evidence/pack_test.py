#!/usr/bin/env python3
"""Evidence packs through the real program: given on the invented month, checked by the program, by one that knows nothing
but the pack, and by the stranger's checker; and refused by all when anything in them was changed.

    pack_test.py PROGRAM CHECK-ALONE SOURCE-FOLDER
"""
import base64
import hashlib
import io
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from xml.etree import ElementTree

sys.path.insert(0, str(Path(__file__).parent))
import check_pack  # noqa: E402

program, alone, source = sys.argv[1], sys.argv[2], Path(sys.argv[3])
samples = source / "samples"
expected = json.loads((samples / "facility" / "expected.json").read_text())
problems = []
folder = Path(tempfile.mkdtemp())
os.chdir(folder)
ledger = folder / "month.trayproof"


def run(*words, at=None, status=0, env=None):
    done = subprocess.run([program, "--ledger", str(at or ledger), "--json", *words], capture_output=True, text=True, env=env)
    if done.returncode != status:
        problems.append(f"{' '.join(words)} ended with {done.returncode}, wanted {status}: {(done.stderr or done.stdout)[:300]}")
    return json.loads(done.stdout) if done.stdout.strip() else {}


def same(what, found, wanted):
    if found != wanted:
        problems.append(f"{what}: found {str(found)[:300]}, expected {str(wanted)[:300]}")


def status_of(pack, *words):
    return subprocess.run([program, "check", str(pack), *words], capture_output=True, text=True).returncode


def strangers(pack):
    try:
        check_pack.check(pack, vkey)
        return 0
    except Exception:
        return 1


def members_of(pack):
    with zipfile.ZipFile(pack) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def write_pack(name, members, sums=False, twice=None):
    members = dict(members)
    if sums:
        names = sorted(set(members) - {"SHA256SUMS", "signature.json"})
        members["SHA256SUMS"] = "".join(f"{hashlib.sha256(members[n]).hexdigest()}  {n}\n" for n in names).encode()
    path = folder / name
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for one in sorted(members):
            made.writestr(one, members[one])
            if one == twice:
                import warnings
                with warnings.catch_warnings():
                    warnings.simplefilter("ignore")
                    made.writestr(one, members[one])
    return path


def refused(what, pack):
    for checker, status in (("program", status_of(pack, "--ledger-key", vkey)), ("stranger", strangers(pack))):
        if status == 0:
            problems.append(f"{what}: taken by the {checker}")
        elif status not in (1, 3):
            problems.append(f"{what}: the {checker} ended with {status}")


def make_month():
    run("create", "--name", "Oraveth Maternity Unit", "--zone", "Etc/GMT-5", "--altitude-m", "1180", "--sop",
        str(samples / "sop" / "labour-room.toml"))
    run("record", "--from", str(samples / "facility" / "events.jsonl"))
    for export in expected["exports"]:
        run("import", "curve", str(samples / "facility" / export["file"]), "--equipment", export["equipment"], "--logger", export["logger"])
    run("recall", "--because", "biological-positive", "--load", expected["trouble_a"]["subject"]["load"], "--open", "RC-1")
    run("checkpoint", "-o", "early.txt", "--kept", "paper register, page 12")
    run("record", "remarked", "--body", json.dumps({"subject": {"kind": "load", "id": bad_load}, "text": "Seen by the committee."}))


def test_given():
    """Each kind of subject; what the pack says is what the record has, and its giving is recorded."""
    for name, subject in subjects.items():
        given = run("evidence", subject, "-o", f"{name}.zip")
        pack = folder / f"{name}.zip"
        same(f"{name} hash", given["sha256"], hashlib.sha256(pack.read_bytes()).hexdigest())
        last = [json.loads(json.loads(line)["entry"]) for line in
                subprocess.run([program, "--ledger", str(ledger), "export", "--from-seq", str(given["recorded"])],
                               capture_output=True, text=True).stdout.splitlines()][0]
        same(f"{name} recorded", [last["kind"], last["subject"]["id"], last["file"], last["size"]],
             ["evidence-given", subject, given["sha256"], given["size"]])
        checked = run("check", str(pack), "--ledger-key", vkey)
        same(f"{name} checked", [checked["ok"], checked["whose"], checked["problems"], checked["checked"]["entries"]],
             [True, "ledger-key", [], given["entries"]])
        same(f"{name} by a stranger", strangers(pack), 0)
        same(f"{name} without an anchor", status_of(pack), 1)
        same(f"{name} alone", subprocess.run([alone, str(pack), vkey], env={}).returncode, 0)
        members = members_of(pack)
        everything = b"\n".join(members.values()).decode(errors="replace")
        leaked = [n for n in numbers if n in everything and not any(n in m for m in raw_files)]
        if leaked:
            problems.append(f"{name}: {len(leaked)} patients' numbers stand in it")
        if re.search(r"\bsterile\b", members["START-HERE.html"].decode(), re.I):
            problems.append(f"{name}: its page says sterile")
    run("evidence", subjects["procedure"], "-o", "procedure.zip", status=3)
    run("evidence", "nobody", "-o", "nobody.zip", status=3)
    run("evidence", "nurse-3", "-o", "nurse.zip", status=3)
    run("evidence", subjects["load"], "--kind", "person", "-o", "person.zip", status=2)


def test_page():
    """Well-formed, without script or anything from elsewhere, with the curve and links that lead somewhere."""
    page = members_of(folder / "procedure.zip")["START-HERE.html"].decode()
    body = page[page.index("<html"):]
    tree = ElementTree.fromstring(body)
    ids = {e.get("id") for e in tree.iter() if e.get("id")}
    targets = {e.get("href") for e in tree.iter() if e.get("href")}
    same("links that lead nowhere", sorted(t for t in targets if not (t.startswith("#") and t[1:] in ids)), [])
    tags = {e.tag.split("}")[-1] for e in tree.iter()}
    same("elements that load something", tags & {"script", "img", "link", "iframe", "object", "embed"}, set())
    same("addresses in the style", re.findall(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", page), [])
    for wanted in (bad_load, "<svg", "conditions NOT reached", "does not prove that no other entry", "indicators pass, curve"):
        if wanted not in page:
            problems.append(f"the page of the procedure does not show {wanted}")


def test_manual():
    """What HOW-TO-CHECK.txt tells people to type does what it says."""
    unpacked = folder / "unpacked"
    with zipfile.ZipFile(folder / "procedure.zip") as pack:
        pack.extractall(unpacked)
    manual = (unpacked / "HOW-TO-CHECK.txt").read_text()
    same("sha256sum", subprocess.run(["sha256sum", "--quiet", "-c", "SHA256SUMS"], cwd=unpacked, capture_output=True).returncode, 0)
    code = "\n".join(line[4:] for line in manual[manual.index("    import base64"):manual.index("6. ")].splitlines() if line.startswith("    "))
    same("its python", subprocess.run([sys.executable, "-c", code], cwd=unpacked, capture_output=True, text=True).stderr, "")
    entries = unpacked / "entries.jsonl"
    entries.write_bytes(entries.read_bytes().replace(b"labour room 2", b"labour room 3", 1))
    if subprocess.run([sys.executable, "-c", code], cwd=unpacked, capture_output=True).returncode == 0:
        problems.append("the manual's python takes a changed entry")
    text, signature = (unpacked / "checkpoint.txt").read_text().split("\n\n")
    (unpacked / "text").write_text(text + "\n")
    (unpacked / "sig").write_bytes(base64.b64decode(signature.split(" ")[2])[4:])
    key = bytes.fromhex("302a300506032b6570032100") + base64.b64decode(vkey.split("+", 2)[2])[1:]
    (unpacked / "key.der").write_bytes(key)
    openssl = ["openssl", "pkeyutl", "-verify", "-pubin", "-keyform", "DER", "-inkey", "key.der", "-rawin", "-in", "text", "-sigfile", "sig"]
    same("openssl", subprocess.run(openssl, cwd=unpacked, capture_output=True).returncode, 0)
    shutil.rmtree(unpacked)


def test_changed():
    """Each member changed, dropped and doubled, with its hash left and with its hash written anew."""
    whole = members_of(folder / "whole.zip")
    for name in sorted(whole):
        middle = len(whole[name]) // 2
        changed = dict(whole) | {name: whole[name][:middle] + bytes([whole[name][middle] ^ 1]) + whole[name][middle + 1:]}
        dropped = {n: b for n, b in whole.items() if n != name}
        for sums in (False, True):
            if name != "SHA256SUMS" or not sums:
                refused(f"{name} changed, sums {sums}", write_pack("t.zip", changed, sums))
                refused(f"{name} dropped, sums {sums}", write_pack("t.zip", dropped, sums))
        refused(f"{name} doubled", write_pack("t.zip", whole, twice=name))


def problems_of(pack):
    return " | ".join(p["what"] for p in run("check", str(pack), "--ledger-key", vkey, status=1)["problems"])


def test_exchanged():
    """Proofs exchanged, entries left out, another ledger's checkpoint, an older one's: told by what is wrong."""
    whole = members_of(folder / "whole.zip")
    proofs = whole["proofs.txt"].decode().split("\n\n")
    swapped = proofs[:5] + [proofs[6], proofs[5]] + proofs[7:]
    pack = write_pack("t.zip", whole | {"proofs.txt": "\n\n".join(swapped).encode()}, sums=True)
    refused("proofs exchanged", pack)
    rows = whole["entries.jsonl"].decode().splitlines(keepends=True)
    naming = next(i for i, row in enumerate(rows) if f'\\"load\\":\\"{bad_load}\\"' in row and "load-released" in row)
    about = json.loads(whole["pack.json"])
    without = whole | {"entries.jsonl": "".join(rows[:naming] + rows[naming + 1:]).encode(),
                       "proofs.txt": "\n\n".join(proofs[:naming] + proofs[naming + 1:]).encode(),
                       "pack.json": json.dumps(about | {"entries": about["entries"] - 1}).encode()}
    pack = write_pack("t.zip", without, sums=True)
    refused("an entry left out", pack)
    if "was left out" not in problems_of(pack):
        problems.append("a pack of the whole record does not tell which entry of the case was left out")
    rows = whole["whole.jsonl"].decode().splitlines(keepends=True)
    pack = write_pack("t.zip", whole | {"whole.jsonl": "".join(rows[:-1]).encode()}, sums=True)
    if "does not lead to the root" not in problems_of(pack):
        problems.append("a whole record that was cut off is not told")
    run("create", "--name", "Another Unit", "--zone", "UTC", at=folder / "other.trayproof")
    run("checkpoint", "-o", "other.txt", at=folder / "other.trayproof")
    refused("another ledger's checkpoint", write_pack("t.zip", whole | {"checkpoint.txt": (folder / "other.txt").read_bytes()}, sums=True))
    refused("an older checkpoint", write_pack("t.zip", whole | {"checkpoint.txt": (folder / "early.txt").read_bytes()}, sums=True))


def test_anchors():
    """Keys and checkpoints from elsewhere: the same ledger's, another's, an earlier, a later, another history's."""
    pack = str(folder / "procedure.zip")
    other = run("key", "list", at=folder / "other.trayproof")["ledger"]["vkey"]
    same("another ledger's key", status_of(pack, "--ledger-key", other), 1)
    same("another ledger's checkpoint", status_of(pack, "--checkpoint", "other.txt"), 1)
    same("no key at all", status_of(pack, "--ledger-key", "rubbish"), 3)
    same("an earlier checkpoint", run("check", pack, "--checkpoint", "early.txt")["whose"], "checkpoint")
    (folder / "own.txt").write_bytes(members_of(pack)["checkpoint.txt"])
    same("its own checkpoint", status_of(pack, "--checkpoint", "own.txt"), 0)
    run("checkpoint", "-o", "late.txt")
    found = run("check", pack, "--checkpoint", "late.txt", status=1)
    same("a later checkpoint decides nothing", [found["holds"], found["whose"], len(found["open"])], [True, None, 1])
    size = run("check", pack, "--ledger-key", vkey)["size"]
    later = members_of(folder / "solution.zip")
    (folder / "growth.txt").write_bytes(later[f"consistency/{size}.txt"])
    same("a later one with its proof", run("check", pack, "--checkpoint", "growth.txt")["whose"], "checkpoint")
    # The holder of the keys writes another history from a copy; only what was kept elsewhere tells.
    fork = folder / "fork.trayproof"
    shutil.copy(folder / "before.trayproof", fork)
    shutil.copy(f"{ledger}.keys", f"{fork}.keys")
    run("record", "counted", "what=nothing-done", "from=2026-10-01T00:00:00+05:00", "until=2026-10-02T00:00:00+05:00", "number=0", at=fork)
    run("checkpoint", at=fork)
    run("evidence", subjects["procedure"], "-o", "forged.zip", at=fork)
    same("a forged history by its key", status_of("forged.zip", "--ledger-key", vkey), 0)
    (folder / "kept.txt").write_bytes(members_of("load.zip")["checkpoint.txt"])  # of the same size, and of the true history
    run("evidence", subjects["procedure"], "--whole", "-o", "forged-whole.zip", at=fork)  # one entry longer
    for forged in ("forged.zip", "forged-whole.zip"):
        found = run("check", forged, "--checkpoint", "kept.txt", status=1)
        if not any("one of the two was made up" in p["what"] for p in found["problems"]):
            problems.append(f"{forged} is not told as another history: {found['problems']} {found['open']}")


def test_read_only():
    """Without its key file a ledger still gives, unsigned and unrecorded, if its newest signed state covers it."""
    copy = folder / "copy.trayproof"
    run("record", "remarked", "--body", json.dumps({"subject": {"kind": "load", "id": bad_load}, "text": "Seen again."}))
    shutil.copy(ledger, copy)
    run("evidence", subjects["procedure"], "-o", "uncovered.zip", at=copy, status=4)
    run("checkpoint")
    shutil.copy(ledger, copy)
    given = run("evidence", subjects["procedure"], "-o", "unsigned.zip", at=copy)
    same("recorded without keys", given["recorded"], None)
    found = run("check", "unsigned.zip", "--ledger-key", vkey, status=1)
    same("unsigned", [found["holds"], found["whose"], found["page_signed_by"], len(found["open"])], [True, "ledger-key", None, 1])
    if "NOBODY SIGNED THIS PAGE" not in members_of("unsigned.zip")["START-HERE.html"].decode():
        problems.append("an unsigned page does not say so")


def test_same_bytes():
    """The same record gives the same bytes, whatever the zone of the machine."""
    made = []
    for zone in ("UTC", "Asia/Kathmandu"):
        copy = folder / f"copy-{zone.replace('/', '-')}.trayproof"
        shutil.copy(ledger, copy)
        shutil.copy(f"{ledger}.keys", f"{copy}.keys")
        run("evidence", "RC-1", "-o", f"{copy.stem}.zip", at=copy, env={**os.environ, "TZ": zone, "LC_ALL": "C"})
        made.append((folder / f"{copy.stem}.zip").read_bytes())
    same("the same bytes", made[0] == made[1], True)


def end_of(blob, **fields):
    """The end record of a zip with some of its fields changed: name → (offset, bytes)."""
    at = blob.rindex(b"PK\5\6")
    blob = bytearray(blob)
    for offset, value in fields.values():
        blob[at + offset:at + offset + len(value)] = value
    return bytes(blob)


def declared(blob, size):
    """Every member said to unpack to `size` bytes."""
    blob = bytearray(blob)
    for mark, offset in ((b"PK\3\4", 22), (b"PK\1\2", 24)):
        at = blob.find(mark)
        while at >= 0:
            blob[at + offset:at + offset + 4] = size.to_bytes(4, "little")
            at = blob.find(mark, at + 4)
    return bytes(blob)


def zip_of(names, method=zipfile.ZIP_DEFLATED):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", method) as pack:
        for name in names:
            pack.writestr(name, b"0" * 5000)
    return made.getvalue()


def test_hostile():
    """What a stranger could send: refused as a whole, in little time, and nothing is written anywhere."""
    good = (folder / "procedure.zip").read_bytes()
    names = list(members_of(folder / "procedure.zip"))
    hexes = [f"attachments/{hashlib.sha256(str(i).encode()).hexdigest()}" for i in range(4)]
    hostile = {
        "nothing": b"", "text": b"this is no zip", "random": random.Random(7).randbytes(5000),
        "cut short": good[:-30], "cut in the middle": good[:len(good) // 2], "its head cut off": good[100:],
        "up and out": zip_of(names + ["../../escape.txt"]), "absolute": zip_of(names + ["/tmp/escape.txt"]),
        "backslashes": zip_of(names + ["..\\escape.txt"]), "a folder": zip_of(names + ["attachments/"]),
        "an odd name": zip_of(names + ["attachments/x"]), "a control character": zip_of(names + ["entries.jsonl\x01"]),
        "another method": zip_of(names, zipfile.ZIP_BZIP2), "too many": zip_of([f"consistency/{i}.txt" for i in range(20001)]),
        "a count that lies": end_of(good, one=(8, b"\xff\xff"), all=(10, b"\xff\xff")),
        "a bomb": declared(zip_of(hexes), 0xFFFFFF00), "members upon each other": declared(zip_of(hexes[:1]), 1 << 30),
    }
    place = folder / "place"
    place.mkdir()
    for what, blob in hostile.items():
        (place / "h.zip").write_bytes(blob)
        done = subprocess.run([program, "check", "h.zip"], cwd=place, capture_output=True, text=True, timeout=20)
        if done.returncode != 3 or "pack" not in done.stderr:
            problems.append(f"hostile zip, {what}: ended with {done.returncode}: {done.stdout[:100]} {done.stderr[:200]}")
    same("written by checking", sorted(os.listdir(place)), ["h.zip"])
    same("no such file", status_of("not-there.zip"), 3)
    same("a folder for a file", status_of(place), 3)
    encrypted = bytearray(zip_of(["pack.json"]))
    encrypted[6] |= 1
    encrypted[encrypted.index(b"PK\1\2") + 8] |= 1
    (place / "h.zip").write_bytes(bytes(encrypted))
    same("encrypted", status_of(place / "h.zip"), 3)


def test_flipped():
    """Bytes flipped at random: never taken, unless every member came out as it was."""
    chance = random.Random(20261014)
    good = (folder / "load.zip").read_bytes()
    wanted = members_of(folder / "load.zip")
    for _ in range(100):
        blob = bytearray(good)
        at = chance.randrange(len(blob))
        blob[at] ^= 1 << chance.randrange(8)
        (folder / "t.zip").write_bytes(bytes(blob))
        status = status_of("t.zip", "--ledger-key", vkey)
        if status not in (0, 1, 3):
            problems.append(f"byte {at} flipped: ended with {status}")
        if status == 0 and members_of("t.zip") != wanted:
            problems.append(f"byte {at} flipped, and taken")


bad_load = expected["trouble_b"]["subject"]["load"]
numbers = set()
for line in (samples / "facility" / "events.jsonl").read_text().splitlines():
    event = json.loads(line)
    for one in (event, event.get("replacement") or {}):
        numbers |= {n for n in [one.get("patient"), *one.get("newborns", [])] if n}
raw_files = [f.read_bytes().decode(errors="replace") for f in (samples / "facility" / "loggers").iterdir()]
make_month()
vkey = run("key", "list")["ledger"]["vkey"]
procedure = expected["trouble_b"]["procedures"][0]
used = procedure["uses"][0]["pack"]
traced = run("trace", procedure["procedure"])
subjects = {"procedure": procedure["procedure"], "load": bad_load, "recall": "RC-1", "pack": used,
            "set": next(k["id"] for k in traced["links"] if k["kind"] == "set"),
            "solution": next(k["id"] for k in traced["links"] if k["kind"] == "solution")}
shutil.copy(ledger, folder / "before.trayproof")
test_given()
run("evidence", bad_load, "--whole", "-o", "whole.zip")
same("whole", [run("check", "whole.zip", "--ledger-key", vkey)["ok"], strangers(folder / "whole.zip")], [True, 0])
test_page()
test_manual()
test_changed()
test_exchanged()
test_anchors()
test_read_only()
test_same_bytes()
test_hostile()
test_flipped()
same("verify", run("verify", "--full")["problems"], [])

shutil.rmtree(folder)
for problem in problems:
    print(problem)
print(f"{len(problems)} problems")
sys.exit(1 if problems else 0)
