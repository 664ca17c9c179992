"""What became of each plate: given up, passed, not yet passed, or left at the end without a word."""

from __future__ import annotations

import sqlite3

from trainer.record.standing import Standing
from trainer.run import events as e
from trainer.run.events import Event

_BEGIN = "INSERT OR IGNORE INTO plates VALUES (?, ?, ?, ?, '', '', '', '', NULL)"
_MADE = "UPDATE plates SET passes = ? WHERE run = ? AND plate = ?"
_WORD = "UPDATE plates SET how = ?, at = ?, stage = '', step = '', reason = '' WHERE run = ? AND plate = ?"
_HANDED = "UPDATE plates SET trainee = ? WHERE run = ? AND plate = ?"
_ENDED = (
    "UPDATE plates SET trainee = ?, at = ?, how = ?, stage = ?, step = ?, reason = ? "
    "WHERE run = ? AND plate = ?"
)


def take(connection: sqlite3.Connection, event: Event, person: str, now: Standing) -> None:
    """What one event says of a plate, once `now` has followed it. Practice makes no plates."""
    if now.practice:
        return
    at = event.stamp.at
    match event.body:
        case e.StepShown(plate=plate) if plate > now.plate_begun:
            now.plate_begun = plate
            connection.execute(_BEGIN, (event.run, plate, person, at))
        case e.PlateMade(plate=plate, passes=passes):
            connection.execute(_BEGIN, (event.run, plate, person, at))
            connection.execute(_MADE, (int(passes), event.run, plate))
        case e.RunHandedOver(to=to):
            connection.execute(_HANDED, (to, event.run, now.plate))
        case e.SignedOff() as signed:
            _signed(connection, event, signed, now)
        case e.PlateSpoiled(plate=plate, stage=stage, reason=reason):
            connection.execute(_BEGIN, (event.run, plate, person, at))
            where = (stage, event.step or "", reason)
            connection.execute(_ENDED, (person, at, "spoiled", *where, event.run, plate))
            now.signed = now.word = ""
        case e.RunClosed(how=how, reason=reason):
            left = how == "stopped" and not now.word
            where = (now.stage, event.step or "", reason) if left else ("", "", "")
            connection.execute(_ENDED, (person, at, now.word or how, *where, event.run, now.plate))
        case _:
            pass


def _signed(connection: sqlite3.Connection, event: Event, signed: e.SignedOff, now: Standing) -> None:
    """The word on a plate is the last one on the step that was signed last while the run was open.

    So a word given after class on that step stands for the one before it, and one on another step does not.
    """
    if now.closed and now.signed not in ("", signed.of):
        return
    now.word = signed.word
    if now.closed:
        connection.execute(_WORD, (now.word, event.stamp.at, event.run, now.plate))
    else:
        now.signed = signed.of
