"""How coating is left over the background: evenly, in a corner, round a pool, in islands or as a veil."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from trainer.bench import looks_over
from trainer.bench.artwork import Film, Job
from trainer.bench.looks_over import Map
from trainer.bench.measures import Inspection

Pattern = Literal["clean", "even", "corner", "pool", "islands", "veil"]

LEFT: Final = 0.01
"""Less coating than this on bare metal is no tint."""

_WHOLE: Final = 0.5
_SPREAD: Final = 0.012
_READABLE: Final = 0.35


@dataclass(frozen=True, eq=False)
class Tinted:
    """The background of a plate.

    `filled`: coating on bare metal tile by tile, with what lies under image taken from beside it. `level`:
    what
    lies everywhere, under any pattern. `spread`: from the tenth part that has least to the tenth that has
    most.
    `border`: is there solid coating along the plate's edges and nowhere else? `edge`: the tiles along them.
    """

    filled: Map
    level: float
    spread: float
    pattern: Pattern
    border: bool
    edge: NDArray[np.bool_]

    @property
    def uneven(self) -> bool:
        """Does the tint change so much over the plate that wedge and crosses cannot be trusted?"""
        return self.pattern in {"pool", "islands", "veil"}

    @property
    def readable(self) -> float:
        """The share of the plate on which it can be made out what stands there."""
        return float((self.filled < _READABLE).mean())


def tinted(inspection: Inspection) -> Tinted:
    """How coating is left on an inspected plate, whatever image is on it."""
    job = inspection.job
    tiles = looks_over.background(inspection.plate, _bare_of_all(job, inspection.films))
    x, y = looks_over.tile_middles(job)
    edge = _edge(inspection, x, y)
    inner = np.where(edge, np.nan, tiles)
    if np.isnan(inner).all():
        return Tinted(np.zeros_like(tiles), 0.0, 0.0, "clean", border=False, edge=edge)
    border = _border(tiles, inner, edge)
    least, middle, most = (float(one) for one in np.nanpercentile(inner, (5, 50, 90)))
    pattern = _pattern(inner, (least, middle, most), x, y)
    level = middle if pattern in {"clean", "even"} else least
    return Tinted(_filled(inner if border else tiles), level, most - least, pattern, border, edge)


def _bare_of_all(job: Job, films: Sequence[Film]) -> looks_over.Meant:
    """What is bare whichever image film was burned, and whichever way round."""
    marks = tuple(film for film in films if film.kind == "marks")
    every = [
        looks_over.meant(job, (film, *marks), looks_over.Lying(mirror=mirror))
        for film in job.image_films() or films
        for mirror in (False, True)
    ]
    bare = np.logical_and.reduce([one.bare for one in every])
    return replace(every[0], bare=bare)


def _edge(inspection: Inspection, x: Map, y: Map) -> NDArray[np.bool_]:
    """The tiles beyond every film's sheet, which nothing but a mask covers."""
    sheets = [film.sheet for film in inspection.films]
    if not sheets:
        return np.zeros((len(y), len(x)), dtype=bool)
    left, top = min(sheet.x for sheet in sheets), min(sheet.y for sheet in sheets)
    right = max(sheet.x + sheet.width for sheet in sheets)
    low = max(sheet.y + sheet.height for sheet in sheets)
    inside = (x[None, :] > left) & (x[None, :] < right) & (y[:, None] > top) & (y[:, None] < low)
    return np.asarray(~inside)


def _border(tiles: Map, inner: Map, edge: NDArray[np.bool_]) -> bool:
    beyond = tiles[edge & np.isfinite(tiles)]
    if not len(beyond):
        return False
    return float(np.median(beyond)) > _WHOLE and float(np.nanmedian(inner)) < _WHOLE - 0.1


def _pattern(inner: Map, shares: tuple[float, float, float], x: Map, y: Map) -> Pattern:
    least, level, most = shares
    whole = float((inner > _WHOLE).sum()) / float(np.isfinite(inner).sum())
    if 0.1 < whole < 0.95 and least < _WHOLE / 2:
        return "pool" if _round(inner, x, y) else "islands"
    if _one_corner(inner, x, y):
        return "corner"
    if most - least > _SPREAD + 0.12 * level:
        return "veil"
    return "even" if level > LEFT else "clean"


def _round(inner: Map, x: Map, y: Map) -> bool:
    """Is it clean within one round place about the middle, and coated outside?"""
    away = np.hypot(x[None, :] - x.mean(), y[:, None] - y.mean())
    known = np.isfinite(inner)
    solid = inner[known] > _WHOLE
    order = np.argsort(away[known])
    count = int((~solid).sum())
    inside = solid[order][:count]
    return float(inside.mean()) < 0.15 if count else False


def _one_corner(inner: Map, x: Map, y: Map) -> bool:
    """Is one corner tinted, and the three others and the middle much less?"""
    width, height = float(x[-1] + x[0]), float(y[-1] + y[0])
    reach = 0.2 * min(width, height)
    levels = []
    for right in (0.0, width):
        for low in (0.0, height):
            near = np.hypot(x[None, :] - right, y[:, None] - low) < reach
            values = inner[near & np.isfinite(inner)]
            levels.append(float(np.median(values)) if len(values) else 0.0)
    worst = max(levels)
    rest = sorted(levels)[-2]
    middle = float(np.nanmedian(inner))
    return worst > 0.03 and worst > 2.5 * max(rest, middle, LEFT / 4)


def _filled(tiles: Map) -> Map:
    """The map with what is not known taken from the nearest that is, step by step."""
    filled = tiles.copy()
    for _ in range(max(filled.shape)):
        gap = np.isnan(filled)
        if not gap.any():
            break
        padded = np.pad(filled, 1, constant_values=np.nan)
        around = np.stack([padded[:-2, 1:-1], padded[2:, 1:-1], padded[1:-1, :-2], padded[1:-1, 2:]])
        known = np.isfinite(around)
        count = known.sum(axis=0)
        total = np.where(known, around, 0.0).sum(axis=0)
        filled = np.where(gap & (count > 0), total / np.maximum(count, 1), filled)
    return np.nan_to_num(filled)
