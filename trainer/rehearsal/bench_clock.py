"""The clock of a rehearsal: the bench's time, which runs fast, stands still, or goes on at once."""

from __future__ import annotations

from trainer.run.events import Stamp
from trainer.run.ports import Clock
from trainer.run.waits import BENCH_BOOT

LONGEST_GAP = 30.0
"""A machine that was asleep, or a program that was held up, for longer: the bench stood still meanwhile."""


class BenchClock:
    """Bench time over a clock of the world outside, whose wall time goes into every stamp.

    rate: how many bench seconds go by in a second outside; 0 stands still.
    """

    def __init__(
        self, outside: Clock, run: str, ticks_ms: int = 0, longest_gap: float | None = LONGEST_GAP
    ) -> None:
        self._outside = outside
        self._boot = f"{BENCH_BOOT}{run}"
        self._ms = float(ticks_ms)
        self._longest_ms = None if longest_gap is None else longest_gap * 1000
        self._seen = outside.now()
        self._rate = 1.0

    @property
    def rate(self) -> float:
        """Bench seconds in a second outside."""
        return self._rate

    @rate.setter
    def rate(self, rate: float) -> None:
        if rate == self._rate:
            return
        self.now()  # what has gone by until now went by at the old rate
        self._rate = rate

    def now(self) -> Stamp:
        """The present moment at the bench."""
        outside = self._outside.now()
        if outside.boot == self._seen.boot:
            gone = max(0, outside.ticks_ms - self._seen.ticks_ms)
            self._ms += self._rate * (gone if self._longest_ms is None else min(gone, self._longest_ms))
        self._seen = outside
        return Stamp(at=outside.at, boot=self._boot, ticks_ms=round(self._ms))

    def pass_time(self, seconds: float) -> None:
        """Let bench time go on at once."""
        self.now()
        self._ms += seconds * 1000
