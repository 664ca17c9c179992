"""What changes slowly over the plate (dose, gap, development): worked out at few places, spread over all.

On a small grid each pixel is worked out by itself; on a large one a net of knots is, and pixels lie between.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Final

import numpy as np

from trainer.bench.artwork import Job
from trainer.bench.raster import Coverage, Floats, Grid

Field = Callable[[Floats, Floats], Floats]
"""A value at places: x as a row and y as a column, in mm, give an array of rows by columns."""

AnyField = Callable[[Floats, Floats], Floats | float]
"""A field that gives one number where it is the same all over."""

_SMALL: Final = 16_384
_KNOT: Final = 2.0
"""Knots stand so many mm apart."""

_ALIKE: Final = 1e-4
"""A field that varies by no more than this is one value."""


class Spreader:
    """Spreads fields over grids. What stands at the knots is worked out once for each key."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._x, self._y = _knots(job.width), _knots(job.height)
        self._values: dict[Hashable, Coverage | np.float32] = {}

    def over(self, key: Hashable, field: AnyField, grid: Grid) -> Coverage | np.float32:
        """The field over a grid; one number where it is the same all over. A key stands for one field."""
        if grid.size <= _SMALL:
            return _float32(field(grid.x()[None, :], grid.y()[:, None]))
        if key not in self._values:
            self._values[key] = self._at_knots(field)
        values = self._values[key]
        if isinstance(values, np.float32):
            return values
        rows = _between(values, grid.y(), self._y)
        return np.ascontiguousarray(_between(rows.T, grid.x(), self._x).T)

    def pixels(self, key: Hashable, field: AnyField, grid: Grid) -> Coverage:
        """The field at every pixel of a grid, in an array that may be changed."""
        value = self.over(key, field, grid)
        return np.array(np.broadcast_to(value, (grid.rows, grid.cols)), dtype=np.float32)

    def _at_knots(self, field: AnyField) -> Coverage | np.float32:
        values = _float32(field(self._x[None, :], self._y[:, None]))
        if isinstance(values, np.float32):
            return values
        least, most = values.min(), values.max()
        if most - least <= _ALIKE:
            return np.float32((least + most) / 2)
        return np.asarray(np.broadcast_to(values, (len(self._y), len(self._x))))


def _float32(value: Floats | float) -> Coverage | np.float32:
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


def off_axis(x: Floats, y: Floats, job: Job) -> Floats:
    """How far a place lies from the plate's middle, over which the lamp stands, mm."""
    return np.asarray(np.hypot(x - job.width / 2, y - job.height / 2))
