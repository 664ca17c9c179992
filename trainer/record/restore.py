"""A record put back from a backup: looked over first, the present one copied aside, what is lost said before.

The content is put into the present file in one transaction, since a terminal may have it open: a file moved
away under it would go on being written.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from trainer.procedure.text import one_line
from trainer.record import chain, heads, second_place
from trainer.record.backup import files_of, looked_over, staged, stamp, take_names
from trainer.record.erase import erase_events
from trainer.record.findings import Report
from trainer.record.migrations import applied
from trainer.record.store import connect, opened, snapshot, sync_folder, troubles, writing
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble


@frozen
class Lost:
    """Events of a run that the present record has and the backup has not: how many, first and last."""

    run: str
    trainee: str
    events: int
    first: int
    last: int

    def words(self) -> str:
        """In a line."""
        which = f"event {self.first}" if self.events == 1 else f"events {self.first} to {self.last}"
        return one_line(f"run {self.run} ({self.trainee or 'erased'}): {which}")


@frozen
class Restoring:
    """A restore made ready: nothing is changed yet.

    lost: what would be gone; None where the present record cannot be read, so that nobody knows.
    erased: how many events were erased since the backup; they are erased again in what is put back.
    """

    half: Path
    record: Path
    report: Report
    present: bool
    lost: tuple[Lost, ...] | None
    erased: int


@contextmanager
def restoring(backup: Path, record: Path, at: str) -> Iterator[Restoring]:
    """Make a restore ready: the backup copied beside the record and looked over, and the two compared.

    Raises JournalTrouble: the backup is missing, damaged, of another program, of a newer Sinkside, of another
    record, or without its key.
    """
    if backup.exists() and record.exists() and backup.samefile(record):
        raise JournalTrouble(f"{backup} is the record itself. Name the backup.")
    if not record.parent.is_dir():
        raise JournalTrouble(
            f"There is no folder {record.parent}. Name a record with --record in one that is there."
        )
    with staged(backup, record, at, key_of=record) as half:
        report = looked_over(half, backup, "Nothing was restored")
        present = any(os.path.lexists(file) for file in files_of(record))
        _refuse_other(half, record, backup)
        lost, gone = _compared(half, record) if record.exists() else ((), {})
        if gone:
            _erase_again(half, record, at, gone)
        _let_go(half, record)
        yield Restoring(half, record, report, present, lost, sum(map(len, gone.values())))


def restore(ready: Restoring, at: str) -> Path | None:
    """Put the backup in the record's place. Gives where the present one was copied to; None: there was none.

    Raises JournalTrouble; the present record is then as it was.
    """
    half, record = ready.half, ready.record
    if not ready.present:
        take_names(half, record)
        return None
    aside = record.with_name(f"{record.name}.aside-{stamp(at)}")
    if not _readable(record):
        with troubles(record):
            _move_aside(record, aside)
        take_names(half, record)
        return aside
    with staged(record, aside, at) as copy:
        take_names(copy, aside)
    with troubles(record):
        # Older lines in the second place are only noted as short, should the station stop between the two.
        if second_place.path_of(half).exists():
            second_place.path_of(half).replace(second_place.path_of(record))
        with closing(opened(half)) as source, closing(connect(record, make=False)) as target:
            source.backup(target)
        if not chain.key_path(record).exists():
            chain.key_path(half).replace(chain.key_path(record))
        sync_folder(record.parent)
    return aside


def _readable(record: Path) -> bool:
    """Whether SQLite can open the present record, so that its content can be exchanged in place."""
    try:
        with snapshot(record) as connection:
            return applied(connection, record) > 0
    except JournalTrouble:
        return False


def _move_aside(record: Path, aside: Path) -> None:
    """Rename a record that nobody can read, with all that belongs to it."""
    journal = record.with_name(f"{record.name}-journal")
    for file, name in (
        *zip(files_of(record), files_of(aside), strict=True),
        (journal, aside.with_name(f"{aside.name}-journal")),
    ):
        if file.exists():
            file.rename(name)


def _refuse_other(half: Path, record: Path, backup: Path) -> None:
    """Raise JournalTrouble where the present record was begun with another key: it is another record."""
    if not record.exists():
        return
    key = chain.read_key(half)
    try:
        with snapshot(record) as connection:
            known = heads.station(connection) if applied(connection, record) else None
    except (JournalTrouble, sqlite3.DatabaseError):
        return  # damaged: it is moved aside
    if key is not None and known is not None and known.runs and known.key_fingerprint != key.fingerprint:
        raise JournalTrouble(
            f"{backup} is no backup of {record}: it was begun with another key. To go on with it, name it "
            "with --record; or move the present record away, with all files whose names begin the same."
        )


_MORE = (
    "SELECT e.run, coalesce(r.trainee, ''), count(*), min(e.seq), max(e.seq) FROM events AS e "
    "LEFT JOIN runs AS r ON r.run = e.run LEFT JOIN other.events AS o ON o.id = e.id AND o.run = e.run "
    "WHERE o.id IS NULL GROUP BY e.run ORDER BY min(e.rowid)"
)
_ERASED = (
    "SELECT o.run, o.seq FROM events AS e JOIN other.events AS o ON o.id = e.id AND o.run = e.run "
    "WHERE e.body IS NULL AND o.body IS NOT NULL ORDER BY o.run, o.seq"
)


def _compared(half: Path, record: Path) -> tuple[tuple[Lost, ...] | None, dict[str, list[int]]]:
    """What the present record has more, and by run what was erased in it since. None: it cannot be read."""
    try:
        with snapshot(record) as connection:
            connection.execute("ATTACH ? AS other", (str(half.absolute()),))
            lost = tuple(Lost(*row) for row in connection.execute(_MORE))
            gone: dict[str, list[int]] = {}
            for run, seq in connection.execute(_ERASED):
                gone.setdefault(run, []).append(seq)
            connection.execute("DETACH other")
    except JournalTrouble:
        return None, {}
    return lost, gone


def _erase_again(half: Path, record: Path, at: str, gone: dict[str, list[int]]) -> None:
    """What a person asked to be erased must not come back with a backup."""
    key = chain.read_key(half)
    if key is None:
        raise JournalTrouble(f"The key of {record} is missing. Put it back from a backup.")
    with snapshot(record) as connection:
        listed = {code for (code,) in connection.execute("SELECT code FROM people")}
    with troubles(half), closing(opened(half)) as connection:
        connection.execute("PRAGMA secure_delete = ON")
        with writing(connection):
            there = {code for (code,) in connection.execute("SELECT code FROM people")}
            people = {
                str(person)
                for run, seqs in gone.items()
                for seq in seqs
                for (person,) in connection.execute(
                    "SELECT person FROM events WHERE run = ? AND seq = ?", (run, seq)
                )
            }
            erase_events(connection, key, at, gone)
            for code in (people & there) - listed:
                connection.execute("DELETE FROM people WHERE code = ?", (code,))
                connection.execute("DELETE FROM pin_tries WHERE instructor = ?", (code,))
        connection.execute("VACUUM")


def _let_go(half: Path, record: Path) -> None:
    """Nobody holds a run of what is put back: whoever has one on a screen takes it up again."""
    with troubles(record), closing(opened(half)) as connection:
        connection.execute("UPDATE leases SET holder = ''")
