"""The plate of a kept rehearsal as a PNG file."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.bench.made import banded
from trainer.bench.png import written
from trainer.bench.raster import Grid
from trainer.rehearsal.rehearsal import kept_work
from trainer.run.events import PRACTICE, Event, RunOpened
from trainer.run.ports import Trouble


def png_of(events: Sequence[Event], dpi: int) -> bytes:
    """The last plate of a rehearsal, made again from its events, `dpi` pixels an inch. Raises Trouble."""
    opened = events[0].body
    if not isinstance(opened, RunOpened) or not opened.rehearsal or opened.procedure == PRACTICE:
        raise Trouble("That run is no rehearsal: no plate was computed in it. Name one of a rehearsal.")
    work, settings = kept_work(events)
    grid = Grid.at_dpi(work.job.width, work.job.height, float(dpi))
    return written(banded(work, grid, settings), grid)
