"""What is drawn on film: a job, its films and masks, as vector art in millimetres.

Places are in mm on the plate: x to the right and y down from the left corner of the head, seen from above
with the coated side up, with film lying as it should. Art is what is clear on the film and so prints.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from trainer.bench.limits import held

Point = tuple[float, float]

BIGGEST = 2000.0
"""No plate, film or shape reaches further than this, in mm."""


@dataclass(frozen=True, slots=True)
class Clear:
    """Clear film: light goes through and the plate prints there."""


@dataclass(frozen=True, slots=True)
class Black:
    """Black film, to knock a shape out of what is drawn before it."""


@dataclass(frozen=True, slots=True)
class Screen:
    """A dot screen: clear round dots over `tone` (0 to 1) of the area, `ruling` lines a centimetre."""

    tone: float
    ruling: float

    def __post_init__(self) -> None:
        held(self.tone, "A screen's tone", 0.0, 1.0)
        held(self.ruling, "A screen's ruling", 5.0, 200.0, "lines/cm")


Ink = Clear | Black | Screen
CLEAR = Clear()
BLACK = Black()


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: its left upper corner and its size, mm."""

    x: float
    y: float
    width: float
    height: float

    def __post_init__(self) -> None:
        held(self.x, "A rectangle's place", -BIGGEST, BIGGEST, "mm")
        held(self.y, "A rectangle's place", -BIGGEST, BIGGEST, "mm")
        held(self.width, "A rectangle's width", 0.0, BIGGEST, "mm")
        held(self.height, "A rectangle's height", 0.0, BIGGEST, "mm")

    @property
    def middle(self) -> Point:
        """Its centre."""
        return self.x + self.width / 2, self.y + self.height / 2

    def inset(self, by: float) -> Box:
        """The same with `by` mm less on every side, and never less than nothing."""
        across, down = min(by, self.width / 2), min(by, self.height / 2)
        return Box(self.x + across, self.y + down, self.width - 2 * across, self.height - 2 * down)


@dataclass(frozen=True, slots=True)
class Rect:
    """A filled rectangle."""

    box: Box
    ink: Ink = CLEAR


@dataclass(frozen=True, slots=True)
class Area:
    """A filled polygon; where its edge crosses itself, what is enclosed twice is empty."""

    points: tuple[Point, ...]
    ink: Ink = CLEAR

    def __post_init__(self) -> None:
        _held_points(self.points, 3)


@dataclass(frozen=True, slots=True)
class Disc:
    """A filled circle."""

    x: float
    y: float
    radius: float
    ink: Ink = CLEAR

    def __post_init__(self) -> None:
        _held_points(((self.x, self.y),), 1)
        held(self.radius, "A circle's radius", 0.0, BIGGEST, "mm")


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle drawn as a line `width` mm wide."""

    x: float
    y: float
    radius: float
    width: float
    ink: Ink = CLEAR

    def __post_init__(self) -> None:
        _held_points(((self.x, self.y),), 1)
        held(self.radius, "A circle's radius", 0.0, BIGGEST, "mm")
        held(self.width, "A line's width", 0.0, 100.0, "mm")


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line from point to point, `width` mm wide, with round ends. Letters are strokes too."""

    points: tuple[Point, ...]
    width: float
    ink: Ink = CLEAR

    def __post_init__(self) -> None:
        _held_points(self.points, 2)
        held(self.width, "A line's width", 0.0, 100.0, "mm")


Shape = Rect | Area | Disc | Ring | Stroke


def _held_points(points: tuple[Point, ...], least: int) -> None:
    if len(points) < least:
        raise ValueError(f"A shape of this kind needs {least} points or more; this one has {len(points)}.")
    for x, y in points:
        held(x, "A point's place", -BIGGEST, BIGGEST, "mm")
        held(y, "A point's place", -BIGGEST, BIGGEST, "mm")


@dataclass(frozen=True, slots=True)
class Spot:
    """A small round place: a pinhole in the black, or opaque painted over one. `across` in mm."""

    x: float
    y: float
    across: float

    def __post_init__(self) -> None:
        _held_points(((self.x, self.y),), 1)
        held(self.across, "A spot's size", 0.0, 100.0, "mm")


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """One film: clear image in black. Beyond its `sheet` nothing holds back the light.

    `mask` names the mask it is burned with. `targets`: the middles of its register crosses. Pinholes and
    scratches are flaws in the black. A film is compared by what it is, not by what is on it, so that its
    drawing can be kept and found quickly.
    """

    id: str
    kind: Literal["image", "marks"]
    label: str
    sheet: Box
    mask: str
    art: tuple[Shape, ...]
    targets: tuple[Point, ...] = ()
    pinholes: tuple[Spot, ...] = ()
    scratches: tuple[Stroke, ...] = ()

    def without_flaws(self) -> Film:
        """The film as it was meant: no pinhole, no scratch."""
        return replace(self, pinholes=(), scratches=())


@dataclass(frozen=True, slots=True)
class Mask:
    """A sheet over film and plate that holds back the light but for its windows."""

    id: str
    windows: tuple[Box, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A job: plate size (mm), round register pin (mm), films, masks, and where the wedge is laid in."""

    id: str
    title: str
    shop: str
    width: float
    height: float
    pin: Point
    wedge: Box
    films: Mapping[str, Film]
    masks: Mapping[str, Mask]

    @property
    def area(self) -> float:
        """The plate's area, cm2."""
        return self.width * self.height / 100

    def film(self, named: str) -> Film:
        """The film of that id. Raises ValueError with a sentence."""
        if named not in self.films:
            raise ValueError(f"The job {self.id} has no film '{named}'; it has {', '.join(self.films)}.")
        return self.films[named]

    def windows(self, mask: str) -> tuple[Box, ...]:
        """The windows of the mask of that id. Raises ValueError with a sentence."""
        if mask not in self.masks:
            raise ValueError(f"The job {self.id} has no mask '{mask}'; it has {', '.join(self.masks)}.")
        return self.masks[mask].windows

    def image_films(self) -> tuple[Film, ...]:
        """The films that carry image, one a colour."""
        return tuple(film for film in self.films.values() if film.kind == "image")


def bounds(shape: Shape) -> Box:
    """The smallest upright rectangle round a shape."""
    match shape:
        case Rect():
            return shape.box
        case Disc():
            reach = shape.radius
            return Box(shape.x - reach, shape.y - reach, 2 * reach, 2 * reach)
        case Ring():
            reach = shape.radius + shape.width / 2
            return Box(shape.x - reach, shape.y - reach, 2 * reach, 2 * reach)
        case Area():
            return _round_points(shape.points, 0.0)
        case Stroke():
            return _round_points(shape.points, shape.width / 2)


def _round_points(points: tuple[Point, ...], margin: float) -> Box:
    left, top = (min(point[axis] for point in points) - margin for axis in (0, 1))
    right, bottom = (max(point[axis] for point in points) + margin for axis in (0, 1))
    return Box(left, top, right - left, bottom - top)


def turned(points: tuple[Point, ...], about: Point, degrees: float) -> tuple[Point, ...]:
    """Points turned clockwise, as seen, about a point."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    x0, y0 = about
    return tuple(
        (x0 + (x - x0) * cos - (y - y0) * sin, y0 + (x - x0) * sin + (y - y0) * cos) for x, y in points
    )


CROSS_ARM: Final = 3.0
CROSS_RING: Final = 1.8
CROSS_LINE: Final = 0.2
"""A register cross: its arm from the middle, the radius of its ring, and the width of its lines, mm."""


def cross(x: float, y: float) -> tuple[Shape, ...]:
    """A register cross: two lines and a ring round their meeting."""
    return (
        Stroke(((x - CROSS_ARM, y), (x + CROSS_ARM, y)), CROSS_LINE),
        Stroke(((x, y - CROSS_ARM), (x, y + CROSS_ARM)), CROSS_LINE),
        Ring(x, y, CROSS_RING, CROSS_LINE),
    )
