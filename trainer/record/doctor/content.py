"""What is in the record, looked at quickly: all its lists and seals, and of the events the latest runs.

It is read as it stands at one moment, copied into memory, and never opened for writing. `record verify` looks
at every event.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from trainer.record import about, chain, heads, schema, second_place
from trainer.record.codes import code
from trainer.record.doctor.asked import Asked, quoted
from trainer.record.doctor.files import RESTORE, emptied
from trainer.record.doctor.told import Told, fine, mend, note, unseen
from trainer.record.findings import Finding
from trainer.record.heads import HeadRow, StationRow
from trainer.record.migrations import MIGRATIONS, applied
from trainer.record.rebuild import dump, replay
from trainer.record.store import BUSY_SECONDS, trouble_of
from trainer.record.verify_list import check_erasures, check_list
from trainer.record.verify_run import check_run, rows_of
from trainer.run.clock import to_ms
from trainer.run.events import PRACTICE
from trainer.run.ports import JournalTrouble

LATEST = 20
"""So many runs, the ones opened last, are looked at event by event."""

LONG_OPEN_DAYS = 30
"""An open run that nobody has touched for so long is told of."""

_MOST_NAMED = 3
_DAY_MS = 86_400_000
_AHEAD_MS = 120_000
"""A clock that is so far behind what was kept last was put back."""

_VERIFY = "sinkside record verify"


class LeftHalfway(JournalTrouble):
    """A write was cut short, and the next start undoes it: until then the record is not read."""


@contextmanager
def as_it_stands(path: Path) -> Iterator[sqlite3.Connection]:
    """The record copied into memory, from a file that is only read. Raises JournalTrouble."""
    try:
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy:
            uri = f"{path.absolute().as_uri()}?mode=ro"
            with closing(sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS)) as source:
                source.backup(copy)
            yield copy
    except (sqlite3.Error, OSError, UnicodeDecodeError) as error:
        left = path.with_name(f"{path.name}-journal")
        if left.exists() and left.stat().st_size and not isinstance(error, UnicodeDecodeError):
            raise LeftHalfway(f"A write into {path} was cut short, or goes on at this moment.") from error
        raise trouble_of(error, path) from error


def content(asked: Asked) -> Iterator[Told]:
    """Everything in the record that can be looked at quickly; nothing where there is no record."""
    path = asked.record
    if not path.is_file():
        return
    try:
        with as_it_stands(path) as connection:
            number = applied(connection, path)
            gone = emptied(path, "empty") if number == 0 else None
            yield from [gone] if gone else _schema(number, path)
            if 0 < number <= len(MIGRATIONS):
                yield from _inside(asked, connection, number)
    except LeftHalfway as trouble:
        yield mend(
            "left",
            str(trouble),
            "Start Sinkside once, or verify the record: what was half done is undone, what was shown as "
            "done stays.",
            _VERIFY,
        )
    except JournalTrouble as trouble:
        yield mend("record", str(trouble), "Nothing more of it was looked at. Go on with a backup.", RESTORE)


def _schema(number: int, path: Path) -> Iterator[Told]:
    newest = len(MIGRATIONS)
    if number > newest:
        yield mend(
            "schema",
            f"The record {path} was written by a newer Sinkside (schema {number}; this one knows {newest}).",
            "Install the newer version; the record is left as it is.",
            "pipx upgrade sinkside",
        )
    elif number == 0:
        yield note("schema", f"The record {path} is empty: its tables are made at the next start.")
    elif number < newest:
        yield note(
            "schema",
            f"The record was written by an older Sinkside (schema {number} of {newest}). It is brought up at "
            "the next start; make a backup before.",
            command="sinkside record backup FOLDER",
        )
    else:
        yield fine("schema", f"The record has schema {number}, as this Sinkside writes it")


def _inside(asked: Asked, connection: sqlite3.Connection, number: int) -> Iterator[Told]:
    """A record whose tables are known. What a damaged page gives for a value is told as damage."""
    try:
        yield from _damage(connection)
        station = heads.station(connection)
        key, told = _key(asked.record, station)
        yield told
        yield _second_place(asked.record, connection)
        yield from _lists(connection, station or StationRow("", 0, 0), key, asked.record)
        if number == len(MIGRATIONS):
            yield _tables(connection)
            yield from _people_and_runs(asked, connection)
        yield from _times(asked, connection)
    except (sqlite3.DatabaseError, UnicodeDecodeError, TypeError, ValueError, AttributeError):
        yield mend(
            "record",
            f"The file {asked.record} is damaged, and cannot be read to its end.",
            "Keep it as it is, and go on with a backup.",
            RESTORE,
        )


def _damage(connection: sqlite3.Connection) -> Iterator[Told]:
    if connection.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
        yield mend(
            "record",
            "The record's file is damaged: parts of it do not fit together.",
            "Keep it as it is, and go on with a backup.",
            RESTORE,
        )
    there = dict(connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall())
    gone = [name for name, rule in schema.EVENT_TRIGGERS.items() if there.get(name) != rule]
    if gone:
        yield mend(
            "rules",
            f"The rules that keep events as they are were taken out of the record ({', '.join(gone)}).",
            "Ask who did it. See what was changed; go on with a backup from before.",
            _VERIFY,
        )


def _key(path: Path, station: StationRow | None) -> tuple[chain.ChainKey | None, Told]:
    """The key the record was begun with, and what is to be told of it."""
    where = chain.key_path(path)
    back = f"cp BACKUP.key {quoted(where)}"
    try:
        key = chain.read_key(path)
    except JournalTrouble as trouble:
        return None, mend("key", str(trouble), "Put the key back from a backup.", back)
    if station is None:
        return None, note("key", "Nothing was kept in this record yet; its key is made with the first act.")
    if key is None:
        words = f"The key {where} is missing, so nothing can be added to the record."
        return None, mend("key", words, "Put it back from a backup.", back)
    if key.fingerprint != station.key_fingerprint:
        words = f"The key {where} belongs to another record, so nothing can be added to this one."
        return None, mend("key", words, "Put the right one back from a backup.", back)
    return key, fine("key", "The key is there, and is the one the record was begun with")


def _second_place(path: Path, connection: sqlite3.Connection) -> Told:
    """The file of marks: there, readable, and with the last mark that the list knows of."""
    where = second_place.path_of(path)
    read = second_place.read(path)
    runs = connection.execute("SELECT count(*) FROM heads").fetchone()[0]
    if read is None:
        if not runs:
            return note("second-place", "The second place is made with the first act.")
        return mend(
            "second-place",
            f"The second place {where} is missing: whether the end of a run was cut off cannot be seen.",
            "Put it back from a backup; lines are added to it again from the next mark on.",
            f"cp BACKUP.heads {quoted(where)}",
        )
    if read.unreadable:
        lines = ", ".join(map(str, read.unreadable[:_MOST_NAMED]))
        return mend(
            "second-place", f"Lines of {where} are not as written: {lines}.", "See what fits.", _VERIFY
        )
    written = {(mark.run, mark.count) for mark in read.marks}
    marked = connection.execute("SELECT run, marked FROM heads WHERE marked > 0").fetchall()
    short = [run for run, count in marked if (run, count) not in written]
    if short:
        return note(
            "second-place",
            f"{where} has no line for the last mark of {len(short)} runs: lines were cut off there, or the "
            "station stopped in that very moment.",
            command=_VERIFY,
        )
    return fine("second-place", f"The second place has {len(read.marks)} marks")


def _lists(
    connection: sqlite3.Connection, station: StationRow, key: chain.ChainKey | None, path: Path
) -> Iterator[Told]:
    """The list of runs and the lines of erasures with their seals; the latest runs event by event."""
    rows = heads.all_rows(connection)
    marks = second_place.read(path)
    found: list[Finding] = list(check_list(rows, station, key, marks.marks if marks else ()))
    erased, wrong = check_erasures(connection, station, key)
    found += wrong
    found += _ends(connection, rows)
    latest = rows[-LATEST:]
    events = 0
    for row in latest:
        kept = rows_of(connection, row.run)
        events += len(kept)
        found += check_run(kept, row, key, erased.get(row.run, frozenset()))
    problems = list(dict.fromkeys(one.message for one in found if one.severity == "problem"))
    if problems:
        more = f" And {len(problems) - _MOST_NAMED} more." if len(problems) > _MOST_NAMED else ""
        yield mend(
            "chain",
            f"The record is not as it was written. {' '.join(problems[:_MOST_NAMED])}{more}",
            "See all of it; go on with a backup where it cannot be explained.",
            _VERIFY,
        )
        return
    if not key:
        yield unseen("chain", "Without the key, links and seals cannot be followed.")
        return
    yield fine(
        "chain",
        f"{len(rows)} runs are listed and sealed; {events} events of the latest {len(latest)} are as written",
    )


def _ends(connection: sqlite3.Connection, rows: list[HeadRow]) -> Iterator[Finding]:
    """Each run's last event against the list, by number only."""
    from trainer.record.findings import problem

    last = dict(connection.execute("SELECT run, max(seq) FROM events GROUP BY run").fetchall())
    for row in rows:
        if last.get(row.run, 0) < row.count:
            yield problem("cut_off", f"Run {row.run}: events after {last.get(row.run, 0)} are missing.")


def _tables(connection: sqlite3.Connection) -> Told:
    """The tables for reading of the latest runs against what their events give."""
    rows = heads.all_rows(connection)[-LATEST:]
    differing: list[str] = []
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as memory:
        for statement in schema.PROJECTIONS:
            memory.execute(statement)
        for row in rows:
            memory.execute("BEGIN")
            try:
                replay(connection, memory, row.run)
                if dump(memory, row.run) != dump(connection, row.run):
                    differing.append(row.run)
            except JournalTrouble:
                differing.append(row.run)
            memory.execute("ROLLBACK")
    if differing:
        return mend(
            "tables",
            f"The tables for reading do not say what the events say, of {len(differing)} of the latest "
            f"{len(rows)} runs.",
            "Make them again.",
            "sinkside record rebuild",
        )
    return fine("tables", f"The tables for reading say what the events say, of the latest {len(rows)} runs")


def _people_and_runs(asked: Asked, connection: sqlite3.Connection) -> Iterator[Told]:
    """Who can sign; whether it is an invented record; runs that nobody goes on with."""
    said = about.read(connection)
    if about.INVENTED in said:
        yield note(
            "invented", "What this record holds is invented; work with real material is kept in another."
        )
    able = connection.execute(
        "SELECT count(*) FROM people WHERE role = 'instructor' AND pin <> ''"
    ).fetchone()[0]
    if not able:
        yield note(
            "instructors",
            "No instructor with a PIN is known here, so no step can be signed off.",
            "Add one.",
            "sinkside record person add I-1 --instructor",
        )
    now = to_ms(asked.clock.now().at)
    query = "SELECT trainee, last_at FROM runs WHERE closed = '' AND procedure <> ? ORDER BY last_at"
    old = [
        code(trainee)
        for trainee, at in connection.execute(query, (PRACTICE,))
        if now - to_ms(at) > LONG_OPEN_DAYS * _DAY_MS
    ]
    if old:
        named = ", ".join(dict.fromkeys(old[:_MOST_NAMED]))
        many = (
            "1 run is open that nobody has" if len(old) == 1 else f"{len(old)} runs are open that nobody has"
        )
        yield note(
            "open-runs",
            f"{many} touched for {LONG_OPEN_DAYS} days (of {named}).",
            "Go on with them, or stop them with a reason, on the start screen.",
            "sinkside",
        )


def _times(asked: Asked, connection: sqlite3.Connection) -> Iterator[Told]:
    """What was kept last lies before now."""
    row = connection.execute("SELECT stored FROM events ORDER BY rowid DESC LIMIT 1").fetchone()
    if row is None:
        return
    now, last = asked.clock.now().at, str(row[0])
    if to_ms(last) - to_ms(now) > _AHEAD_MS:
        yield mend(
            "clock",
            f"The clock says {now[:16]}Z, but the last event was kept at {last[:16]}Z: one of them is wrong.",
            "Set the clock, and let the system keep it by the network. What was kept stays as it is.",
            "timedatectl set-ntp true",
        )
