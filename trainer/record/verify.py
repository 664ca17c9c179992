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
from trainer.record.erase import Erasure, numbers_in
from trainer.record.findings import Finding, Report, note, problem
from trainer.record.heads import HeadRow
from trainer.record.migrations import applied, refuse_newer
from trainer.record.rebuild import Dump, dump, replay
from trainer.record.store import connect_to_read, troubles
from trainer.record.verify_run import check_run, rows_of
from trainer.run.ports import JournalTrouble


def verify(path: Path) -> Report:
    """Look the record over without changing it. Raises JournalTrouble where it cannot be opened."""
    with troubles(path), closing(connect_to_read(path)) as connection:
        number = applied(connection, path)
        refuse_newer(number, path)
        if number == 0:
            return Report((note("empty", f"The record {path} is empty."),), 0, 0, 0)
        look = _Look(path, connection)
        try:
            look.over()
        except sqlite3.DatabaseError as error:
            look.found.append(
                problem("damaged", f"The file is damaged, and cannot be read to its end ({error}).")
            )
    return Report(tuple(look.found), len(look.listed), look.events, look.erased)


@dataclass(slots=True)
class _Look:
    """One looking over: what is known so far, and what was found."""

    path: Path
    connection: sqlite3.Connection
    found: list[Finding] = field(default_factory=list)
    listed: dict[str, HeadRow] = field(default_factory=dict)
    heads_at: dict[str, dict[int, str]] = field(default_factory=dict)
    events: int = 0
    erased: int = 0

    def over(self) -> None:
        """Everything, from the file itself to the projections."""
        self.found += _damage(self.connection)
        self.found += _triggers(self.connection)
        key = self._key()
        rows = heads.all_rows(self.connection)
        self.listed = {row.run: row for row in rows}
        self.found += _list(rows, key)
        self.found += self._station(rows, key)
        erasures, told = _erasures(self.connection, key)
        self.found += told
        for row in rows:
            kept = rows_of(self.connection, row.run)
            self.heads_at[row.run] = {one.seq: one.head.hex() for one in kept}
            self.events += len(kept)
            self.erased += sum(one.body is None for one in kept)
            self.found += check_run(kept, row, key, erasures.get(row.run, frozenset()))
        self.found += list(self._unlisted())
        self.found += list(self._second_place())
        self.found += list(self._procedures())
        self.found += list(self._projections())

    def _key(self) -> ChainKey | None:
        """The key, or None and a finding."""
        where = chain.key_path(self.path)
        station = heads.station(self.connection)
        try:
            key = chain.read_key(self.path)
        except JournalTrouble as error:
            self.found.append(problem("key_unreadable", str(error.args[0])))
            return None
        if station is None:
            self.found.append(
                problem("list_altered", "The station's own row is gone: the number of runs is unknown.")
            )
            return None
        if key is None:
            self.found.append(
                problem(
                    "key_missing",
                    f"The key {where} is missing: links cannot be followed, so a record written anew "
                    "would not show. Put the key back from a backup.",
                )
            )
        elif key.fingerprint != station.key_fingerprint:
            self.found.append(
                problem(
                    "key_other",
                    f"The key {where} is not the one this record was begun with: links cannot be "
                    "followed. Put the right key back from a backup.",
                )
            )
            return None
        return key

    def _station(self, rows: list[HeadRow], key: ChainKey | None) -> Iterator[Finding]:
        """Runs gone from the end of the list."""
        station = heads.station(self.connection)
        if station is None:
            return
        if key is not None and station.mac != key.sealed(station.sealing()):
            yield problem("list_altered", "The number of runs kept by the station was altered.")
        last = rows[-1].number if rows else 0
        for number in range(last + 1, station.runs + 1):
            yield problem(
                "run_missing", f"Run number {number} of this station is missing from the end of the list."
            )

    def _unlisted(self) -> Iterator[Finding]:
        """Runs with events that the list does not know."""
        for run, least in self.connection.execute(
            "SELECT run, min(seq) FROM events GROUP BY run ORDER BY run"
        ):
            if run not in self.listed:
                yield problem(
                    "run_not_listed", f"Run {run} has events, but is not in the list of runs.", run, least
                )

    def _second_place(self) -> Iterator[Finding]:
        """The marks beside the record, each against the event it was made after."""
        where = second_place.path_of(self.path)
        read = second_place.read(self.path)
        if read is None:
            if self.listed:
                yield problem(
                    "second_place_missing",
                    f"The second place {where} is missing: whether the end of a run "
                    "was cut off together with its row in the list cannot be seen.",
                )
            return
        for line in read.unreadable:
            yield problem("second_place_altered", f"Line {line} of {where} is not as it was written.")
        for mark in read.marks:
            yield from self._mark(mark)
        written = {(mark.run, mark.count) for mark in read.marks}
        for row in self.listed.values():
            if row.marked and (row.run, row.marked) not in written:
                yield note(
                    "second_place_short",
                    f"Run {row.run}: {where} has no line for event {row.marked}. Lines were cut off there, "
                    "or the station stopped in that very moment.",
                    row.run,
                    row.marked,
                )

    def _mark(self, mark: second_place.Mark) -> Iterator[Finding]:
        run = mark.run
        kept = self.heads_at.get(run, {})
        known = {(finding.run, finding.seq) for finding in self.found}
        if run not in self.listed:
            if (run, None) not in known:
                yield problem(
                    "run_missing",
                    f"Run {run} (number {mark.number}) is missing: it was {mark.why} "
                    f"at {mark.at} with {mark.count} events.",
                    run,
                )
        elif mark.count not in kept:
            if not any(finding.run == run for finding in self.found):
                yield problem(
                    "cut_off",
                    f"Run {run}: the record ends before event {mark.count}, which was there when "
                    f"the run was {mark.why} at {mark.at}.",
                    run,
                    len(kept) + 1,
                )
        elif kept[mark.count] != mark.head and (run, mark.count) not in known:
            yield problem(
                "rewritten",
                f"Run {run}: event {mark.count} is not the one that was there when the run was "
                f"{mark.why} at {mark.at}: the run was written anew, or the line in the second place was "
                "altered.",
                run,
                mark.count,
            )

    def _procedures(self) -> Iterator[Finding]:
        """The kept bytes of procedures against their content hashes."""
        known: set[str] = set()
        for content_hash, source in self.connection.execute("SELECT content_hash, source FROM procedures"):
            known.add(content_hash)
            if hashlib.sha256(source).hexdigest() != content_hash:
                yield problem("procedure_altered", f"The kept procedure {content_hash[:12]} was altered.")
        for run, content_hash in self.connection.execute(
            "SELECT run, content_hash FROM runs WHERE content_hash <> ''"
        ):
            if content_hash not in known:
                yield problem(
                    "procedure_missing",
                    f"Run {run}: the procedure it was opened with, {content_hash[:12]}, "
                    "is not in the record.",
                    run,
                )

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
                replay(self.connection, memory, run)
                yield from _differences(run, dump(memory, run), dump(self.connection, run))
                memory.execute("ROLLBACK")


def _differences(run: str, wanted: Dump, there: Dump) -> Iterator[Finding]:
    """Where the projections of a run are not what its events give."""
    for table in schema.PROJECTED:
        differing = set(wanted[table]) ^ set(there[table])
        for seq in sorted({0 if table == "runs" else int(str(row[1])) for row in differing}):
            at = f" of event {seq}" if seq else ""
            yield problem(
                "projection",
                f"Run {run}: the table {table} does not say what the events say{at}. "
                "Make it again with `sinkside record rebuild`.",
                run,
                seq or None,
            )


def _damage(connection: sqlite3.Connection) -> Iterator[Finding]:
    """What SQLite itself finds wrong with the file."""
    for (line,) in connection.execute("PRAGMA integrity_check(10)"):
        if line != "ok":
            yield problem("damaged", f"The file is damaged: {line}")


def _triggers(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Whether what keeps events append-only is still there."""
    there = dict(connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall())
    for name, statement in schema.EVENT_TRIGGERS.items():
        if there.get(name) != statement:
            yield problem(
                "unguarded", f"The rule {name}, which keeps events as they are, was taken out of the record."
            )


def _list(rows: list[HeadRow], key: ChainKey | None) -> Iterator[Finding]:
    """The list of runs: no number missing, each opening linked to the one before, each row sealed."""
    before, expected = b"", 1
    for row in rows:
        for number in range(expected, row.number):
            yield problem(
                "run_missing", f"Run number {number} of this station is missing from the list of runs."
            )
        whole = expected == row.number
        if key is not None:
            if whole and row.opened != heads.opening(key, before, row.number, row.run):
                yield problem(
                    "list_altered", f"Run {row.run}: its opening in the list of runs was altered.", row.run
                )
            elif row.mac != key.sealed(row.sealing()):
                yield problem(
                    "list_altered", f"Run {row.run}: its row in the list of runs was altered.", row.run
                )
        before, expected = row.opened, row.number + 1


def _erasures(
    connection: sqlite3.Connection, key: ChainKey | None
) -> tuple[dict[str, set[int]], list[Finding]]:
    """By run, which events were erased by a sealed line; and what is wrong with those lines."""
    erased: dict[str, set[int]] = {}
    found: list[Finding] = []
    link, last = b"", 0
    for number, at, run, seqs, mac in connection.execute(
        "SELECT number, at, run, seqs, mac FROM erasures ORDER BY number"
    ):
        entry = Erasure(number, at, run, numbers_in(seqs))
        if key is not None and mac != chain.linked(key.mac, link, entry.encoded()):
            told = f"Run {run}: the line of erasure number {number} is not as it was written."
            found.append(problem("erasure_altered", told, run))
        else:
            erased.setdefault(run, set()).update(entry.seqs)
        link, last = mac, number
    station = heads.station(connection)
    if station is not None and station.erasures != last:
        told = f"{station.erasures} erasures were made, but the record has {last} lines of them."
        found.append(problem("erasure_altered", told))
    return erased, found
