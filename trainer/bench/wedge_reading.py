"""What a wedge says: by how many steps the light is off, and where a tint over the background came from.

The 21 steps of a plate are held against those of a right plate. Where they do not end in bare metal, three
stories are told by the models (fog, too little development, coating put down again), each with the tint
that is seen and with the light left open. Which story is believed is decided by who reads them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import log
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from trainer.bench import coating, wedge
from trainer.bench.settings import BenchSettings
from trainer.bench.tints import LEFT

Tint = Literal["none", "fog", "short", "left"]
Steps = NDArray[np.floating]
Story = Callable[[Steps], Steps]

_SHIFTS: Final = np.arange(-160, 161) * 0.05
_UNITS: Final = 24.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One story of a wedge. `steps`: how far the light moved it, up where positive. `miss`: how badly it
    fits.

    `apparent`: how far it moved in all, whatever moved it. Edges go with that.
    """

    tint: Tint
    steps: float
    miss: float
    apparent: float


def readings(kept: Sequence[float], right: Sequence[float], settings: BenchSettings) -> tuple[Reading, ...]:
    """The stories that a wedge may tell beside a right one.

    Both have the coating kept on 21 steps, step 1 first.
    """
    seen = np.asarray(kept, dtype=float)
    floor = float(np.clip(np.median(seen[-3:]), 0.0, 0.95))
    stories: Mapping[Tint, Story] = (
        _stories(floor, settings) if floor > LEFT else {"none": _developed(1.0, settings)}
    )
    units = _UNITS * wedge.exposure_factor(_fitted(np.asarray(right), _developed(1.0, settings), _UNITS)[0])
    fitted: Mapping[Tint, tuple[float, float]] = {
        tint: _fitted(seen, story, units) for tint, story in stories.items()
    }
    apparent = fitted["left" if "left" in fitted else "none"][0]
    return tuple(
        Reading(tint, steps, miss, steps if tint == "fog" else apparent)
        for tint, (steps, miss) in fitted.items()
    )


def _developed(amount: float, settings: BenchSettings) -> Story:
    def story(doses: Steps) -> Steps:
        return np.asarray(coating.kept(doses, np.full_like(doses, amount), settings.coating))

    return story


def _stories(floor: float, settings: BenchSettings) -> Mapping[Tint, Story]:
    right = _developed(1.0, settings)
    fog = coating.dose_for(min(max(floor, 1e-5), 0.99), settings.coating)

    def left(doses: Steps) -> Steps:
        kept = right(doses)
        return kept + (1 - kept) * floor

    return {
        "fog": lambda doses: right(doses + fog),
        "short": _developed(-log(floor) / settings.coating.clearing, settings),
        "left": left,
    }


def _fitted(seen: Steps, story: Story, units: float) -> tuple[float, float]:
    """The shift in steps at which a story comes nearest to what is seen, and by how much it misses."""
    doses = units * 10 ** (wedge.INCREMENT * _SHIFTS[:, None] - np.asarray(wedge.DENSITIES)[None, :])
    misses = ((story(doses) - seen[None, :]) ** 2).sum(axis=1)
    best = int(np.argmin(misses))
    return float(_SHIFTS[best]), float(misses[best])
