"""Maps of tiles: to pixels and back, and which tiles lie well inside the masks' windows."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from trainer.bench.artwork import Film, Job
from trainer.bench.film import windows_cover
from trainer.bench.looks_over import TILE, Map, whole_grid
from trainer.bench.raster import Coverage

MARGIN = 5.0
"""A film that lies off its place is cut by its mask so far in, mm, and no edge is judged there."""


def by_pixel(tiles: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """A map of truths, each tile's for all of its pixels."""
    return np.asarray(np.repeat(np.repeat(tiles, TILE, axis=0), TILE, axis=1))


def most(values: Coverage) -> Map:
    """The most in each tile."""
    return np.asarray(_of_tiles(values).max(axis=(1, 3)))


def well_inside(job: Job, films: Sequence[Film]) -> NDArray[np.bool_]:
    """The tiles that lie whole within a window of a film's mask, and away from the window's edges."""
    return _well_inside(job, tuple(film.mask for film in films))


@lru_cache(maxsize=16)
def _well_inside(job: Job, masks: tuple[str, ...]) -> NDArray[np.bool_]:
    grid = whole_grid(job)
    inside = np.zeros((grid.rows // TILE, grid.cols // TILE), dtype=bool)
    for mask in masks:
        windows = [box.inset(MARGIN) for box in job.windows(mask)]
        kept = [box for box in windows if box.width and box.height]
        if kept:
            inside |= _of_tiles(windows_cover(kept, grid)).min(axis=(1, 3)) > 0.99
    return inside


def all_around(tiles: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The tiles whose neighbours are true as they are."""
    padded = np.pad(tiles, 1, constant_values=True)
    rows, cols = tiles.shape
    near = [padded[row : row + rows, col : col + cols] for row in range(3) for col in range(3)]
    return np.asarray(np.logical_and.reduce(near))


def steepness(values: Map) -> Map:
    """By how much a map differs round each tile."""
    padded = np.pad(values, 1, mode="edge")
    rows, cols = values.shape
    near = [padded[row : row + rows, col : col + cols] for row in range(3) for col in range(3)]
    return np.asarray(np.max(near, axis=0) - np.min(near, axis=0))


def above_slope(values: Map, away: Map) -> Map:
    """What stands out of a map that rises evenly with the distance from the plate's middle.

    The rise is fitted twice, the second time without what stood out.
    """
    rest = values
    known = np.isfinite(values)
    for _ in range(2):
        if known.sum() < 10:
            return np.zeros_like(values)
        slope, base = np.polyfit(away[known], values[known], 1)
        rest = values - (base + slope * away)
        known = np.isfinite(values) & (np.abs(rest) < 3 * max(float(np.nanstd(rest[known])), 0.1))
    return np.asarray(rest)


def _of_tiles(values: Coverage) -> Coverage:
    """Pixels by tile: rows of tiles, rows in each, columns of tiles, columns in each."""
    return values.reshape(values.shape[0] // TILE, TILE, values.shape[1] // TILE, TILE)
