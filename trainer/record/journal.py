"""The station's journal: events kept in one SQLite file, durable before the screen moves."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Self

from trainer.procedure.text import one_line
from trainer.record import about, chain, heads, reserve, second_place
from trainer.record.heads import HeadRow, RunHead
from trainer.record.keeping import keep, not_yet_kept, one_run
from trainer.record.migrations import migrate
from trainer.record.packing import packed, unpacked
from trainer.record.projections import Projector
from trainer.record.store import connect, sync_folder, trouble_of, troubles, writing
from trainer.run.events import PRACTICE, Event, Guidance
from trainer.run.frozen import frozen
from trainer.run.ports import Clock, JournalTrouble, LeaseLost
from trainer.tongue import marked, spoken

_NO_ROOM = marked(
    "The disk of the record {path} is nearly full. What is shown as done is kept; what is done next may not "
    "be. Free some space, at least a megabyte."
)


_AT_HAND = (
    "SELECT holder, number, heads.run, opened, count, head, marked, mac FROM (SELECT ? AS wanted) "
    "LEFT JOIN leases ON leases.run = wanted LEFT JOIN heads ON heads.run = wanted"
)
"""Who holds a run, and its row of the list; all NULL of a run that is new."""


class _AtHand(NamedTuple):
    """How the run stands that was appended to last. version: SQLite's number for all that others changed."""

    version: int
    row: HeadRow
    tables: Projector


_DAMAGED = "Keep the file as it is, see `sinkside record verify`, and go on with a copy from a backup."


@frozen
class OpenRun:
    """A run that can be gone on with. Times: RFC 3339, UTC. step: None before the first step was shown."""

    run: str
    trainee: str
    procedure: str
    revision: int
    content_hash: str
    guidance: Guidance
    rehearsal: bool
    step: str | None
    plate: int
    opened_at: str
    last_at: str
    job: str
    colour: str


class StationJournal:
    """The record of one station, open for writing. Implements `run.ports.Journal`; close it, or use `with`.

    Any thread may call it. Every failure is a JournalTrouble whose first argument is a sentence.
    """

    def __init__(self, path: Path, clock: Clock, *, make: bool = True) -> None:
        self.path = path
        self.second_place_trouble = ""
        """A sentence where a mark could not be written to the second place; the events are kept."""
        self.space_trouble = ""
        """A sentence while the room set aside for a full disk is not there; looked at after each act."""
        self._clock = clock
        self._holder = os.urandom(8).hex()
        self._lock = threading.Lock()
        self._unwritten_marks: list[second_place.Mark] = []
        self._at_hand: _AtHand | None = None
        self._connection = connect(path, make=make)
        try:
            with troubles(path):
                migrate(self._connection, path, clock.now().at)
                self._key = _key(self._connection, path)
        except JournalTrouble:
            self._connection.close()
            raise
        self._set_room_aside()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. Closing twice is no error."""
        with self._lock:
            self._connection.close()

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection, for the rest of this room to ask something of. Raises JournalTrouble."""
        with self._lock, troubles(self.path):
            yield self._connection

    @contextmanager
    def changing(self) -> Iterator[tuple[sqlite3.Connection, chain.ChainKey, str]]:
        """One transaction: connection, key and the present time, for this room. Raises JournalTrouble."""
        with self._lock, troubles(self.path), writing(self._connection):
            self._at_hand = None  # whatever is changed
            yield self._connection, self._key, self._clock.now().at

    # Events

    def append(self, events: Sequence[Event]) -> None:
        """Keep all of `events` (of one run, seq going on from what is kept), or none; durable on return.

        The very same events again change nothing: a program that died between keeping and showing asks again.
        Raises JournalTrouble; LeaseLost where another terminal has taken up the run.
        """
        if not events:
            return
        run = one_run(events)
        texts = [packed(event) for event in events]
        marks: list[second_place.Mark] = []
        try:
            self._spared(lambda: self._append(run, events, texts, marks))
        except LeaseLost:
            raise
        except JournalTrouble:
            if not self._are_kept(run, events, texts):
                raise
        self._mark(marks)

    def _are_kept(self, run: str, events: Sequence[Event], texts: Sequence[str]) -> bool:
        """Whether events whose append failed are durable all the same.

        The last thing a transaction does is to bring the removal of its own journal to the disk; where only
        that fails, the events are there, and that last thing is tried again. Where it cannot be known now,
        the next append finds out (`OutOfStep`).
        """
        between = (run, events[0].seq, events[-1].seq)
        try:
            with self.reading() as connection:
                kept = connection.execute(
                    "SELECT body FROM events WHERE run = ? AND seq BETWEEN ? AND ? ORDER BY seq", between
                ).fetchall()
                if [body for (body,) in kept] != list(texts):
                    return False
                sync_folder(self.path.parent)
        except JournalTrouble:
            return False
        return True

    def _append(
        self, run: str, events: Sequence[Event], texts: Sequence[str], marks: list[second_place.Mark]
    ) -> None:
        """One transaction; gives the marks to be written once it is kept."""
        with self._lock, troubles(self.path):
            known, self._at_hand = self._at_hand, None  # whatever goes wrong
            with writing(self._connection):
                now = self._clock.now().at
                (version,) = self._connection.execute("PRAGMA data_version").fetchone()
                if known is None or known.version != version or known.row.run != run:
                    known = self._look_up(run, now, version)
                fresh = not_yet_kept(self._connection, known.row, events, texts)
                row, marks[:] = keep(self._key, known.row, known.tables, fresh, now)
                if fresh:
                    heads.save(self._connection, self._key, row)
            self._at_hand = known._replace(row=row)

    def _look_up(self, run: str, now: str, version: int) -> _AtHand:
        """How a run stands in the record, once it is seen that this journal holds it."""
        holder, *row = self._connection.execute(_AT_HAND, (run,)).fetchone()
        self._hold(self._connection, run, now, holder)
        known = heads.open_run(self._connection, self._key, run) if row[0] is None else HeadRow(*row)
        return _AtHand(version, known, Projector(self._connection, run))

    def _spared(self, work: Callable[[], None]) -> None:
        """Do `work`, one transaction; on a full disk once more in the room set aside."""
        reserve.spared(self.path, work)
        self._set_room_aside()

    def _set_room_aside(self) -> None:
        self.space_trouble = (
            "" if reserve.make(self.path) else spoken(_NO_ROOM, path=one_line(str(self.path)))
        )

    def _hold(self, connection: sqlite3.Connection, run: str, now: str, holder: str | None) -> None:
        """See that this journal holds the run; a new run is taken. holder: who has it; None: nobody yet."""
        if holder is None:
            connection.execute(
                "INSERT INTO leases (run, holder, at) VALUES (?, ?, ?)", (run, self._holder, now)
            )
        elif holder != self._holder:
            raise LeaseLost(
                spoken(
                    "This run has been taken up at another terminal of the station. Nothing was kept from "
                    "here: go on there, or take the run up again here."
                )
            )

    def _mark(self, marks: Sequence[second_place.Mark]) -> None:
        """Write marks to the second place. The events are kept by now: a failure here must not unsay them."""
        if not marks:
            return
        wanted = [*self._unwritten_marks, *marks]
        try:
            second_place.add(self.path, wanted)
        except OSError as error:
            self._unwritten_marks = wanted
            where = one_line(str(second_place.path_of(self.path)))
            self.second_place_trouble = (
                f"Count and head of the run could not be written to {where}: {error.strerror}. "
                "The run itself is kept. Write down what the summary shows."
            )
        else:
            self._unwritten_marks = []
            self.second_place_trouble = ""

    def events(self, run: str) -> tuple[Event, ...]:
        """All events of a run, in order.

        Raises JournalTrouble where it is unknown, altered or erased in part.
        """
        rows = self._rows(run)
        for seq, text, salt, digest in rows:
            if text is None or salt is None:
                raise JournalTrouble(
                    f"Run {run} can no longer be read whole: event {seq} belonged to a person who was erased."
                )
            if _altered(text, salt, digest):
                raise JournalTrouble(
                    f"Event {seq} of run {run} was altered in the record {self.path}, so the run cannot be "
                    f"gone on with. {_DAMAGED}"
                )
        return tuple(unpacked(text, run, seq) for seq, text, *_ in rows if text is not None)

    def _rows(self, run: str) -> list[tuple[int, str | None, bytes | None, bytes]]:
        """Number, body, salt and digest of each event."""
        with self.reading() as connection:
            rows = connection.execute(
                "SELECT seq, body, salt, digest FROM events WHERE run = ? ORDER BY seq", (run,)
            ).fetchall()
        if not rows:
            raise JournalTrouble(
                f"There is no run {run} in the record {self.path}. See the runs on the start screen."
            )
        return rows

    # Runs

    def open_runs(self) -> list[OpenRun]:
        """The runs that are not closed, the one worked on last first: as they were kept; clocks jump."""
        with self.reading() as connection:
            rows = connection.execute(
                "SELECT run, trainee, procedure, revision, content_hash, guidance, rehearsal, step, plate, "
                "opened_at, last_at, job, colour FROM runs JOIN standing USING (run) "
                "WHERE closed = '' AND procedure <> ? ORDER BY "
                "(SELECT rowid FROM events WHERE events.run = runs.run ORDER BY seq DESC LIMIT 1) DESC",
                (PRACTICE,),  # a plate of practice is looked at once, and not gone on with
            ).fetchall()
        return [_open_run(row) for row in rows]

    def take_lease(self, run: str) -> None:
        """Take a run over to this journal: an append by whoever held it raises LeaseLost from now on."""
        self._spared(lambda: self._take_lease(run))

    def _take_lease(self, run: str) -> None:
        with self.changing() as (connection, _, now):
            connection.execute(
                "INSERT OR REPLACE INTO leases (run, holder, at) VALUES (?, ?, ?)", (run, self._holder, now)
            )

    def head_of(self, run: str) -> RunHead:
        """Count and head of a run, to show in the summary. Raises JournalTrouble where the run is unknown."""
        with self.reading() as connection:
            row = heads.row_of(connection, run)
        if row is None:
            raise JournalTrouble(f"There is no run {run} in the record {self.path}.")
        return row.shown()

    # The record as a whole

    def about(self) -> dict[str, str]:
        """What is to be known of the record as a whole, by name; see `about`. Raises JournalTrouble."""
        with self.reading() as connection:
            return about.read(connection)

    def set_about(self, name: str, value: str) -> None:
        """Say something of the record as a whole; wanted when a record is made. Raises JournalTrouble."""
        with self.changing() as (connection, _, _now):
            about.write(connection, name, value)

    # Procedures

    def keep_procedure(self, content_hash: str, source: bytes, procedure: str, revision: int) -> None:
        """Keep the exact bytes that runs are bound to, once. content_hash: their SHA-256, hexadecimal."""
        with self.reading() as connection:
            if connection.execute(
                "SELECT 1 FROM procedures WHERE content_hash = ?", (content_hash,)
            ).fetchone():
                return
        self._spared(lambda: self._keep_procedure(content_hash, source, procedure, revision))

    def _keep_procedure(self, content_hash: str, source: bytes, procedure: str, revision: int) -> None:
        with self.changing() as (connection, _, now):
            connection.execute(
                "INSERT INTO procedures (content_hash, procedure, revision, source, kept_at) "
                "VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
                (content_hash, procedure, revision, source, now),
            )

    def procedure(self, content_hash: str) -> bytes:
        """The bytes kept under a content hash. Raises JournalTrouble where there are none, or others."""
        with self.reading() as connection:
            row = connection.execute(
                "SELECT source FROM procedures WHERE content_hash = ?", (content_hash,)
            ).fetchone()
        if row is None:
            raise JournalTrouble(
                f"The procedure with the content hash {content_hash[:12]} is not in the record {self.path}, "
                "so its runs cannot be gone on with here."
            )
        source: bytes = row[0]
        if hashlib.sha256(source).hexdigest() != content_hash:
            raise JournalTrouble(
                f"The procedure with the content hash {content_hash[:12]} was altered in the record "
                f"{self.path}, so its runs cannot be gone on with here. {_DAMAGED}"
            )
        return source


def _altered(text: str, salt: bytes, digest: bytes) -> bool:
    """Whether an event's text is not the one that was kept; `verify` looks at everything else too."""
    return chain.digest_of(salt, text.encode()) != digest


def _open_run(row: tuple[Any, ...]) -> OpenRun:  # a row of the database has whatever it has
    cells: list[Any] = [one_line(cell) if isinstance(cell, str) else cell for cell in row]
    return replace(OpenRun(*cells), rehearsal=bool(row[6]))


def _key(connection: sqlite3.Connection, path: Path) -> chain.ChainKey:
    """The record's key, made at first use."""
    known = heads.station(connection)
    if known is not None:
        return chain.key_for(path, known.key_fingerprint)
    with writing(connection):  # so that two terminals starting at once make one key
        known = heads.station(connection)
        if known is not None:
            return chain.key_for(path, known.key_fingerprint)
        _refuse_what_was_cut_off(path)
        try:
            key = chain.read_key(path) or chain.make_key(path)
            second_place.begin(path)
            sync_folder(path.parent)  # else a power cut could leave a record that wants a key it never had
        except OSError as error:
            raise trouble_of(error, chain.key_path(path)) from error
        heads.save_station(connection, key, heads.StationRow(key.fingerprint, 0, 0))
    return key


def _refuse_what_was_cut_off(path: Path) -> None:
    """Raise JournalTrouble where an empty record stands beside a second place that tells of runs."""
    where = second_place.path_of(path)
    with troubles(where):
        told = second_place.read(path)
    if told is not None and told.marks:
        raise JournalTrouble(
            f"The record {path} is new or empty, and yet {where} tells of runs that were kept in it. Put the "
            "record back from a backup; or, to begin a new one, move away all files whose names begin with "
            f"{path.name}."
        )
