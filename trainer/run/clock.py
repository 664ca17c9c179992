"""The real clock, and RFC 3339 times: UTC, milliseconds, `Z`."""

from __future__ import annotations

import re
import time
import uuid
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from trainer.run.events import Stamp

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
_FORM = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z", re.ASCII)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_FIRST, _LAST = datetime(1, 1, 3, tzinfo=UTC), datetime(9999, 12, 29, tzinfo=UTC)
"""What has a time of day in every zone."""

DISAGREE_MS = 2_000
"""Two clocks that differ by more over the same span do not agree."""


def from_ms(unix_ms: int) -> str:
    """Milliseconds since 1970 as `2026-03-02T09:00:00.000Z` (RFC 3339, section 5.6)."""
    moment = _EPOCH + timedelta(milliseconds=unix_ms)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def to_ms(at: str) -> int:
    """Milliseconds since 1970 of a time in the form that `from_ms` writes. Raises ValueError."""
    if not _FORM.fullmatch(at):
        raise ValueError(f"`{at[:40]}` is not a time like 2026-03-02T09:00:00.000Z.")
    return (datetime.fromisoformat(at) - _EPOCH) // timedelta(milliseconds=1)


def on_the_wall(at: datetime) -> datetime:
    """A moment as the clock on the wall shows it: the record has UTC, people the time of this machine."""
    try:
        return at.astimezone()
    except (OverflowError, OSError, ValueError):  # at an end of the calendar
        return at


def wall_words(at: str, form: str = "%Y-%m-%d %H:%M") -> str:
    """A time of the record as `on_the_wall`, in a form of `strftime`; `?` where it is none."""
    try:
        return on_the_wall(datetime.fromisoformat(at)).strftime(form)
    except ValueError:
        return "?"


def day_begins(day: date, later: int = 0) -> datetime:
    """When a day begins on this machine's wall, UTC, or one so many days `later`; never past the calendar."""
    try:
        begins = datetime(day.year, day.month, day.day) + timedelta(days=later)  # noqa: DTZ001 - of this place
        return begins.astimezone(UTC)
    except (OverflowError, OSError, ValueError):
        return _LAST if day.year > 1 else _FIRST


class SystemClock:
    """Wall time, and a count of milliseconds that goes on while the machine sleeps, where it has one.

    Where it has none, a sleep shows as the wall clock running ahead of the count. The count is then worth
    nothing across that gap, so a new boot id is given out: what was running across it counts as unknown.
    """

    def __init__(self) -> None:
        self._source = getattr(time, "CLOCK_BOOTTIME", None)
        self._boot = _boot_id()
        self._ahead: int | None = None

    def now(self) -> Stamp:
        """The present moment."""
        wall, ticks = time.time_ns() // 1_000_000, self._ticks_ms()
        if self._source is None:
            self._notice_sleep(wall - ticks)
        return Stamp(at=from_ms(wall), boot=self._boot, ticks_ms=ticks)

    def _ticks_ms(self) -> int:
        if self._source is None:
            return time.monotonic_ns() // 1_000_000
        return time.clock_gettime_ns(self._source) // 1_000_000

    def _notice_sleep(self, ahead: int) -> None:
        if self._ahead is not None and ahead - self._ahead > DISAGREE_MS:
            self._boot = str(uuid.uuid4())
        self._ahead = ahead


def _boot_id() -> str:
    """The kernel's id of this boot; a fresh one where it cannot be read, so that nothing seems continuous."""
    try:
        found = _BOOT_ID.read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        found = ""
    return found or str(uuid.uuid4())
