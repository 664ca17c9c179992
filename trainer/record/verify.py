"""The whole record looked over: which event is altered, missing or cut off, which run is gone."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from trainer.record import chain, heads, schema, second_place
from trainer.record.chain import ChainKey
from trainer.record.findings import Finding, Report, note, problem
from trainer.record.heads import StationRow
from trainer.record.migrations import applied, migrate, refuse_newer
from trainer.record.rebuild import Dump, dump, replay
from trainer.record.store import snapshot, troubles
from trainer.record.verify_list import check_erasures, check_list, check_marks
from trainer.record.verify_run import check_run, rows_of
from trainer.run.ports import JournalTrouble

WHAT_NOW = "Keep it as it is, and go on with a backup: `sinkside record restore FILE`."
CUT_SHORT = (
    f"The file is damaged, and cannot be read to its end: what comes after was not looked at. {WHAT_NOW}"
)


def verify(path: Path) -> Report:
    """Look the record over without changing it. Raises JournalTrouble where it cannot be opened."""
    with troubles(path):
        marks = second_place.read(path)  # before the record: a line is written after the event it tells of
    with snapshot(path) as connection:
        number = applied(connection, path)
        refuse_newer(number, path)
        if number == 0:
            return Report((note("empty", f"The record {path} is empty."),), 0, 0, 0)
        look = _Look(path, connection, marks)
        try:
            look.over()
        except (sqlite3.DatabaseError, UnicodeDecodeError, TypeError, ValueError, AttributeError):
            # What the library says of it helps nobody, and it quotes the record. The tables are strict: a
            # value of another kind than was declared comes from a damaged page too.
            look.found.append(problem("damaged", CUT_SHORT))
    return Report(tuple(look.found), len(look.heads_at), look.events, look.erased)


@dataclass(slots=True)
class _Look:
    """One looking over: what was found so far. heads_at: every event's head, by run and number."""

    path: Path
    connection: sqlite3.Connection
    marks: second_place.Marks | None
    found: list[Finding] = field(default_factory=list)
    heads_at: dict[str, dict[int, str]] = field(default_factory=dict)
    events: int = 0
    erased: int = 0

    def over(self) -> None:
        """Everything, from the file itself to the projections."""
        self.found += [*_damage(self.connection), *_triggers(self.connection)]
        rows = heads.all_rows(self.connection)
        station = heads.station(self.connection) or StationRow("", 0, 0)
        key = self._key(station) if self._begun() else None
        self.found += check_list(rows, station, key, self.marks.marks if self.marks else ())
        erasures, told = check_erasures(self.connection, station, key)
        self.found += told
        for row in rows:
            kept = rows_of(self.connection, row.run)
            self.heads_at[row.run] = {one.seq: one.head.hex() for one in kept}
            self.events += len(kept)
            self.erased += sum(one.body is None for one in kept)
            self.found += check_run(kept, row, key, erasures.get(row.run, frozenset()))
        self.found += check_marks(self.path, self.marks, rows, self.heads_at, tuple(self.found))
        self.found += [*self._unlisted(), *self._procedures()]
        # Only the copy that is looked at: an earlier record has no tables for review, and is none the worse.
        migrate(self.connection, self.path, "")
        self.found += list(self._projections())  # asks which runs are troubled so far

    def _begun(self) -> bool:
        """Whether anything was ever kept; a first start that died before it had a key leaves nothing."""
        for table in ("station", "heads", "events"):
            if self.connection.execute(f"SELECT 1 FROM {table}").fetchone():  # noqa: S608 - our own table names
                return True
        self.found.append(note("empty", f"Nothing was kept in the record {self.path} yet."))
        return False

    def _key(self, station: StationRow) -> ChainKey | None:
        """The key the record was begun with; None, and a finding, where it is not there."""
        where = chain.key_path(self.path)
        lost = (
            "links cannot be followed, so a run written anew would not show. Put the key back from a backup."
        )
        try:
            key = chain.read_key(self.path)
        except JournalTrouble as error:
            self.found.append(problem("key_unreadable", str(error.args[0])))
            return None
        if key is None:
            self.found.append(problem("key_missing", f"The key {where} is missing: {lost}"))
        elif not station.key_fingerprint:
            self.found.append(
                problem("list_altered", "The station's own row, with the number of runs, is gone.")
            )
        elif key.fingerprint != station.key_fingerprint:
            self.found.append(problem("key_other", f"The key {where} is not the one of this record: {lost}"))
        else:
            return key
        return None

    def _unlisted(self) -> Iterator[Finding]:
        """Runs with events that the list does not know."""
        for (run,) in self.connection.execute("SELECT DISTINCT run FROM events ORDER BY run"):
            if run not in self.heads_at:
                yield problem("run_not_listed", f"Run {run} has events, but is not in the list of runs.", run)

    def _procedures(self) -> Iterator[Finding]:
        """The kept bytes of procedures against their content hashes."""
        known: set[str] = set()
        for content_hash, source in self.connection.execute("SELECT content_hash, source FROM procedures"):
            known.add(content_hash)
            if hashlib.sha256(source).hexdigest() != content_hash:
                yield problem("procedure_altered", f"The kept procedure {content_hash[:12]} was altered.")
        opened = "SELECT run, content_hash FROM runs WHERE content_hash <> '' ORDER BY run"
        for run, content_hash in self.connection.execute(opened):
            if content_hash not in known:
                words = (
                    f"Run {run}: the procedure it was opened with, {content_hash[:12]}, is not in the record."
                )
                yield problem("procedure_missing", words, run)

    def _projections(self) -> Iterator[Finding]:
        """The projections against what the events give; runs with altered events are told of already."""
        troubled = {finding.run for finding in self.found if finding.severity == "problem"}
        projected = {
            run
            for table in schema.PROJECTED
            for (run,) in self.connection.execute(f"SELECT DISTINCT run FROM {table}")  # noqa: S608 - our tables
        }
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as memory:
            for statement in schema.PROJECTIONS:
                memory.execute(statement)
            for run in sorted({*self.heads_at, *projected} - troubled):
                memory.execute("BEGIN")  # only one run at a time is held in memory
                try:
                    replay(self.connection, memory, run)
                    yield from _differences(run, dump(memory, run), dump(self.connection, run))
                except JournalTrouble as trouble:
                    yield problem("unreadable", str(trouble.args[0]), run)
                memory.execute("ROLLBACK")


def _differences(run: str, wanted: Dump, there: Dump) -> Iterator[Finding]:
    """Where the projections of a run are not what its events give."""
    for table in schema.PROJECTED:
        differing = set(wanted[table]) ^ set(there[table])
        key = schema.KEYS[table]
        for which in sorted({row[1] if key else "" for row in differing}, key=str):
            at = "" if not key else f" of event {which}" if key == "seq" else f" of {key} {which}"
            yield problem(
                "projection",
                f"Run {run}: the table {table} does not say what the events say{at}. "
                "Make it again with `sinkside record rebuild`.",
                run,
                int(str(which)) if key == "seq" else None,
            )


def _damage(connection: sqlite3.Connection) -> Iterator[Finding]:
    """What SQLite itself finds wrong with the file."""
    if connection.execute("PRAGMA integrity_check(1)").fetchone()[0] != "ok":
        yield problem(
            "damaged",
            "The file is damaged: parts of it do not hold what was written there, as after a failing disk. "
            + WHAT_NOW,
        )


def _triggers(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Whether what keeps events append-only is still there."""
    there = dict(connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall())
    for name, statement in schema.EVENT_TRIGGERS.items():
        if there.get(name) != statement:
            yield problem(
                "unguarded", f"The rule {name}, which keeps events as they are, was taken out of the record."
            )
