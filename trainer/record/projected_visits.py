"""Showings of a step, and how long each took: on the screen, at work, before the first act.

Time at work is time on the screen without pauses, without the time that nobody watched since the program was
down, and without the time that a wait ran.
"""

from __future__ import annotations

import sqlite3

from trainer.record.standing import Row, Standing, insert
from trainer.run import events as e
from trainer.run.events import Event
from trainer.run.fault_events import PracticeMeasured

_ACTS = (
    *(e.HintOpened, e.HazardAccepted, e.Confirmed, e.WaitBegun, e.WaitEnded, e.ReadingTaken, e.Judged),
    *(e.QuizAnswered, e.BenchSet, e.PlateSpoiled, PracticeMeasured),
)
"""What a trainee does at a step. An instructor's word is none, nor is what the program adds itself."""

_SAVE = (
    "UPDATE visits SET ended = ?, seconds = ?, active = ?, hesitation = ?, hints = ?, slips = ? "
    "WHERE run = ? AND seq = ?"
)


def pass_time(now: Standing, event: Event, person: str) -> None:
    """Count the time since the event before, and what the event itself is to the visit at hand."""
    body, stamp = event.body, event.stamp
    if now.visit:
        unwatched = isinstance(body, e.Resumed) and body.after == "restart"
        if not (now.paused or now.waiting or unwatched) and now.active_ms is not None:
            known = stamp.boot == now.last_boot
            now.active_ms = now.active_ms + max(0, stamp.ticks_ms - now.last_ms) if known else None
        if now.hesitation_ms is None and _is_act(body, person):
            now.hesitation_ms = now.active_ms
        _count(now, body)
    now.last_boot, now.last_ms = stamp.boot, stamp.ticks_ms


def _is_act(body: e.Body, person: str) -> bool:
    return isinstance(body, _ACTS) or (isinstance(body, e.NoteAdded) and body.by == person)


def _count(now: Standing, body: e.Body) -> None:
    match body:
        case e.HintOpened():
            now.visit_hints += 1
        case e.ReadingTaken(verdict="slip"):
            now.visit_slips += 1
        case e.Paused():
            now.paused = 1
        case e.Resumed():
            now.paused = 0
        case e.WaitBegun():
            now.waiting = 1
        case e.WaitEnded():
            now.waiting = 0
        case _:
            pass


def begin_visit(
    connection: sqlite3.Connection, event: Event, shown: e.StepShown, person: str, now: Standing
) -> None:
    """A step comes on the screen."""
    if now.visit:  # the same step anew, or another where nothing said that the run moved on
        end_visit(connection, event, "again" if event.step == now.step else "guard", now)
    now.hazards_missed += now.prompted
    now.prompted = int(shown.task == "hazard")
    now.step, now.stage, now.skill, now.task = event.step, shown.stage, shown.skill, shown.task
    now.shown_boot, now.shown_ms = event.stamp.boot, event.stamp.ticks_ms
    now.visit, now.active_ms, now.hesitation_ms = event.seq, 0, None
    now.visit_hints, now.visit_slips, now.paused, now.waiting = 0, 0, 0, 0
    where: Row = (event.run, event.seq, event.stamp.at, person, shown.plate, shown.stage, event.step or "")
    what: Row = (shown.skill, shown.task, shown.visit, "", None, None, None, 0, 0)
    insert(connection, "visits", (*where, *what))


def end_visit(connection: sqlite3.Connection, event: Event, ended: str, now: Standing) -> None:
    """The step at hand is left; nothing where none is on the screen."""
    if not now.visit:
        return
    active = None if now.active_ms is None else now.active_ms / 1000
    _write(connection, event.run, now, (ended, now.since_shown(event.stamp), active))
    now.visit, now.active_ms, now.hesitation_ms = 0, None, None


def save_visit(connection: sqlite3.Connection, run: str, now: Standing) -> None:
    """Keep what is known so far of the visit at hand; how long it takes is known at its end."""
    if now.visit and (now.hesitation_ms is not None or now.visit_hints or now.visit_slips):
        _write(connection, run, now, ("", None, None))


def _write(connection: sqlite3.Connection, run: str, now: Standing, ended: Row) -> None:
    hesitation = None if now.hesitation_ms is None else now.hesitation_ms / 1000
    connection.execute(_SAVE, (*ended, hesitation, now.visit_hints, now.visit_slips, run, now.visit))
