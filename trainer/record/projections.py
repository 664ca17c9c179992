"""The tables for reading quickly, worked out event by event; nothing stands in them that events do not say.

They are written in the transaction that keeps the event, and `rebuild` makes the same tables again.
"""

from __future__ import annotations

import sqlite3

from trainer.record import projected_acts, projected_plates, schema, standing
from trainer.record.projected_visits import begin_visit, end_visit, pass_time, save_visit
from trainer.record.standing import Standing
from trainer.run import events as e
from trainer.run.events import Event
from trainer.run.ports import JournalTrouble


class Projector:
    """Works the events of one run into the tables, in order: `take` each, then `save` once.

    Inside the transaction that keeps the events. It may be used for the next transaction too, as long as this
    one was kept and nobody else changed the tables.
    """

    def __init__(self, connection: sqlite3.Connection, run: str) -> None:
        self.connection = connection
        self._run = run
        self._now = standing.load(connection, run)

    @property
    def person(self) -> str:
        """Who is at work; empty in a run that is new."""
        return "" if self._now is None else self._now.trainee

    def take(self, event: Event, person: str) -> None:
        """One more event. person: who was at work."""
        try:
            if self._now is None:
                self._now = standing.begin(self.connection, event, person)
            now = self._now
            pass_time(now, event, person)
            projected_acts.take(self.connection, event, person, now)
            _follow(self.connection, event, person, now)
            projected_plates.take(self.connection, event, person, now)
            if isinstance(event.body, e.CodeMistyped):
                _put_down_to(self.connection, event.run, event.body.to)
                now.trainee = event.body.to
            now.events += 1
        except OverflowError as error:
            raise _past_counting(self._run, error) from error

    def save(self) -> None:
        """What was taken since the beginning is in the tables from here on."""
        if self._now is None:
            return
        try:
            save_visit(self.connection, self._run, self._now)
            standing.save(self.connection, self._run, self._now)
        except OverflowError as error:
            raise _past_counting(self._run, error) from error


def _past_counting(run: str, error: OverflowError) -> JournalTrouble:
    """Where somebody made a count the greatest number there is, one more does not fit: a sentence says so."""
    return JournalTrouble(
        f"The tables for reading hold of run {run} what was never written there ({error}). Nothing was "
        "kept. Make them again with `sinkside record rebuild`."
    )


def _put_down_to(connection: sqlite3.Connection, run: str, trainee: str) -> None:
    """All that is told of a run so far is somebody else's; what `runs` says is saved with the rest."""
    for table in schema.OF_TRAINEES:
        connection.execute(f"UPDATE {table} SET trainee = ? WHERE run = ?", (trainee, run))  # noqa: S608


def _follow(connection: sqlite3.Connection, event: Event, person: str, now: Standing) -> None:
    """Keep up with where the run stands. What comes after class moves neither its end nor its people."""
    if not now.closed:
        now.last_at, now.trainee = event.stamp.at, person
    match event.body:
        case e.StepShown() as shown:
            begin_visit(connection, event, shown, person, now)
            now.plate = shown.plate
        case e.Moved(why=why):
            end_visit(connection, event, why, now)
        case e.HintOpened():
            now.hints += 1
        case e.HazardAccepted():
            now.prompted = 0
        case e.PlateSpoiled(plate=plate):
            now.plate, now.spoiled = plate + 1, now.spoiled + 1
        case e.RunHandedOver(to=to):
            now.trainee, now.handed = to, 1
        case e.RunExcused(reason=reason):
            now.excused = reason or "yes"
        case e.RunClosed(how=how, reason=reason):
            end_visit(connection, event, "closed", now)
            now.hazards_missed += now.prompted
            now.prompted = 0
            now.closed, now.closed_at, now.reason = how, event.stamp.at, reason
        case _:
            pass
