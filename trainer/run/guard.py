"""How long the keys were left alone, so that no held key passes anything."""

from __future__ import annotations

from trainer.run.clock import to_ms
from trainer.run.events import Stamp
from trainer.run.waits import BENCH_BOOT

GUARD_MS = 400
"""Acts this soon after a new prompt, or after a press that was not taken, are ignored: no held key passes."""


def quiet_ms(since: Stamp, now: Stamp) -> int | None:
    """Milliseconds between two presses; None where the clocks do not tell.

    By the wall clock in a rehearsal, since the bench's time may run fast or stand still.
    """
    if since.boot != now.boot:
        return None
    if not now.boot.startswith(BENCH_BOOT):
        return now.ticks_ms - since.ticks_ms
    wall = to_ms(now.at) - to_ms(since.at)
    return wall if wall >= 0 else None
