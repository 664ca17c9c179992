"""A new record filled with whole runs at once: kept as a station keeps them, but in one transaction.

For records that are made and can be made again. While the file is filled nothing is synced; all of it is on
the disk in the end.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from trainer.record import about, chain, heads, reserve, second_place
from trainer.record.journal import StationJournal
from trainer.record.keeping import keep, one_run
from trainer.record.migrations import applied, refuse_newer
from trainer.record.packing import packed
from trainer.record.projections import Projector
from trainer.record.store import snapshot, sync_folder, troubles
from trainer.run.events import Event, RunOpened
from trainer.run.frozen import frozen
from trainer.run.ports import Clock, JournalTrouble

_ABOUT_SINCE = 2
"""The schema that first had the table `about`."""


@frozen
class Contents:
    """What goes into the record.

    runs: the events of each, in the order in which they were opened. sources: the bytes of their procedures
    by content hash. instructors: codes; they have no PIN, so nobody can sign as one. about: of the record.
    """

    runs: Iterable[Sequence[Event]]
    sources: Mapping[str, bytes]
    instructors: Sequence[str]
    about: Mapping[str, str]


@frozen
class Filled:
    """What was written."""

    runs: int
    events: int


def fill(path: Path, clock: Clock, contents: Contents) -> Filled:
    """Make a record of these contents where there is none. Raises JournalTrouble, and leaves nothing then."""
    for one in files_of(path):
        if os.path.lexists(one):
            raise JournalTrouble(f"{one} is there already and is left as it is. Name another file.")
    done = False
    try:
        with StationJournal(path, clock) as journal:
            filled = _filled(journal, contents)
        with troubles(path):
            _sync(path)
        done = True
    finally:
        if not done:
            take_away(path)
    return filled


def said_of(path: Path) -> dict[str, str]:
    """What the record at `path` says of itself (`about`). Raises JournalTrouble where it is no record."""
    with snapshot(path) as connection:
        number = applied(connection, path)
        refuse_newer(number, path)
        return about.read(connection) if number >= _ABOUT_SINCE else {}


def files_of(path: Path) -> tuple[Path, ...]:
    """The record's file, and those that lie beside it."""
    return path, chain.key_path(path), second_place.path_of(path), reserve.path_of(path)


def take_away(path: Path) -> None:
    """Delete a record with all that lies beside it. Raises JournalTrouble."""
    for one in files_of(path):
        with troubles(one), suppress(FileNotFoundError):
            one.unlink()


def _filled(journal: StationJournal, contents: Contents) -> Filled:
    with journal.reading() as connection:
        connection.execute("PRAGMA synchronous = OFF")
    marks: list[second_place.Mark] = []
    runs = events = 0
    with journal.changing() as (connection, key, now):
        for name, value in contents.about.items():
            about.write(connection, name, value)
        _people(connection, contents.instructors, now)
        kept: set[str] = set()
        for run in contents.runs:
            _procedure(connection, run, contents.sources, kept)
            marks += _run(connection, key, run)
            runs, events = runs + 1, events + len(run)
    with troubles(journal.path):
        second_place.add(journal.path, marks)
    return Filled(runs, events)


def _run(
    connection: sqlite3.Connection, key: chain.ChainKey, run: Sequence[Event]
) -> list[second_place.Mark]:
    row = heads.open_run(connection, key, one_run(run))
    texts = [(event, packed(event)) for event in run]
    row, marks = keep(key, row, Projector(connection, row.run), texts, run[-1].stamp.at)
    heads.save(connection, key, row)
    return marks


def _people(connection: sqlite3.Connection, instructors: Sequence[str], now: str) -> None:
    connection.executemany(
        "INSERT INTO people (code, role, name, added_at, pin) VALUES (?, 'instructor', '', ?, '')",
        [(code, now) for code in instructors],
    )


def _procedure(
    connection: sqlite3.Connection, run: Sequence[Event], sources: Mapping[str, bytes], kept: set[str]
) -> None:
    """The procedure that a run is bound to, once."""
    opened = run[0].body
    if not isinstance(opened, RunOpened) or opened.content_hash in kept:
        return
    kept.add(opened.content_hash)
    connection.execute(
        "INSERT INTO procedures (content_hash, procedure, revision, source, kept_at) VALUES (?, ?, ?, ?, ?)",
        (
            opened.content_hash,
            opened.procedure,
            opened.revision,
            sources[opened.content_hash],
            run[0].stamp.at,
        ),
    )


def _sync(path: Path) -> None:
    """See that all of it is on the disk. Raises OSError."""
    with path.open("rb") as file:
        os.fsync(file.fileno())
    sync_folder(path.parent)
