#!/usr/bin/env python3
"""Invents a month in Oraveth Maternity Unit: events.jsonl and the bench loggers' exports in loggers/.

Everything is drawn from one fixed seed, so running it again gives the same bytes. Standard library only.
"""

import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from inventing.month import Month  # noqa: E402


def main():
    here = os.path.dirname(os.path.abspath(__file__))
    month = Month()
    month.live()
    count = month.journal.save(os.path.join(here, "events.jsonl"))
    print(f"{count} events")
    from inventing.exports import export_all
    export_all(month, os.path.join(here, "loggers"))
    left = month.quirks.left()
    if left:
        raise SystemExit(f"never happened: {left}")


if __name__ == "__main__":
    main()
