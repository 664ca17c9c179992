"""The lamp as it warms, cools and ages, and what an integrator or a plain timer makes of it.

The lamp has a thermal state theta from 0 (cold) to 1 (hot): lit, theta' = (1 - theta) / warm_up; dark,
theta' = -theta / cool_down. Its output against that of a hot new lamp is a (phi + (1 - phi) theta), with
phi the cold fraction and a the ageing. The form is a teaching model; its times are set by what a textbook
on lighting prints of metal-halide lamps (5 to 7 min to full light, up to 15 min to cool, up to 30 % lost at
the end).

Dose is irradiance times time (H = E t), and the coating answers to the dose, not to how long it took
(CIE S 017, 17-26-081, Bunsen-Roscoe; "only over a given limited range").
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, expm1

from trainer.bench.limits import OutOfRange, check, choice, held, number

_LONGEST = 24 * 3600.0
_MOST_UNITS = 1e6


@dataclass(frozen=True, slots=True)
class Lamp:
    """The lamp, its housing and its integrator. `kind`: `point`, or `diffuse` for a flat glowing face."""

    kind: str = choice("point", "diffuse")
    sensor: str = choice("frame", "lamp")
    warm_up: float = number("s", 1, 1800)
    cool_down: float = number("s", 1, 3600)
    cold_fraction: float = number("share", 0.01, 1)
    units_per_second: float = number("units/s", 0.01, 100)
    useful_life: float = number("h", 10, 20_000)
    end_of_life_loss: float = number("share", 0, 0.9)
    distance: float = number("mm", 100, 5000)
    width: float = number("mm", 0, 1000)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, slots=True)
class Burn:
    """One exposure: how long the lamp was lit (s), the dose it gave (units), its thermal state afterwards."""

    seconds: float
    units: float
    theta: float


def ageing(hours: float, lamp: Lamp) -> float:
    """What a hot lamp still gives after so many hours, against a new one: (1 - loss)^(hours / useful life).

    Teaching model; the loss at the end of the useful life is L12 ("up to 30%").
    """
    held(hours, "The age of the lamp", 0, 50_000, "h")
    return float((1 - lamp.end_of_life_loss) ** (hours / lamp.useful_life))


def heated(theta: float, seconds: float, lamp: Lamp, *, lit: bool) -> float:
    """The thermal state after so many seconds, lit or dark, from the state `theta` (0 to 1)."""
    _held(theta, seconds)
    if lit:
        return 1 - (1 - theta) * exp(-seconds / lamp.warm_up)
    return theta * exp(-seconds / lamp.cool_down)


def output(theta: float, hours: float, lamp: Lamp) -> float:
    """Irradiance against that of a hot new lamp at the same place, 0 to 1."""
    held(theta, "The thermal state of the lamp", 0, 1)
    return ageing(hours, lamp) * (lamp.cold_fraction + (1 - lamp.cold_fraction) * theta)


def counted(seconds: float, theta: float, hours: float, lamp: Lamp) -> float:
    """Units that the integrator counts in so many seconds of light from the state `theta`.

    a k [t - c tau (1 - e^(-t/tau))] with c = (1 - phi)(1 - theta) and k units a second from a hot new lamp:
    the integral of `output`, in closed form.
    """
    _held(theta, seconds)
    late = (1 - lamp.cold_fraction) * (1 - theta) * lamp.warm_up
    # expm1 keeps the difference exact where the time is short
    return ageing(hours, lamp) * lamp.units_per_second * (seconds + late * expm1(-seconds / lamp.warm_up))


def seconds_for(units: float, theta: float, hours: float, lamp: Lamp) -> float:
    """Seconds of light until the integrator has counted so many units: the inverse of `counted`.

    With x = t / tau and v = u / (a k tau) + c it is x = v - c e^-x, so x = v + W0(-c e^-v), W0 being the
    principal branch of Lambert's W function. Raises OutOfRange where it takes more than a day.
    """
    held(units, "The dose", 0, _MOST_UNITS, "units")
    held(theta, "The thermal state of the lamp", 0, 1)
    from scipy.special import lambertw  # 100 ms, and only an exposure needs it

    late = (1 - lamp.cold_fraction) * (1 - theta)
    wanted = units / (ageing(hours, lamp) * lamp.units_per_second * lamp.warm_up) + late
    share = wanted + float(lambertw(-late * exp(-wanted)).real) if late else wanted
    seconds = max(0.0, share * lamp.warm_up)
    if seconds > _LONGEST:
        raise OutOfRange(f"{units:g} units would take this lamp more than a day.")
    return seconds


def by_integrator(units: float, theta: float, hours: float, lamp: Lamp) -> Burn:
    """An exposure that the integrator ends at so many units: the dose is right whatever the lamp is like."""
    seconds = seconds_for(units, theta, hours, lamp)
    return Burn(seconds, float(units), heated(theta, seconds, lamp, lit=True))


def by_timer(seconds: float, theta: float, hours: float, lamp: Lamp) -> Burn:
    """An exposure that a plain timer ends: a cold or an old lamp gives less in the same time."""
    return Burn(float(seconds), counted(seconds, theta, hours, lamp), heated(theta, seconds, lamp, lit=True))


def timer_setting(units: float, lamp: Lamp) -> float:
    """What a plain timer is set to, in s, by someone who found the dose with a hot new lamp."""
    held(units, "The dose", 0, _MOST_UNITS, "units")
    return units / lamp.units_per_second


def _held(theta: float, seconds: float) -> None:
    held(theta, "The thermal state of the lamp", 0, 1)
    held(seconds, "The time", 0, _LONGEST, "s")
