"""Erasing by age: listed first, then gone for good, the chains still whole."""

from __future__ import annotations

import calendar
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from record_kit import SHORT_RUN, Station, opened, short_run
from tamper_kit import asked

from trainer.cli import main
from trainer.record.people import People
from trainer.record.retention import Share, day_before, erase_too_old, too_old
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.ports import Trouble

DAY = 86_400


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Runs of March, April and June 2026, one of them handed over; an instructor. Not to be changed."""
    made = Station(tmp_path_factory.mktemp("whole"))
    with made.open() as journal:
        People(journal).add("I-1", "Teacher", instructor=True, pin="271828")
        short_run(made, journal, "r1")
        made.clock.pass_time(40 * DAY)
        made.keep(
            journal, "r2", (None, opened("T-02")), SHORT_RUN[0], (None, e.RunHandedOver("T-02", "T-01"))
        )
        made.keep(journal, "r2", *SHORT_RUN[1:4])
        made.clock.pass_time(60 * DAY)
        short_run(made, journal, "r3", "T-03")
    return made.path


@pytest.fixture
def station(whole: Path, tmp_path: Path) -> Station:
    """A copy of it."""
    shutil.copytree(whole.parent, tmp_path / whole.parent.name)
    return Station(tmp_path)


def test_what_is_too_old_is_listed_by_trainee_and_month(station: Station) -> None:
    """Whole runs, by the day of their last act; each person's share of them; nothing is changed."""
    before = station.path.read_bytes()
    with station.open() as journal:
        found = too_old(journal, date(2026, 5, 1))
    assert found.shares == (
        Share("T-01", "2026-03", 1, 19),
        Share("T-01", "2026-04", 1, 3),
        Share("T-02", "2026-04", 1, 3),
    )
    assert (found.runs, found.events, found.people) == (2, 25, ("T-01", "T-02"))
    assert station.path.read_bytes() == before


def test_what_is_too_old_is_erased_and_the_chain_holds(station: Station) -> None:
    """No body, salt, person or row is left of it; what is younger, and instructors, stay."""
    with station.open() as journal:
        erase_too_old(journal, date(2026, 5, 1))
        assert too_old(journal, date(2026, 5, 1)).events == 0
    left = "SELECT DISTINCT run FROM events WHERE body IS NOT NULL OR salt IS NOT NULL OR person <> ''"
    assert asked(station.path, left) == [("r3",)]
    assert asked(station.path, "SELECT code FROM people ORDER BY code") == [("I-1",), ("T-03",)]
    assert asked(station.path, "SELECT run FROM runs") == [("r3",)]
    report = verify(station.path)
    assert (report.ok, report.events, report.erased) == (True, 44, 25)
    for gone in (b"T-01", b"T-02"):
        assert gone not in station.path.read_bytes()


def test_a_day_counts_whole(station: Station) -> None:
    """A run of the very day before which things go stays."""
    last = date.fromisoformat(asked(station.path, "SELECT last_at FROM runs WHERE run = 'r1'")[0][0][:10])
    with station.open() as journal:
        assert too_old(journal, last).runs == 0
        assert too_old(journal, last + timedelta(days=1)).runs == 1


@pytest.mark.parametrize(
    ("age", "today", "day"),
    [
        ("3y", date(2026, 11, 26), date(2023, 11, 26)),
        ("1 year", date(2024, 2, 29), date(2023, 2, 28)),
        ("18 months", date(2026, 11, 26), date(2025, 5, 26)),
        ("1m", date(2026, 3, 31), date(2026, 2, 28)),
        ("26w", date(2026, 11, 26), date(2026, 5, 28)),
        ("90 Days", date(2026, 11, 26), date(2026, 8, 28)),
    ],
)
def test_ages(age: str, today: date, day: date) -> None:
    """Years and months by the calendar; the last day of a shorter month in its place."""
    assert day_before(age, today) == day


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(2, 600))
def test_months_are_those_of_the_calendar(today: date, months: int) -> None:
    """So many months back, on the same day of the month or the last that there is."""
    day = day_before(f"{months}m", today)
    assert (today.year * 12 + today.month) - (day.year * 12 + day.month) == months
    assert day.day == min(today.day, calendar.monthrange(day.year, day.month)[1])


@pytest.mark.parametrize("age", ["", "3", "y", "-3y", "3 fortnights", "9999y", "0y", "29d", "3y 2m"])
def test_what_is_no_age_is_told(age: str) -> None:
    """Nonsense, and ages so short that today's work would go."""
    with pytest.raises(Trouble):
        day_before(age, date(2026, 11, 26))


def test_the_command_only_lists_until_it_is_told_to_erase(station: Station) -> None:
    """Without --yes nothing is changed; with it the same is erased."""
    call = ["record", "--record", str(station.path), "retention", "--older-than", "30d"]
    before = station.path.read_bytes()
    listed = CliRunner().invoke(main, call)
    assert listed.exit_code == 0, listed.output
    assert "T-01       2026-03      1 runs       19 events" in listed.stdout
    assert "Nothing was erased" in listed.stdout
    assert station.path.read_bytes() == before
    erased = CliRunner().invoke(main, [*call, "--yes"])
    assert "Erased: 44 events of 3 runs" in erased.stdout
    assert "Nothing is older" in CliRunner().invoke(main, call).stdout
    assert verify(station.path).ok


def test_no_record_is_made_at_a_mistyped_path(tmp_path: Path) -> None:
    """A sentence, and no file."""
    wrong = tmp_path / "none.db"
    said = CliRunner().invoke(main, ["record", "--record", str(wrong), "retention", "--older-than", "3y"])
    assert said.exit_code == 1
    assert "There is no record" in said.stderr
    assert not wrong.exists()
