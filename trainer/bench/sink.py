"""What happens to a plate at the sink, place by place: development, what is put down again, oxidation, gum.

Amounts are the models'; where on the plate they fall is here: a pool left where it was poured, dry islands,
a corner that the pad missed. Islands and blotches follow one fixed pattern, so that a plate is the same each
time it is looked at.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final

import numpy as np

from trainer.bench import development, finish
from trainer.bench.artwork import Job
from trainer.bench.coating import MOST_DEVELOPMENT
from trainer.bench.plate import Treatment, Work
from trainer.bench.plate_fields import off_axis
from trainer.bench.raster import Floats
from trainer.bench.settings import BenchSettings

_ISLANDS: Final = (
    (0.083, 0.049, 0.4),
    (-0.041, 0.101, 2.1),
    (0.117, -0.072, 4.3),
    (0.19, 0.14, 1.3),
    (-0.16, 0.21, 5.2),
)
"""Waves that make the pattern of islands: per mm across, per mm down, and where each begins."""

_SOFT: Final = 12.0
"""Edges of a pool or of what a pad reached are so many mm soft."""

_SHORE: Final = 0.3
"""From wet to dry in the pattern of islands."""

_EDGE: Final = 4.0
"""Developer left on the back creeps so many mm round the plate's edges."""


@dataclass(frozen=True, slots=True)
class Sink:
    """What the sink does at places (x as a row, y as a column, mm): each method gives rows by columns."""

    work: Work
    settings: BenchSettings

    def development(self, x: Floats, y: Floats) -> Floats:
        """How far each place is developed: 0 not at all, 1 right."""
        total: Floats = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        for one in self.work.treatments:
            speed = development.rate(one.temperature, one.used, self.settings.developer)
            wet, rub = self._wet(one, x, y), self._rubbed(one, x, y)
            total = total + development.treatment(one.seconds, speed, rub, wet, self.settings.developer)
        return np.asarray(np.minimum(total + self._after(x, y), MOST_DEVELOPMENT))

    def _after(self, x: Floats, y: Floats) -> Floats | float:
        """What developer that was left on the plate adds, until it is washed off or the plate is gummed."""
        done, treatments = self.work.finishing, self.work.treatments
        if done is None or not treatments:
            return 0.0
        last = treatments[-1]
        speed = development.rate(last.temperature, last.used, self.settings.developer)
        pace = speed * self.settings.developer.soak_only / self.settings.developer.reference_time
        washed = finish.developer_left(done.water, self.settings.finish) if done.rinse != "none" else 0.0
        lasts = development.drying_time(last.volume, self.work.job.area, self.settings.developer)
        waited = min(done.wait_wet + done.wait_dry, lasts)
        return np.asarray(pace * (washed + waited * self._residue(x, y)) * self._wet(last, x, y))

    def _residue(self, x: Floats, y: Floats) -> Floats | float:
        """The share of the developer that was never rinsed off, at each place."""
        done = self.work.finishing
        if done is None or not self.work.treatments:
            return 0.0
        if done.rinse == "none":
            return 1.0
        left = finish.residue(done.water, self.settings.finish)
        if done.rinse == "both-sides":
            return left
        job = self.work.job
        inside = np.minimum(np.minimum(x, job.width - x), np.minimum(y, job.height - y))
        return np.asarray(np.maximum(np.exp(-np.maximum(inside, 0.0) / _EDGE), left))

    def put_down(self, x: Floats, y: Floats) -> Floats | float:
        """The share of loosened coating that lies there again: dried down, off the pad, never rinsed off."""
        treatments, how = self.work.treatments, self.settings.developer
        rubbed = sum(one.seconds for one in treatments if one.rubbing != "none")
        if not treatments:
            return 0.0
        loaded = sum(one.seconds for one in treatments if one.rubbing != "none" and one.pad == "loaded")
        volume = max(one.volume for one in treatments)
        seconds = sum(one.seconds for one in treatments)
        dried = development.dried(seconds, volume, self.work.job.area, how) * how.redeposit
        pad = how.loaded_pad * loaded / rubbed if rubbed else 0.0
        left = self._residue(x, y) * how.redeposit
        if not dried + pad and isinstance(left, float):
            return min(left, 1.0) if left > 1e-3 else 0.0
        return np.asarray(np.minimum((dried + pad) * 2 * islands(x, y) + left, 1.0))

    def oxidised(self, x: Floats, y: Floats) -> Floats | float:
        """The share of bare metal that oxidised before it was gummed, in blotches."""
        done = self.work.finishing
        if done is None or not done.wait_wet + done.wait_dry:
            return 0.0
        kept = 1.0
        for seconds, wet in ((done.wait_wet, True), (done.wait_dry, False)):
            kept *= 1.0 - finish.oxidised(seconds, 0.0, self.settings.finish, wet=wet)
        return np.asarray(np.minimum((1.0 - kept) * 2 * islands(x, y), 1.0))

    @property
    def gum(self) -> float:
        """The gum that is left on the plate, um."""
        done = self.work.finishing
        return finish.gum_film(done.gum, self.settings.finish, buffed=done.buffed) if done else 0.0

    def blind(self, x: Floats, y: Floats) -> Floats | float:
        """The share of the image that takes no ink. Gum that was not buffed dries in streaks."""
        done = self.work.finishing
        gum = self.gum
        if done is None or gum <= 0:
            return 0.0
        if done.buffed:
            return finish.blinding(gum, self.settings.finish)
        return finish.blinding(np.asarray(gum * (0.5 + islands(x, y))), self.settings.finish)

    def _wet(self, one: Treatment, x: Floats, y: Floats) -> Floats | float:
        reach = _reach(one, self.work.job, self.settings)
        if reach >= 1:
            return 1.0
        if one.spread == "all-over":
            return np.asarray(np.clip((reach - islands(x, y)) / _SHORE + 0.5, 0.0, 1.0))
        job = self.work.job
        radius = sqrt(reach * job.width * job.height / pi)
        away = off_axis(x, y, job)
        return np.asarray(np.clip((radius - away) / _SOFT + 0.5, 0.0, 1.0))

    def _rubbed(self, one: Treatment, x: Floats, y: Floats) -> Floats:
        shape = np.broadcast_shapes(x.shape, y.shape)
        part = self.settings.developer.rubbed_part if one.rubbing == "part" else 1.0
        reached = min(one.reached, part) if one.rubbing != "none" else 0.0
        if reached <= 0 or reached >= 1:
            return np.full(shape, float(reached >= 1))
        job = self.work.job
        right, low = self.work.corner in {1, 2}, self.work.corner in {2, 3}
        missed = (1.0 - reached) * job.width * job.height
        away = np.hypot(x - (job.width if right else 0.0), y - (job.height if low else 0.0))
        return np.asarray(np.clip((away - sqrt(4 * missed / pi)) / _SOFT + 0.5, 0.0, 1.0))


def _reach(one: Treatment, job: Job, settings: BenchSettings) -> float:
    """The share of the plate that the developer comes to."""
    if one.spread == "all-over":
        return development.wetted(one.volume, job.area, settings.developer)
    return min(1.0, development.per_area(one.volume, job.area) / settings.developer.pool)


def islands(x: Floats, y: Floats) -> Floats:
    """A fixed pattern from 0 to 1, of islands a few centimetres wide, each value about as common."""
    waves = sum(np.cos(across * x + down * y + start) for across, down, start in _ISLANDS)
    return np.asarray(1.0 / (1.0 + np.exp(-1.1 * waves)))
