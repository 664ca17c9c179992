"""What was promised against what is kept: the checker that every test of the record under faults uses.

A writer says `intent IDS` before it appends a batch of events, `ack IDS` once the journal has returned, and
`refused IDS` where the journal has raised. Whatever happens to the writer, `wrong_with` must have nothing to
tell afterwards. (To hold a recorded history against the store is how published tests of databases do it.)
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

from trainer.record.verify import verify
from trainer.run.events import Event
from trainer.run.ports import Journal, JournalTrouble

Batch = tuple[str, ...]
"""The ids of events that were appended together."""

Say = Callable[[str], None]


@dataclass
class History:
    """What writers said of batches: to be kept, acknowledged, refused, in doubt (kept or not)."""

    intents: list[Batch] = field(default_factory=list)
    acks: list[Batch] = field(default_factory=list)
    refused: list[Batch] = field(default_factory=list)
    doubts: list[Batch] = field(default_factory=list)

    def hear(self, line: str) -> None:
        """One line of a writer; a last line that a kill cut short says nothing."""
        if line.endswith("\n"):
            word, *ids = line.split()
            said = {"intent": self.intents, "ack": self.acks, "refused": self.refused, "doubt": self.doubts}
            said[word].append(tuple(ids))


class Witness:
    """A journal that says what goes through it. Everything else is the journal's own."""

    def __init__(self, journal: Journal, say: Say) -> None:
        self._journal = journal
        self._say = say

    def append(self, events: Sequence[Event]) -> None:
        """Append, and say so before and after."""
        ids = " ".join(event.id for event in events)
        self._say(f"intent {ids}\n")
        try:
            self.keep(events)
        except JournalTrouble:
            self._say(f"refused {ids}\n")
            raise
        self._say(f"ack {ids}\n")

    def keep(self, events: Sequence[Event]) -> None:
        """The append itself; a sabotaged witness does it otherwise."""
        self._journal.append(events)

    def events(self, run: str) -> Sequence[Event]:
        """All events of a run."""
        return self._journal.events(run)


def wrong_with(record: Path, history: History) -> list[str]:
    """Everything about a record that does not fit what was promised; empty where all holds.

    Acknowledged is kept; kept was intended and not refused; a batch is kept whole or not at all; numbers have
    no gap; bodies, chain, list and second place verify; the tables for reading are the fold of the events.
    """
    return [*_promises(record, history), *_findings(record)]


def _promises(record: Path, history: History) -> Iterator[str]:
    with closing(sqlite3.connect(record)) as connection:
        tables = connection.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'events'").fetchone()
        kept = connection.execute("SELECT run, seq, id FROM events ORDER BY run, seq") if tables[0] else ()
        rows = list(kept)
    ids = {row[2] for row in rows}
    for batch in history.acks:
        if lost := [ident for ident in batch if ident not in ids]:
            yield f"acknowledged and not kept: {len(lost)} of {len(batch)}"
    for batch in history.refused:
        if batch not in history.acks and not ids.isdisjoint(batch):
            yield "refused and kept"
    for batch in history.intents:
        if 0 < sum(ident in ids for ident in batch) < len(batch):
            yield "half a batch is kept"
    if unknown := ids - {ident for batch in history.intents for ident in batch}:
        yield f"kept and never intended: {len(unknown)}"
    for run, of_run in groupby(rows, key=lambda row: str(row[0])):
        seqs = [row[1] for row in of_run]
        if seqs != list(range(1, len(seqs) + 1)):
            yield f"run {run} has a gap"


def _findings(record: Path) -> Iterator[str]:
    # A note may be there: a stop between keeping an event and writing its line in the second place.
    for finding in verify(record).findings:
        if finding.severity == "problem":
            yield f"{finding.code}: {finding.message}"


def summed(history: Iterable[str]) -> History:
    """A history of many lines."""
    whole = History()
    for line in history:
        whole.hear(line)
    return whole
