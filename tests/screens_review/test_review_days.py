"""Days that an instructor types are days on the wall: of 23 hours too, and at the calendar's ends."""

from __future__ import annotations

import time
from datetime import timedelta

import pytest
from review_desk import StillDesk, hand_glance

from trainer.insight.results import Wanted
from trainer.screens.review import filtering

PACIFIC = "PST8PDT,M3.2.0,M11.1.0"
"""As POSIX writes it (IEEE Std 1003.1, 8.3)."""


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        *((PACIFIC, "2026-03-08", 23), (PACIFIC, "2026-11-01", 25), (PACIFIC, "2026-07-01", 24)),
        *(("UTC0", "2026-03-08", 24), ("JST-9", "2026-03-08", 24)),
    ],
)
def test_one_day_is_that_day_and_is_shown_as_it_was_typed(
    zone: str, day: str, hours: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From it to it: from its midnight to the next."""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    first = filtering.day_typed(day)
    wanted = filtering.with_dates(Wanted(), first, first)
    assert wanted.since is not None
    assert wanted.until is not None
    assert wanted.until - wanted.since == timedelta(hours=hours)
    desk = StillDesk(hand_glance())
    desk.period, desk.wanted = filtering.DATES, wanted
    assert f"from {day} to {day}" in filtering.line(desk)


@pytest.mark.parametrize(("day", "year"), [("0001-01-01", "from 1-"), ("9999-12-31", "from 9999-")])
def test_the_first_and_the_last_day_there_is(day: str, year: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """They are taken, and shown as some day."""
    for zone in (PACIFIC, "JST-9"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        first = filtering.day_typed(day)
        desk = StillDesk(hand_glance())
        desk.period, desk.wanted = filtering.DATES, filtering.with_dates(Wanted(), first, first)
        assert year in filtering.line(desk)
