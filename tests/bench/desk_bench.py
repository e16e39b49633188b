#!/usr/bin/env python3
"""The desk under load, as ratios to the bare library and to bare shared commits of the same run (needs wrk):

    desk_bench.py PROGRAM FLOOR        .build/report/trayproof .build/tests/bench_desk_floor

Aims: a page of 20 KiB and more at least 0.5 of the bare library's answer of that size; appends of 32 recorders at least 0.4
of bare shared commits; a new request under 50 ms among 200 idle and among 200 dripping connections; 99 of 100 appends
under 100 ms while long answers are worked out. On a machine that does other things these figures are no better than it is.
"""
import os
import re
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "desk"))
from running import Desk, check, problems  # noqa: E402

floor = sys.argv[2]
here = Path(__file__).resolve().parent


def wrk(address, seconds, connections, *more, **environment):
    done = subprocess.run(["wrk", "-t1", f"-c{connections}", f"-d{seconds}s", *more, address], capture_output=True,
                          text=True, env={**os.environ, **environment}, check=True)
    if "Non-2xx" in done.stdout:
        print(done.stdout)
    return float(re.search(r"Requests/sec:\s+([\d.]+)", done.stdout).group(1)), "Non-2xx" not in done.stdout


def free_port():
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return sock.getsockname()[1]


desk = Desk()
token = desk.run("station", "add", "bench", "--token")["token"]
home = f"http://127.0.0.1:{desk.port}"
wrk(f"{home}/api/v1/events", 1, 4, "-s", str(here / "desk_append.lua"), TOKEN=token, RUN="warm" + "-long-enough-for-a-page-of-twenty-kibibytes"[:48])  # ids of 64 characters are allowed

host = f"Host: 127.0.0.1:{desk.port}\r\n"
page = desk.raw(f"GET /recent HTTP/1.1\r\n{host}Authorization: Bearer {token}\r\nConnection: close\r\n\r\n".encode())
check("a real page of 20 KiB or more", page.status == 200 and len(page.body) >= 20 * 1024)
print(f"the page has {len(page.body)} bytes")
port = free_port()
bare = subprocess.Popen([floor, "page", str(port), str(len(page.body))])
time.sleep(1)
ratios = []
for _ in range(3):
    ours, ok = wrk(f"{home}/recent", 3, 16, "-H", f"Authorization: Bearer {token}")
    theirs, _ = wrk(f"http://127.0.0.1:{port}/", 3, 16)
    check("every page came", ok)
    ratios.append((ours / theirs, ours, theirs))
bare.terminate()
ratio, ours, theirs = sorted(ratios)[1]
print(f"page: {ours:.0f} a second; bare library {theirs:.0f}; ratio {ratio:.2f} (aim: at least 0.5)")

ratios = []
for run in range(3):
    ours, ok = wrk(f"{home}/api/v1/events", 4, 32, "-s", str(here / "desk_append.lua"), TOKEN=token, RUN=f"r{run}")
    check("every event was taken", ok)
    path = f"{desk.folder.name}/bare-{run}.trayproof"
    theirs = float(subprocess.run([floor, "appends", path], capture_output=True, text=True, check=True).stdout)
    ratios.append((ours / theirs, ours, theirs))
ratio, ours, theirs = sorted(ratios)[1]
print(f"appends: {ours:.0f} a second by 32; bare shared commits {theirs:.0f}; ratio {ratio:.2f} (aim: at least 0.4)")


# Long answers one after the other, over all that was appended, beside recorders.
over = threading.Event()
answered = []


def ask():
    while not over.is_set():
        for method, address in (("GET", "/gaps"), ("POST", "/api/v1/verify"), ("GET", "/questions/late-entries"), ("GET", "/api/v1/export")):
            began = time.perf_counter()
            length = "Content-Length: 0\r\n" if method == "POST" else ""
            desk.raw(f"{method} {address} HTTP/1.1\r\n{host}{length}Authorization: Bearer {token}\r\nConnection: close\r\n\r\n".encode(), timeout=120)
            answered.append(time.perf_counter() - began)


def p99(run):
    said = subprocess.run(["wrk", "-t1", "-c8", "-d8s", "--latency", "-s", str(here / "desk_append.lua"), f"{home}/api/v1/events"],
                          capture_output=True, text=True, env={**os.environ, "TOKEN": token, "RUN": run}, check=True).stdout
    found = re.search(r"99%\s+([\d.]+)(us|ms|s)", said)
    return float(found.group(1)) * {"us": 0.001, "ms": 1, "s": 1000}[found.group(2)]


alone = p99("alone")
asking = threading.Thread(target=ask)
asking.start()
beside = p99("beside")
over.set()
asking.join()
print(f"99 of 100 appends by 8 within {beside:.1f} ms beside {len(answered)} long answers, the longest {max(answered) * 1000:.0f} ms "
      f"(aim: under 100); alone within {alone:.1f} ms")


def slowest(count=50):
    times = []
    for _ in range(count):
        began = time.perf_counter()
        check("a new request", desk.raw(f"GET /live HTTP/1.1\r\n{host}Connection: close\r\n\r\n".encode()).status, 200)
        times.append((time.perf_counter() - began) * 1000)
    times.sort()
    return times[len(times) // 2], times[-1]


idle = [desk.connect() for _ in range(200)]
print("among 200 idle: median {:.1f} ms, slowest {:.1f} ms (aim: under 50)".format(*slowest()))
for sock in idle:
    sock.close()
dripping = [desk.connect() for _ in range(200)]
dripped = threading.Event()


def drip():
    while not dripped.wait(1):
        for sock in dripping:
            try:
                sock.sendall(b"G")
            except OSError:
                pass


thread = threading.Thread(target=drip)
thread.start()
time.sleep(1.5)
print("among 200 dripping: median {:.1f} ms, slowest {:.1f} ms (aim: under 50)".format(*slowest()))
dripped.set()
thread.join()
desk.stop()
sys.exit(1 if problems else 0)
