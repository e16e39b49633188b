#!/usr/bin/env python3
"""Brings ledger/words/languages/LANGUAGE.po in step with the English catalogue.

    renew LANGUAGE [--write]

Lists the texts that have no translation, or one of an older English text. With --write they stand in the file with an empty
translation, in the order of the catalogue, and what the catalogue no longer holds is gone.
"""
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LITERAL = r'"(?:[^"\\]|\\.)*"'


def unescaped(literals):
    """The text of adjacent C or gettext string literals."""
    raw = "".join(part[1:-1] for part in re.findall(LITERAL, literals))
    return re.sub(r"\\(.)", lambda found: {"n": "\n", "t": "\t"}.get(found[1], found[1]), raw)


def quoted(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def english():
    """(key, text) of every part, in the order of their files."""
    for path in sorted((ROOT / "ledger/words").glob("english_*.cpp")):
        for found in re.finditer(rf"\{{\s*({LITERAL})\s*,\s*((?:{LITERAL}\s*)+)\}}", path.read_text()):
            yield unescaped(found[1]), unescaped(found[2])


def translations(text):
    """{(key, English): translation}, and what stands before the first of them."""
    entry = rf"msgctxt ((?:{LITERAL}\s*)+)msgid ((?:{LITERAL}\s*)+)msgstr ((?:{LITERAL}\s*)+)"
    first = text.index("\nmsgctxt") if "\nmsgctxt" in text else len(text)
    return {(unescaped(one[1]), unescaped(one[2])): unescaped(one[3]) for one in re.finditer(entry, text)}, text[:first].rstrip("\n")


def main():
    language, write = sys.argv[1], sys.argv[2:] == ["--write"]
    path = ROOT / "ledger/words/languages" / f"{language}.po"
    known, head = translations(path.read_text())
    catalogue = list(english())
    missing = [one for one in catalogue if not known.get(one)]
    for key, text in missing:
        print(f"{key}\t{text}")
    print(f"{language}: {len(catalogue) - len(missing)} of {len(catalogue)} texts", file=sys.stderr)
    if write:
        entries = [f"\nmsgctxt {quoted(key)}\nmsgid {quoted(text)}\nmsgstr {quoted(known.get((key, text), ''))}\n"
                   for key, text in catalogue]
        path.write_text(head + "\n" + "".join(entries))
        subprocess.run(["msgfmt", "--check-header", "-o", "/dev/null", path], check=True)


if __name__ == "__main__":
    main()
