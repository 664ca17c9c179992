"""Where a run stands between two events: what the tables for reading need to know of the events before.

It is kept in the record (`standing`, and the part of `runs` that moves), so that an act is worked in without
reading the run again.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from operator import attrgetter

from trainer.run.events import PRACTICE, Event, RunOpened, Stamp

_RUNS = (
    *("trainee", "last_at", "closed", "closed_at", "reason", "plate", "hints", "spoiled", "excused"),
    *("handed", "hazards_missed", "events"),
)
_STANDING = (
    *("step", "stage", "skill", "task", "shown_boot", "shown_ms", "visit", "last_boot", "last_ms"),
    *("active_ms", "hesitation_ms", "visit_hints", "visit_slips", "paused", "waiting", "in_window"),
    *("offered", "prompted", "plate_begun", "signed", "word"),
)
_of_runs, _of_standing = attrgetter(*_RUNS), attrgetter(*_STANDING)
_FIXED = ("rehearsal", "procedure")
_LOAD = (
    f"SELECT {', '.join((*_FIXED, *_RUNS, *_STANDING))} FROM runs JOIN standing USING (run) "  # noqa: S608 - our columns
    "WHERE run = ?"
)
_SAVE_RUNS = f"UPDATE runs SET {', '.join(f'{name} = ?' for name in _RUNS)} WHERE run = ?"  # noqa: S608 - the same
_SAVE_STANDING = f"UPDATE standing SET {', '.join(f'{name} = ?' for name in _STANDING)} WHERE run = ?"  # noqa: S608


@dataclass(slots=True)
class Standing:
    """One run, as it stands. Truths are 0 and 1, as the record keeps them.

    step, stage, skill, task, shown: of the step that was shown last. visit: the number of the event that
    showed it, 0 when it is no longer on the screen. last: the event before. active, hesitation: of the visit
    so far; None where not known, or not yet. prompted: a safety prompt is on the screen. plate_begun: the
    greatest number of a plate that was shown. signed, word: the step last signed on this plate, and the word.
    """

    rehearsal: int
    procedure: str
    trainee: str
    last_at: str
    closed: str = ""
    closed_at: str | None = None
    reason: str = ""
    plate: int = 1
    hints: int = 0
    spoiled: int = 0
    excused: str = ""
    handed: int = 0
    hazards_missed: int = 0
    events: int = 0
    step: str | None = None
    stage: str = ""
    skill: str | None = None
    task: str = "none"
    shown_boot: str = ""
    shown_ms: int = 0
    visit: int = 0
    last_boot: str = ""
    last_ms: int = 0
    active_ms: int | None = None
    hesitation_ms: int | None = None
    visit_hints: int = 0
    visit_slips: int = 0
    paused: int = 0
    waiting: int = 0
    in_window: int = 0
    offered: int = 0
    prompted: int = 0
    plate_begun: int = 0
    signed: str = ""
    word: str = ""

    def since_shown(self, stamp: Stamp) -> float | None:
        """Seconds since the step was shown; None where the machine was started again in between."""
        if self.shown_boot != stamp.boot:
            return None
        return (stamp.ticks_ms - self.shown_ms) / 1000

    @property
    def practice(self) -> bool:
        """Whether this is fault practice: pictures of plates, and no plate is made."""
        return self.procedure == PRACTICE


def load(connection: sqlite3.Connection, run: str) -> Standing | None:
    """How a run stands; None for one that is new."""
    row = connection.execute(_LOAD, (run,)).fetchone()
    return None if row is None else Standing(*row)


def begin(connection: sqlite3.Connection, event: Event, person: str) -> Standing:
    """A new run, with its rows. Its opening is missing only where the one who opened it was erased."""
    at = event.stamp.at
    opened = event.body if isinstance(event.body, RunOpened) else None
    if opened is None:
        opened = RunOpened(person, "", 0, "", "full", rehearsal=False, settings={})
        guidance, language = "", ""
    else:
        guidance, language = opened.guidance, opened.language
    now = Standing(int(opened.rehearsal), opened.procedure, opened.trainee, at)
    head = (event.run, opened.trainee, opened.procedure, opened.revision, opened.content_hash, guidance)
    what = (int(opened.rehearsal), opened.station, opened.job, opened.colour, at, at)
    rest = ("", None, "", 1, 0, 0, "", 0, 0, language, 0)
    insert(connection, "runs", (*head, *what, *rest))
    insert(connection, "standing", (event.run, *_of_standing(now)))
    for name, value in opened.settings.items():
        insert(connection, "settings", (event.run, name, value))
    return now


def save(connection: sqlite3.Connection, run: str, now: Standing) -> None:
    """Keep how a run stands. Inside a transaction."""
    connection.execute(_SAVE_RUNS, (*_of_runs(now), run))
    connection.execute(_SAVE_STANDING, (*_of_standing(now), run))


Row = tuple[str | int | float | None, ...]


def insert(connection: sqlite3.Connection, table: str, row: Row) -> None:
    """One more row of a table; in the place of the one that has its key already."""
    places = ", ".join("?" * len(row))
    connection.execute(f"INSERT OR REPLACE INTO {table} VALUES ({places})", row)  # noqa: S608 - our tables
