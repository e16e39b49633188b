"""A desk of the real program over an invented ward in a folder of its own, and requests to it byte by byte."""
import json
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.parse
import weakref
from pathlib import Path

program = sys.argv[1]
problems = []
asked = [0]


def check(what, found, wanted=True):
    asked[0] += 1
    if found != wanted:
        problems.append(f"{what}: found {found!r}, expected {wanted!r}")
        print("WRONG", problems[-1], flush=True)


def finish(name):
    print(f"{name}: {asked[0]} checks, {len(problems)} wrong")
    sys.exit(1 if problems or asked[0] == 0 else 0)


class Answer:
    def __init__(self, status, headers, body):
        self.status, self.headers, self.body = status, headers, body

    @property
    def text(self):
        return self.body.decode()

    def json(self):
        return json.loads(self.body)

    def header(self, name):
        return next((value for key, value in self.headers if key == name.lower()), None)

    def cookies(self):
        return {value.split("=", 1)[0]: value.split("=", 1)[1].split(";", 1)[0]
                for key, value in self.headers if key == "set-cookie"}


behind = weakref.WeakKeyDictionary()  # what a socket gave behind the answer that was read: the next one


def read_answer(sock, head_only=False):
    """One answer off the socket; None when the other side said nothing."""
    data = behind.pop(sock, b"")
    while b"\r\n\r\n" not in data:
        piece = sock.recv(65536)
        if not piece:
            return None if not data else Answer(int(data.split(b" ")[1]), [], data)
        data += piece
    head, rest = data.split(b"\r\n\r\n", 1)
    lines = head.decode("latin-1").split("\r\n")
    headers = [(line.split(":", 1)[0].lower(), line.split(":", 1)[1].strip()) for line in lines[1:]]
    status = int(lines[0].split(" ")[1])
    if status == 100:
        return Answer(status, headers, rest)
    length = int(next((value for key, value in headers if key == "content-length"), 0))
    while len(rest) < length and not head_only:
        piece = sock.recv(65536)
        if not piece:
            break
        rest += piece
    if len(rest) > length and not head_only:
        behind[sock] = rest[length:]
        rest = rest[:length]
    return Answer(status, headers, rest)


def month_and_two(desk, pins):
    """The invented month, and a steward and a quality officer who can sign in."""
    facility = Path(__file__).parents[2] / "samples" / "facility"
    desk.run("record", "--from", str(facility / "events.jsonl"))
    for person, role in (("mara", "steward"), ("uma", "quality")):
        desk.run("person", "enrol", person, "--name", f"Invented {person}", "--role", role)
    give_pins(desk, pins)


def give_pins(desk, pins):
    """The steward mara's PIN, then those that she gives to the others."""
    desk.run("person", "pin", "mara", pins=[pins["mara"]])
    for person in pins:
        if person != "mara":
            desk.run("--as", "mara", "person", "pin", person, pins=[pins["mara"], pins[person]])


class Desk:
    def __init__(self, *options, people=True, prepare=None):
        self.folder = tempfile.TemporaryDirectory()
        self.ledger = str(Path(self.folder.name) / "ward.trayproof")
        self.run("create", "--name", "Invented ward", "--zone", "Etc/GMT-5")
        if people:
            for person, role in (("mara", "steward"), ("ana", "nurse"), ("ken", "processor"), ("uma", "quality")):
                self.run("person", "enrol", person, "--name", f"Invented {person}", "--role", role)
        if prepare:
            prepare(self)
        self.start(*options)

    def run(self, *words, pins=(), status=0):
        options, handed = [], []
        if pins:
            reading, writing = os.pipe()
            os.write(writing, "".join(pin + "\n" for pin in pins).encode())
            os.close(writing)
            options, handed = ["--pin-fd", str(reading)], [reading]
        done = subprocess.run([program, "--ledger", self.ledger, "--json", *options, *words], capture_output=True,
                              text=True, pass_fds=handed, stdin=subprocess.DEVNULL, start_new_session=True)
        for descriptor in handed:
            os.close(descriptor)
        check(f"{' '.join(words)}: {done.stderr.strip()}", done.returncode, status)
        return json.loads(done.stdout) if done.stdout.strip() else None

    def entries(self):
        done = subprocess.run([program, "--ledger", self.ledger, "export"], capture_output=True, text=True, check=True)
        return [json.loads(json.loads(line)["entry"]) for line in done.stdout.splitlines()]

    def start(self, *options, port=0):
        self.said = open(Path(self.folder.name) / "said", "w+")
        self.process = subprocess.Popen([program, "--ledger", self.ledger, "serve", "--port", str(port), *options],
                                        stdout=subprocess.PIPE, stderr=self.said, text=True)
        line = self.process.stdout.readline()
        found = re.search(r"(https?)://[^/]*:(\d+)/", line)
        if not found:
            self.said.seek(0)
            raise SystemExit(f"the desk did not start: {line!r} {self.said.read()!r}")
        self.secure = found.group(1) == "https"
        self.port = int(found.group(2))

    def stop(self, signal_number=signal.SIGTERM):
        self.process.send_signal(signal_number)
        status = self.process.wait(60)
        self.process.stdout.close()
        self.said.seek(0)
        return status, self.said.read()

    def connect(self, timeout=20):
        sock = socket.create_connection(("127.0.0.1", self.port), timeout=timeout)
        sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return sock

    def raw(self, data, timeout=20):
        """What one connection gets for these bytes."""
        with self.connect(timeout) as sock:
            sock.sendall(data)
            return read_answer(sock)

    def rss_kib(self):
        text = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmRSS:\s+(\d+)", text).group(1))


class Browser:
    """A browser as far as a form needs one: cookies, Origin, the csrf token of its pages."""

    def __init__(self, desk, host=None):
        self.desk, self.cookies = desk, {}
        self.host = host or f"127.0.0.1:{desk.port}"
        self.extra = []

    def send(self, method, address, body=b"", headers=()):
        lines = [f"{method} {address} HTTP/1.1", f"Host: {self.host}", "Connection: close"]
        if self.cookies:
            lines.append("Cookie: " + "; ".join(f"{k}={v}" for k, v in self.cookies.items()))
        if method == "POST":
            lines.append(f"Content-Length: {len(body)}")
        lines += [f"{key}: {value}" for key, value in [*headers, *self.extra]]
        answer = self.desk.raw("\r\n".join(lines).encode() + b"\r\n\r\n" + body)
        if answer:
            self.cookies.update({k: v for k, v in answer.cookies().items()})
            self.cookies = {k: v for k, v in self.cookies.items() if v}
        return answer

    def get(self, address, **more):
        return self.send("GET", address, **more)

    def csrf(self, page="/sign-in"):
        found = re.search(r'name="csrf" value="([0-9a-f]*)"', self.get(page).text)
        return found.group(1) if found else ""

    def post(self, address, fields, csrf=True, headers=()):
        fields = dict(fields)
        if csrf is True:
            fields["csrf"] = self.csrf()
        elif csrf:
            fields["csrf"] = csrf
        scheme = "https" if self.desk.secure else "http"
        given = [("Content-Type", "application/x-www-form-urlencoded"), ("Origin", f"{scheme}://{self.host}"), *headers]
        return self.send("POST", address, urllib.parse.urlencode(fields).encode(), given)

    def become_station(self, label="labour room"):
        code = self.desk.run("station", "add", label)["code"]
        answer = self.post("/station", {"code": code}, csrf=False)
        check(f"a code makes {label} a station", answer.status, 303)
        return self

    def tap(self, person):
        check(f"{person} taps", self.post("/name", {"person": person}).status, 303)
        return self

    def sign_in(self, person, pin):
        check(f"{person} signs in", self.post("/sign-in", {"person": person, "pin": pin}).status, 303)
        return self

    def me(self):
        return self.get("/api/v1/me").json()

    def api(self, address, document, headers=()):
        token = self.me()["csrf"]
        given = [("Content-Type", "application/json"), ("X-CSRF-Token", token), *headers]
        return self.send("POST", address, json.dumps(document).encode(), given)


def wait_until(true, seconds=20):
    end = time.time() + seconds
    while time.time() < end:
        if true():
            return True
        time.sleep(0.05)
    return False
