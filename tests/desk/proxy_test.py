#!/usr/bin/env python3
"""The desk behind nginx as samples/desk/nginx.conf sets it up, and with TLS of its own: certificates made here, checked
by the client; the same refusals hold behind both.

    proxy_test.py PROGRAM SOURCE
"""
import socket
import ssl
import subprocess
import sys
import tempfile
from pathlib import Path

from running import Browser, Desk, check, finish, read_answer, wait_until

source = Path(sys.argv[2])
folder = tempfile.TemporaryDirectory()
at = Path(folder.name)
subprocess.run(["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2",
                "-subj", "/CN=desk.ward", "-addext", "subjectAltName=DNS:desk.ward,IP:127.0.0.1", "-keyout", at / "desk.key",
                "-out", at / "desk.pem"], check=True, capture_output=True)
trust = ssl.create_default_context(cafile=str(at / "desk.pem"))


def over_tls(port, request):
    with socket.create_connection(("127.0.0.1", port), timeout=20) as plain:
        with trust.wrap_socket(plain, server_hostname="desk.ward") as sock:
            sock.sendall(request)
            return read_answer(sock)


def free_port():
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return sock.getsockname()[1]


# TLS of its own.
desk = Desk("--tls-cert", str(at / "desk.pem"), "--tls-key", str(at / "desk.key"), "--host", "desk.ward")
check("it says https", desk.secure)
desk.raw = lambda data, timeout=20: over_tls(desk.port, data)
browser = Browser(desk, host="desk.ward")
check("it lives", browser.get("/live").body, b"live\n")
browser.become_station()
check("a cookie for TLS only", list(browser.cookies), ["__Host-trayproof-station"])
browser.tap("ana")
check("a name over TLS", browser.me()["level"], "name")
context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
context.maximum_version = ssl.TLSVersion.TLSv1_1
try:
    with socket.create_connection(("127.0.0.1", desk.port)) as plain, context.wrap_socket(plain) as sock:
        check("an old TLS", sock.version(), None)
except (ssl.SSLError, OSError):
    check("an old TLS is refused", True)
with socket.create_connection(("127.0.0.1", desk.port), timeout=20) as sock:
    sock.sendall(b"GET /live HTTP/1.1\r\nHost: desk.ward\r\n\r\n")
    try:
        check("plain HTTP at the TLS port says nothing of ours", b"live" in sock.recv(1000), False)
    except OSError:
        check("plain HTTP at the TLS port is ended", True)
half = [socket.create_connection(("127.0.0.1", desk.port)) for _ in range(100)]
for sock in half:
    sock.sendall(b"\x16\x03\x01")
check("a hundred half greetings hold nobody up", browser.get("/live").status, 200)
with socket.create_connection(("127.0.0.1", desk.port), timeout=20) as plain:
    with trust.wrap_socket(plain, server_hostname="desk.ward") as sock:
        sock.sendall(b"GET /live HTTP/1.1\r\nHost: desk.ward\r\n\r\n" * 20)
        stream = b""
        while stream.count(b"live\n") < 20:
            stream += sock.recv(65536) or b"live\n" * 99
        check("twenty at once over TLS", stream.count(b"HTTP/1.1 200"), 20)
check("chunks over TLS", over_tls(desk.port, b"POST /name HTTP/1.1\r\nHost: desk.ward\r\nTransfer-Encoding: chunked\r\n\r\n").status, 411)
for sock in half:
    sock.close()
check("stopped", desk.stop()[0], 0)

# Behind nginx, with the configuration that the sample gives: only ports, files and folders are put in.
desk = Desk("--behind-proxy", "--host", "desk.ward")
port = free_port()
site = (source / "samples/desk/nginx.conf").read_text()
for what, there in (("listen 443 ssl", f"listen 127.0.0.1:{port} ssl"), ("/etc/ssl/desk/", f"{at}/"),
                    ("http://127.0.0.1:8460", f"http://127.0.0.1:{desk.port}")):
    check(f"the sample holds {what}", what in site)
    site = site.replace(what, there)
temporary = " ".join(f"{kind}_temp_path {at}/{kind};" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi"))
(at / "nginx.conf").write_text(f"pid {at}/pid; error_log {at}/errors; daemon off; worker_processes 1;\nevents {{}}\n"
                               f"http {{ {temporary}\n{site} }}\n")
nginx = subprocess.Popen(["/usr/sbin/nginx", "-c", str(at / "nginx.conf"), "-e", str(at / "errors")], stderr=subprocess.PIPE)


def is_up():
    try:
        socket.create_connection(("127.0.0.1", port)).close()
        return True
    except OSError:
        return False


check("nginx takes the configuration", wait_until(is_up))
desk.secure, direct, desk.raw = True, desk.raw, lambda data, timeout=20: over_tls(port, data)
browser = Browser(desk, host=f"desk.ward:{port}").become_station().tap("ana")
check("a name through the proxy", browser.me()["level"], "name")
check("recorded through the proxy", browser.api("/api/v1/events", {
    "kind": "counted", "at": "2026-11-02T08:00:00+05:00", "what": "births", "from": "2026-11-01T00:00:00+05:00",
    "until": "2026-11-02T00:00:00+05:00", "number": 3, "slip": "through"}).json()["taken"], 1)
chunked = (f"POST /api/v1/events HTTP/1.1\r\nHost: desk.ward:{port}\r\nConnection: close\r\nContent-Type: application/json\r\n"
           f"Transfer-Encoding: chunked\r\n\r\n").encode()
answer = desk.raw(chunked + b"2\r\n{}\r\n0\r\n\r\n")
check("chunks come whole through the proxy, and a stranger is one", answer.status, 401)
nginx.terminate()
nginx.wait(20)
check("stopped", desk.stop()[0], 0)
finish("proxy")
