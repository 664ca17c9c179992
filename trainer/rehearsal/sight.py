"""What can be seen of a plate: all of it, or what a loupe shows. Plain data for any front end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from trainer.bench import picture
from trainer.bench.artwork import Job
from trainer.bench.made import made
from trainer.bench.measures import Line, Sheet
from trainer.bench.picture import Colours, Run
from trainer.bench.plate import Work
from trainer.bench.raster import Grid
from trainer.bench.settings import BenchSettings

__all__ = [
    "Line",
    "Run",
    "Seen",
    "Sheet",
    "Sight",
    "magnified",
    "whole",
]  # shapes of the bench for the screens

FINEST = 0.002
"""A loupe's smallest pixel, mm: finer than anything on a plate."""


class Seen(Protocol):
    """Whatever has a plate: a rehearsal, a plate with hidden faults."""

    @property
    def job(self) -> Job:
        """The artwork, and the size of the plate."""
        ...

    @property
    def settings(self) -> BenchSettings:
        """The bench's constants."""
        ...

    def work(self) -> Work:
        """What was done to the plate."""
        ...


@dataclass(frozen=True, slots=True)
class Sight:
    """Rows of cells, each two pixels high. left, top: of the first cell, mm on the plate. pixel: mm."""

    rows: tuple[tuple[Run, ...], ...]
    left: float
    top: float
    pixel: float
    cols: int

    @property
    def across(self) -> float:
        """How much of the plate it shows from left to right, mm."""
        return self.cols * self.pixel

    @property
    def down(self) -> float:
        """How much of the plate it shows from top to bottom, mm."""
        return 2 * len(self.rows) * self.pixel


def whole(seen: Seen, cols: int, rows: int, colours: Colours) -> Sight:
    """The whole plate in at most `cols` by `rows` cells."""
    return _sight(seen, picture.whole(seen.job, cols, rows), colours)


def magnified(
    seen: Seen, at: tuple[float, float], *, pixel: float, cells: tuple[int, int], colours: Colours
) -> Sight:
    """What a loupe over the place `at` shows in columns and rows of `cells`. at, pixel (of the picture): mm."""
    cols, rows = cells
    return _sight(seen, Grid.around(*at, max(pixel, FINEST), cols, 2 * rows), colours)


def _sight(seen: Seen, grid: Grid, colours: Colours) -> Sight:
    rows = picture.rows(made(seen.work(), grid, seen.settings), colours)
    return Sight(rows, grid.left, grid.top, grid.pixel, grid.cols)
