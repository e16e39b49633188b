#!/usr/bin/env python3
"""Every refusal of the server over a real socket: malformed, oversized, smuggled, slow, flooding; and that it goes on.

    refusals_test.py PROGRAM
"""
import gzip
import resource
import socket
import subprocess
import time

from running import Browser, Desk, check, finish, program, read_answer, wait_until

desk = Desk()
browser = Browser(desk).become_station()
station = f"Cookie: trayproof-station={browser.cookies['trayproof-station']}\r\n"
host = f"Host: 127.0.0.1:{desk.port}\r\n"
answered = desk.raw(f"GET /live HTTP/1.1\r\n{host}\r\n".encode())
check("it lives", (answered.status, answered.body), (200, b"live\n"))

# What a reader could take for two things, or must not take at all (RFC 9112; the sizes are ledger/base/limits.h).
refused = {
    "no request line": ("GARBAGE\r\n\r\n", 400),
    "two words": (f"GET /live\r\n{host}\r\n", 400),
    "a TLS greeting": ("\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n", 400),
    "a version of tomorrow": (f"GET /live HTTP/3.0\r\n{host}\r\n", 505),
    "small letters in the version": (f"GET /live http/1.1\r\n{host}\r\n", 400),
    "absolute form": (f"GET http://127.0.0.1/live HTTP/1.1\r\n{host}\r\n", 400),
    "a tab for a space": (f"GET\t/live HTTP/1.1\r\n{host}\r\n", 400),
    "DELETE": (f"DELETE /live HTTP/1.1\r\n{host}\r\n", 405),
    "TRACE": (f"TRACE / HTTP/1.1\r\n{host}\r\n", 405),
    "CONNECT": (f"CONNECT /x HTTP/1.1\r\n{host}\r\n", 405),
    "a bare line feed": (f"GET /live HTTP/1.1\nHost: x\n\r\n\r\n", 400),
    "a bare carriage return": (f"GET /live HTTP/1.1\r\n{host}A: b\rC: d\r\n\r\n", 400),
    "a folded header": (f"GET /live HTTP/1.1\r\n{host}A: b\r\n c\r\n\r\n", 400),
    "a blank before the colon": (f"GET /live HTTP/1.1\r\n{host}A : b\r\n\r\n", 400),
    "a header without a colon": (f"GET /live HTTP/1.1\r\n{host}Ab\r\n\r\n", 400),
    "NUL in a header": (f"GET /live HTTP/1.1\r\n{host}A: \x00\r\n\r\n", 400),
    "no Host": ("GET /live HTTP/1.1\r\n\r\n", 421),
    "an empty Host": ("GET /live HTTP/1.1\r\nHost:\r\n\r\n", 421),
    "two Hosts": (f"GET /live HTTP/1.1\r\n{host}{host}\r\n", 421),
    "a name that is pointed here": ("GET /live HTTP/1.1\r\nHost: elsewhere.example\r\n\r\n", 421),
    "chunks": (f"POST /name HTTP/1.1\r\n{host}Transfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n0\r\n\r\n", 411),
    "chunks and a length": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", 411),
    "chunks spelt oddly": (f"POST /name HTTP/1.1\r\n{host}Transfer-Encoding: xchunked\r\n\r\n", 411),
    "gzip": (f"POST /name HTTP/1.1\r\n{host}Content-Encoding: gzip\r\nContent-Length: 3\r\n\r\nabc", 415),
    "two lengths": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 3\r\nContent-Length: 4\r\n\r\nabcd", 400),
    "two equal lengths": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 3\r\nContent-Length: 3\r\n\r\nabc", 400),
    "a list of lengths": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 3, 3\r\n\r\nabc", 400),
    "a length with a sign": (f"POST /name HTTP/1.1\r\n{host}Content-Length: +3\r\n\r\nabc", 400),
    "a negative length": (f"POST /name HTTP/1.1\r\n{host}Content-Length: -3\r\n\r\nabc", 400),
    "a length in letters": (f"POST /name HTTP/1.1\r\n{host}Content-Length: abc\r\n\r\nabc", 400),
    "an empty length": (f"POST /name HTTP/1.1\r\n{host}Content-Length:\r\n\r\nabc", 400),
    "a length in hex": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 0x3\r\n\r\nabc", 400),
    "a length past 63 bits": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 99999999999999999999\r\n\r\n", 413),
    "no length": (f"POST /name HTTP/1.1\r\n{host}\r\n", 411),
    "content of a GET": (f"GET /live HTTP/1.1\r\n{host}Content-Length: 3\r\n\r\nabc", 413),
    "content past the form's limit": (f"POST /name HTTP/1.1\r\n{host}{station}Content-Length: 600000\r\n\r\n", 413),
    "much from a stranger": (f"POST /api/v1/events HTTP/1.1\r\n{host}Content-Length: 100000\r\n\r\n", 401),
    "an expectation": (f"POST /name HTTP/1.1\r\n{host}Content-Length: 3\r\nExpect: wonders\r\n\r\nabc", 417),
    "two cookies": (f"GET /live HTTP/1.1\r\n{host}{station}{station}\r\n", 400),
    "dots": (f"GET /assets/../live HTTP/1.1\r\n{host}\r\n", 400),
    "hidden dots": (f"GET /assets/%2e%2e/live HTTP/1.1\r\n{host}\r\n", 400),
    "NUL in a path": (f"GET /live%00.html HTTP/1.1\r\n{host}\r\n", 400),
    "a broken escape": (f"GET /live%2 HTTP/1.1\r\n{host}\r\n", 400),
    "no UTF-8 in a path": (f"GET /%ff HTTP/1.1\r\n{host}\r\n", 400),
    "an empty piece": (f"GET //live HTTP/1.1\r\n{host}\r\n", 400),
    "sent where nothing is": (f"POST /wp-login.php HTTP/1.1\r\n{host}Content-Length: 3\r\n\r\nabc", 404),
    "another method": (f"POST /live HTTP/1.1\r\n{host}Content-Length: 0\r\n\r\n", 405),
    "a long target": (f"GET /{'a' * 5000} HTTP/1.1\r\n{host}\r\n", 414),
    "a long path": (f"GET /{'a' * 1100} HTTP/1.1\r\n{host}\r\n", 414),
    "a first line without end": ("GET /" + "a" * 20000, 414),
    "a long header": (f"GET /live HTTP/1.1\r\n{host}A: {'b' * 20000}\r\n\r\n", 431),
    "many headers": (f"GET /live HTTP/1.1\r\n{host}" + "A: b\r\n" * 100 + "\r\n", 431),
    "events past their limit": (f"POST /api/v1/events HTTP/1.1\r\n{host}{station}Content-Length: {(4 << 20) + 1}\r\n\r\n", 413),
    "a file past its limit": (f"POST /import HTTP/1.1\r\n{host}{station}Content-Length: {(32 << 20) + 1}\r\n\r\n", 413),
    "a photo past its limit": (f"POST /code HTTP/1.1\r\n{host}{station}Content-Length: {(16 << 20) + (256 << 10) + 1}\r\n\r\n", 413),
    "a form as large as a file": (f"POST /seconds HTTP/1.1\r\n{host}{station}Content-Length: {1 << 20}\r\n\r\n", 413),
    "a photo from a stranger": (f"POST /code HTTP/1.1\r\n{host}Content-Length: 100000\r\n\r\n", 401),
    "brotli": (f"POST /name HTTP/1.1\r\n{host}Content-Encoding: br\r\nContent-Length: 3\r\n\r\nabc", 415),
    "chunks that are compressed": (f"POST /name HTTP/1.1\r\n{host}Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n", 411),
}
for what, (request, status) in refused.items():
    answer = desk.raw(request.encode("latin-1"))
    check(what, answer and answer.status, status)
    if answer:
        check(f"{what}: the connection ends", answer.header("connection"), "close")
        check(f"{what}: a sentence", 20 < len(answer.body) < 200)

# Who only looks gets a page with ways on from it, and a program what programs read.
for what, address, status in (("nothing there", "/wp-login.php", 404), ("what only takes forms", "/ledger/verify", 405)):
    answer = desk.raw(f"GET {address} HTTP/1.1\r\n{host}\r\n".encode())
    check(f"{what}: a page", (answer.status, answer.header("content-type"), "<title>" in answer.text, 'lang="en"' in answer.text),
          (status, "text/html; charset=utf-8", True, True))
    check(f"{what}: what it takes", answer.header("allow"), "POST" if status == 405 else None)
    check(f"{what}: asked with HEAD", desk.raw(f"HEAD {address} HTTP/1.1\r\n{host}Connection: close\r\n\r\n".encode()).status, status)
check("nothing there for a program", "error" in desk.raw(f"GET /api/v1/nothing HTTP/1.1\r\n{host}\r\n".encode()).json())

# At each limit the last that is taken, and the first that is not.
def head_of(bytes_, lines=1):
    """A head of so many bytes in all, in so many lines besides Host."""
    start = f"GET /live HTTP/1.1\r\n{host}" + "A: b\r\n" * (lines - 1)
    return (start + "B: " + "c" * (bytes_ - len(start) - len("B: \r\n\r\n")) + "\r\n\r\n").encode()


for what, request, status in (
        ("a head of 16 KiB", head_of(16 * 1024), 200), ("and a byte", head_of(16 * 1024 + 1), 431),
        ("64 lines with the first", head_of(4000, 62), 200), ("and a line", head_of(4000, 63), 431),
        ("a path of 1,024 bytes", f"GET /{'a' * 1023} HTTP/1.1\r\n{host}\r\n".encode(), 404), ("and a byte", f"GET /{'a' * 1024} HTTP/1.1\r\n{host}\r\n".encode(), 414),
        ("a target of 4,096 bytes", f"GET /live?{'a' * 4090} HTTP/1.1\r\n{host}\r\n".encode(), 200),
        ("and a byte", f"GET /live?{'a' * 4091} HTTP/1.1\r\n{host}\r\n".encode(), 414)):
    check(what, desk.raw(request).status, status)


def form(body, address="/name"):
    return desk.raw(f"POST {address} HTTP/1.1\r\n{host}{station}Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n"
                    f"Connection: close\r\n\r\n".encode() + body)


check("a form of 512 KiB", form(b"a=" + b"b" * (512 * 1024 - 2)).status, 403)  # read, and not ours
check("4,000 fields", form(b"&".join([b"a=b"] * 4000)).status, 403)
check("and one", form(b"&".join([b"a=b"] * 4001)).status, 400)
for what, body in (("a broken escape", b"person=%4"), ("no UTF-8", b"person=%ff"), ("NUL", b"person=a%00b")):
    check(f"{what} in a form", form(body).status, 400)
multipart = (f"POST /code HTTP/1.1\r\n{host}{station}Content-Type: multipart/form-data; boundary=x\r\nConnection: close\r\n")
for what, body in (("no end", b"--x\r\nContent-Disposition: form-data; name=\"photo.one\"; filename=\"a\"\r\n\r\nabc"), ("no part", b"abc"), ("nothing", b""),
                   ("a name without quotes", b"--x\r\nContent-Disposition: form-data; name=a\r\n\r\nb\r\n--x--\r\n")):
    answer = desk.raw(f"{multipart}Content-Length: {len(body)}\r\n\r\n".encode() + body)
    check(f"parts: {what}", answer.status in (400, 403))
json_body = f"POST /api/v1/events HTTP/1.1\r\n{host}Authorization: Bearer {desk.run('station', 'add', 'logger', '--token')['token']}\r\nConnection: close\r\n"
for what, kind, body, status in (("no JSON", "application/json", b"{", 400), ("nested beyond depth", "application/json", b"[" * 5000, 400),
                                 ("another type", "text/plain", b"{}", 400), ("a list", "application/json", b"[]", 400),
                                 ("no events", "application/json", b'{"events":[]}', 400),
                                 ("too many events", "application/json", b'{"events":[' + b",".join([b"{}"] * 2001) + b"]}", 400),
                                 ("an event of nothing", "application/json", b'{"slip":"s"}', 422)):
    answer = desk.raw(f"{json_body}Content-Type: {kind}\r\nContent-Length: {len(body)}\r\n\r\n".encode() + body)
    check(f"events: {what}", (answer.status, answer.header("content-type")), (status, "application/json"))

# A small body that would become a large one, and one without an end: not read at all, whatever follows.
before = desk.rss_kib()
packed = gzip.compress(bytes(200 << 20), 9)
for head, body in ((f"Content-Encoding: gzip\r\nContent-Length: {len(packed)}", packed), ("Transfer-Encoding: chunked", b"100000\r\n" + bytes(1 << 20) + b"\r\n")):
    for _ in range(20):
        with desk.connect() as sock:
            sock.sendall(f"POST /import HTTP/1.1\r\n{host}{station}{head}\r\n\r\n".encode())
            try:
                sock.sendall(body)
            except OSError:
                pass  # it hung up, as it may
            try:
                check("compressed or in chunks", read_answer(sock).status in (411, 415))
            except OSError:
                pass
check("4 GB that never were leave no trace", desk.rss_kib() - before < 20_000)

# What is promised all together: three files of 32 MiB on their way, and no room for a fourth until one goes.
promise = f"POST /import HTTP/1.1\r\n{host}{station}Content-Length: {32 << 20}\r\n\r\nabc".encode()
promised = [desk.connect() for _ in range(3)]
for sock in promised:
    sock.sendall(promise)
time.sleep(0.3)
check("a fourth file has no room", desk.raw(promise).status, 503)
check("a form has, still", form(b"a=b").status in (403, 503))
promised[0].close()
with desk.connect(3) as sock:
    sock.sendall(promise)
    try:
        found = sock.recv(100)
    except TimeoutError:
        found = b"it waits for the rest"
    check("one gone, there is room", found, b"it waits for the rest")
for sock in promised[1:]:
    sock.close()

# A connection is good for a thousand requests, and idle for fifteen seconds (below).
with desk.connect() as sock:
    stream = b""
    for _ in range(11):
        sock.sendall(f"GET /live HTTP/1.1\r\n{host}\r\n".encode() * 100)
    while piece := sock.recv(65536):
        stream += piece
    check("a thousand answers, then it ends", stream.count(b"HTTP/1.1 200"), 1000)

# More that is slow than there is room for: the rest is told at once, and what was taken is answered.
csrf = browser.csrf("/station") or browser.csrf("/sign-in")
verify = f"csrf={csrf}".encode()
asking = [desk.connect(120) for _ in range(420)]
request = (f"POST /ledger/verify HTTP/1.1\r\n{host}{station}Origin: http://127.0.0.1:{desk.port}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
           f"Content-Length: {len(verify)}\r\n\r\n").encode() + verify
for sock in asking:
    sock.sendall(request)
found = {}
for sock in asking:
    status = read_answer(sock).status
    found[status] = found.get(status, 0) + 1
    sock.close()
check("some wait and some are told", (set(found) <= {200, 503}, found.get(200, 0) >= 256, sum(found.values())), (True, True, 420))
print("420 slow ones at once:", found)
check("quick ones do not wait for them", desk.raw(f"GET /live HTTP/1.1\r\n{host}\r\n".encode()).status, 200)

# Nothing behind a refusal is taken for a request.
with desk.connect() as sock:
    sock.sendall((f"POST /name HTTP/1.1\r\n{host}Transfer-Encoding: chunked\r\n\r\n"
                  f"GET /live HTTP/1.1\r\n{host}\r\n").encode())
    check("smuggled behind chunks", read_answer(sock).status, 411)
    check("smuggled behind chunks: no second answer", sock.recv(10), b"")
with desk.connect() as sock:
    inner = f"GET /live HTTP/1.1\r\n{host}\r\n"
    sock.sendall((f"POST /name HTTP/1.1\r\n{host}Content-Length: {len(inner)}\r\n"
                  f"Content-Type: application/x-www-form-urlencoded\r\n\r\n{inner}GET /live HTTP/1.1\r\n{host}\r\n").encode())
    check("content that looks like a request is content", read_answer(sock).status, 401)
    check("and what follows it is the next request", read_answer(sock).body, b"live\n")

# Kept connections.
with desk.connect() as sock:
    for _ in range(3):
        sock.sendall(f"GET /live HTTP/1.1\r\n{host}\r\n".encode())
        check("a kept connection", read_answer(sock).body, b"live\n")
with desk.connect() as sock:
    sock.sendall(f"GET /live HTTP/1.1\r\n{host}\r\n".encode() * 5)
    stream = b""
    while stream.count(b"live\n") < 5:
        piece = sock.recv(65536)
        if not piece:
            break
        stream += piece
    check("five at once are answered in order", stream.count(b"HTTP/1.1 200"), 5)
with desk.connect() as sock:
    sock.sendall(b"\r\nGET /live HTTP/1.1\r\n" + host.encode() + b"\r\n")
    check("an empty line before (RFC 9112, 2.2)", read_answer(sock).status, 200)
with desk.connect() as sock:
    for byte in f"GET /live HTTP/1.0\r\n{host}\r\n".encode():
        sock.sendall(bytes([byte]))
    answer = read_answer(sock)
    check("byte by byte, HTTP/1.0", (answer.status, answer.header("connection")), (200, "close"))
with desk.connect() as sock:
    sock.sendall(f"GET /live HTTP/1.1\r\n{host}\r\n".encode())
    sock.shutdown(socket.SHUT_WR)
    check("who sends no more still hears", read_answer(sock).status, 200)
answer = desk.raw(f"HEAD /assets/desk.css HTTP/1.1\r\n{host}Connection: close\r\n\r\n".encode(), 5)
check("HEAD says how long and sends nothing", (answer.status, int(answer.header("content-length")) > 500, answer.body),
      (200, True, b""))
with desk.connect() as sock:
    sock.sendall(f"POST /name HTTP/1.1\r\n{host}{station}Content-Length: 9\r\nExpect: 100-continue\r\n"
                 "Content-Type: application/x-www-form-urlencoded\r\n\r\n".encode())
    check("who asks before sending is told to go ahead", read_answer(sock).status, 100)
    sock.sendall(b"person=xy")
    check("and is answered", read_answer(sock).status, 403)
answer = desk.raw(f"GET /assets/desk.css HTTP/1.1\r\n{host}Range: bytes=0-,0-,0-,0-\r\nConnection: close\r\n\r\n".encode())
check("Range is not heard", answer.status, 200)
answer = desk.raw(f"GET /assets/desk.css HTTP/1.1\r\n{host}Accept-Encoding: gzip\r\nConnection: close\r\n\r\n".encode())
check("nothing is compressed", answer.header("content-encoding"), None)

# Slow and many. Limits are seconds, so that the test takes some.
began = time.time()
kept = desk.connect(60)
kept.sendall(f"GET /live HTTP/1.1\r\n{host}\r\n".encode())
check("a kept one", read_answer(kept).status, 200)
crawling = desk.connect(60)
crawling.sendall(f"POST /api/v1/events HTTP/1.1\r\n{host}{station}Content-Length: {1 << 20}\r\n\r\n".encode())
slow = [desk.connect() for _ in range(3)]
slow[0].sendall(b"GET /live HTT")
slow[1].sendall(f"POST /name HTTP/1.1\r\n{host}{station}Content-Length: 100\r\n\r\nabc".encode())
dripping = [desk.connect() for _ in range(200)]
idle = [desk.connect() for _ in range(200)]
for second in range(3):
    for sock in dripping:
        sock.sendall(b"G" if second == 0 else b"E")
    asked = time.time()
    check("among 400 idle and dripping ones a new one is answered",
          desk.raw(f"GET /live HTTP/1.1\r\n{host}\r\n".encode()).status, 200)
    check("at once", time.time() - asked < 2)
    time.sleep(0.2)
answer = read_answer(slow[0])
check("half a head is told after ten seconds", (answer.status, 9 < time.time() - began < 25), (408, True))
check("who says nothing is left after ten seconds", slow[2].recv(10), b"")
answer = read_answer(slow[1])
check("half a body is told after twenty", (answer.status, 19 < time.time() - began < 60), (408, True))
check("a kept one that asks no more is left after fifteen", kept.recv(10), b"")
while True:  # a megabyte at a byte a time: 20 seconds and what it takes at 32 KiB a second
    try:
        crawling.sendall(b"x")
    except OSError:
        break
    crawling.settimeout(0.2)
    try:
        head = crawling.recv(100)
        check("a body that crawls is told", head.split()[1:2], [b"408"])
        break
    except TimeoutError:
        check("in time", time.time() - began < 80)
        if time.time() - began > 80:
            break
crawling.close()
kept.close()
for sock in [*slow, *dripping, *idle]:
    sock.close()

# More connections than it holds: new ones come in, the oldest go.
_, most = resource.getrlimit(resource.RLIMIT_NOFILE)
resource.setrlimit(resource.RLIMIT_NOFILE, (min(most, 4096), most))
flood = []
for _ in range(1100):
    flood.append(desk.connect())
check("a flood of connections does not keep a new one out",
      desk.raw(f"GET /live HTTP/1.1\r\n{host}\r\n".encode()).status, 200)
for sock in flood:
    sock.close()

# A header that never ends: cut at the limit, and the memory stays.
before = desk.rss_kib()
for _ in range(20):
    with desk.connect() as sock:
        try:
            sock.sendall(f"GET /live HTTP/1.1\r\n{host}A: ".encode() + b"a" * 4_000_000)
        except OSError:
            pass
check("80 MB of headers leave no trace", desk.rss_kib() - before < 20_000)

# Who does not read what they asked for.
deaf = []
for _ in range(20):
    sock = desk.connect()
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    sock.sendall(f"GET /assets/desk.css HTTP/1.1\r\n{host}\r\n".encode() * 200)
    deaf.append(sock)
check("deaf ones hold nobody up", desk.raw(f"GET /live HTTP/1.1\r\n{host}\r\n".encode()).status, 200)
for sock in deaf:
    sock.close()

# A second desk on the same port.
second = subprocess.run([program, "--ledger", desk.ledger, "serve", "--port", str(desk.port)], capture_output=True,
                        text=True, timeout=60)
check("a second desk on the port is refused", (second.returncode, "taken" in second.stderr), (4, True))
for options, word in ((["--bind", "0.0.0.0"], "--tls-cert"), (["--bind", "ward"], "--bind ward"),
                      (["--tls-cert", "x.pem"], "together")):
    wrong = subprocess.run([program, "--ledger", desk.ledger, "serve", "--port", "0", *options], capture_output=True,
                           text=True, timeout=60)
    check(f"{options} is refused", (wrong.returncode in (2, 3), word in wrong.stderr), (True, True))

# Stopping: what was asked is answered, and the status says so.
with desk.connect() as sock:
    sock.sendall(f"GET /live HTTP/1.1\r\n{host}\r\n".encode())
    check("before stopping", read_answer(sock).status, 200)
    began = time.time()
    status, said = desk.stop()
    check("stopped by a signal", (status, "stopped" in said), (0, True))
    check("with a kept connection, at once", time.time() - began < 5)
check("the log names no failure", "level=error" in said, False)
finish("refusals")
