"""The coating: how much of it a dose hardens, and how much is kept after development.

The share hardened is a logistic in log10 of the dose. Development 1 is the right amount; 0 is none. What is
kept:

    R(H / d^b) + (1 - R(H / d^b)) e^(-c d)        d development, b its power, c how fast soft coating goes

so soft coating goes fast, and each doubling of the development takes b log10(2) / 0.15 steps off the wedge
(hardened coating goes slowly). The form and its numbers are a teaching model: calibrate.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, log10

from trainer.bench import numbers
from trainer.bench.limits import check, held, number
from trainer.bench.numbers import Mixed, N

MOST_DOSE = 1e6
MOST_DEVELOPMENT = 1000.0


@dataclass(frozen=True, slots=True)
class Coating:
    """How the coating answers to light and developer, and from where a step counts as solid or clear."""

    mid_dose: float = number("units", 0.01, 1000)
    contrast: float = number("per decade", 1, 60)
    clearing: float = number("per development", 1, 30)
    development_power: float = number("power", 0, 2)
    solid_from: float = number("share", 0.5, 0.999)
    clear_below: float = number("share", 0.001, 0.5)
    fog_per_lux_second: float = number("units/(lx s)", 0, 0.01)
    scatter: float = number("um", 0, 50)

    def __post_init__(self) -> None:
        check(self)


def hardened(dose: N, coating: Coating) -> N:
    """Share of the coating hardened by a dose in units, 0 to 1; what the colour change after light shows."""
    held(dose, "The dose", 0, MOST_DOSE, "units")
    return numbers.sigmoid((numbers.log10(dose) - log10(coating.mid_dose)) * coating.contrast)


def kept(dose: N, development: Mixed, coating: Coating) -> N:
    """Share of the coating kept, 0 to 1, after a dose in units and a development (1: right, 0: none).

    More dose never keeps less; more development never keeps more.
    """
    held(dose, "The dose", 0, MOST_DOSE, "units")
    held(development, "The development", 0, MOST_DEVELOPMENT)
    reach = numbers.log10(dose) - coating.development_power * numbers.log10(development)
    hard = numbers.sigmoid((reach - log10(coating.mid_dose)) * coating.contrast)
    soft = numbers.exp(-coating.clearing * development)
    # soft + hard (1 - soft): the same sum, and exactly 1 where nothing was developed
    return numbers.same(soft + hard * (1 - soft), dose)


def fog(lux: float, seconds: float, coating: Coating) -> float:
    """Dose in units that white room light gives an uncovered plate; it adds to every other dose.

    Yellow light gives none (a university's plate page: yellow light for any time, room light for short).
    """
    held(lux, "The room light", 0, 100_000, "lx")
    held(seconds, "The time in room light", 0, 7 * 24 * 3600.0, "s")
    return min(lux * seconds * coating.fog_per_lux_second, MOST_DOSE)


def dose_for(share: float, coating: Coating) -> float:
    """Dose in units that hardens a share (over 0, under 1): the inverse of `hardened`."""
    held(share, "The share hardened", 1e-6, 1 - 1e-6)
    return float(coating.mid_dose * 10 ** (log(share / (1 - share)) / coating.contrast))
