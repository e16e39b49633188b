"""A small unit whose ledger stands in a folder of its own, the real program on it, and what is expected of it.

Whoever uses this is called with PROGRAM SOURCE-FOLDER.
"""
import subprocess
import sys
import tempfile
from pathlib import Path

program, source = sys.argv[1], Path(sys.argv[2])
folder = Path(tempfile.mkdtemp())
ledger = str(folder / "unit.trayproof")
problems = []


def run(*words, as_json=True):
    before = [program, "--ledger", ledger] + (["--json"] if as_json else [])
    done = subprocess.run([*before, *words], capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr


def expect(holds, what):
    if not holds:
        problems.append(what)


def finish():
    """Ends the test with what did not hold."""
    for problem in problems:
        print(problem)
    sys.exit(1 if problems else 0)
