"""Looking closely at a plate: the wedge, register crosses, specks. From rasters alone, as an eye with a
loupe.

`look` shows the plate over any grid (`partial(made, work, settings=settings)`). What was done to the plate is
not asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import log
from typing import Final

import numpy as np

from trainer.bench import wedge
from trainer.bench.artwork import CROSS_ARM, Box, Film, Job, Point, cross
from trainer.bench.coating import Coating
from trainer.bench.film import rendered
from trainer.bench.film_place import Placement
from trainer.bench.made import PlateRaster
from trainer.bench.raster import Coverage, Grid
from trainer.bench.register import Fit

Look = Callable[[Grid], PlateRaster]
"""Shows a plate over a grid."""

_FINE: Final = 0.2
"""Crosses are looked for with pixels of so many mm; their middles come out some hundred times finer."""

CROSS_REACH: Final = 8.0
"""A cross is looked for so many mm around its place."""

_STRIDE: Final = 5.0
"""A scratch is looked at every so many mm."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A register cross as it lies on the plate: its middle (mm), how far off its place, and how its lines
    grew.

    `strength`: the coating on its lines against a whole cross. `growth`: um that each edge moved out.
    """

    x: float
    y: float
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


def wedge_step(kept: Sequence[float], coating: Coating) -> float:
    """The last solid step, with the part of a step beyond it: where the coating would be just solid.

    Between two steps it is in proportion on the logit of what is kept, which a logistic coating makes
    straight.
    """

    def logit(share: float) -> float:
        held = min(max(share, 1e-6), 1 - 1e-6)
        return log(held / (1 - held))

    wanted = logit(coating.solid_from)
    for place, (solid, after) in enumerate(pairwise(kept), start=1):
        if after < coating.solid_from <= solid:
            return place + (logit(solid) - wanted) / (logit(solid) - logit(after))
    return 0.0 if kept[0] < coating.solid_from else float(len(kept))


@cache
def _cross_picture(half: float, pixel: float, edge: float) -> Coverage:
    """A cross in the middle of a small raster, its edges `edge` mm further out."""
    count = round(2 * half / pixel)
    alone = Film("cross", "marks", "", Box(-2 * half, -2 * half, 4 * half, 4 * half), "", cross(0.0, 0.0))
    return rendered(alone, Grid(-half, -half, pixel, count, count), Placement(0.0, (0.0, 0.0)), edge).cover


def cross_at(look: Look, place: Point) -> Mark | None:
    """The register cross at a place, or near it; None where there is none."""
    count = round(2 * CROSS_REACH / _FINE)
    grid = Grid.around(place[0], place[1], _FINE, count, count)
    kept = look(grid).kept
    above = np.clip(kept - np.median(kept), 0.0, None)
    half = CROSS_ARM + 0.6
    picture = _cross_picture(half, _FINE, 0.0)
    row, col = _best(above, picture)
    size = picture.shape[0]
    seen = above[row : row + size, col : col + size]
    whole = float(picture.sum())
    strength = float(seen.sum()) / whole
    if strength < 0.3:
        return None
    x, y = grid.x()[col : col + size], grid.y()[row : row + size]
    middle_x = float((seen.sum(axis=0) * x).sum() / seen.sum())
    middle_y = float((seen.sum(axis=1) * y).sum() / seen.sum())
    top = max(1.0 - float(np.median(kept)), 1e-6)
    edge = 0.02
    more = float(_cross_picture(half, _FINE, edge).sum()) - whole
    growth = (float(seen.sum()) / top - whole) / more * edge * 1000
    return Mark(middle_x, middle_y, middle_x - place[0], middle_y - place[1], min(strength, 1.0), growth)


def _best(above: Coverage, picture: Coverage) -> tuple[int, int]:
    """Row and column where a picture fits best: the peak of the correlation, by Fourier transforms."""
    shape = (128, 128)
    balanced = picture - picture.mean()
    product = np.fft.rfft2(above, shape) * np.conj(np.fft.rfft2(balanced, shape))
    fits = np.fft.irfft2(product, shape)
    rows, cols = (seen - size + 1 for seen, size in zip(above.shape, picture.shape, strict=True))
    row, col = np.unravel_index(int(np.argmax(fits[:rows, :cols])), (rows, cols))
    return int(row), int(col)


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
