"""A record of an invented class, small, as `sinkside demo` makes it."""

from __future__ import annotations

from pathlib import Path

from trainer.rehearsal.invented.making import Class, make_class
from trainer.rehearsal.invented.writing import write

SEED = 7
RUNS = 60


def invented(folder: Path) -> tuple[Path, Class]:
    """The record's file and what is in it: sixty wet runs."""
    made = make_class(SEED, RUNS, rehearsals=False)
    write(made, folder / "class.db")
    return folder / "class.db", made
