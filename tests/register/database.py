"""A PostgreSQL of the test's own: in a folder, on a socket in it, gone with it. It does not run as root. `keeper` is
PostgreSQL's own user; `owner` has what docs/register.md gives him, no more."""
import contextlib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from pathlib import Path

BIN = Path("/usr/lib/postgresql/15/bin")


class Database:
    def __init__(self, large=False):
        self.folder = Path(tempfile.mkdtemp(prefix="trayproof-register-"))
        self.data, self.socket = self.folder / "data", self.folder / "socket"
        self.socket.mkdir()
        self.user = []
        if os.geteuid() == 0:
            owner = pwd.getpwnam("postgres")
            for one in (self.folder, self.socket):
                os.chown(one, owner.pw_uid, owner.pw_gid)
            self.user = ["setpriv", "--reuid", "postgres", "--regid", "postgres", "--clear-groups"]
        self.run("initdb", "-D", self.data, "-U", "keeper", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
        with open(self.data / "postgresql.conf", "a") as settings:
            settings.write(f"listen_addresses = ''\nunix_socket_directories = '{self.socket}'\nshared_buffers = 64MB\n"
                           "max_connections = 40\nlog_min_messages = fatal\n" + ("shared_buffers = 512MB\nmax_wal_size = 4GB\n" if large else ""))
        self.server = None
        self.start()
        self.sql("CREATE ROLE owner LOGIN CREATEROLE", "keeper", "postgres")
        self.sql("CREATE DATABASE district OWNER owner ENCODING 'UTF8' TEMPLATE template0", "keeper", "postgres")

    def run(self, program, *arguments):
        done = subprocess.run([*self.user, BIN / program, *map(str, arguments)], capture_output=True, text=True, cwd=self.folder)
        assert done.returncode == 0, f"{program}: {done.stdout}{done.stderr}"

    def start(self):
        self.server = subprocess.Popen([*self.user, BIN / "postgres", "-D", self.data], cwd=self.folder,
                                       stdout=subprocess.DEVNULL, stderr=open(self.folder / "log", "a"))
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if subprocess.run(["psql", "-qAtc", "SELECT 1", self.at("keeper", "postgres")], capture_output=True).returncode == 0:
                return
            time.sleep(0.05)
        raise AssertionError("PostgreSQL does not start: " + (self.folder / "log").read_text())

    def stop(self):
        """In order; waits for nobody."""
        self.server.send_signal(signal.SIGINT)
        self.server.wait(60)

    def kill(self):
        """As a power cut would: all of its processes at once, nothing written down."""
        children = [int(one) for one in Path(f"/proc/{self.server.pid}/task/{self.server.pid}/children").read_text().split()]
        for pid in [self.server.pid, *children]:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                pass  # ended meanwhile
        self.server.wait(60)
        (self.data / "postmaster.pid").unlink(missing_ok=True)

    def at(self, user, dbname="district"):
        return f"host={self.socket} user={user} dbname={dbname}"

    def sql(self, text, user="owner", dbname="district"):
        done = subprocess.run(["psql", "-qAt", "-v", "ON_ERROR_STOP=1", "-c", text, self.at(user, dbname)],
                              capture_output=True, text=True)
        assert done.returncode == 0, f"{text}: {done.stderr}"
        return done.stdout.rstrip("\n")

    def script(self, text):
        done = subprocess.run(["psql", "-qAt", "-v", "ON_ERROR_STOP=1", "-f", "-", self.at("owner")], input=text, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def refuses(self, text, user):
        done = subprocess.run(["psql", "-qAt", "-v", "ON_ERROR_STOP=1", "-c", text, self.at(user)], capture_output=True, text=True)
        return done.returncode != 0 and "permission denied" in done.stderr

    @contextlib.contextmanager
    def replica(self, user, port):
        """A copy that follows; gives the way to reach it as somebody."""
        self.run("pg_basebackup", "-D", self.folder / "replica", "-R", "-X", "stream", "-c", "fast", "-h", self.socket, "-U", user)
        server = subprocess.Popen([*self.user, BIN / "postgres", "-D", self.folder / "replica", "-p", str(port)], cwd=self.folder,
                                  stderr=open(self.folder / "replica.log", "a"))
        try:
            at = lambda name: f"{self.at(name)} port={port}"
            wanted = self.sql("SELECT pg_current_wal_lsn()")
            deadline = time.monotonic() + 60
            while time.monotonic() < deadline:
                caught_up = subprocess.run(["psql", "-qAtc", f"SELECT pg_last_wal_replay_lsn() >= '{wanted}'", at("owner")], capture_output=True, text=True)
                if caught_up.stdout.strip() == "t":
                    break
                time.sleep(0.05)
            yield at
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(60)

    def close(self):
        if self.server.poll() is None:
            self.stop()
        shutil.rmtree(self.folder)
