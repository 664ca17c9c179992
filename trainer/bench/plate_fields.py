"""What changes slowly over the plate (dose, gap, development): worked out at few places, spread over all.

On a small grid each pixel is worked out by itself; on a large one a net of knots is, and pixels lie between.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Final

import numpy as np

from trainer.bench.artwork import Job
from trainer.bench.numbers import Mixed, N, same
from trainer.bench.raster import Coverage, Floats, Grid


@dataclass(frozen=True, slots=True)
class Places:
    """Places on a plate and what every field wants of them: rows by columns, of float32.

    `x` is one row and `y` one column, in mm. `lit`: the light there against that at the plate's middle.
    `angle`: the tangent at which it comes in. `developed`: how far each is developed; None before that.
    """

    x: Coverage
    y: Coverage
    lit: Coverage
    angle: Coverage
    developed: Coverage | None


Field = Callable[[Places], Mixed]
"""A value for each of some places, or one number where it is the same all over."""

_SMALL: Final = 16_384
_KNOT: Final = 2.0
"""Knots stand so many mm apart."""

_ALIKE: Final = 1e-4
"""A field that varies by no more than this is one value."""


class Spreader:
    """Spreads fields over grids. What stands at the knots is worked out once for each key.

    `places` says what fields want of places. `pixels`: how many the whole picture has, bands or not.
    """

    def __init__(self, job: Job, places: Callable[[Coverage, Coverage], Places], pixels: int) -> None:
        self._by_knots = pixels > _SMALL
        self._x, self._y = _knots(job.width), _knots(job.height)
        self._places = places
        self._knots: Places | None = None
        self._lately: dict[Grid, Places] = {}
        self._values: dict[Hashable, Coverage | np.float32] = {}

    def over(self, key: Hashable, field: Field, grid: Grid, alike: float = _ALIKE) -> Coverage | np.float32:
        """The field over a grid. A key stands for one field.

        One number where the field varies over a large picture by no more than `alike`.
        """
        if not self._by_knots:
            return _float32(field(self.at(grid)))
        if key not in self._values:
            self._values[key] = self._at_knots(field, alike)
        values = self._values[key]
        if isinstance(values, np.float32):
            return values
        rows = _between(values, grid.y(), self._y)
        return np.ascontiguousarray(_between(rows.T, grid.x(), self._x).T)

    def at(self, grid: Grid) -> Places:
        """The places of a grid's pixels; those of the last two grids are kept."""
        if grid not in self._lately:
            self._lately = {**dict(list(self._lately.items())[-1:]), grid: self._places(*axes(grid))}
        return self._lately[grid]

    def _at_knots(self, field: Field, alike: float) -> Coverage | np.float32:
        if self._knots is None:
            self._knots = self._places(*_row_and_column(self._x, self._y))
        values = _float32(field(self._knots))
        if isinstance(values, np.float32):
            return values
        least, most = values.min(), values.max()
        if most - least <= alike:
            return np.float32((least + most) / 2)
        return np.asarray(np.broadcast_to(values, (len(self._y), len(self._x))))


def axes(grid: Grid) -> tuple[Coverage, Coverage]:
    """The middles of a grid's columns, as one row, and of its rows, as one column, mm."""
    return _row_and_column(grid.x(), grid.y())


def _row_and_column(x: Floats, y: Floats) -> tuple[Coverage, Coverage]:
    return x.astype(np.float32)[None, :], y.astype(np.float32)[:, None]


def _float32(value: Mixed) -> Coverage | np.float32:
    return value.astype(np.float32) if isinstance(value, np.ndarray) else np.float32(value)


def _knots(length: float) -> Floats:
    return np.linspace(0.0, length, max(2, round(length / _KNOT) + 1))


def _between(values: Coverage, places: Floats, knots: Floats) -> Coverage:
    """Values at places that lie between knots, along the first axis. Outside the plate its edge counts."""
    at = np.clip((places - knots[0]) / (knots[1] - knots[0]), 0.0, len(knots) - 1.0)
    low = np.minimum(at.astype(int), len(knots) - 2)
    share = (at - low).astype(np.float32)[:, None]
    found = np.diff(values, axis=0)[low]
    found *= share
    found += values[low]
    return np.asarray(found)


def off_axis(x: N, y: N, job: Job) -> N:
    """How far a place lies from the plate's middle, over which the lamp stands, mm."""
    return same(np.hypot(x - job.width / 2, y - job.height / 2), x)
