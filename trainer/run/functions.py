"""The functions that formulas may call, as `procedure.vocabulary` declares them.

The pure ones are here as plain functions over numbers; the two that ask the run are in `facts`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import copysign, floor, isfinite, log10
from typing import cast

from trainer.procedure import atmosphere

DENSITY_A_STEP = 0.15
"""Density between two steps of a 21-step tablet (trade-facts E03: nominal, printed by two sources)."""
LOWEST, HIGHEST = -400.0, 6000.0
"""Altitudes in m that a shop may stand at."""
MM2_IN_DM2 = 10_000.0


def exposure_for_step(units: float, read: float, target: float) -> float:
    """The units that bring the wedge from the step `read` to the step `target`.

    A step is a factor of 10^0.15; two steps all but double (E11). Units in, units out.
    """
    return float(units * 10 ** (DENSITY_A_STEP * (target - read)))


def steps_between(old_units: float, new_units: float) -> float:
    """How many wedge steps a change of units moves: log10(new / old) / 0.15 (E13). Raises ValueError."""
    if old_units <= 0 or new_units <= 0:
        raise ValueError("Wedge steps can only be told between units that are more than zero.")
    return log10(new_units / old_units) / DENSITY_A_STEP


def units_at_distance(units: float, old: float, new: float) -> float:
    """Units at another lamp distance: units x (new / old)^2 (L05, the distance law). Raises ValueError."""
    if old <= 0 or new <= 0:
        raise ValueError("A lamp's distance must be more than zero.")
    return float(units * (new / old) ** 2)


def highest_gauge(altitude: float) -> float:
    """The most that a vacuum gauge shows, in inHg, at an altitude in m (V08). Raises ValueError."""
    if not LOWEST <= altitude <= HIGHEST:
        raise ValueError(f"A vacuum gauge can be told for altitudes from {LOWEST:g} m to {HIGHEST:g} m.")
    return atmosphere.highest_gauge(altitude, "inHg")


def developer_for(width: float, height: float, amount: float) -> float:
    """Developer in mL for a plate of mm by mm, at so many mL for each dm2 of it. Raises ValueError."""
    if width <= 0 or height <= 0 or amount < 0:
        raise ValueError(
            "Developer can only be told for a plate that has a size, and not for less than none."
        )
    return width * height / MM2_IN_DM2 * amount


def time_at(time: float, known: float, now: float, q10: float) -> float:
    """A time in s at another temperature: time x q10^((known - now) / 10) (D14, D16). Raises ValueError."""
    if q10 <= 0:
        raise ValueError("The speed for 10 degC more must be more than zero.")
    return float(time * q10 ** ((known - now) / 10))


def absolute(x: float) -> float:
    """`x` without its sign."""
    return abs(x)


def least(a: float, b: float, c: float | None = None) -> float:
    """The smallest."""
    return min(a, b) if c is None else min(a, b, c)


def greatest(a: float, b: float, c: float | None = None) -> float:
    """The largest."""
    return max(a, b) if c is None else max(a, b, c)


def whole(x: float) -> float:
    """The nearest whole number, halves away from zero, as people round."""
    return copysign(floor(abs(x) + 0.5), x)


def round_to(x: float, step: float) -> float:
    """The nearest multiple of `step`. Raises ValueError where `step` is not more than zero."""
    if step <= 0:
        raise ValueError("A number can only be rounded to a step of more than zero.")
    return whole(x / step) * step


FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "exposure_for_step": exposure_for_step,
    "steps_between": steps_between,
    "units_at_distance": units_at_distance,
    "highest_gauge": highest_gauge,
    "developer_for": developer_for,
    "time_at": time_at,
    "abs": absolute,
    "min": least,
    "max": greatest,
    "round": whole,
    "round_to": round_to,
}
"""By the name a formula uses."""


def call(name: str, arguments: tuple[float | str, ...]) -> float:
    """The result of a pure function. Raises ValueError, with a sentence, where it has none."""
    if name not in FUNCTIONS or any(isinstance(argument, str) for argument in arguments):
        raise ValueError(f"{name} cannot be worked out with what it was given.")
    try:
        result = FUNCTIONS[name](*cast("tuple[float, ...]", arguments))
    except OverflowError:
        result = float("inf")
    except TypeError as fault:
        raise ValueError(
            f"{name} was given {len(arguments)} values, which is not how many it takes."
        ) from fault
    if not isfinite(result):
        raise ValueError(f"{name} gives a number that is too large to use.")
    return result
