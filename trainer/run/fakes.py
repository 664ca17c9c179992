"""The outside of a run without an outside: a clock that is told, records in memory, PINs in the open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trainer.run.clock import from_ms, to_ms
from trainer.run.events import Event, Stamp
from trainer.run.ports import JournalTrouble, PinVerdict


class FakeClock:
    """A clock that stands still until it is told."""

    def __init__(
        self, at: str = "2026-03-02T09:00:00.000Z", boot: str = "boot-1", ticks_ms: int = 1_000_000
    ) -> None:
        self._wall_ms = to_ms(at)
        self._boot = boot
        self._ticks_ms = ticks_ms
        self._boots = 1

    def now(self) -> Stamp:
        """The moment it was told last."""
        return Stamp(at=from_ms(self._wall_ms), boot=self._boot, ticks_ms=self._ticks_ms)

    def pass_time(self, seconds: float) -> None:
        """Let time go by; both clocks go on."""
        self._wall_ms += round(seconds * 1000)
        self._ticks_ms += round(seconds * 1000)

    def jump_wall(self, seconds: float) -> None:
        """Somebody sets the wall clock; the count of ticks knows nothing of it."""
        self._wall_ms += round(seconds * 1000)

    def reboot(self, down_seconds: float = 60.0) -> None:
        """The machine starts again: another boot, ticks from near zero."""
        self._wall_ms += round(down_seconds * 1000)
        self._boots += 1
        self._boot = f"boot-{self._boots}"
        self._ticks_ms = 10_000


class FakeJournal:
    """A journal in memory that holds to the same contract, and can be told to fail."""

    def __init__(self) -> None:
        self.runs: dict[str, list[Event]] = {}
        self._failures = 0

    def fail(self, times: int = 1) -> None:
        """Refuse the next `times` appends."""
        self._failures = times

    def append(self, events: Sequence[Event]) -> None:
        """Keep all or none. Raises JournalTrouble when told to fail, or where seq does not go on."""
        if self._failures:
            self._failures -= 1
            raise JournalTrouble("The record cannot be written: the disk is full. Make room, then try again.")
        if not events:
            return
        kept = self.runs.get(events[0].run, [])
        for place, event in enumerate(events, start=len(kept) + 1):
            if event.run != events[0].run or event.seq != place:
                raise JournalTrouble(f"Event {event.seq} does not follow event {place - 1} in the record.")
        self.runs[events[0].run] = [*kept, *events]

    def events(self, run: str) -> tuple[Event, ...]:
        """All events of a run. Raises JournalTrouble where it is not known."""
        if run not in self.runs:
            raise JournalTrouble(f"There is no run {run} in this record.")
        return tuple(self.runs[run])


class FakeSignOff:
    """Checks PINs against a list in the open."""

    def __init__(self, pins: Mapping[str, str]) -> None:
        self._pins = dict(pins)
        self.tries: list[str] = []
        self.slowed = 0.0
        """Seconds to wait, when tries are slowed down."""

    def check(self, instructor: str, pin: str) -> PinVerdict:
        """Look at one try."""
        self.tries.append(instructor)
        if self.slowed > 0:
            return PinVerdict("too_soon", self.slowed)
        if instructor not in self._pins:
            return PinVerdict("unknown")
        return PinVerdict("right" if self._pins[instructor] == pin else "wrong_pin")
