"""The clock, and the form of times."""

from __future__ import annotations

import re
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.run import clock
from trainer.run.clock import SystemClock, from_ms, to_ms

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
