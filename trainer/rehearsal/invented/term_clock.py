"""The clock of a station in an invented term: it stands still until it is told."""

from __future__ import annotations

from trainer.run.clock import from_ms
from trainer.run.events import Stamp


class TermClock:
    """Wall time and ticks that go on together, in whole milliseconds (`run.ports.Clock`)."""

    def __init__(self, at_ms: int, boot: str, since_ms: int) -> None:
        """Stand at `at_ms` (since 1970), switched on at `since_ms`."""
        self.at_ms = at_ms
        self._boot = boot
        self._since_ms = since_ms
        self._stamp: Stamp | None = None

    def now(self) -> Stamp:
        """The moment it was told last."""
        if self._stamp is None:
            self._stamp = Stamp(from_ms(self.at_ms), self._boot, self.at_ms - self._since_ms)
        return self._stamp

    def pass_time(self, seconds: float) -> None:
        """Let time go by."""
        self.at_ms += round(seconds * 1000)
        self._stamp = None
