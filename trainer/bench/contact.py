"""Contact: the gap between film and plate, what dust does to it, and how far light creeps under an edge.

Gap and dust are a teaching model (calibrate); the undercut is geometry: a gap g lit at the angle psi lets
light g tan(psi) under an edge. Light of one direction alone would only shift the image; the width of the
lamp and scatter spread it, so every edge is taken to grow by the outermost ray. Gaps in um, pressures in
kPa.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.bench import numbers
from trainer.bench.lamp import Lamp
from trainer.bench.limits import check, held, less, number
from trainer.bench.numbers import Mixed, N

_MOST_GAP = 10_000.0
_MOST_TANGENT = 10.0
_MOST_PRESSING = 110.0
_PLATE_FACTOR = 64.0
"""w = q a^4 / (64 D): a clamped round plate under even pressure (plate theory, from memory)."""


@dataclass(frozen=True, slots=True)
class Contact:
    """How the gap closes as the film is pressed, and how stiff the film is around a speck."""

    open_gap: float = number("um", 1, 2000)
    closed_gap: float = number("um", 0, 50)
    closing_pressure: float = number("kPa", 1, 100)
    film_stiffness: float = number("N mm", 0.001, 100)
    dust_most: float = number("mm", 0.1, 100)

    def __post_init__(self) -> None:
        check(self)
        less(self, "closed_gap", "open_gap")


@dataclass(frozen=True, slots=True)
class FilmStock:
    """The film: thickness and refraction of its base, and the densities of clear, black and opaque."""

    base: float = number("um", 20, 500)
    index: float = number("times", 1, 2.5)
    clear_density: float = number("D", 0, 0.5)
    black_density: float = number("D", 1, 6)
    opaque_density: float = number("D", 1, 6)

    def __post_init__(self) -> None:
        check(self)


def gap(pressing: N, contact: Contact) -> N:
    """Gap in um under a pressing in kPa: closed + (open - closed) e^(-pressing / closing pressure)."""
    held(pressing, "The pressing", 0, _MOST_PRESSING, "kPa")
    closing = numbers.exp(-pressing / contact.closing_pressure)
    return contact.closed_gap + (contact.open_gap - contact.closed_gap) * closing


def dust_reach(height: float, pressing: float, contact: Contact) -> float:
    """How far around a speck (mm) the film stands off, for a speck `height` um high.

    A clamped round plate, solved for its radius: (64 D h / q)^(1/4). Teaching model.
    """
    held(height, "The height of the speck", 0, 2000, "um")
    held(pressing, "The pressing", 0, _MOST_PRESSING, "kPa")
    # kPa is 0.001 N/mm2; without any pressing the film stands off as far as it ever does
    pressed = max(pressing, 1e-6) * 1e-3
    reach = (_PLATE_FACTOR * contact.film_stiffness * height * 1e-3 / pressed) ** 0.25
    return float(min(reach, contact.dust_most))


def dust_gap(distance: N, height: float, pressing: float, contact: Contact) -> N:
    """The gap (um) that a speck adds at a distance from it in mm: h (1 - (r / a)^2)^2 inside its reach a."""
    held(distance, "The distance from the speck", 0, 1e5, "mm")
    reach = dust_reach(height, pressing, contact)
    if reach == 0:
        return numbers.same(distance * 0.0, distance)
    inside = np.maximum(1 - (distance / reach) ** 2, 0)
    return numbers.same(height * inside**2, distance)


def spread(lamp: Lamp) -> float:
    """Tangent that half the width of the lamp adds to the angle of its light."""
    return lamp.width / (2 * lamp.distance)


def undercut(of_gap: N, tangent: Mixed, spreading: float = 0.0) -> N:
    """How far (um) light creeps under an edge through a gap in um: g (tan psi + spreading)."""
    held(of_gap, "The gap", 0, _MOST_GAP, "um")
    held(tangent, "The tangent of the angle", 0, _MOST_TANGENT)
    held(spreading, "The spreading", 0, _MOST_TANGENT)
    return numbers.same(of_gap * (tangent + spreading), of_gap)


def through_base(thickness: float, tangent: N, index: float) -> N:
    """How far (um) light goes sideways through a film base: the film lies wrong side down.

    Snell's law: sin(psi') = sin(psi) / index, and then thickness x tan(psi').
    """
    held(thickness, "The thickness of the film base", 0, _MOST_GAP, "um")
    held(tangent, "The tangent of the angle", 0, _MOST_TANGENT)
    held(index, "The refractive index", 1, 4)
    square = tangent**2
    # sin^2 = t^2 / (1 + t^2), so tan' = t / sqrt(n^2 (1 + t^2) - t^2)
    return numbers.same(thickness * tangent / numbers.root(index**2 * (1 + square) - square), tangent)
