"""Erasing what is older than it may be kept: whole runs, by the same path as one person's erasure."""

from __future__ import annotations

import calendar
import re
import sqlite3
from datetime import date, timedelta

from trainer.procedure.text import one_line
from trainer.record.erase import erase_events, write_anew
from trainer.record.gone import take_out
from trainer.record.journal import StationJournal
from trainer.record.mistyped import WHOSE
from trainer.run.frozen import frozen
from trainer.run.ports import Trouble

LEAST_DAYS = 30
"""What is younger is work in hand: one person is taken out by `person erase`."""
_AGE = re.compile(r"([0-9]{1,4}) *(d|days?|w|weeks?|m|months?|y|years?)")


@frozen
class Share:
    """What one trainee has in the runs that are too old, by month of their last act (`2023-04`)."""

    trainee: str
    month: str
    runs: int
    events: int


@frozen
class TooOld:
    """What is older than a day: how much of whom, and the trainees listed of whom nothing would be left."""

    before: date
    shares: tuple[Share, ...]
    runs: int
    events: int
    people: tuple[str, ...]


def day_before(age: str, today: date) -> date:
    """The day an age ago: `3y`, `18 months`, `90d`. Raises Trouble."""
    found = _AGE.fullmatch(age.strip().lower())
    if found is None:
        raise Trouble(f"{age[:40]} is no age. Write for instance 3y, 18 months, 26w or 90d.")
    count, unit = int(found[1]), found[2][0]
    try:
        day = _back(today, count, unit)
    except (ValueError, OverflowError) as error:
        raise Trouble(f"{age[:40]} ago is before any calendar. Write a shorter age.") from error
    if (today - day).days < LEAST_DAYS:
        raise Trouble(
            f"Only what is older than {LEAST_DAYS} days is erased by age. To take out one person, see "
            "`sinkside record person erase`."
        )
    return day


def _back(today: date, count: int, unit: str) -> date:
    if unit in "dw":
        return today - timedelta(days=count * (7 if unit == "w" else 1))
    months = today.year * 12 + today.month - 1 - count * (12 if unit == "y" else 1)
    year, month = divmod(months, 12)
    return date(year, month + 1, min(today.day, calendar.monthrange(year, month + 1)[1]))


_SHARES = (
    f"SELECT {WHOSE}, substr(runs.last_at, 1, 7), count(DISTINCT events.run), count(*) FROM events "  # noqa: S608
    "JOIN runs ON runs.run = events.run WHERE runs.last_at < ? AND events.body IS NOT NULL "
    "GROUP BY 1, 2 ORDER BY 1, 2"
)
_SEQS = (
    "SELECT events.run, events.seq FROM events JOIN runs ON runs.run = events.run "
    "WHERE runs.last_at < ? AND events.body IS NOT NULL ORDER BY events.rowid"
)
_PEOPLE = (
    "SELECT code FROM people WHERE role = 'trainee' AND added_at < ?1 AND code NOT IN "  # noqa: S608 - ours
    f"(SELECT {WHOSE} FROM events JOIN runs ON runs.run = events.run "
    "WHERE runs.last_at >= ?1 AND events.body IS NOT NULL) ORDER BY code"
)


def too_old(journal: StationJournal, before: date) -> TooOld:
    """What would be erased: runs whose last act was before a day (UTC). Raises JournalTrouble."""
    with journal.reading() as connection:
        return _too_old(connection, before)


def _too_old(connection: sqlite3.Connection, before: date) -> TooOld:
    day = before.isoformat()
    rows = connection.execute(_SHARES, (day,)).fetchall()
    shares = tuple(
        Share(one_line(person), one_line(month), runs, events) for person, month, runs, events in rows
    )
    counted = connection.execute("SELECT count(*) FROM runs WHERE last_at < ?", (day,))
    runs: int = counted.fetchone()[0]
    people = tuple(one_line(code) for (code,) in connection.execute(_PEOPLE, (day,)))
    return TooOld(before, shares, runs, sum(share.events for share in shares), people)


def erase_too_old(journal: StationJournal, before: date) -> TooOld:
    """Erase it, for good: bodies and salts of all events of those runs, and trainees with nothing left.

    All or nothing, in one transaction; the chains still hold. Raises JournalTrouble.
    """
    day = before.isoformat()
    with journal.changing() as (connection, key, now):
        found = _too_old(connection, before)
        seqs: dict[str, list[int]] = {}
        for run, seq in connection.execute(_SEQS, (day,)):
            seqs.setdefault(run, []).append(seq)
        people = connection.execute(_PEOPLE, (day,)).fetchall()
        if seqs:
            erase_events(connection, key, now, seqs)
        for (code,) in people:
            take_out(connection, key, now, code)
    if seqs or people:
        write_anew(journal, f"What is older than {before} is erased")
    return found
