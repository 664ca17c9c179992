"""The clock, and the form of times."""

from __future__ import annotations

import re
import time
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.run import clock
from trainer.run.clock import SystemClock, day_begins, from_ms, on_the_wall, to_ms, wall_words

LAST_MS = to_ms("9999-12-31T23:59:59.999Z")


def test_time_form_follows_rfc_3339() -> None:
    """A time is written as the `date-time` of RFC 3339, section 5.6, with milliseconds and Z."""
    # Source: RFC 3339 section 5.8, first example, 1985-04-12T23:20:50.52Z (with a third decimal here).
    assert from_ms(482_196_050_520) == "1985-04-12T23:20:50.520Z"
    assert to_ms("1985-04-12T23:20:50.520Z") == 482_196_050_520


def test_uuid_example_time() -> None:
    """The milliseconds of the RFC's UUIDv7 example are the moment that its text names."""
    # Source: learning-records U1, RFC 9562 appendix A.6: 1645557742000 = 2022-02-22T19:22:22Z.
    assert from_ms(1_645_557_742_000) == "2022-02-22T19:22:22.000Z"


@given(st.integers(min_value=0, max_value=LAST_MS))
def test_times_come_back(unix_ms: int) -> None:
    """What is written is read back to the millisecond, and agrees with the standard library."""
    written = from_ms(unix_ms)
    assert to_ms(written) == unix_ms
    assert datetime.fromisoformat(written).astimezone(UTC).timestamp() == pytest.approx(
        unix_ms / 1000, abs=6e-4
    )


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-02T09:00:00Z",
        "2026-03-02 09:00:00.000Z",
        "2026-03-02T09:00:00.000+01:00",
        "2026-13-02T09:00:00.000Z",
        "2026-03-02T09:00:00.000z",
        "٢026-03-02T09:00:00.000Z",
        "",
    ],
)
def test_other_forms_are_refused(text: str) -> None:
    """A time in any other form is refused and not guessed at."""
    with pytest.raises(ValueError, match=r"time|match|month"):
        to_ms(text)


def test_system_clock_goes_on() -> None:
    """The real clock gives the kernel's boot id, a wall time of now, and ticks that do not go back."""
    real = SystemClock()
    first, second = real.now(), real.now()
    assert re.fullmatch(r"[0-9a-f-]{36}", first.boot)
    assert first.boot == second.boot == SystemClock().now().boot
    assert second.ticks_ms >= first.ticks_ms
    assert abs(to_ms(second.at) - time.time() * 1000) < 5_000


def test_ticks_count_boot_time() -> None:
    """Where the machine has a count that goes on in its sleep, that one is used."""
    boottime = time.clock_gettime(time.CLOCK_BOOTTIME)
    assert SystemClock().now().ticks_ms == pytest.approx(boottime * 1000, abs=5_000)


def test_boot_id_that_cannot_be_read(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Without a boot id from the kernel each program has its own, so that nothing seems continuous."""
    monkeypatch.setattr(clock, "_BOOT_ID", tmp_path / "missing")
    assert SystemClock().now().boot != SystemClock().now().boot


def test_sleep_without_boot_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without such a count, a wall clock that ran ahead (a sleep) gives a new boot id."""
    monkeypatch.delattr(time, "CLOCK_BOOTTIME")
    wall, ticks = 1_000_000_000_000_000_000, 5_000_000_000
    monkeypatch.setattr(time, "time_ns", lambda: wall)
    monkeypatch.setattr(time, "monotonic_ns", lambda: ticks)
    real = SystemClock()
    awake = real.now().boot
    wall, ticks = wall + 1_000_000_000, ticks + 1_000_000_000
    assert real.now().boot == awake
    wall -= 7_200_000_000_000
    assert real.now().boot == awake
    wall += 60_000_000_000
    assert real.now().boot != awake


PACIFIC, JAPAN, NEPAL = "PST8PDT,M3.2.0,M11.1.0", "JST-9", "NPT-5:45"
"""Zones as POSIX writes them (IEEE Std 1003.1, 8.3, TZ): no machine needs a table of zones for these."""


@pytest.mark.parametrize(
    ("zone", "at", "wall"),
    [
        (PACIFIC, "2026-03-08T09:59:59.999Z", "2026-03-08 01:59"),  # the second Sunday of March, 2:00 is 3:00
        (PACIFIC, "2026-03-08T10:00:00.000Z", "2026-03-08 03:00"),
        (PACIFIC, "2026-11-27T06:30:00.000Z", "2026-11-26 22:30"),
        (JAPAN, "2026-03-08T15:00:00.000Z", "2026-03-09 00:00"),
        (NEPAL, "2026-03-08T15:00:00.000Z", "2026-03-08 20:45"),
        ("UTC0", "2026-03-08T15:00:00.000Z", "2026-03-08 15:00"),
        (JAPAN, "yesterday", "?"),
        (JAPAN, "", "?"),
    ],
)
def test_times_are_shown_as_on_the_wall(
    zone: str, at: str, wall: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """UTC in the record, the machine's own time for people; what is no time is a question mark."""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    assert wall_words(at) == wall


@pytest.mark.parametrize(
    ("zone", "later", "begins"),
    [
        (PACIFIC, 0, "2026-03-08T08:00:00+00:00"),
        (PACIFIC, 1, "2026-03-09T07:00:00+00:00"),  # that day has 23 hours
        (JAPAN, 0, "2026-03-07T15:00:00+00:00"),
        (NEPAL, 0, "2026-03-07T18:15:00+00:00"),
        ("UTC0", 0, "2026-03-08T00:00:00+00:00"),
    ],
)
def test_a_day_begins_at_midnight_on_the_wall(
    zone: str, later: int, begins: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many hours the day has."""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    assert day_begins(date(2026, 3, 8), later).isoformat() == begins


@pytest.mark.parametrize("zone", [PACIFIC, JAPAN, "UTC0"])
def test_the_ends_of_the_calendar_are_no_trouble(zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever day somebody types, it has a beginning that can be shown and compared."""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    for day, later in ((date.min, 0), (date.min, -30), (date.max, 0), (date.max, 30)):
        begins = day_begins(day, later)
        assert on_the_wall(begins).astimezone(UTC) == begins
    assert on_the_wall(datetime.max.replace(tzinfo=UTC)).year == 9999
    assert on_the_wall(datetime.min.replace(tzinfo=UTC)).year == 1
