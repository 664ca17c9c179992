"""A plate as it is seen beside a right one of the same job: the tint over it, its image, wedge, edges and
place.

All of it is read from rasters. A tint over the background is taken off first, place by place, so that
image, edges
and crosses under a veil are judged as if the metal were clean; where most of the coating is left, nothing is
judged.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial
from math import log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from trainer.bench import looks_over, wedge
from trainer.bench.artwork import Film
from trainer.bench.looks import Look
from trainer.bench.looks_over import Map
from trainer.bench.made import PlateRaster, made
from trainer.bench.measures import Inspection, Wanted, flaws
from trainer.bench.numbers import alike
from trainer.bench.plate import Work
from trainer.bench.plate_fields import off_axis
from trainer.bench.raster import Coverage, Grid
from trainer.bench.settings import BenchSettings
from trainer.bench.tiles import above_slope, all_around, by_pixel, steepness, well_inside
from trainer.bench.tints import Tinted, tinted
from trainer.bench.wedge_reading import Reading, readings

_ALIKE: Final = 0.2
_JUDGED: Final = 0.6
_JUDGED_BESIDE: Final = 0.08
_AROUND: Final = 3.0
_FLAT: Final = 0.02
_UNLIKELY: Final = 0.003
_OFF: Final = 0.1
_FAR: Final = 400.0
"""Over so many mm a stretch shows."""


@dataclass(frozen=True)
class Seen:
    """A plate beside a right one. `flaws`: pinholes that print, and mm of scratches through the image."""

    inspection: Inspection
    right: Inspection
    flaws: tuple[float, float]

    @cached_property
    def tint(self) -> Tinted:
        """How coating is left where the metal should be bare."""
        return tinted(self.inspection)

    @cached_property
    def clean(self) -> NDArray[np.bool_]:
        """The tiles that can be judged."""
        if self.tint.pattern in {"islands", "pool"}:
            return all_around(all_around(self.tint.filled < _JUDGED_BESIDE))
        return np.asarray(self.tint.filled < _JUDGED)

    @cached_property
    def film(self) -> tuple[Film | None, bool]:
        """The image film whose picture is on the plate (None:

        none that can be made out), and is it mirrored?
        """
        found: tuple[float, Film | None, bool] = (_ALIKE, None, False)
        plate = _without_tint(self.inspection.plate, self.tint)
        here = by_pixel(self.clean & ~self.tint.edge)
        for film in self.inspection.job.image_films():
            for mirror in (False, True):
                meant = looks_over.meant(self.inspection.job, (film,), looks_over.Lying(mirror=mirror))
                like = alike(plate.kept[here], meant.cover[here])
                if like > found[0]:
                    found = (like, film, mirror)
        return found[1], found[2]

    @cached_property
    def judged(self) -> Inspection:
        """The inspection without the tint, against the film that is there: another is no tint."""
        film, wanted = self.film[0], self.inspection.wanted
        if film is not None and film.id != wanted.films[0]:
            wanted = replace(wanted, films=(film.id, *wanted.films[1:]))
        return replace(self.inspection, wanted=wanted, look=_cleaned(self.inspection.look, self.tint))

    @cached_property
    def growth(self) -> Map:
        """How far edges moved out in each tile, um, beyond what they do on a right plate."""
        return self._growth(around=False)

    @cached_property
    def spots(self) -> Map:
        """By how much (um) edges moved out more than the slope of the whole plate has it, tile by tile."""
        x, y = looks_over.tile_middles(self.judged.job)
        away = off_axis(x[None, :], y[:, None], self.judged.job)
        alone, around = self.growth, self._growth(around=True)
        found = np.fmin(above_slope(alone, away), _AROUND * above_slope(around, away))
        flat = (steepness(self.tint.filled) < _FLAT) & (self.tint.filled < self.tint.level + _FLAT)
        return np.where(all_around(all_around(flat)), found, np.nan)

    def _growth(self, *, around: bool) -> Map:
        grown = looks_over.growth(self.judged.plate, self.judged.meant, around=around)
        right = looks_over.growth(self.right.plate, self.right.meant, around=around)
        usual = np.where(np.isfinite(right), right, np.nanmedian(right))
        here = self.clean & well_inside(self.judged.job, self.judged.films) if self.moved else self.clean
        return np.where(here, grown - usual, np.nan)

    @cached_property
    def moved(self) -> bool:
        """Does the image lie off its place?"""
        lies = self.judged.lies.get(self.judged.films[0].id) if self.judged.films else None
        if lies is None:
            return False
        return max(abs(lies.fit.dx), abs(lies.fit.dy), _FAR * abs(lies.fit.stretch)) > _OFF

    @cached_property
    def reading(self) -> Reading | None:
        """What the wedge says about light and developer; None where it cannot be read.

        Of stories that fit as well the one is believed in which the light is less off.
        """
        kept = (self.judged if self.tint.uneven else self.inspection).wedge
        if kept is None or self.right.wedge is None or not self._wedge_is_clean():
            return None
        return min(
            readings(kept, self.right.wedge, self.judged.settings),
            key=lambda story: story.miss + _UNLIKELY * story.steps**2,
        )

    @cached_property
    def edges(self) -> float | None:
        """How far edges moved out, um, beyond what the light and the development that the wedge shows do."""
        if self.film[0] is None or np.isnan(self.growth).all():
            return None
        steps = self.reading.apparent if self.reading is not None else 0.0
        by_light = self.judged.settings.coating.scatter * log(10 ** (wedge.INCREMENT * steps))
        return float(np.nanmedian(self.growth)) - by_light

    def _wedge_is_clean(self) -> bool:
        box, side = self.inspection.job.wedge, looks_over.PIXEL * looks_over.TILE
        rows = slice(int(box.y / side), int((box.y + box.height) / side) + 1)
        cols = slice(int(box.x / side), int((box.x + box.width) / side) + 1)
        return bool(self.clean[rows, cols].all())


def seen(work: Work, right: Work, settings: BenchSettings, wanted: Wanted) -> Seen:
    """A plate beside a right one of the same job."""
    inspection = Inspection(partial(made, work, settings=settings), work.job, settings, wanted)
    return of_inspection(inspection, work, right)


def of_inspection(inspection: Inspection, work: Work, right: Work) -> Seen:
    """The same, of an inspection that was begun already."""
    beside = _right_inspection(right, inspection.settings, inspection.wanted)
    return Seen(inspection, beside, flaws(inspection, work))


@lru_cache(maxsize=8)
def _right_inspection(work: Work, settings: BenchSettings, wanted: Wanted) -> Inspection:
    inspection = Inspection(partial(made, work, settings=settings), work.job, settings, wanted)
    return replace(inspection, look=_cleaned(inspection.look, tinted(inspection)))


def _cleaned(look: Look, tint: Tinted) -> Look:
    """The same look with the tint taken off."""
    return lambda grid: _without_tint(look(grid), tint)


def _without_tint(plate: PlateRaster, tint: Tinted) -> PlateRaster:
    """What is kept above the tint, 0 to 1. Where nearly all is tint, nothing is left."""
    over = _at(tint.filled, plate.grid)
    kept = np.clip((plate.kept - over) / np.maximum(1.0 - over, 0.05), 0.0, 1.0)
    return replace(plate, kept=kept.astype(np.float32))


def _at(tiles: Map, grid: Grid) -> Coverage:
    """A map of tiles at the pixels of a grid, straight from middle to middle."""
    side = looks_over.PIXEL * looks_over.TILE
    down, across = _weights(grid.y(), tiles.shape[0], side), _weights(grid.x(), tiles.shape[1], side)
    return np.asarray(down @ tiles.astype(np.float32) @ across.T)


def _weights(places: NDArray[np.floating], count: int, side: float) -> Coverage:
    at = np.clip(places / side - 0.5, 0.0, count - 1.0)
    low = np.minimum(at.astype(int), max(count - 2, 0))
    share = (at - low).astype(np.float32)
    weights = np.zeros((len(places), count), dtype=np.float32)
    rows = np.arange(len(places))
    weights[rows, low] = 1.0 - share
    weights[rows, np.minimum(low + 1, count - 1)] += share
    return weights
