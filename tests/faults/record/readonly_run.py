"""A program that works in a folder that turns read-only under it, as an account without special rights.

Argument: a folder of its own. It says what it was told, a line for each: refused, and then taken.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from record_kit import Station, opened, shown

from trainer.run.ports import JournalTrouble

NOBODY = 65534


def main() -> None:
    """Act, be refused, have it mended, act again."""
    if os.geteuid() == 0:
        with tempfile.TemporaryDirectory() as other:
            whole = Station(Path(other))
            with whole.open() as journal:  # what Python imports late, it imports here:
                whole.keep(journal, "r0", (None, opened()))
        os.setuid(NOBODY)  # only now, since the interpreter may lie where nobody else can read
    station = Station(Path(sys.argv[1]))
    folder = station.path.parent
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
        event = station.event("r1", shown(), "draw-down")
        folder.chmod(0o555)
        try:
            journal.append([event])
        except JournalTrouble as trouble:
            sys.stdout.write(f"refused: {trouble}\n")
        folder.chmod(0o700)
        journal.append([event])
        sys.stdout.write(f"kept: {journal.head_of('r1').count}\n")


if __name__ == "__main__":
    main()
