"""What can be measured on the bench now, by the names that formulas use: the plate's sheet, and more."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

import numpy as np

from trainer.bench import finish, vacuum
from trainer.bench.apparatus import Apparatus, Kit
from trainer.bench.apparatus_time import painted
from trainer.bench.apparatus_work import work
from trainer.bench.made import made
from trainer.bench.measures import Sheet, Wanted, sheet
from trainer.bench.plate import Burn, Work
from trainer.bench.raster import Coverage, Grid
from trainer.procedure.units import convert
from trainer.run.events import Value

PRESSED = 0.95
"""The rings lie still once film and plate are pressed with so much of what the gauge shows."""
LEAST_GAUGE = 10.0
"""Below so many kPa on the gauge no rings are seen."""
STRUCK = 0.5
"""Coating that is at least so far hardened has changed colour where one looks for it."""
_NONE = 0.02
_PLENTY, _PRESSED_HARD = 24.0, 90.0
_COLS, _ROWS = 60, 48


class Measuring:
    """Measures plates against what is wanted of them."""

    def __init__(self, kit: Kit, wanted: Wanted) -> None:
        self.wanted = wanted
        self._settings = kit.settings
        self.sheet = lru_cache(maxsize=8)(self._sheet)
        self._struck = lru_cache(maxsize=8)(self._struck_of)

    def measures(self, now: Apparatus, kit: Kit) -> Mapping[str, Value]:
        """Every measure that there is now."""
        found: dict[str, Value] = {}
        done = work(now, kit)
        if now.plate.out:
            found |= self.of_plate(done, kit)
            found |= dict(_after_the_sink(now, kit))
        else:
            found["pinholes"] = _pinholes(now, kit)
        if now.plate.punch is not None:
            found["punch_error"] = float(np.hypot(now.plate.punch.dx, now.plate.punch.dy))
        if now.word("glass") != "open":
            found |= dict(_under_glass(now, kit))
        return found

    def of_plate(self, done: Work, kit: Kit) -> Mapping[str, Value]:
        """What can be measured on the plate alone: before it is developed, where it has changed colour."""
        if done.treatments:
            return dict(self.sheet(done).values())
        return dict(self._seen_on_plate(done, kit)) if done.burns else {}

    def _sheet(self, done: Work) -> Sheet:
        return sheet(done, self._settings, self.wanted)

    def _seen_on_plate(self, done: Work, kit: Kit) -> Iterator[tuple[str, Value]]:
        """How much of the film's image has changed colour, and how much that is no image."""
        if not kit.image:
            return
        struck = self._struck(done)
        yield "struck", _like(struck, self._ideal(kit, kit.image))
        bare = self._ideal(kit, kit.image, wedge=True) < _NONE
        if kit.marks:
            marks = self._ideal(kit, kit.marks)
            yield "marks_struck", _like(struck, np.where(bare, marks, 0.0))
            bare &= marks < _NONE
        yield "stray", round(100 * float(np.mean(struck[bare] >= STRUCK)), 1) if bare.any() else 0.0

    def _ideal(self, kit: Kit, film: str, *, wedge: bool = False) -> Coverage:
        """The plate as one right burn of that film strikes it."""
        burn = Burn(film, kit.job.film(film).mask, _PLENTY, _PRESSED_HARD, wedge=wedge)
        return self._struck(Work(kit.job, (burn,)))

    def _struck_of(self, done: Work) -> Coverage:
        return made(done, Grid.fitted(done.job.width, done.job.height, _COLS, _ROWS), self._settings).struck


def _like(struck: Coverage, ideal: Coverage) -> float:
    """How much of what should be there has changed colour, in %."""
    whole = float(np.sum(ideal))
    return round(100 * float(np.sum(np.minimum(struck, ideal))) / whole, 1) if whole else 0.0


def _under_glass(now: Apparatus, kit: Kit) -> Iterator[tuple[str, Value]]:
    gauge = vacuum.gauge(now.drawn.pressure, kit.conditions.air)
    yield "vacuum", convert(gauge, "kPa", "inHg")
    yield "pressed", gauge >= LEAST_GAUGE and now.drawn.contact >= PRESSED * gauge


def _after_the_sink(now: Apparatus, kit: Kit) -> Iterator[tuple[str, Value]]:
    plate = now.plate
    if plate.rinsed != "none":
        face = float(finish.residue(plate.water, kit.settings.finish))
        yield "residue", round(100 * (face if plate.rinsed == "both-sides" else max(face, 0.5)), 1)
    if plate.gum != "none":
        yield "gum_left", finish.gum_film(plate.gum, kit.settings.finish, buffed=plate.buffed)
        yield "gum_dry", plate.buffed


def _pinholes(now: Apparatus, kit: Kit) -> float:
    """Clear places in the black, under the windows of the film's mask, that are not painted out."""
    if not kit.image:
        return 0.0
    film = kit.job.film(kit.image)
    covered = {(round(spot.x, 3), round(spot.y, 3)) for spot in painted(now, kit.image, kit)}
    holes = [hole for hole in film.pinholes if (round(hole.x, 3), round(hole.y, 3)) not in covered]
    scratches = () if now.word("opaquing") in ("all", "over-image") else film.scratches
    return float(len(holes) + len(scratches))
