#!/usr/bin/env python3
"""Invents a month in Oraveth Maternity Unit: events.jsonl, the bench loggers' exports in loggers/, and the small ones in
samples/loggers/.

Everything is drawn from one fixed seed, so running it again gives the same bytes. Standard library only.
"""

import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
sys.dont_write_bytecode = True
from inventing.exports import export_all  # noqa: E402
from inventing.month import Month  # noqa: E402
from inventing.small import write_small  # noqa: E402


def main():
    month = Month()
    month.live()
    left = month.quirks.left()
    if left:
        raise SystemExit(f"these slips never had an occasion: {', '.join(left)}")
    count = month.journal.save(os.path.join(HERE, "events.jsonl"))
    exports = export_all(month, os.path.join(HERE, "loggers"))
    write_small(os.path.join(HERE, "..", "loggers"))
    print(f"{count} events, {len(exports)} exports")


if __name__ == "__main__":
    main()
