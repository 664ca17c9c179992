"""How long to wait before the next try: exponential back-off with full jitter.

After n failures in a row: a random time between nothing and min(longest, first * 2^n). Stations that lost the
server together do not come back together. Source: M. Brooker, "Exponential Backoff And Jitter" (2015), where
of the ways compared this one did the least work.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field

FIRST_SECONDS = 2.0
LONGEST_SECONDS = 300.0
_MOST_DOUBLINGS = 30


@dataclass(slots=True)
class Backoff:
    """Counts failures in a row. draw: gives a number from 0 up to 1, evenly spread. Times: seconds."""

    first: float = FIRST_SECONDS
    longest: float = LONGEST_SECONDS
    draw: Callable[[], float] = field(default=random.random)
    failures: int = 0

    def failed(self) -> float:
        """One more failure; the seconds to wait now."""
        most = min(self.longest, self.first * 2.0 ** min(self.failures, _MOST_DOUBLINGS))
        self.failures += 1
        return self.draw() * most

    def succeeded(self) -> None:
        """From the beginning again."""
        self.failures = 0
