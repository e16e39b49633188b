"""The register's program as clerks and readers call it, and what is checked of its answers."""
import json
import os
import subprocess
import sys
import time
import zipfile
from pathlib import Path

problems = []
asked = 0


def check(what, found, wanted=True):
    global asked
    asked += 1
    if found != wanted:
        problems.append(what)
        print(f"WRONG {what}: found {found!r}, expected {wanted!r}", flush=True)


class Register:
    def __init__(self, program, database, folder):
        self.program = program
        self.database, self.key = database, Path(folder) / "register.key"
        made = self.json("register", "witness", self.key, "--name", "district.example/register", at=None)
        self.vkey = made["vkey"]

    def call(self, *arguments, at="clerk", json_out=False, env=None):
        where = [] if at is None else ["--register", self.database.at(at)]
        return subprocess.run([self.program, *(["--json"] if json_out else []), *map(str, arguments), *where], capture_output=True, text=True,
                              env={**os.environ, **(env or {})})

    def json(self, *arguments, at="clerk"):
        done = self.call(*arguments, at=at, json_out=True)
        assert done.returncode in (0, 1), f"{arguments}: {done.returncode} {done.stdout}{done.stderr}"
        return json.loads(done.stdout)

    def receive(self, *files, at="clerk"):
        """Exit status and what came of each file, by its name."""
        done = self.call("receive", *files, "--witness", self.key, at=at, json_out=True)
        told = json.loads(done.stdout)["files"] if done.stdout else []
        return done.returncode, {Path(one["file"]).name: one for one in told}, done.stderr

    def one(self, file, status):
        got, told, errors = self.receive(file)
        check(f"receive {Path(file).name}: status", got, status)
        if not told:
            print(errors)
        return told.get(Path(file).name, {})

    def count(self, table="register.entries", where="true"):
        return int(self.database.sql(f"SELECT count(*) FROM {table} WHERE {where}"))


def rows_of(answer):
    return [dict(zip(answer["columns"], row)) for row in answer["rows"]]


def altered(file, name, change):
    """The parcel with its lines of entries changed."""
    out = file.with_name(name)
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            data = old.read(member)
            if member == "entries.jsonl":
                lines = data.decode().splitlines()
                change(lines)
                data = "".join(line + "\n" for line in lines).encode()
            new.writestr(member, data)
    return out


def finished(name, started):
    print(f"{name}: {asked} checks, {len(problems)} wrong, {time.monotonic() - started:.0f} s")
    sys.exit(1 if problems or asked == 0 else 0)
