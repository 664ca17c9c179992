"""The 21-step wedge: densities, the factor of a step, and the correction of an exposure.

Step n has density 0.05 + 0.15 (n - 1) (US Navy NAVEDTRA 14209: steps 1 and 21 are 0.05 and 3.05; the
increment of 0.15 is printed by two sources). 0.15 is not quite half a stop: two steps are a factor of
1.995, not 2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10

from trainer.bench import numbers
from trainer.bench.coating import Coating
from trainer.bench.limits import OutOfRange, held
from trainer.bench.numbers import N

STEPS = 21
FIRST_DENSITY = 0.05
INCREMENT = 0.15
_MOST_UNITS = 1e6


@dataclass(frozen=True, slots=True)
class Reading:
    """What the wedge on a plate shows: the last solid step (0: none), and how many after it are neither."""

    solid_step: int
    ghost_steps: int


def density(step: float) -> float:
    """Density of a step, 1 to 21."""
    held(step, "The wedge step", 1, STEPS)
    return FIRST_DENSITY + INCREMENT * (step - 1)


DENSITIES = tuple(density(step) for step in range(1, STEPS + 1))
"""The density of each step, from step 1."""


def transmittance(of_density: N) -> N:
    """Share of the light that a density lets through: 10^-D (D = -log10 T)."""
    return numbers.same(10.0 ** -held(of_density, "The density", 0, 8), of_density)


def exposure_factor(steps: float) -> float:
    """By how much the exposure must change to move the wedge by so many steps: 10^(0.15 steps)."""
    held(steps, "The change in wedge steps", -STEPS, STEPS)
    return float(10 ** (INCREMENT * steps))


def steps_between(old: float, new: float) -> float:
    """How many steps the wedge moves when the dose goes from `old` to `new`: log10(new / old) / 0.15."""
    for units in (old, new):
        held(units, "The dose", 1e-6, _MOST_UNITS, "units")
    return log10(new / old) / INCREMENT


def corrected(units: float, read: float, target: float) -> float:
    """Units that bring the wedge from the step read to the step wanted."""
    held(units, "The exposure", 1e-3, _MOST_UNITS, "units")
    for step, what in ((read, "The step read"), (target, "The step wanted")):
        held(step, what, 1, STEPS)
    return units * exposure_factor(target - read)


def reading(kept: Sequence[float], coating: Coating) -> Reading:
    """Read a wedge from the coating kept on its steps, step 1 first, each 0 to 1.

    Solid up to the first step that is not; ghost steps are those after it that are not clear yet.
    """
    if len(kept) != STEPS:
        raise OutOfRange(f"A wedge has {STEPS} steps, and {len(kept)} were given.")
    for one in kept:
        held(one, "The coating kept on a step", 0, 1)
    solid = next((n for n, one in enumerate(kept) if one < coating.solid_from), STEPS)
    return Reading(solid, sum(one > coating.clear_below for one in kept[solid:]))
