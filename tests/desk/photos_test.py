#!/usr/bin/env python3
"""Photos of codes: labels that this program drew are read back, turned, small, blurred and as JPEG; what is no picture, a broken
one, one of too many pixels or bytes, or one of several codes is told; the process that looks is confined, and the desk lives.

    photos_test.py PROGRAM
"""
import json
import os
import random
import struct
import subprocess
import threading
import time
import zlib
from pathlib import Path

from running import Browser, Desk, check, finish, program

desk = Desk()
for pack in ("P-4711", "P-4712", "P-4713"):
    desk.run("record", "packed", f"pack={pack}", "set=S-1", "wrap=wrapped", "--by", "ana")
ana = Browser(desk).become_station().tap("ana")
folder = Path(desk.folder.name)


def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width, height, rows):
    """Grey, 8 bits: `rows` are the bytes of each row."""
    raw = zlib.compress(b"".join(b"\0" + row for row in rows), 6)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)) + chunk(b"IDAT", raw) + chunk(b"IEND", b"")


def pixels_of(file):
    """A picture as rows of grey bytes, by poppler's PGM."""
    data = Path(file).read_bytes()
    assert data.startswith(b"P5"), data[:20]
    head, pixels = data.split(b"\n255\n", 1)
    width, height = (int(word) for word in head.split()[1:3])
    return [pixels[y * width:(y + 1) * width] for y in range(height)]


def parts(fields, photos):
    mark = "------trayproof-test"
    body = b""
    for name, value in fields:
        body += f'--{mark}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
    for name, photo in photos:
        body += f'--{mark}\r\nContent-Disposition: form-data; name="{name}"; filename="IMG_1.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'.encode() + photo + b"\r\n"
    return body + f"--{mark}--\r\n".encode(), f"multipart/form-data; boundary={mark}"


def look(photo, browser=ana, accept="application/json", fields=(), name="photo.one"):
    csrf = browser.me().get("csrf", "")
    body, kind = parts([*fields, ("csrf", csrf)], [(name, photo)] if photo is not None else [])
    return browser.send("POST", "/code", body, [("Content-Type", kind), ("Accept", accept), ("Origin", f"http://{browser.host}")])


def read(photo):
    answer = look(photo)
    return (answer.status, answer.json().get("code") or answer.json()["error"]["code"])


# Labels as the program draws them, and as a camera sees them.
desk.run("label", "P-4711", "-o", str(folder / "label.png"))
label = (folder / "label.png").read_bytes()
check("the drawing of a label", read(label), (200, "P-4711"))
desk.run("label", "P-4711", "-o", str(folder / "label.pdf"))
for dots in (100, 150, 300, 600):
    subprocess.run(["pdftoppm", "-r", str(dots), "-jpeg", "-singlefile", folder / "label.pdf", folder / f"at-{dots}"], check=True)
    check(f"a JPEG of {dots} dots an inch", read((folder / f"at-{dots}.jpg").read_bytes()), (200, "P-4711"))
subprocess.run(["pdftoppm", "-r", "150", "-gray", "-singlefile", folder / "label.pdf", folder / "grey"], check=True)
rows = pixels_of(folder / "grey.pgm")
turned = [bytes(row) for row in zip(*rows[::-1])]
check("turned by a quarter", read(png(len(turned[0]), len(turned), turned)), (200, "P-4711"))
upside = [row[::-1] for row in rows[::-1]]
check("upside down", read(png(len(upside[0]), len(upside), upside)), (200, "P-4711"))
blurred = [bytes(sum(rows[yy][xx] for yy in (y - 1, y, y + 1) for xx in (x - 1, x, x + 1)) // 9 for x in range(1, len(rows[0]) - 1))
           for y in range(1, len(rows) - 1)]
check("blurred", read(png(len(blurred[0]), len(blurred), blurred)), (200, "P-4711"))
chance = random.Random(4711)
noisy = [bytes(max(0, min(255, 60 + byte // 2 + chance.randrange(-25, 26))) for byte in row) for row in rows]
check("dim and noisy", read(png(len(noisy[0]), len(noisy), noisy)), (200, "P-4711"))
wide = 4000
large = [b"\xff" * wide] * 900 + [(b"\xff" * 1800 + row + b"\xff" * wide)[:wide] for row in rows] + [b"\xff" * wide] * 900
check("small in a large picture", read(png(wide, len(large), large)), (200, "P-4711"))

# More than one: nobody knows which is meant.
desk.run("label", "P-4711", "P-4712", "P-4713", "-o", str(folder / "sheet.png"))
answer = look((folder / "sheet.png").read_bytes())
check("a sheet", (answer.status, [pack in answer.json()["error"]["says"] for pack in ("P-4711", "P-4712", "P-4713")]), (422, [True] * 3))

# None, and what is no picture; the sentence says what to do.
white = png(400, 300, [b"\xff" * 400] * 300)
check("no code", (look(white).status, "No code was found" in look(white).text), (422, True))
jpeg = (folder / "at-300.jpg").read_bytes()
garbage = {"nothing": b"", "text": b"P-4711\n" * 50, "noise": chance.randbytes(50000), "a PNG's head": label[:60], "half a PNG": label[:len(label) // 2],
           "a JPEG's head": jpeg[:30], "a GIF": b"GIF89a" + bytes(100), "a PDF": (folder / "label.pdf").read_bytes(),
           "no rows": png(400, 300, []), "a strip": png(9000, 2, [bytes(9000)] * 2), "a pixel": png(1, 1, [b"\0"]), "no width": png(0, 10, []), "a JPEG of noise": jpeg[:600] + chance.randbytes(3000)}
for what, photo in garbage.items():
    answer = look(photo)
    check(f"{what} is told", (answer.status in (400, 422), answer.header("content-type")), (True, "application/json"))
check("no picture", "could not be read as a picture" in look(garbage["text"]).text)

# Limits: pixels by the head alone, and bytes.
bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 60000, 60000, 1, 0, 0, 0, 0)) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
began = time.time()
check("too many pixels", ("too large" in look(bomb).text, time.time() - began < 5), (True, True))
big = bytearray(jpeg)
place = big.find(b"\xff\xc0")
big[place + 5:place + 9] = struct.pack(">HH", 65000, 65000)
check("too many pixels in a JPEG", "too large" in look(bytes(big)).text)
dense = png(7900, 8000, [bytes(7900)] * 8000)
check("as many pixels as are allowed", look(dense).status, 422)
over = parts([], [("photo.one", bytes(17 << 20))])
answer = ana.send("POST", "/code", b"", [("Content-Type", over[1])])
check("no photo at all", answer.status in (400, 403))
with desk.connect() as sock:
    cookies = "; ".join(f"{k}={v}" for k, v in ana.cookies.items())
    sock.sendall((f"POST /code HTTP/1.1\r\nHost: {ana.host}\r\nCookie: {cookies}\r\nContent-Type: {over[1]}\r\n"
                  f"Content-Length: {len(over[0])}\r\n\r\n").encode())
    check("too many bytes: refused before they are sent", sock.recv(100).split()[1], b"413")

# Bytes changed at random: each is answered, none is answered wrongly, and the desk does not grow.
before, answers = desk.rss_kib(), {}
for turn in range(60):
    photo = bytearray(chance.choice([label, jpeg]))
    for _ in range(chance.choice([1, 5, 50])):
        photo[chance.randrange(8, len(photo))] = chance.randrange(256)
    found = read(bytes(photo))
    answers[found] = answers.get(found, 0) + 1
check("changed pictures", set(answers) <= {(200, "P-4711"), (422, "no-code")}, True)
check("no memory is kept", desk.rss_kib() - before < 40_000)
print("changed pictures:", answers)

# Without a script: the whole form comes back with the field filled, and everything that was typed.
form = [("photo-form", "packed"), ("set", "S-1"), ("wrap", "pouch"), ("note", "typed before"), ("slip", "s-1")]
page = look(label, accept="text/html", fields=form, name="photo.pack")
check("a field", (page.status, 'value="P-4711"' in page.text, 'value="pouch" checked="checked"' in page.text, "typed before" in page.text), (200, True, True, True))
page = look(label, accept="text/html", fields=[("photo-form", "load-started"), ("packs.more", "P-1"), ("load", "L-7")], name="photo.packs")
check("a list", ("P-1\nP-4711</textarea>" in page.text, 'value="L-7"' in page.text), (True, True))
page = look(label, accept="text/html", fields=[("photo-form", "packed"), ("pack.more", "P-1")], name="photo.pack")
check("several", "P-1\nP-4711</textarea>" in page.text)
page = look(white, accept="text/html", fields=form, name="photo.pack")
check("none found", ('href="#f-pack"' in page.text, "No code was found" in page.text, "typed before" in page.text), (True, True, True))
for fields in ([], [("photo-form", "nothing")], [("photo-form", "countersigned")]):
    check(f"no such form: {fields}", look(label, accept="text/html", fields=fields).status, 400)
check("the button for it", 'formaction="/code"' in ana.get("/record/packed").text and 'name="photo.pack" accept="image/*" capture="environment"' in ana.get("/record/packed").text)

# Who may.
check("nobody from elsewhere", look(label, Browser(desk)).status, 401)
body, kind = parts([], [("photo.one", label)])
check("not without the form's token", ana.send("POST", "/code", body, [("Content-Type", kind)]).status, 403)
check("no photo of theirs is anywhere", "P-4711" in (folder / "said").read_text(), False)

# The verb, and what its process may do.
def verb(photo, *options):
    return subprocess.run([program, *options, "read-code"], input=photo, capture_output=True, timeout=60)


check("prints the code", (verb(label).returncode, verb(label).stdout), (0, b"P-4711\n"))
check("as JSON", json.loads(verb(label, "--json").stdout), {"codes": ["P-4711"], "seen": "code"})
check("none", (verb(white).returncode, json.loads(verb(white, "--json").stdout)["seen"]), (1, "none"))
reading, writing = os.pipe()
waiting = subprocess.Popen([program, "read-code"], stdin=reading, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
status = ""
for _ in range(100):
    status = Path(f"/proc/{waiting.pid}/status").read_text()
    if "Seccomp:\t2" in status:
        break
    time.sleep(0.05)
check("no new rights, and calls are filtered", ("NoNewPrivs:\t1" in status, "Seccomp:\t2" in status), (True, True))
limits = Path(f"/proc/{waiting.pid}/limits").read_text()
check("its time is limited", any(line.split()[3:5] == ["5", "5"] for line in limits.splitlines() if line.startswith("Max cpu time")))
os.close(writing)
waiting.wait(30)
os.close(reading)

# Many at once: recorders do not wait for them.
threads = [threading.Thread(target=look, args=(dense,)) for _ in range(6)]
for thread in threads:
    thread.start()
time.sleep(0.2)
began = time.time()
check("a page meanwhile", ana.get("/record/packed").status, 200)
check("at once", time.time() - began < 3)
for thread in threads:
    thread.join()

check("it lives", ana.get("/live").status, 200)
status, said = desk.stop()
check("ended", (status, "level=error" in said), (0, False))
finish("photos")
