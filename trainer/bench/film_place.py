"""Where a film lies on the plate: turned over or not, moved as its fit on the pins moves it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from trainer.bench import register
from trainer.bench.artwork import Disc, Point, Rect, Ring, Shape, Stroke
from trainer.bench.raster import Floats

_LEVEL: Final = 1e-6
"""A film turned by no more than this lies level: over a whole plate it makes less than half a um."""


@dataclass(frozen=True, slots=True)
class Placement:
    """From film to plate. `mirror` turns the film over; `fits` then move it, one after the other.

    `width` is the plate's, mm; `pin` the round pin, mm, about which a fit turns and stretches.
    """

    width: float
    pin: Point
    mirror: bool = False
    fits: tuple[register.Fit, ...] = ()

    @property
    def turned(self) -> bool:
        """Does any fit turn the film?"""
        return any(abs(fit.angle) > _LEVEL for fit in self.fits)

    def points(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Where points of the film come to lie, mm."""
        if self.mirror:
            x = self.width - x
        for fit in self.fits:
            across, down = register.displacement(x - self.pin[0], y - self.pin[1], fit)
            x, y = x + across, y + down
        return x, y

    def origin(self) -> Point:
        """Where the film's own corner comes to lie: screens hang on it."""
        x, y = self.points(np.zeros(1), np.zeros(1))
        return float(x[0]), float(y[0])

    def moved(self, kind: type[Shape], numbers: Floats) -> Floats:
        """A layer's rows of numbers where the film lies."""
        if not self.mirror and not self.fits:
            return numbers
        if kind is Rect:
            x0, y0 = self.points(numbers[:, 0], numbers[:, 1])
            x1, y1 = self.points(numbers[:, 2], numbers[:, 3])
            return np.column_stack(
                (np.minimum(x0, x1), np.minimum(y0, y1), np.maximum(x0, x1), np.maximum(y0, y1))
            )
        if kind is Stroke:
            x0, y0 = self.points(numbers[:, 0], numbers[:, 1])
            x1, y1 = self.points(numbers[:, 2], numbers[:, 3])
            return np.column_stack((x0, y0, x1, y1, numbers[:, 4]))
        x, y = self.points(numbers[:, 0], numbers[:, 1])
        if kind in {Ring, Disc}:
            return np.column_stack((x, y, numbers[:, 2:]))
        return np.column_stack((x, y))
