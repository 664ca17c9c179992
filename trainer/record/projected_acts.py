"""The rows of acts: attempts with their marks, answers, readings, exposures, sign-offs.

A mark stands on an attempt by the rules of `run.scoring`, mark for mark; a test holds the two together.
"""

from __future__ import annotations

import json
import sqlite3

from trainer.record.standing import Row, Standing, insert
from trainer.run import events as e
from trainer.run.events import Event
from trainer.run.fault_events import FaultFound

_STAGE_STEP_SKILL = 5
"""Where stage, step and skill stand in the columns that start an act's row."""
_NO_MARK: Row = ("", None)
_LAST_SHOWN = "SELECT trainee, stage, skill FROM visits WHERE run = ? AND step = ? ORDER BY seq DESC LIMIT 1"
_LAST_WORD = "SELECT max(seq) FROM attempts WHERE run = ? AND plate = ? AND step = ? AND mark = 'sign_off'"
_TAKE_BACK = "UPDATE attempts SET mark = '', hit = NULL WHERE run = ? AND seq = ?"


def take(connection: sqlite3.Connection, event: Event, person: str, now: Standing) -> None:
    """The rows of one event; most have none."""
    act: Row = (
        *(event.run, event.seq, event.stamp.at, person),
        *(now.plate, now.stage, event.step or now.step or "", now.skill),
    )
    match event.body:
        case FaultFound() as found:
            _fault(connection, event, person, found)
        case e.SignedOff() as signed:
            _signed(connection, event, act, signed, now)
        case e.NextOffered():
            now.offered = 1
        case e.WaitBegun(form=form):
            now.in_window = int(form == "window")
        case _:
            tried = _tried(event.body, now)
            if tried is not None:
                if isinstance(event.body, e.NextPicked):
                    act = (*act[:-1], event.body.skill)  # of the act that was to be picked
                    now.offered = 0
                insert(connection, "attempts", (*act, *tried[:2], _seconds(event, now), *tried[2:]))
            _value(connection, event.body, act, now)


def _seconds(event: Event, now: Standing) -> float | None:
    """Since the step was shown; what comes after class has none."""
    return None if now.closed else now.since_shown(event.stamp)


def _tried(body: e.Body, now: Standing) -> Row | None:
    """Task, outcome, mark and hit of an event by which a step is tried; None for all others."""
    match body:
        case e.HazardAccepted():
            return ("hazard", "accepted", *_NO_MARK)
        case e.Confirmed():
            return (now.task, "done", *_NO_MARK)
        case e.WaitEnded(outcome=outcome):
            marked = now.in_window and outcome != "said"
            return ("wait", outcome, *(("window", int(outcome == "on_time")) if marked else _NO_MARK))
        case e.ReadingTaken(verdict=verdict):
            return ("reading", verdict, *(_NO_MARK if verdict == "slip" else ("reading", verdict == "ok")))
        case e.Judged(right=None):
            return ("judge", "said", *_NO_MARK)
        case e.Judged(right=right):
            return ("judge", _word(right=bool(right)), "judge", int(bool(right)))
        case e.QuizAnswered(right=right):
            return ("quiz", _word(right=right), "quiz", int(right))
        case e.SettingChanged():
            return ("offer_setting", "taken", *_NO_MARK)
        case e.NextPicked(right=right):
            return ("pick", _word(right=right), *(("pick", int(right)) if now.offered else _NO_MARK))
        case _:
            return None


def _word(*, right: bool) -> str:
    return "right" if right else "wrong"


def _last_shown(connection: sqlite3.Connection, run: str, step: str) -> tuple[str, str, str | None] | None:
    """Who had a step when it was shown last, its stage and its skill; None where it never was."""
    row: tuple[str, str, str | None] | None = connection.execute(_LAST_SHOWN, (run, step)).fetchone()
    return row


def _fault(connection: sqlite3.Connection, event: Event, person: str, found: FaultFound) -> None:
    """A fault is of the act that made it, and of whoever did that act last; not of where the run ended."""
    trainee, stage, _ = _last_shown(connection, event.run, found.of) or (person, "", None)
    act = (event.run, event.seq, event.stamp.at, trainee, found.plate, stage, found.of, found.skill)
    insert(connection, "attempts", (*act, "fault", found.fault or "unnamed", None, "fault", 0))


def _signed(
    connection: sqlite3.Connection, event: Event, act: Row, signed: e.SignedOff, now: Standing
) -> None:
    """A word is on the step that is signed. One given after class takes the mark of the one before it."""
    shown = _last_shown(connection, event.run, signed.of)
    stage, skill = shown[1:] if shown else (now.stage, None)
    act = (*act[:_STAGE_STEP_SKILL], stage, signed.of, skill)
    if now.closed:
        (last,) = connection.execute(_LAST_WORD, (event.run, now.plate, signed.of)).fetchone()
        connection.execute(_TAKE_BACK, (event.run, last))
    tried = ("sign_off", signed.word, _seconds(event, now), "sign_off", int(signed.word == "passed"))
    insert(connection, "attempts", (*act, *tried))
    insert(connection, "signatures", (*act, signed.by, signed.word, signed.note))


def _value(connection: sqlite3.Connection, body: e.Body, act: Row, now: Standing) -> None:
    """The row of what the act gave: an answer, a reading or an exposure."""
    match body:
        case e.QuizAnswered(name=name, form=form, answer=given, right=right):
            insert(connection, "answers", (*act, name, form, _listed(given), int(right)))
        case e.Judged(name=name, answer=said, right=known):
            right_or_not = None if known is None else int(known)
            insert(connection, "answers", (*act, name, "judge", _listed((said,)), right_or_not))
        case e.ReadingTaken() as read:
            typed = (read.typed, read.typed_unit)
            insert(connection, "readings", (*act, read.name, read.value, read.unit, read.verdict, *typed))
        case e.WaitEnded(units=float() | int() as units) as ended:
            row = (now.rehearsal, units, ended.seconds, ended.unwatched, ended.outcome)
            insert(connection, "exposures", (*act, *row))
        case _:
            pass


def _listed(given: tuple[str, ...]) -> str:
    return json.dumps(given, ensure_ascii=False)
