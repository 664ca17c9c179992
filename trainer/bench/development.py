"""Development: how fast the developer works, where it works, and what it puts down again.

`rate` is 1 for fresh developer at the reference temperature on a coating that is wet and rubbed.
Development adds up: 1 is the right amount (the reference time at the rate 1). Temperature by Q10 (a
published definition); Q10 near 2, the reference time and all the rest are shop data or a teaching model:
calibrate.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

import numpy as np

from trainer.bench import numbers
from trainer.bench.coating import MOST_DEVELOPMENT
from trainer.bench.limits import check, held, number
from trainer.bench.numbers import Mixed, N

COLDEST, HOTTEST = 0.0, 60.0
_LONGEST = 24 * 3600.0
_MOST_AREA, _MOST_VOLUME = 1e6, 1e5
_CM2_IN_DM2 = 100.0


@dataclass(frozen=True, slots=True)
class Developer:
    """How the developer works, and how much of it a plate wants."""

    reference_time: float = number("s", 5, 600)
    reference_temperature: float = number("degC", 10, 35)
    q10: float = number("times", 1, 5)
    half_strength: float = number("cm2/mL", 1, 10_000)
    enough: float = number("mL/dm2", 0.1, 100)
    drying: float = number("s", 10, 3600)
    soak_only: float = number("share", 0, 1)
    loaded_pad: float = number("share", 0, 1)
    redeposit: float = number("share", 0, 1)
    edge_loss: float = number("um", 0, 100)
    pool: float = number("mL/dm2", 1, 200)
    rubbed_part: float = number("share", 0, 1)
    going_over: float = number("s", 1, 300)

    def __post_init__(self) -> None:
        check(self)


def speed(temperature: float, known: float, coefficient: float) -> float:
    """Speed at a temperature against that at a known one, both in degC: Q10^((T - Tknown) / 10)."""
    held(coefficient, "Q10", 1, 5)
    for degrees in (temperature, known):
        held(degrees, "The temperature of the developer", COLDEST, HOTTEST, "degC")
    return float(coefficient ** ((temperature - known) / 10))


def temperature_factor(temperature: float, developer: Developer) -> float:
    """Speed at a temperature in degC against that at the reference."""
    return speed(temperature, developer.reference_temperature, developer.q10)


def q10(rate_1: float, rate_2: float, temperature_1: float, temperature_2: float) -> float:
    """The temperature coefficient that two rates at two temperatures show: (R2/R1)^(10/(T2-T1))."""
    for rate_ in (rate_1, rate_2):
        held(rate_, "The rate", 1e-9, 1e9)
    held(abs(temperature_2 - temperature_1), "The difference of the temperatures", 0.01, 1000, "degC")
    return float((rate_2 / rate_1) ** (10 / (temperature_2 - temperature_1)))


def strength(used: float, developer: Developer) -> float:
    """What developer still does after `used` cm2 of plate a mL: half for each half_strength. Teaching."""
    held(used, "The use of the developer", 0, 1e6, "cm2/mL")
    return float(0.5 ** (used / developer.half_strength))


def rate(temperature: float, used: float, developer: Developer) -> float:
    """Speed against fresh developer at the reference temperature."""
    return temperature_factor(temperature, developer) * strength(used, developer)


def time_for(temperature: float, used: float, developer: Developer) -> float:
    """Seconds of rubbing that make a right development."""
    return developer.reference_time / rate(temperature, used, developer)


def treatment(seconds: float, rate_: float, rub: N, wet: Mixed, developer: Developer) -> N:
    """Development that so many seconds give at a rate; 1 is right, and treatments add up.

    rub: how much of the time a place is rubbed, 0 to 1; unrubbed, developer works at the share soak_only.
    wet: how much of the place is wet, 0 to 1; dry, nothing happens.
    """
    held(seconds, "The time", 0, _LONGEST, "s")
    held(rate_, "The rate", 0, 1000)
    held(rub, "The rubbing", 0, 1)
    held(wet, "The wetting", 0, 1)
    working = developer.soak_only + (1 - developer.soak_only) * rub
    worked = seconds * (rate_ / developer.reference_time) * working * wet
    return numbers.same(np.clip(worked, 0, MOST_DEVELOPMENT), rub)


def per_area(volume: float, area: float) -> float:
    """Developer for the size of the plate, mL/dm2, from mL and cm2."""
    _pool(volume, area)
    return volume / (area / _CM2_IN_DM2)


def wetted(volume: float, area: float, developer: Developer) -> float:
    """Share of the plate that a pool can be brought over, 0 to 1."""
    return min(1.0, per_area(volume, area) / developer.enough)


def drying_time(volume: float, area: float, developer: Developer) -> float:
    """Seconds until the pool dries on the plate: the thinner, the sooner."""
    return developer.drying * per_area(volume, area) / developer.enough


def dried(seconds: float, volume: float, area: float, developer: Developer) -> float:
    """Share (0 to 1) of the plate where loosened coating dries down again after so many seconds."""
    held(seconds, "The time", 0, _LONGEST, "s")
    lasts = drying_time(volume, area, developer)
    if seconds <= lasts:
        return 0.0
    return 1.0 if lasts == 0 else 1 - exp(-(seconds - lasts) / lasts)


def redeposited(kept: N, share: Mixed) -> N:
    """Coating on the plate once a share of what was loosened is put down again; all 0 to 1."""
    held(kept, "The coating kept", 0, 1)
    held(share, "The share put down again", 0, 1)
    return numbers.same(kept + (1 - kept) * share, kept)


def _pool(volume: float, area: float) -> None:
    held(volume, "The developer", 0, _MOST_VOLUME, "mL")
    held(area, "The area of the plate", 1, _MOST_AREA, "cm2")
