"""A ledger in a folder of its own, run through the real program; PINs come by --pin-fd, patients' numbers by standard
input or files, as a ward would give them."""
import io
import json
import os
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

program = sys.argv[1]
problems = []
PINS = {"mara": "483920", "noor": "771264", "ana": "550731"}


def check(what, found, wanted=True):
    if found != wanted:
        problems.append(f"{what}: found {found!r}, expected {wanted!r}")


def finish():
    for problem in problems:
        print(problem)
    sys.exit(1 if problems else 0)


class Ward:
    def __init__(self, name="ward.trayproof"):
        self.holder = tempfile.TemporaryDirectory()
        self.folder = Path(self.holder.name)
        self.ledger = str(self.folder / name)
        self.outputs = []  # everything that the program said, with the words it was called with
        self.run("create", "--name", "Invented ward", "--zone", "Etc/GMT-5", "--altitude-m", "1180")

    def run(self, *words, status=0, as_json=True, given=None, ledger=None, pins=None):
        """The JSON answer, or the text; what was said to people stays in self.said. `--as NAME` brings that PIN."""
        if pins is None and "--as" in words:
            pins = [PINS[words[words.index("--as") + 1]]]
        options, handed = (["--json"] if as_json else []), []
        if pins:
            reading, writing = os.pipe()
            os.write(writing, "".join(pin + "\n" for pin in pins).encode())
            os.close(writing)
            options, handed = options + ["--pin-fd", str(reading)], [reading]
        done = subprocess.run([program, "--ledger", ledger or self.ledger, *options, *words], capture_output=True,
                              pass_fds=handed, input=(given or "").encode(), cwd=self.folder)
        for descriptor in handed:
            os.close(descriptor)
        out, self.said = done.stdout.decode(), done.stderr.decode()
        self.outputs.append((words, done.stdout + done.stderr))
        if status is not None:
            check(f"{' '.join(words)} ({self.said.strip()[:300]})", done.returncode, status)
        self.status = done.returncode
        return json.loads(out) if as_json and out.strip() and words[0] != "export" else out

    def staffed(self):
        """mara, steward; noor, quality; ana, nurse."""
        self.run("person", "enrol", "mara", "--name", "Mara Invented", "--role", "steward")
        self.run("person", "pin", "mara", pins=[PINS["mara"]])
        for person, role in (("noor", "quality"), ("ana", "nurse")):
            self.run("person", "enrol", person, "--name", "A person", "--role", role, "--as", "mara")
            self.run("person", "pin", person, "--as", "mara", pins=[PINS["mara"], PINS[person]])
        return self

    def write(self, name, lines):
        path = self.folder / name
        path.write_text("".join((one if isinstance(one, str) else json.dumps(one, ensure_ascii=False)) + "\n" for one in lines))
        return str(path)

    def entries(self, ledger=None):
        text = self.run("export", as_json=False, ledger=ledger)
        return [json.loads(json.loads(line)["entry"]) for line in text.splitlines()]


def contents(path):
    """The bytes of a file; of a zip (a workbook, a pack) those of everything in it."""
    data = Path(path).read_bytes()
    found = [data]
    if data[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            found += [packed.read(one) for one in packed.namelist()] + [one.encode() for one in packed.namelist()]
    return found
