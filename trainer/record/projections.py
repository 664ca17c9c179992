"""The tables for reading quickly, worked out event by event; nothing stands in them that events do not say.

They are written in the transaction that keeps the event, and `rebuild` makes the same tables again.
"""

from __future__ import annotations

import json
import sqlite3

from trainer.run import events as e
from trainer.run.events import Event
from trainer.run.frozen import frozen

_Row = tuple[str | int | float | None, ...]
_PLATE = 5
"""Where the plate stands among the columns that start an act's row; stage, step and skill follow it."""


@frozen
class _Where:
    """Where a run stands before an event: the columns that start every act's row, and when the step came."""

    plate: int
    stage: str
    step: str | None
    skill: str | None
    task: str
    shown_boot: str
    shown_ms: int
    rehearsal: int


def project(connection: sqlite3.Connection, event: Event, person: str) -> None:
    """Work one event into the tables. person: who is at work. Inside the transaction that keeps the event."""
    where = _where(connection, event.run)
    if where is None:
        where = _Where(1, "", None, None, "none", "", 0, 0)
        _begin(connection, event, person)
    _follow(connection, event, person)
    act = _act(event, person, where)
    _attempt(connection, event, where, act)
    _value(connection, event, where, act)


def _where(connection: sqlite3.Connection, run: str) -> _Where | None:
    row = connection.execute(
        "SELECT plate, stage, step, skill, task, shown_boot, shown_ms, rehearsal FROM runs WHERE run = ?",
        (run,),
    ).fetchone()
    return None if row is None else _Where(*row)


def _begin(connection: sqlite3.Connection, event: Event, person: str) -> None:
    """The row of a run. Its opening is missing only where the one who opened it was erased."""
    opened = event.body if isinstance(event.body, e.RunOpened) else None
    head: _Row = (event.run, person, "", 0, "", "", 0, "", "", "")
    if opened is not None:
        head = (
            event.run,
            opened.trainee,
            opened.procedure,
            opened.revision,
            opened.content_hash,
            opened.guidance,
            int(opened.rehearsal),
            opened.language,
            opened.job,
            opened.colour,
        )
    at = event.stamp.at
    rest: _Row = (at, at, None, "", None, "none", 1, "", 0, 0, 0, 0, "", "", "", "")
    _insert(connection, "runs", (*head, *rest))


def _follow(connection: sqlite3.Connection, event: Event, person: str) -> None:
    """Keep the run's row up with the event."""
    changes: dict[str, str | int | None] = {"last_at": event.stamp.at, "trainee": person}
    match event.body:
        case e.StepShown() as shown:
            changes |= {"step": event.step, "stage": shown.stage, "skill": shown.skill, "task": shown.task}
            changes |= {
                "plate": shown.plate,
                "shown_boot": event.stamp.boot,
                "shown_ms": event.stamp.ticks_ms,
            }
        case e.PlateSpoiled(plate=plate):
            changes |= {"plate": plate + 1}
        case e.RunHandedOver(to=to):
            changes |= {"trainee": to}
        case e.RunExcused(reason=reason):
            changes |= {"excused": reason or "yes"}
        case e.RunClosed(how=how, reason=reason):
            changes |= {"closed": how, "closed_at": event.stamp.at, "reason": reason}
        case _:
            pass
    counts = (int(isinstance(event.body, e.HintOpened)), int(isinstance(event.body, e.PlateSpoiled)))
    sets = ", ".join(f"{column} = ?" for column in changes)
    update = f"UPDATE runs SET {sets}, events = events + 1, hints = hints + ?, spoiled = spoiled + ?"  # noqa: S608 - our columns
    connection.execute(f"{update} WHERE run = ?", (*changes.values(), *counts, event.run))


def _insert(connection: sqlite3.Connection, table: str, row: _Row) -> None:
    connection.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)  # noqa: S608 - our tables


def _act(event: Event, person: str, where: _Where) -> _Row:
    """The columns that start the row of every act."""
    stands = (where.plate, where.stage, event.step or where.step or "", where.skill)
    return (event.run, event.seq, event.id, event.stamp.at, person, *stands)


def _outcome(event: Event, task: str) -> tuple[str, str] | None:
    """Task and outcome, in a word each, of an event by which a step is tried; None for all others."""
    match event.body:
        case e.HazardAccepted():
            return "hazard", "accepted"
        case e.Confirmed():
            return task, "done"
        case e.WaitEnded(outcome=outcome):
            return "wait", outcome
        case e.ReadingTaken(verdict=verdict):
            return "reading", verdict
        case e.Judged(right=right):
            return "judge", "said" if right is None else _mark(right)
        case e.QuizAnswered(right=right):
            return "quiz", _mark(right)
        case e.SettingChanged():
            return "offer_setting", "taken"
        case e.SignedOff(word=word):
            return "sign_off", word
        case e.NextPicked(right=right):
            return "pick", _mark(right)
        case _:
            return None


def _mark(right: bool) -> str:
    return "right" if right else "wrong"


def _attempt(connection: sqlite3.Connection, event: Event, where: _Where, act: _Row) -> None:
    if isinstance(event.body, e.FaultFound):  # of the act that made it, not of where the run ended
        made = event.body
        act = (*act[:_PLATE], made.plate, "", made.of, made.skill)
        _insert(connection, "attempts", (*act, "fault", made.fault or "unnamed", None))
        return
    found = _outcome(event, where.task)
    if found is None:
        return
    if isinstance(event.body, e.NextPicked):
        act = (*act[:-1], event.body.skill)  # of the act that was to be picked, not of the one just done
    seconds = None
    if where.shown_boot == event.stamp.boot:
        seconds = (event.stamp.ticks_ms - where.shown_ms) / 1000
    _insert(connection, "attempts", (*act, *found, seconds))


def _value(connection: sqlite3.Connection, event: Event, where: _Where, act: _Row) -> None:
    """The row of what the act gave: an answer, a reading or an exposure."""
    row: _Row
    match event.body:
        case e.QuizAnswered(name=name, form=form, answer=answer, right=right):
            row = (*act, name, form, json.dumps(answer, ensure_ascii=False), int(right))
            _insert(connection, "answers", row)
        case e.Judged(name=name, answer=given, right=known):
            row = (
                *act,
                name,
                "judge",
                json.dumps([given], ensure_ascii=False),
                None if known is None else int(known),
            )
            _insert(connection, "answers", row)
        case e.ReadingTaken(
            name=name, value=value, unit=unit, typed=typed, typed_unit=typed_unit, verdict=verdict
        ):
            row = (*act, name, value, unit, typed, typed_unit, verdict)
            _insert(connection, "readings", row)
        case e.WaitEnded(units=units, seconds=seconds, unwatched=unwatched, outcome=outcome) if (
            units is not None
        ):
            row = (*act, where.rehearsal, units, seconds, unwatched, outcome)
            _insert(connection, "exposures", row)
        case _:
            pass
