"""Makes a job from what its file holds. The caller reads the YAML; nothing here opens a file.

art:
  - {text: TIDES, at: [125, 60], high: 12, align: middle}     letters, as strokes
  - {line: 40 80 210 80, width: 0.4}                          a line from point to point
  - {rect: [40, 90, 20, 10], tint: 0.5, ruling: 48}           a dot screen
  - {disc: [60, 60, 2], ink: black}                           knocked out of what lies before it
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, Literal, TypeVar, cast

from trainer.bench.artwork import (
    BLACK,
    CLEAR,
    Area,
    Box,
    Disc,
    Film,
    Ink,
    Job,
    Mask,
    Point,
    Rect,
    Ring,
    Screen,
    Shape,
    Spot,
    Stroke,
    cross,
    turned,
)
from trainer.bench.artwork_part import ArtworkFault, Part, Path, numbers, said
from trainer.bench.letters import Letters, letters_from

__all__ = ["ArtworkFault", "job_from", "letters_from"]

T = TypeVar("T")

_FORMAT: Final = 1

MOST_SHAPES: Final = 20_000
"""A film with more shapes than this is refused: it would keep a screen waiting."""


def job_from(value: object, letters: Letters) -> Job:
    """A job from the value of its file. Raises ArtworkFault."""
    part = Part(value)
    part.only("job", "id", "title", "shop", "plate", "pin", "wedge", "masks", "films")
    if part.number("job") != _FORMAT:
        raise part.fault(f"this program reads jobs of the form `job: {_FORMAT}`.", "job")
    width, height = part.numbers("plate", 2)
    masks = part.part("masks")
    films = part.part("films")
    pin_x, pin_y = part.numbers("pin", 2)
    job = Job(
        part.text("id"),
        part.text("title"),
        part.text("shop"),
        width,
        height,
        (pin_x, pin_y),
        part.box("wedge"),
        {name: _film(name, films.part(name), letters) for name in films.value},
        {name: _mask(name, masks.part(name)) for name in masks.value},
    )
    for film in job.films.values():
        if film.mask not in job.masks:
            raise films.part(film.id).fault(f"there is no mask '{film.mask}'; add it under `masks`.", "mask")
    return job


def _mask(name: str, part: Part) -> Mask:
    part.only("windows")
    return Mask(name, part.each("windows", lambda item, path: _made_of(Box, item, 4, path)))


def _film(name: str, part: Part, letters: Letters) -> Film:
    part.only("kind", "label", "sheet", "mask", "art", "crosses", "pinholes", "scratches")
    kind = cast('Literal["image", "marks"]', part.word("kind", "image", "marks"))
    art = [
        shape
        for shapes in part.each("art", lambda item, path: _shapes(item, path, letters))
        for shape in shapes
    ]
    crosses = part.each("crosses", _point)
    art += [shape for x, y in crosses for shape in cross(x, y)]
    if len(art) > MOST_SHAPES:
        raise part.fault(f"{len(art)} shapes are too many for one film; {MOST_SHAPES} are the most.", "art")
    return Film(
        name,
        kind,
        part.text("label"),
        part.box("sheet"),
        part.text("mask"),
        tuple(art),
        crosses,
        part.each("pinholes", lambda item, path: _made_of(Spot, item, 3, path)),
        part.each("scratches", _scratch),
    )


def _made_of(make: Callable[..., T], item: object, count: int, path: Path) -> T:
    values = numbers(item, count, path)
    try:
        return make(*values)
    except ValueError as wrong:
        raise ArtworkFault(f"{said(path)}: {wrong}", path) from wrong


def _point(item: object, path: Path) -> Point:
    x, y = numbers(item, 2, path)
    return x, y


def _scratch(item: object, path: Path) -> Stroke:
    part = Part(item, path)
    part.only("line", "width")
    return part.made(Stroke, "line", (part.points("line"), part.number("width")))


def _shapes(item: object, path: Path, letters: Letters) -> list[Shape]:
    """The shapes of one line of `art`."""
    part = Part(item, path)
    for kind, make in _MAKERS.items():
        if kind in part.value:
            return part.made(make, kind, (part, _ink(part), letters))
    raise part.fault(f"one of {', '.join(_MAKERS)} is wanted here.")


def _ink(part: Part) -> Ink:
    if "tint" in part.value:
        return part.made(Screen, "tint", (part.number("tint"), part.number("ruling")))
    return BLACK if part.word("ink", "clear", "black", otherwise="clear") == "black" else CLEAR


_INKS = ("tint", "ruling", "ink")


def _rect(part: Part, ink: Ink, _letters: Letters) -> list[Shape]:
    part.only("rect", *_INKS)
    return [Rect(part.box("rect"), ink)]


def _area(part: Part, ink: Ink, _letters: Letters) -> list[Shape]:
    part.only("area", *_INKS)
    return [Area(part.points("area"), ink)]


def _disc(part: Part, ink: Ink, _letters: Letters) -> list[Shape]:
    part.only("disc", *_INKS)
    x, y, radius = part.numbers("disc", 3)
    return [Disc(x, y, radius, ink)]


def _ring(part: Part, ink: Ink, _letters: Letters) -> list[Shape]:
    part.only("ring", "width", *_INKS)
    x, y, radius = part.numbers("ring", 3)
    return [Ring(x, y, radius, part.number("width"), ink)]


def _line(part: Part, ink: Ink, _letters: Letters) -> list[Shape]:
    part.only("line", "width", *_INKS)
    return [Stroke(part.points("line"), part.number("width"), ink)]


def _frame(part: Part, ink: Ink, _letters: Letters) -> list[Shape]:
    part.only("frame", "width", *_INKS)
    box = part.box("frame")
    right, bottom = box.x + box.width, box.y + box.height
    corners = ((box.x, box.y), (right, box.y), (right, bottom), (box.x, bottom), (box.x, box.y))
    return [Stroke(corners, part.number("width"), ink)]


def _text(part: Part, ink: Ink, letters: Letters) -> list[Shape]:
    """A line of text: `at` is its foot, at the left end, the middle or the right end as `align` says."""
    part.only("text", "at", "high", "width", "turn", "align", *_INKS)
    text, high = part.text("text"), part.number("high")
    x, y = part.numbers("at", 2)
    scale = high / letters.height
    shares = {"left": 0.0, "middle": 0.5, "right": 1.0}
    align = part.word("align", *shares, otherwise="left")
    start = x - shares[align] * letters.length(text) * scale
    width = part.number("width", high / 9)
    turn = part.number("turn", 0.0)
    placed = [
        tuple((start + px * scale, y + py * scale) for px, py in line) for line in letters.strokes(text)
    ]
    return [Stroke(turned(line, (x, y), turn), width, ink) for line in placed]


_MAKERS: Mapping[str, Callable[[Part, Ink, Letters], list[Shape]]] = {
    "rect": _rect,
    "frame": _frame,
    "area": _area,
    "disc": _disc,
    "ring": _ring,
    "line": _line,
    "text": _text,
}
