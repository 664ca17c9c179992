"""The second place: a text file beside the record to which count and head of a run are added at its marks.

A line is `TIME WHY NUMBER RUN COUNT HEAD`, separated by single spaces; lines are only ever added. Whoever
cuts events off the record would have to cut this file too, and every copy that was printed or sent away.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from trainer.run.frozen import frozen

_FIELDS = 6


@frozen
class Mark:
    """One line. why: opened, signed or closed. head: hexadecimal."""

    at: str
    why: str
    number: int
    run: str
    count: int
    head: str

    def line(self) -> str:
        """As it is written."""
        return f"{self.at} {self.why} {self.number} {self.run} {self.count} {self.head}\n"


@frozen
class Marks:
    """The file as read: its marks, and the numbers (from 1) of lines that are none."""

    marks: tuple[Mark, ...]
    unreadable: tuple[int, ...]


def path_of(record: Path) -> Path:
    """Where the second place of a record lies."""
    return record.with_name(record.name + ".heads")


def begin(record: Path) -> None:
    """Make the file, empty, with the record: from then on its absence tells something. Raises OSError."""
    os.close(os.open(path_of(record), os.O_CREAT | os.O_WRONLY, 0o600))


def add(record: Path, marks: Sequence[Mark]) -> None:
    """Add lines; they are on the disk when this returns. Raises OSError."""
    handle = os.open(path_of(record), os.O_CREAT | os.O_WRONLY | os.O_APPEND, 0o600)
    try:
        os.write(handle, "".join(mark.line() for mark in marks).encode())
        os.fsync(handle)
    finally:
        os.close(handle)


def read(record: Path) -> Marks | None:
    """All marks; None where there is no file. Raises OSError."""
    path = path_of(record)
    if not path.exists():
        return None
    marks: list[Mark] = []
    unreadable: list[int] = []
    for number, line in enumerate(path.read_text("utf-8", errors="replace").splitlines(), start=1):
        if mark := _parsed(line):
            marks.append(mark)
        else:
            unreadable.append(number)
    return Marks(tuple(marks), tuple(unreadable))


def _parsed(line: str) -> Mark | None:
    fields = line.split(" ")
    if len(fields) != _FIELDS:
        return None
    at, why, number, run, count, head = fields
    if not (number.isascii() and number.isdecimal() and count.isascii() and count.isdecimal()):
        return None
    return Mark(at, why, int(number), run, int(count), head)
