"""The real program with a clock that a test sets forward: `python stepped_clock.py OFFSET_FILE ARGUMENT...`.

The file holds seconds that are added to the real clocks, read at each look at the clock. Everything else is
the program as it ships.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

from trainer.cli import main
from trainer.run import clock
from trainer.run.events import Stamp


class SteppedClock(clock.SystemClock):
    """The system's clocks, set forward by what the file says."""

    offset_file = Path()

    def now(self) -> Stamp:
        """The present moment and what has been added to it."""
        real = super().now()
        added_ms = round(float(self.offset_file.read_text(encoding="ascii")) * 1000)
        return replace(
            real,
            at=clock.from_ms(clock.to_ms(real.at) + added_ms),
            ticks_ms=real.ticks_ms + added_ms,
        )


if __name__ == "__main__":
    SteppedClock.offset_file = Path(sys.argv[1])
    with patch.object(clock, "SystemClock", SteppedClock):
        main(sys.argv[2:], prog_name="sinkside")
