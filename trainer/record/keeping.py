"""Events written into the record: what of them is new, their links, projections, people and marks."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Sequence

from trainer.record import chain, people_rows, second_place
from trainer.record.heads import HeadRow
from trainer.record.projections import Projector
from trainer.run.events import CodeMistyped, Event, RunClosed, RunExcused, RunHandedOver, RunOpened, SignedOff
from trainer.run.frozen import replace
from trainer.run.ports import JournalTrouble, LeaseLost

_MARKED = {
    RunOpened: "opened",
    SignedOff: "signed",
    RunClosed: "closed",
    RunExcused: "excused",
    CodeMistyped: "corrected",
}
"""After which events count and head go into the second place, and the word for it there."""


class OutOfStep(LeaseLost):
    """The record holds of a run something else than was appended: the run must be read again.

    For instance a disk that failed just as an act was kept, and kept it after all. A lease lost to oneself:
    front ends leave the run, which can be taken up again.
    """


def one_run(events: Sequence[Event]) -> str:
    """The run that all of them are of. Raises JournalTrouble where they are not one after the other."""
    run = events[0].run
    for place, event in enumerate(events):
        if event.run != run or event.seq != events[0].seq + place:
            raise JournalTrouble(
                f"Event {event.seq} of run {event.run} does not follow event {events[0].seq + place - 1} "
                f"of run {run}. Nothing was kept."
            )
    return run


def not_yet_kept(
    connection: sqlite3.Connection, row: HeadRow, events: Sequence[Event], texts: Sequence[str]
) -> list[tuple[Event, str]]:
    """What of `events` is new. Raises OutOfStep for a gap, or where another event has its place."""
    first = events[0].seq
    if first > row.count + 1 or first < 1:
        raise OutOfStep(
            f"Event {first} of run {row.run} does not follow what is kept: the record ends with event "
            f"{row.count}. Nothing was kept; take the run up again."
        )
    if first == row.count + 1:
        return list(zip(events, texts, strict=True))
    kept = connection.execute(
        "SELECT body FROM events WHERE run = ? AND seq BETWEEN ? AND ? ORDER BY seq",
        (row.run, first, events[-1].seq),
    ).fetchall()
    for event, text, (body,) in zip(events, texts, kept, strict=False):
        if body != text:
            raise OutOfStep(
                f"Event {event.seq} of run {row.run} is in the record already, and is another one: the disk "
                "may have failed just as your last act was kept. Nothing more was kept from here: take the "
                "run up again, it goes on behind that act."
            )
    return list(zip(events, texts, strict=True))[len(kept) :]


def keep(
    key: chain.ChainKey, row: HeadRow, tables: Projector, fresh: Sequence[tuple[Event, str]], now: str
) -> tuple[HeadRow, list[second_place.Mark]]:
    """Write new events, their links, their projections and their people; the run's new head and its marks.

    tables: of the run, as it stands.
    """
    connection = tables.connection
    marks: list[second_place.Mark] = []
    person, head, marked = tables.person, row.head, row.marked
    for event, text in fresh:
        salt = os.urandom(chain.SALT_BYTES)
        header = chain.Header(event.seq, event.id, now, chain.digest_of(salt, text.encode()))
        head = chain.linked(key.mac, head, header.encoded())
        if isinstance(event.body, RunOpened):
            person = event.body.trainee
            people_rows.ensure_trainee(connection, person, now)
        connection.execute(
            "INSERT INTO events (run, seq, id, stored, digest, head, person, salt, body) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (event.run, event.seq, event.id, now, header.digest, head, person, salt, text),
        )
        tables.take(event, person)
        if isinstance(event.body, RunHandedOver | CodeMistyped):
            person = event.body.to
            people_rows.ensure_trainee(connection, person, now)
        if why := _MARKED.get(type(event.body)):
            marked = event.seq
            marks.append(second_place.Mark(now, why, row.number, row.run, event.seq, head.hex()))
    tables.save()
    count = fresh[-1][0].seq if fresh else row.count
    return replace(row, count=count, head=head, marked=marked), marks
