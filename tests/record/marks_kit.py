"""Events worked into the tables in memory, and what the run's own rules make of the same events beside it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager

from trainer.procedure.model import Ready
from trainer.record import schema
from trainer.record.projections import Projector
from trainer.run import events as e
from trainer.run.clock import to_ms
from trainer.run.events import Event, Stamp
from trainer.run.readiness import ready
from trainer.run.scoring import score

Rows = list[tuple[object, ...]]


@contextmanager
def worked_in(*runs: Sequence[Event], batch: int = 0) -> Iterator[sqlite3.Connection]:
    """The tables that the events come to; saved after so many events each time, 0: after all of them."""
    with closing(sqlite3.connect(":memory:")) as connection:
        for statement in schema.PROJECTIONS:
            connection.execute(statement)
        for events in runs:
            person = ""
            for start in range(0, len(events), batch or len(events)):
                tables = Projector(connection, events[0].run)
                for event in events[start : start + (batch or len(events))]:
                    person = event.body.trainee if isinstance(event.body, e.RunOpened) else person
                    tables.take(event, person)
                    person = event.body.to if isinstance(event.body, e.RunHandedOver) else person
                tables.save()
        yield connection


def marks_of(connection: sqlite3.Connection, run: str) -> Rows:
    """The marks that the tables have: the event, kind, skill, hit, step, trainee; in order."""
    question = (
        "SELECT seq, mark, skill, hit, step, trainee FROM attempts WHERE mark <> '' AND run = ? ORDER BY seq"
    )
    return connection.execute(question, (run,)).fetchall()


def marks_by_the_rules(events: Sequence[Event]) -> Rows:
    """The same from the run's own scoring."""
    numbers = {event.id: event.seq for event in events}
    marks = score(events).marks
    return [
        (numbers[mark.events[-1]], mark.kind, mark.skill, int(mark.hit), mark.step, mark.trainee)
        for mark in marks
    ]


def why_not(connection: sqlite3.Connection, rule: Ready, run: str, now: Stamp) -> str:
    """Why a run does not count, from the tables alone; empty where it does."""
    return _kind_and_hands(connection, run) or _end_and_plate(connection, rule, run, now)


def _kind_and_hands(connection: sqlite3.Connection, run: str) -> str:
    question = "SELECT rehearsal, guidance, handed, excused FROM runs WHERE run = ?"
    rehearsal, guidance, handed, excused = connection.execute(question, (run,)).fetchone()
    if rehearsal:
        return "a rehearsal, not a wet run"
    if guidance != "solo":
        return f"at guidance {guidance}, not solo"
    if handed:
        return "handed over, so not one trainee's work"
    return f"excused: {excused}" if excused else ""


def _end_and_plate(connection: sqlite3.Connection, rule: Ready, run: str, now: Stamp) -> str:
    question = (
        "SELECT closed, closed_at, runs.reason, hazards_missed, spoiled, how "
        "FROM runs LEFT JOIN plates USING (run, plate) WHERE run = ?"
    )
    closed, closed_at, reason, missed, spoiled, how = connection.execute(question, (run,)).fetchone()
    if closed != "done":
        return f"stopped: {reason}" if closed else "not finished yet"
    age = (to_ms(now.at) - to_ms(closed_at)) / 1000
    if age < -86_400:
        return "closed at a time that is still to come: the station's clock was wrong"
    if age > rule.within.to("s"):
        return "longer ago than the rule allows"
    if rule.hazards == "all" and missed:
        return "a safety prompt was not accepted"
    if rule.plate is None or how == "passed":
        return ""
    if how == "not_yet":
        return "the last look was not passed"
    return "the last plate was not signed off" if spoiled else "no plate was signed off"


def why_not_by_the_rules(rule: Ready, events: Sequence[Event], now: Stamp) -> str:
    """The same from the run's own readiness."""
    opened = events[0].body
    assert isinstance(opened, e.RunOpened)
    return ready(rule, [events], opened.trainee, now).runs[0].why_not
