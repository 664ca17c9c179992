"""Looking closely at a plate: the wedge, register crosses, specks. From rasters alone, as an eye with a
loupe.

`look` shows the plate over any grid (`partial(made, work, settings=settings)`). What was done to the plate is
not asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from trainer.bench import wedge
from trainer.bench.artwork import CROSS_ARM, Box, Film, Job, Point, cross
from trainer.bench.film import rendered
from trainer.bench.film_place import Placement
from trainer.bench.made import PlateRaster
from trainer.bench.numbers import alike
from trainer.bench.raster import Coverage, Grid
from trainer.bench.register import Fit

Look = Callable[[Grid], PlateRaster]
"""Shows a plate over a grid."""

_FINE: Final = 0.2
"""Crosses are looked for with pixels of so many mm; their middles come out some hundred times finer."""

CROSS_REACH: Final = 10.0
"""A cross is looked for so many mm around its place."""

_HALF: Final = CROSS_ARM + 0.6
"""Half the width of the small raster that a cross is measured on, mm."""

_GROWN: Final = 0.02
"""To know how long a cross's edges are it is drawn with its edges so many mm further out."""

_FAINT: Final = 0.3
_LIKE: Final = 0.55
"""Less coating than this share of a cross, or less like one, is none."""

_STRIDE: Final = 5.0
"""A scratch is looked at every so many mm."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A register cross as it lies on the plate: how far off its place (mm), and how its lines grew.

    `strength`: the coating on its lines against a whole cross. `growth`: um that each edge moved out.
    """

    dx: float
    dy: float
    strength: float
    growth: float


@dataclass(frozen=True, slots=True)
class Lies:
    """How a film's picture lies: its fit on the pins, and what was found at each of its crosses."""

    fit: Fit
    marks: tuple[Mark | None, ...]


def wedge_kept(look: Look, job: Job, shift: Point = (0.0, 0.0)) -> tuple[float, ...] | None:
    """The coating on each of the 21 steps, step 1 first; None where no wedge shows. `shift`: mm off."""
    box = job.wedge
    down = box.height >= box.width
    pixel = (box.height if down else box.width) / (4 * wedge.STEPS)
    inner = box.inset(min(box.width, box.height) / 4)
    x, y = (inner.x, box.y) if down else (box.x, inner.y)
    long = (inner.width, box.height) if down else (box.width, inner.height)
    grid = Grid.over(Box(x + shift[0], y + shift[1], *long), pixel)
    kept = look(grid).kept.mean(axis=1 if down else 0)[: 4 * wedge.STEPS]
    steps = kept.reshape(wedge.STEPS, 4)[:, 1:3].mean(axis=1)
    values = tuple(min(max(float(one), 0.0), 1.0) for one in steps)
    return None if max(values) - min(values) < 0.1 else values


@lru_cache(maxsize=512)
def _cross_picture(off_x: float = 0.0, off_y: float = 0.0, edge: float = 0.0) -> Coverage:
    """A cross, off the middle of its small raster by some mm, its edges `edge` mm further out."""
    count = round(2 * _HALF / _FINE)
    alone = Film("cross", "marks", "", Box(-9.0, -9.0, 18.0, 18.0), "", cross(off_x, off_y))
    grid = Grid(-_HALF, -_HALF, _FINE, count, count)
    return rendered(alone, grid, Placement(0.0, (0.0, 0.0)), edge).cover


def cross_at(look: Look, place: Point) -> Mark | None:
    """The register cross at a place, or near it; None where there is none."""
    count = round(2 * CROSS_REACH / _FINE)
    grid = Grid.around(place[0], place[1], _FINE, count, count)
    kept = look(grid).kept
    picture = _cross_picture()
    row, col = _best(np.clip(kept - np.median(kept), 0.0, None), picture)
    size = picture.shape[0]
    seen = _above(kept[row : row + size, col : col + size], picture)
    if float(seen.sum()) < _FAINT * float(picture.sum()) or alike(seen, picture) < _LIKE:
        return None
    off_x, off_y = _middle(seen)
    # a cross of lines as fine as the pixels is measured a little off: by as much as a drawn one there
    drawn = _cross_picture(round(off_x, 2), round(off_y, 2))
    known_x, known_y = _middle(drawn)
    off_x, off_y = off_x - (known_x - round(off_x, 2)), off_y - (known_y - round(off_y, 2))
    whole = float(drawn.sum())
    more = float(_cross_picture(round(off_x, 2), round(off_y, 2), _GROWN).sum()) - whole
    x = float(grid.x()[col]) - _FINE / 2 + _HALF + off_x
    y = float(grid.y()[row]) - _FINE / 2 + _HALF + off_y
    strength = min(float(seen.sum()) / whole, 1.0)
    growth = (float(seen.sum()) - whole) / more * _GROWN * 1000
    return Mark(x - place[0], y - place[1], strength, growth)


def _middle(seen: Coverage) -> Point:
    """The middle of what is seen on a cross's small raster, mm from the raster's own middle."""
    at = (np.arange(seen.shape[0]) + 0.5) * _FINE - _HALF
    total = float(seen.sum())
    return float((seen.sum(axis=0) * at).sum()) / total, float((seen.sum(axis=1) * at).sum()) / total


def _best(above: Coverage, picture: Coverage) -> tuple[int, int]:
    """Row and column where a picture fits best: the peak of the correlation, by Fourier transforms."""
    shape = (128, 128)
    balanced = picture - picture.mean()
    product = np.fft.rfft2(above, shape) * np.conj(np.fft.rfft2(balanced, shape))
    fits = np.fft.irfft2(product, shape)
    rows, cols = (seen - size + 1 for seen, size in zip(above.shape, picture.shape, strict=True))
    row, col = np.unravel_index(int(np.argmax(fits[:rows, :cols])), (rows, cols))
    return int(row), int(col)


def _above(kept: Coverage, picture: Coverage) -> Coverage:
    """What stands on the lines of a cross over the coating beside them, a plane laid through it: 0 to 1."""
    near = _wider(_wider(picture > 0))
    size = kept.shape[0]
    down, across = np.mgrid[0:size, 0:size] / size
    plane = np.stack((np.ones_like(down), across, down), axis=-1)
    beside = np.linalg.lstsq(plane[~near], kept[~near], rcond=None)[0]
    level = np.clip(plane @ beside, 0.0, 1.0)
    share = np.clip((kept - level) / np.maximum(1.0 - level, 0.05), 0.0, 1.0)
    return np.asarray(np.where(near, share, 0.0), dtype=np.float32)


def _wider(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """A mask and the pixels beside it."""
    wide = np.pad(mask, 1)
    return np.asarray(mask | wide[2:, 1:-1] | wide[:-2, 1:-1] | wide[1:-1, 2:] | wide[1:-1, :-2])


def lies(look: Look, job: Job, film: Film) -> Lies | None:
    """How a film's picture lies, by its crosses; None where fewer than two of them are there."""
    marks = tuple(cross_at(look, place) for place in film.targets)
    there = [(place, mark) for place, mark in zip(film.targets, marks, strict=True) if mark is not None]
    if len(there) < 2:
        return None
    rows, off = [], []
    for (x, y), mark in there:
        right, down = x - job.pin[0], y - job.pin[1]
        rows += [[1.0, 0.0, -down, right], [0.0, 1.0, right, down]]
        off += [mark.dx, mark.dy]
    dx, dy, angle, stretch = np.linalg.lstsq(np.array(rows), np.array(off), rcond=None)[0].tolist()
    return Lies(Fit(dx, dy, angle, stretch), marks)


def speck_prints(look: Look, place: Point, across: float) -> bool:
    """Does a small speck of coating stand on bare metal at a place?"""
    pixel = max(across / 2, 0.05)
    grid = Grid.around(place[0], place[1], pixel, 9, 9)
    kept = look(grid).kept
    around = np.median(np.concatenate((kept[0], kept[-1], kept[1:-1, 0], kept[1:-1, -1])))
    return bool(kept[3:6, 3:6].max() - around > 0.3)


def scratch_shows(look: Look, points: Sequence[Point], width: float) -> float:
    """How many mm of a scratch through the coating run through image: bare in the line, coating beside it."""
    total = 0.0
    for (x0, y0), (x1, y1) in pairwise(points):
        length = float(np.hypot(x1 - x0, y1 - y0))
        count = max(1, int(np.ceil(length / _STRIDE)))
        for place in range(count):
            share = (place + 0.5) / count
            middle = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
            kept = look(Grid.around(*middle, max(width / 2, 0.05), 9, 9)).kept
            if kept.max() > 0.5 and kept[4, 4] < kept.max() / 2:
                total += length / count
    return total
