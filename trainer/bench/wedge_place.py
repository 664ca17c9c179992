"""Where the wedge came to lie on the plate. It is laid in at the pins, so it goes where the punching went."""

from __future__ import annotations

from typing import Final

import numpy as np

from trainer.bench import wedge
from trainer.bench.artwork import Box, Job, Point
from trainer.bench.looks import Look
from trainer.bench.raster import Coverage, Grid

_PIXEL: Final = 0.25
_REACH: Final = 6.0
_FIRST: Final = 3
"""The wedge's first steps are solid on any plate that is worth looking at."""


def wedge_shift(look: Look, job: Job) -> Point | None:
    """How far (mm, in x and y) the wedge lies off its place; None where it is not to be seen."""
    box = job.wedge
    down = box.height >= box.width
    step = (box.height if down else box.width) / wedge.STEPS
    across = box.width if down else box.height
    long, wide = _FIRST * step, across
    area = (
        Box(box.x - _REACH, box.y - _REACH, wide + 2 * _REACH, long + _REACH)
        if down
        else Box(box.x - _REACH, box.y - _REACH, long + _REACH, wide + 2 * _REACH)
    )
    grid = Grid.over(area, _PIXEL)
    kept = look(grid).kept
    along, over = (kept.mean(axis=1), kept) if down else (kept.mean(axis=0), kept.T)
    start = _rise(along, float(wide / (wide + 2 * _REACH)))
    if start is None:
        return None
    solid = over[int(start) + 4 :].mean(axis=0)
    level = float(np.median(solid[:8]))
    weight = np.clip(solid - level - 0.2, 0.0, None)
    if float(weight.sum()) * _PIXEL < 0.3 * wide * 0.7:
        return None
    middle = (
        float((weight * (np.arange(len(weight)) + 0.5)).sum() / weight.sum()) * _PIXEL - _REACH - wide / 2
    )
    begins = start * _PIXEL - _REACH
    return (middle, begins) if down else (begins, middle)


def _rise(profile: Coverage, full: float) -> float | None:
    """Where a profile rises to the wedge's first step: the place, in pixels, that halves the rise."""
    low = float(np.median(profile[:8]))
    top = float(np.median(profile[-12:]))
    if top - low < 0.5 * full:
        return None
    half = (low + top) / 2
    over = int(np.argmax(profile > half))
    if over == 0:
        return None
    before, after = float(profile[over - 1]), float(profile[over])
    return over - 1 + (half - before) / (after - before) + 0.5
