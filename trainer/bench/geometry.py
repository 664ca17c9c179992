"""How light falls on the frame: with the square of the distance, and less towards the corners.

A point lamp over a flat frame gives cos^3 of the angle (one cosine from incidence, two from the slant
distance: IES and IEC distance law E = I cos(theta) / d^2). cos^4 belongs to a flat face that glows evenly
(Lambert's law adds one more); the settings say which lamp it is.
"""

from __future__ import annotations

from trainer.bench.limits import held, one_of
from trainer.bench.numbers import N, same

_NEAREST, _FARTHEST = 10.0, 20_000.0
_POWER = {"point": 3, "diffuse": 4}


def inverse_square(distance: float, reference: float) -> float:
    """Irradiance at `distance` against that at `reference`, on the axis; both in mm."""
    _distance(distance)
    _distance(reference)
    return (reference / distance) ** 2


def tangent(off_axis: N, distance: float) -> N:
    """Tangent of the angle at which light comes in, `off_axis` mm from the point under the lamp."""
    _distance(distance)
    return same(held(off_axis, "The distance from the axis", 0, _FARTHEST, "mm") / distance, off_axis)


def fall_off(off_axis: N, distance: float, kind: str) -> N:
    """Irradiance against that under the lamp: cos^3 for a `point` lamp, cos^4 for a `diffuse` one."""
    one_of(kind, "The kind of lamp", tuple(_POWER))
    slant = 1 + tangent(off_axis, distance) ** 2
    return same(slant ** (-_POWER[kind] / 2), off_axis)


def at_plate(units: float, distance: float, reference: float, sensor: str) -> float:
    """Dose at the middle of the plate, in units as they are at `reference` mm, once `units` were counted.

    With the sensor at the `frame` it sees what the plate sees. With the sensor at the `lamp` a lamp moved
    away counts as before, and the plate gets less by the square of the distance.
    """
    held(units, "The dose", 0, 1e6, "units")
    one_of(sensor, "The place of the sensor", ("frame", "lamp"))
    seen = inverse_square(distance, reference)
    return units if sensor == "frame" else units * seen


def _distance(value: float) -> None:
    held(value, "The distance of the lamp", _NEAREST, _FARTHEST, "mm")
