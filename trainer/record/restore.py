"""A record put back from a backup: looked over first, the present one copied aside, what is lost said before.

The content is put into the present file in one transaction, since a terminal may have it open: a file moved
away under it would go on being written.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from trainer.procedure.text import one_line
from trainer.record import chain, heads, second_place
from trainer.record.backup import files_of, give_name, looked_over, staged, stamp, take_names
from trainer.record.erase import erase_events
from trainer.record.findings import Report
from trainer.record.gone import seals, take_out, take_out_again
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
    erased: how many events were erased since the backup, people: how many people; they are erased again in
    what is put back.
    """

    half: Path
    record: Path
    report: Report
    present: bool
    lost: tuple[Lost, ...] | None
    erased: int
    people: int


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
        lost, gone = _compared(half, record) if record.exists() else ((), Gone({}, {}))
        people = _erase_again(half, record, at, gone) if gone.events or gone.seals else 0
        _let_go(half, record)
        erased = sum(map(len, gone.events.values()))
        yield Restoring(half, record, report, present, lost, erased, people)


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
            _exchange_file(half, record, aside)
        return aside
    with staged(record, aside, at) as copy:
        take_names(copy, aside)
    with troubles(record):
        _put_what_belongs_to_it(half, record)
        with closing(opened(half)) as source, closing(connect(record, make=False)) as target:
            source.backup(target)
    return aside


def _put_what_belongs_to_it(half: Path, record: Path) -> None:
    """The second place, and the key where there is none, on the disk before the content that goes with them.

    Older lines in the second place are only noted as short, should the station stop between the two.
    """
    if second_place.path_of(half).exists():
        second_place.path_of(half).replace(second_place.path_of(record))
    if not chain.key_path(record).exists():
        chain.key_path(half).replace(chain.key_path(record))
    sync_folder(record.parent)


def _readable(record: Path) -> bool:
    """Whether SQLite can open the present record, so that its content can be exchanged in place."""
    try:
        with snapshot(record) as connection:
            return applied(connection, record) > 0
    except JournalTrouble:
        return False


def _exchange_file(half: Path, record: Path, aside: Path) -> None:
    """The backup in the place of a file that nobody can read, which is kept under another name first.

    The record's own name has one of the two at every moment.
    """
    journal = record.with_name(f"{record.name}-journal")
    kept = (*files_of(aside), aside.with_name(f"{aside.name}-journal"))
    for file, name in zip((*files_of(record), journal), kept, strict=True):
        if file.exists():
            give_name(file, name)
    sync_folder(record.parent)
    for staged_file, file in reversed(list(zip(files_of(half), files_of(record), strict=True))[1:]):
        if staged_file.exists():
            staged_file.replace(file)
    journal.unlink(missing_ok=True)  # else it would be taken for the new file's, half-done
    sync_folder(record.parent)
    half.replace(record)
    sync_folder(record.parent)


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


@frozen
class Gone:
    """What the present record has erased: by run, events that the backup has; and the seals of people."""

    events: Mapping[str, Sequence[int]]
    seals: Mapping[str, str]


def _compared(half: Path, record: Path) -> tuple[tuple[Lost, ...] | None, Gone]:
    """What the present record has more, and what was erased in it since. None: it cannot be read."""
    try:
        with snapshot(record) as connection:
            connection.execute("ATTACH ? AS other", (str(half.absolute()),))
            lost = tuple(Lost(*row) for row in connection.execute(_MORE))
            events: dict[str, list[int]] = {}
            for run, seq in connection.execute(_ERASED):
                events.setdefault(run, []).append(seq)
            connection.execute("DETACH other")
            return lost, Gone(events, seals(connection))
    except JournalTrouble:
        return None, Gone({}, {})


def _erase_again(half: Path, record: Path, at: str, gone: Gone) -> int:
    """What a person asked to be erased must not come back with a backup; how many people that were."""
    key = chain.read_key(half)
    if key is None:
        raise JournalTrouble(f"The key of {record} is missing. Put it back from a backup.")
    with snapshot(record) as connection:
        listed = {code for (code,) in connection.execute("SELECT code FROM people")}
    with troubles(half), closing(opened(half)) as connection:
        connection.execute("PRAGMA secure_delete = ON")
        with writing(connection):
            there = {code for (code,) in connection.execute("SELECT code FROM people")}
            whose = _people_of(connection, gone.events)
            if gone.events:
                erase_events(connection, key, at, gone.events)
            # Erased before there were seals: whose events went, and who is not listed any more.
            unsealed = sorted((whose & there) - listed)
            for code in unsealed:
                take_out(connection, key, at, code)
            people = len(unsealed) + take_out_again(connection, key, gone.seals)
        if gone.events or people:
            connection.execute("VACUUM")
    return people


def _people_of(connection: sqlite3.Connection, events: Mapping[str, Sequence[int]]) -> set[str]:
    """Whose work these events are."""
    asked = "SELECT person FROM events WHERE run = ? AND seq = ?"
    return {
        str(person)
        for run, seqs in events.items()
        for seq in seqs
        for (person,) in connection.execute(asked, (run, seq))
    }


def _let_go(half: Path, record: Path) -> None:
    """Nobody holds a run of what is put back: whoever has one on a screen takes it up again."""
    with troubles(record), closing(opened(half)) as connection:
        connection.execute("UPDATE leases SET holder = ''")
