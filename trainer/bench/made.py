"""The plate that was made: a raster of what is on it, computed from everything that was done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from trainer.bench import coating, development, geometry
from trainer.bench.artwork import Box
from trainer.bench.film import lines_cover, windows_cover
from trainer.bench.light import Part, edges, exposures, parts, together, wedge_units, windows
from trainer.bench.numbers import Mixed
from trainer.bench.plate import Stage, Work
from trainer.bench.plate_fields import Places, Spreader, axes, off_axis
from trainer.bench.raster import Coverage, Grid
from trainer.bench.settings import BenchSettings
from trainer.bench.sink import Sink

BAND: Final = 256
"""A whole plate is made in bands of so many rows."""

_NOTHING: Final = 1e-5
"""A dose that hardens less than this share more is no dose."""


_FINE_ENOUGH: Final = 40.0
"""An edge that is right to this part of a pixel is right."""

Rectangle = tuple[tuple[int, int], tuple[int, int]]
"""Rows and columns, each from the first to before the last."""


@dataclass(frozen=True, slots=True)
class PlateRaster:
    """What is on the plate, pixel by pixel, each 0 to 1; arrays of float32, rows by columns.

    `struck`: how far light has changed the coating. `kept`: the coating still there. `oxidised`: the part
    that is oxidised metal. `blind`: the part that is image and takes no ink. `gum`: how thick it lies, um.
    """

    grid: Grid
    stage: Stage
    struck: Coverage
    kept: Coverage
    oxidised: Coverage
    blind: Coverage
    gum: float


def made(work: Work, grid: Grid, settings: BenchSettings) -> PlateRaster:
    """The plate over a grid. Beyond the plate's edge there is nothing: struck and kept are 0."""
    return _Making(work, settings, grid.size).over(grid)


def banded(work: Work, grid: Grid, settings: BenchSettings, rows: int = BAND) -> Iterator[PlateRaster]:
    """The same plate in bands from the head down, for a grid too large to hold at once."""
    making = _Making(work, settings, grid.size)
    for first in range(0, grid.rows, rows):
        yield making.over(grid.band(first, min(rows, grid.rows - first)))


class _Making:
    """What is the same for every band of a plate."""

    def __init__(self, work: Work, settings: BenchSettings, pixels: int) -> None:
        self.work, self.settings = work, settings
        self.sink = Sink(work, settings)
        self.spreader = Spreader(work.job, self._places, pixels)
        self.burns = tuple((one, edges(one, settings)) for one in exposures(work, settings))

    def _places(self, x: Coverage, y: Coverage) -> Places:
        away, lamp = off_axis(x, y, self.work.job), self.settings.lamp
        return Places(
            x,
            y,
            geometry.fall_off(away, lamp.distance, lamp.kind),
            geometry.tangent(away, lamp.distance),
            self.sink.development(x, y).astype(np.float32) if self.work.treatments else None,
        )

    def over(self, grid: Grid) -> PlateRaster:
        """The plate over one grid."""
        struck, kept = self._coating(grid)
        self._wedge(grid, struck, kept)
        np.clip(kept, 0.0, 1.0, out=kept)
        if self.work.treatments:
            down = self.spreader.over("put down", lambda at: self.sink.put_down(at.x, at.y), grid)
            if np.any(down):
                kept = development.redeposited(kept, down if isinstance(down, np.ndarray) else float(down))
        if self.work.scratches:
            whole = 1.0 - lines_cover(self.work.scratches, grid)
            struck, kept = struck * whole, kept * whole
        on_plate = self._on_plate(grid)
        if on_plate is not None:
            struck, kept = struck * on_plate, kept * on_plate
        oxidised = self.spreader.over("oxidised", lambda at: self.sink.oxidised(at.x, at.y), grid)
        blind = self.spreader.over("blind", lambda at: self.sink.blind(at.x, at.y), grid)
        bare = (1.0 - kept) if on_plate is None else on_plate - kept
        return PlateRaster(grid, self.work.stage, struck, kept, bare * oxidised, kept * blind, self.sink.gum)

    def _coating(self, grid: Grid) -> tuple[Coverage, Coverage]:
        """Coating struck and coating kept, by light and developer alone."""
        pixels = (grid.rows, grid.cols)
        struck, kept = np.zeros(pixels, dtype=np.float32), np.zeros(pixels, dtype=np.float32)
        lit = self._lit(grid)
        if lit != ((0, grid.rows), (0, grid.cols)):
            self._strike(Part(None, 0.0), grid, struck, kept)
        if lit is not None:
            rows, cols = lit
            here = np.s_[rows[0] : rows[1], cols[0] : cols[1]]
            struck[here], kept[here] = 0.0, 0.0
            self._expose(grid.part(rows, cols), struck[here], kept[here])
        return struck, kept

    def _lit(self, grid: Grid) -> Rectangle | None:
        """The rows and columns of the grid that any light may reach, through a window or past a film."""
        if any(not one.burn.mask for one, _ in self.burns):
            return (0, grid.rows), (0, grid.cols)
        boxes = (box for one, _ in self.burns for box in windows(self.work, one.burn))
        touched = [one for one in map(grid.touched, boxes) if one is not None]
        if not touched:
            return None
        rows, cols = zip(*touched, strict=True)
        return _span(rows), _span(cols)

    def _expose(self, grid: Grid, struck: Coverage, kept: Coverage) -> None:
        """Add what all burns together did where light may reach."""
        layers = []
        for place, (one, edge) in enumerate(self.burns):
            # where edges move by about as much all over, a film is drawn once for all
            moved = self.spreader.over(("edge", place), edge, grid, alike=grid.pixel * 1000 / _FINE_ENOUGH)
            layers.append(parts(one, self.work, self.settings, moved, grid))
        for units, area in self._areas(together(layers)).items():
            self._strike(Part(area, units), grid, struck, kept)

    def _strike(self, part: Part, grid: Grid, struck: Coverage, kept: Coverage) -> None:
        """Add what a dose did to a part of each pixel."""
        for what, into in ((self._struck, struck), (self._left, kept)):
            value = self.spreader.over((what.__name__, part.units), partial(what, part.units), grid)
            if np.any(value):
                np.add(into, value if part.area is None else part.area * value, out=into)

    def _areas(self, of: Iterator[Part]) -> dict[float, Coverage | None]:
        """How much of each pixel got which dose. Doses that change nothing (leaks through black) are one."""
        found: dict[float, Coverage | None] = {}
        for part in of:
            units = 0.0 if self._nothing(part.units) else part.units
            before = found.get(units)
            found[units] = part.area if before is None or part.area is None else before + part.area
        return found

    def _nothing(self, units: float) -> bool:
        """Is a dose too small to show, wherever and however it is developed?"""
        fog, how = self.work.fog, self.settings.coating
        return coating.hardened(fog + 3 * units, how) - coating.hardened(fog, how) < _NOTHING

    def _struck(self, units: float, places: Places) -> Mixed:
        return coating.hardened(units * places.lit + self.work.fog, self.settings.coating)

    def _left(self, units: float, places: Places) -> Mixed:
        if places.developed is None:
            return 1.0
        return coating.kept(units * places.lit + self.work.fog, places.developed, self.settings.coating)

    def _wedge(self, grid: Grid, struck: Coverage, kept: Coverage) -> None:
        """Under the wedge each pixel has a dose of its own."""
        box = self.work.job.wedge
        x, y = grid.x() - self.work.punch.dx, grid.y() - self.work.punch.dy
        cols = np.flatnonzero((x >= box.x) & (x < box.x + box.width))
        rows = np.flatnonzero((y >= box.y) & (y < box.y + box.height))
        if not len(cols) or not len(rows):
            return
        part = grid.part((int(rows[0]), int(rows[-1]) + 1), (int(cols[0]), int(cols[-1]) + 1))
        units = wedge_units(self.work, self.settings, part)
        if units is None:
            return
        here = np.s_[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1]
        places = self._places(*axes(part))
        dose = units * places.lit + np.float32(self.work.fog)
        struck[here] = coating.hardened(dose, self.settings.coating)
        if places.developed is not None:
            kept[here] = coating.kept(dose, places.developed, self.settings.coating)

    def _on_plate(self, grid: Grid) -> Coverage | None:
        """1 where there is plate, 0 beyond its edge; None where the grid never leaves it."""
        job, box = self.work.job, grid.box
        if box.x >= 0 and box.y >= 0 and box.x + box.width <= job.width and box.y + box.height <= job.height:
            return None
        return windows_cover((Box(0.0, 0.0, job.width, job.height),), grid)


def _span(of: Iterable[tuple[int, int]]) -> tuple[int, int]:
    """From the first of several spans to the last."""
    firsts, lasts = zip(*of, strict=True)
    return min(firsts), max(lasts)
