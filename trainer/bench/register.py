"""Register: pins, the clearance of the slot, and film that grows against the plate.

The round pin fixes the place; the slot fixes the angle, within its clearance, and lets growth run out along
it (an encyclopedia describes the rule for cine film; for film and plate punches it is common practice).
Lengths are in mm, angles in radians. Points are given from the round pin: x towards the slot pin, y across.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp

import numpy as np

from trainer.bench import numbers
from trainer.bench.limits import check, held, number
from trainer.bench.numbers import N

_MOST_LENGTH = 5000.0


@dataclass(frozen=True, slots=True)
class Register:
    """Growth of film and plate, and the pins. Coefficients as a share of the length."""

    film_thermal: float = number("1/degC", 0, 0.001)
    film_humidity: float = number("1/%RH", 0, 0.001)
    plate_thermal: float = number("1/degC", 0, 0.001)
    pin_spacing: float = number("mm", 10, 3000)
    slot_clearance: float = number("mm", 0, 5)
    loose: float = number("mm", 0, 20)
    film_settles: float = number("h", 0.01, 1000)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, slots=True)
class Fit:
    """How one film lies on a plate: shifted (mm), turned about the round pin (rad), longer (share)."""

    dx: float = 0.0
    dy: float = 0.0
    angle: float = 0.0
    stretch: float = 0.0

    def __post_init__(self) -> None:
        held(self.dx, "The shift", -500, 500, "mm")
        held(self.dy, "The shift", -500, 500, "mm")
        held(self.angle, "The turn", -0.5, 0.5, "rad")
        held(self.stretch, "The growth", -0.1, 0.1)


EXACT = Fit()
"""A film that lies where it should."""


@dataclass(frozen=True, slots=True)
class Climate:
    """How film and plate differ from when the film was made: degC and %RH, more is positive."""

    film_degrees: float = 0.0
    film_humidity: float = 0.0
    plate_degrees: float = 0.0

    def __post_init__(self) -> None:
        for degrees in (self.film_degrees, self.plate_degrees):
            held(degrees, "The change of temperature", -60, 60, "degC")
        held(self.film_humidity, "The change of humidity", -100, 100, "%RH")


SAME_CLIMATE = Climate()


def growth(length: float, degrees: float, humidity: float, thermal: float, humid: float) -> float:
    """By how many mm a length grows: length x (thermal x degrees + humid x humidity)."""
    held(length, "The length", 0, _MOST_LENGTH, "mm")
    held(degrees, "The change of temperature", -60, 60, "degC")
    held(humidity, "The change of humidity", -100, 100, "%RH")
    for coefficient in (thermal, humid):
        held(coefficient, "The coefficient of growth", 0, 0.001)
    return length * (thermal * degrees + humid * humidity)


def stretch(register: Register, climate: Climate) -> float:
    """By what share the film has grown more than the plate."""
    film = growth(
        1, climate.film_degrees, climate.film_humidity, register.film_thermal, register.film_humidity
    )
    return film - growth(1, climate.plate_degrees, 0, register.plate_thermal, 0)


def seated(register: Register, slack: float = 0.0, climate: Climate = SAME_CLIMATE) -> Fit:
    """A film on both pins. slack: where in the slot's clearance it came to lie, -1 to 1, 0 the middle."""
    held(slack, "The place in the slot", -1, 1)
    angle = slack * register.slot_clearance / register.pin_spacing
    return Fit(angle=angle, stretch=stretch(register, climate))


def unseated(
    register: Register,
    along: float,
    across: float,
    slack: float = 0.0,
    climate: Climate = SAME_CLIMATE,
) -> Fit:
    """A film not down on its pins: off, and at the slot turned, by shares (-1 to 1) of `loose`."""
    for share in (along, across, slack):
        held(share, "The place on the pins", -1, 1)
    angle = slack * register.loose / register.pin_spacing
    return Fit(along * register.loose, across * register.loose, angle, stretch(register, climate))


def displacement(x: N, y: N, fit: Fit) -> tuple[N, N]:
    """How far (mm, in x and in y) a point of the film lies from its place; turn and growth are small."""
    held(x, "The place along the pins", -_MOST_LENGTH, _MOST_LENGTH, "mm")
    held(y, "The place across the pins", -_MOST_LENGTH, _MOST_LENGTH, "mm")
    right = numbers.same(fit.dx + fit.stretch * x - fit.angle * y, x)
    down = numbers.same(fit.dy + fit.stretch * y + fit.angle * x, y)
    return right, down


def error(x: N, y: N, fit: Fit, against: Fit = EXACT) -> N:
    """How far (mm) a point of one film lies from the same point of another (or from where it should)."""
    right, down = displacement(x, y, fit)
    other_right, other_down = displacement(x, y, against)
    return numbers.same(np.hypot(right - other_right, down - other_down), x)


def worst(points: Iterable[tuple[float, float]], fit: Fit, against: Fit = EXACT) -> float:
    """The greatest error (mm) at any of the points; 0 where there are none."""
    return max((error(float(x), float(y), fit, against) for x, y in points), default=0.0)


def followed(change: float, hours: float, register: Register) -> float:
    """The part of a change of humidity (%RH) that the film has followed after so many hours.

    Published: gelatin layers take minutes to hours, the base hours to days. One time for both: teaching.
    """
    held(change, "The change of humidity", -100, 100, "%RH")
    held(hours, "The time in the room", 0, 10_000, "h")
    return change * (1 - exp(-hours / register.film_settles))


def slot_error(clearance: float, spacing: float, distance: float) -> float:
    """The error (mm) that the slot's clearance allows at a distance from the round pin: L c / s."""
    held(clearance, "The clearance", 0, 50, "mm")
    held(spacing, "The distance of the pins", 1, _MOST_LENGTH, "mm")
    return held(distance, "The distance from the round pin", 0, _MOST_LENGTH, "mm") * clearance / spacing


def bending_stretch(thickness: float, radius: float) -> float:
    """By what share the outer face of a plate lengthens round a cylinder: (t/2) / (R + t/2), both in mm."""
    held(thickness, "The thickness of the plate", 0, 10, "mm")
    held(radius, "The radius of the cylinder", 1, _MOST_LENGTH, "mm")
    return thickness / 2 / (radius + thickness / 2)
