"""The record as exports read it: a copy of one moment, which trainees' work never waits for."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.procedure.text import one_line
from trainer.record import about, chain, heads
from trainer.record.migrations import migrate
from trainer.record.mistyped import WHOSE
from trainer.record.packing import readable, unpacked
from trainer.record.part import Only, part_of, refuse_unknown, stations_wanted
from trainer.record.store import snapshot
from trainer.run.events import Event
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble

if TYPE_CHECKING:
    from trainer.record.part import Place
    from trainer.record.shared.address import SharedAddress


@frozen
class Wanted:
    """Which part of the record: whose work, of which procedure, of runs opened from `since` to `until`.

    trainees: codes as kept; empty: all. Dates are days in UTC, as all times of the record are; both count.
    """

    trainees: frozenset[str] = frozenset()
    procedure: str | None = None
    since: date | None = None
    until: date | None = None

    def only(self) -> Only:
        """What has to be read of the shared record for it."""
        return Only(
            () if self.procedure is None else (self.procedure,),
            since="" if self.since is None else self.since.isoformat(),
            until="" if self.until is None else (self.until + timedelta(days=1)).isoformat(),
        )


@frozen
class KeptEvent:
    """An event, who was at work, and when it was kept. value: the event as it was written, as JSON.

    An event of an earlier version is read as one of today; what was written is `value`.
    """

    event: Event
    value: object
    person: str
    stored: str

    @property
    def body(self) -> object:
        """The body alone, as it was written."""
        return self.value["body"] if isinstance(self.value, dict) else None


class BeginningErased(JournalTrouble):
    """Nothing is wrong with the record: whoever began a run was erased."""


class Source:
    """A record to export from. Every method raises JournalTrouble with a sentence."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        path: Path | None,
        wanted: Wanted,
        stations: Sequence[str] = (),
        office: SharedAddress | None = None,
    ) -> None:
        """path: None for what was copied out of the shared record, and office: where that is.

        stations: of a file, none: all.
        """
        self.connection = connection
        self._office = office
        self.made_key: Path | None = None
        """The key that opaque names are made with, where it had to be made for this export."""
        self.path = path
        self.wanted = wanted
        if wanted.procedure is not None:
            refuse_unknown("procedure", [wanted.procedure], _works(connection), f"the record{self._shown}")
        self.runs = tuple(_runs(connection, wanted, stations))
        """The wanted runs, in the order in which they were opened."""
        connection.execute("CREATE TEMP TABLE wanted_runs (run TEXT PRIMARY KEY, number INTEGER NOT NULL)")
        rows = [(run, number) for number, run in enumerate(self.runs)]
        connection.executemany("INSERT INTO wanted_runs VALUES (?, ?)", rows)

    @property
    def _shown(self) -> str:
        return "" if self.path is None else f" {self.path}"

    @property
    def invented(self) -> bool:
        """Whether the class in this record never was."""
        return about.INVENTED in about.read(self.connection)

    def key(self) -> chain.ChainKey:
        """The key that opaque names are made with: the record's own; of the shared record, the office's."""
        if self.path is None:
            return self._office_key()
        known = heads.station(self.connection)
        key = chain.read_key(self.path)
        if known is None or key is None or key.fingerprint != known.key_fingerprint:
            raise JournalTrouble(
                f"The key {chain.key_path(self.path)} is missing or belongs to another record, and the "
                "opaque names of people are made with it. Put the right key back from a backup."
            )
        return key

    def _office_key(self) -> chain.ChainKey:
        from trainer.record.shared.office_key import office_key, office_key_path

        if self._office is None:
            raise JournalTrouble("Opaque names of people are made with a key, and there is none here.")
        key, made = office_key(self._office)
        self.made_key = office_key_path(self._office) if made else None
        return key

    def school(self, run: str) -> str:
        """The school that a run's people are of; empty in a station's own record."""
        if self.path is not None:
            return ""
        row = self.connection.execute("SELECT school FROM schools WHERE run = ?", (run,)).fetchone()
        return one_line(row[0]) if row else ""

    def events(self, run: str) -> list[KeptEvent]:
        """The events of a run that were not erased, in order; an altered one is told, and not given out."""
        rows = self.connection.execute(
            f"SELECT seq, coalesce({WHOSE}, person), stored, salt, digest, body FROM events "  # noqa: S608
            "LEFT JOIN runs USING (run) WHERE run = ? AND body IS NOT NULL ORDER BY seq",
            (run,),
        )
        found: list[KeptEvent] = []
        for seq, person, stored, salt, digest, body in rows:
            if chain.digest_of(salt, body.encode("utf-8", "replace")) != digest:
                raise JournalTrouble(
                    f"Event {seq} of run {run} was altered in the record{self._shown}. "
                    "See `sinkside record verify`; a backup may hold it whole."
                )
            found.append(
                KeptEvent(unpacked(body, run, seq), readable(body), one_line(person), one_line(stored))
            )
        return found

    def procedure(self, content_hash: str) -> bytes | None:
        """The kept bytes of a procedure; None where there are none."""
        row = self.connection.execute(
            "SELECT source FROM procedures WHERE content_hash = ?", (content_hash,)
        ).fetchone()
        return None if row is None else row[0]

    def names(self) -> dict[str, str]:
        """The names of people that are kept, by code."""
        rows = self.connection.execute("SELECT code, name FROM people WHERE name <> '' ORDER BY code")
        return {one_line(code): one_line(name) for code, name in rows}


@contextmanager
def exported(path: Place, wanted: Wanted, at: str) -> Iterator[Source]:
    """A copy of the record, or of what is seen of the shared one.

    A file of an older Sinkside is brought up to date in the copy alone.

    at: the present time. Raises JournalTrouble where the record is missing, foreign, newer or damaged.
    """
    part = part_of(path)
    if not isinstance(part.record, Path):
        from trainer.record.shared.copying import copied  # psycopg: 60 ms

        with copied(part, at, wanted.only()) as connection:
            _refuse_several(connection, wanted)
            yield Source(connection, None, wanted, office=part.record)
        return
    path = part.record
    with snapshot(path) as connection:
        if not connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]:
            raise JournalTrouble(f"The record {path} is empty: there is nothing to export.")
        migrate(connection, path, at)
        yield Source(connection, path, wanted, stations_wanted(connection, part))


def _works(connection: sqlite3.Connection) -> set[str]:
    """The ids of the procedures that are kept, and of runs that had none."""
    rows = connection.execute("SELECT procedure FROM procedures UNION SELECT procedure FROM runs")
    return {one_line(row[0]) for row in rows if row[0]}


def _refuse_several(connection: sqlite3.Connection, wanted: Wanted) -> None:
    """A code means one person within a school: of several, nobody knows who is meant."""
    if not wanted.trainees:
        return
    schools = [row[0] for row in connection.execute("SELECT DISTINCT school FROM schools ORDER BY 1")]
    if len(schools) > 1:
        raise JournalTrouble(
            f"A code is one person within a school, and several are read: {', '.join(schools)}. Say with "
            f"--school whose {', '.join(sorted(wanted.trainees))} is meant."
        )


def _runs(connection: sqlite3.Connection, wanted: Wanted, stations: Sequence[str]) -> list[str]:
    """The runs that are wanted: begun in time, of the procedure, with work of one of the trainees in them."""
    where, values = ["1"], list[str]()
    if stations:
        where.append(f"runs.station IN ({', '.join('?' * len(stations))})")
        values += stations
    if wanted.procedure is not None:
        where.append("runs.procedure = ?")
        values.append(wanted.procedure)
    if wanted.since is not None:
        where.append("runs.opened_at >= ?")
        values.append(wanted.since.isoformat())
    if wanted.until is not None:
        where.append("runs.opened_at < ?")
        values.append((wanted.until + timedelta(days=1)).isoformat())
    if wanted.trainees:
        marks = ", ".join("?" * len(wanted.trainees))
        whose = f"SELECT events.run FROM events JOIN runs USING (run) WHERE {WHOSE} IN ({marks})"  # noqa: S608
        where.append(f"runs.run IN ({whose})")
        values += sorted(wanted.trainees)
    known = "SELECT runs.run FROM runs LEFT JOIN heads ON heads.run = runs.run WHERE"
    question = f"{known} {' AND '.join(where)} ORDER BY heads.number, runs.run"
    return [run for (run,) in connection.execute(question, values)]
