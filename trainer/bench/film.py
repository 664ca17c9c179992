"""A film as the light meets it: how much of each pixel is clear, and where it is a screen.

Line art is coverage, anti-aliased. A dot screen is drawn as dots where the pixels are fine enough, else
kept as a patch of a known tone, so that a tone is right at every resolution. `edge` draws every edge so
far further out, which is how light that creeps under an edge is drawn: exact at every resolution, finer
than a pixel too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from trainer.bench import tone
from trainer.bench.artwork import (
    BLACK,
    Area,
    Box,
    Disc,
    Film,
    Ink,
    Rect,
    Ring,
    Screen,
    Shape,
    Spot,
    Stroke,
)
from trainer.bench.film_place import Placement
from trainer.bench.raster import (
    Coverage,
    Floats,
    Grid,
    draw_area,
    draw_boxes,
    draw_lines,
    draw_rings,
    draw_turned,
    empty,
)

Patches = NDArray[np.uint8]

_DOTS_FROM: Final = 6.0
"""A screen is drawn as dots where its pitch is so many pixels or more."""

_SCREEN_ANGLE: Final = np.radians(45.0)

MOST_PATCHES: Final = 255
"""So many different tints may stand on one film."""

_KEPT_TO: Final = 65_536
"""A film's raster of at most so many pixels is kept, so that a picture drawn again costs little."""


@dataclass(frozen=True, slots=True)
class FilmRaster:
    """What is on a film, pixel by pixel.

    `cover`: the share of each pixel that is clear, 0 to 1. `tint`: the share under a tint, and `patch` the
    number, from 1, of that tint among `patches`; 0 where there is none.
    """

    cover: Coverage
    tint: Coverage
    patch: Patches
    patches: tuple[Screen, ...]


@dataclass(frozen=True, slots=True)
class _Layer:
    """Shapes of one kind and one ink that lie on one another in the film's order."""

    kind: type[Shape]
    ink: Ink
    numbers: Floats


def _numbers(shape: Shape) -> Floats:
    """A shape as rows of numbers, in the form its drawing takes."""
    match shape:
        case Rect(box=box):
            return np.array([[box.x, box.y, box.x + box.width, box.y + box.height]])
        case Disc():
            return np.array([[shape.x, shape.y, -1.0, shape.radius]])
        case Ring():
            half = shape.width / 2
            return np.array([[shape.x, shape.y, shape.radius - half, shape.radius + half]])
        case Area():
            return np.array(shape.points)
        case Stroke():
            points = np.array(shape.points)
            return np.column_stack((points[:-1], points[1:], np.full(len(points) - 1, shape.width)))


def _kind(shape: Shape) -> type[Shape]:
    return Ring if isinstance(shape, Disc) else type(shape)


def _layers(shapes: Sequence[Shape]) -> tuple[_Layer, ...]:
    """The shapes in their order, neighbours of one kind and ink as one layer. A polygon is one of its own."""
    layers: list[_Layer] = []
    pending: list[Floats] = []
    for shape, after in zip(shapes, (*shapes[1:], None), strict=True):
        pending.append(_numbers(shape))
        if (
            after is None
            or _kind(shape) is Area
            or _kind(after) is not _kind(shape)
            or after.ink != shape.ink
        ):
            layers.append(_Layer(_kind(shape), shape.ink, np.vstack(pending)))
            pending = []
    return tuple(layers)


@lru_cache(maxsize=64)
def _film_layers(film: Film) -> tuple[_Layer, ...]:
    """The film's art, then its flaws, which are clear."""
    holes = tuple(Disc(hole.x, hole.y, hole.across / 2) for hole in film.pinholes)
    return _layers((*film.art, *holes, *film.scratches))


def rendered(film: Film, grid: Grid, placement: Placement, edge: float = 0.0) -> FilmRaster:
    """The film where it lies on the plate, every edge of its clear parts `edge` mm further out."""
    if grid.size <= _KEPT_TO:
        return _kept(film, grid, placement, edge)
    return _drawn(film, grid, placement, edge)


@lru_cache(maxsize=256)
def _kept(film: Film, grid: Grid, placement: Placement, edge: float) -> FilmRaster:
    raster = _drawn(film, grid, placement, edge)
    for array in (raster.cover, raster.tint, raster.patch):
        array.flags.writeable = False
    return raster


def _drawn(film: Film, grid: Grid, placement: Placement, edge: float) -> FilmRaster:
    cover = np.ones((grid.rows, grid.cols), dtype=np.float32)
    raster = FilmRaster(cover, np.zeros_like(cover), np.zeros(cover.shape, dtype=np.uint8), ())
    inks: list[Screen] = []
    sheet = _Layer(Rect, BLACK, _numbers(Rect(film.sheet)))
    for layer in (sheet, *_film_layers(film)):
        _paint(layer, grid, placement, edge, (raster, inks))
    return replace(raster, patches=tuple(inks))


def _paint(
    layer: _Layer,
    grid: Grid,
    placement: Placement,
    edge: float,
    into: tuple[FilmRaster, list[Screen]],
) -> None:
    """Put a layer over what is there, in the part of the grid that it reaches."""
    ink = layer.ink
    spread = 0.0 if isinstance(ink, Screen) else -edge if ink == BLACK else edge
    numbers = placement.moved(layer.kind, layer.numbers)
    touched = grid.touched(_extent(layer.kind, numbers, max(spread, 0.0)))
    if touched is None:
        return
    rows, cols = touched
    part = grid.part(rows, cols)
    share = _shape_cover(layer, numbers, part, placement, spread)
    here = np.s_[rows[0] : rows[1], cols[0] : cols[1]]
    raster, inks = into
    left = 1.0 - share
    raster.cover[here] *= left
    raster.tint[here] *= left
    if ink == BLACK:
        return
    if not isinstance(ink, Screen):
        raster.cover[here] += share
    elif tone.pitch(ink.ruling) / 1000 >= _DOTS_FROM * grid.pixel:
        raster.cover[here] += share * _dots(ink, part, placement, edge)
    else:
        more = share > raster.tint[here]
        raster.tint[here] += share
        raster.patch[here][more] = _patch_number(ink, inks)


def _patch_number(ink: Screen, patches: list[Screen]) -> int:
    if ink not in patches:
        patches.append(ink)
    if len(patches) > MOST_PATCHES:
        raise ValueError(f"A film holds at most {MOST_PATCHES} different tints.")
    return patches.index(ink) + 1


def _shape_cover(layer: _Layer, numbers: Floats, grid: Grid, placement: Placement, spread: float) -> Coverage:
    """What a layer's shapes fill, every edge `spread` mm further out (in, where negative)."""
    into = empty(grid)
    if layer.kind is Area:
        _draw_area(numbers, grid, into, spread)
    elif layer.kind is Rect and placement.turned:
        for left, top, right, bottom in _grown(Rect, layer.numbers, spread).tolist():
            corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
            draw_turned(placement.moved(Area, corners), grid, into)
    else:
        _DRAWING[layer.kind](_grown(layer.kind, numbers, spread), grid, into)
    return into


def _draw_area(points: Floats, grid: Grid, into: Coverage, spread: float) -> None:
    """A polygon, with its outline drawn over it, or taken from it, to move its edge."""
    draw_area(points, grid, into)
    if not spread:
        return
    around = np.column_stack((points, np.roll(points, -1, axis=0), np.full(len(points), 2 * abs(spread))))
    outline = empty(grid)
    draw_lines(around, grid, outline)
    if spread > 0:
        # of a pixel on the edge, what lies inside already is half of the outline's share
        np.maximum(np.minimum(into + outline / 2, 1.0), outline, out=into)
    else:
        taken = np.where(into > 1 - 1e-6, outline, np.maximum(outline / 2, 2 * outline - 1))
        np.maximum(into - taken, 0.0, out=into)


def _grown(kind: type[Shape], numbers: Floats, spread: float) -> Floats:
    """Rows of numbers with every edge `spread` mm further out; what is left of nothing is taken out."""
    if not spread:
        return numbers
    if kind is Rect:
        grown = numbers + np.array([-spread, -spread, spread, spread])
        return np.asarray(grown[(grown[:, 2] > grown[:, 0]) & (grown[:, 3] > grown[:, 1])])
    if kind is Ring:
        grown = numbers + np.array([0.0, 0.0, -spread, spread])
        grown[numbers[:, 2] < 0, 2] = -1.0
        return np.asarray(grown[(grown[:, 3] > 0) & (grown[:, 3] > grown[:, 2])])
    grown = numbers + np.array([0.0, 0.0, 0.0, 0.0, 2 * spread])
    return np.asarray(grown[grown[:, 4] > 0])


def _extent(kind: type[Shape], numbers: Floats, spread: float) -> Box:
    """The rectangle round all shapes of a layer."""
    if kind is Rect:
        low, high = numbers[:, :2], numbers[:, 2:]
    elif kind is Ring:
        low, high = numbers[:, :2] - numbers[:, 3:], numbers[:, :2] + numbers[:, 3:]
    elif kind is Area:
        low, high = numbers, numbers
    else:
        half = numbers[:, 4:] / 2
        low = np.minimum(numbers[:, :2], numbers[:, 2:4]) - half
        high = np.maximum(numbers[:, :2], numbers[:, 2:4]) + half
    left, top = (low.min(axis=0) - spread).tolist()
    right, bottom = (high.max(axis=0) + spread).tolist()
    return Box(left, top, right - left, bottom - top)


_DRAWING = {Rect: draw_boxes, Ring: draw_rings, Stroke: draw_lines}


def _dots(screen: Screen, grid: Grid, placement: Placement, edge: float) -> Coverage:
    """The dots of a screen over the grid: round, clear, on a square lattice that moves with the film."""
    pitch = tone.pitch(screen.ruling) / 1000
    radius = (tone.radius(screen.tone, screen.ruling) / 1000 + (edge if 0 < screen.tone < 1 else 0.0)) / pitch
    cos, sin = np.cos(_SCREEN_ANGLE) / pitch, np.sin(_SCREEN_ANGLE) / pitch
    origin_x, origin_y = placement.origin()
    x, y = grid.x()[None, :] - origin_x, grid.y()[:, None] - origin_y
    count = 4 if grid.pixel * 12 > pitch else 2
    total = np.zeros((grid.rows, grid.cols), dtype=np.float32)
    for step_y in range(count):
        for step_x in range(count):
            dx, dy = (((step + 0.5) / count - 0.5) * grid.pixel for step in (step_x, step_y))
            across, down = (x + dx) * cos + (y + dy) * sin, (y + dy) * cos - (x + dx) * sin
            away = np.hypot(across - np.rint(across), down - np.rint(down))
            total += away < radius
    return np.asarray(total / count**2, dtype=np.float32)


def spots_cover(spots: tuple[Spot, ...], grid: Grid, placement: Placement) -> Coverage:
    """How much of each pixel a film's spots fill, where the film lies."""
    into = empty(grid)
    draw_rings(placement.moved(Ring, _spot_numbers(spots)), grid, into)
    return into


@lru_cache(maxsize=64)
def _spot_numbers(spots: tuple[Spot, ...]) -> Floats:
    rows = [[spot.x, spot.y, -1.0, spot.across / 2] for spot in spots]
    return np.array(rows).reshape(-1, 4)


def lines_cover(strokes: Sequence[Stroke], grid: Grid) -> Coverage:
    """How much of each pixel a few lines fill."""
    into = empty(grid)
    if strokes:
        draw_lines(np.vstack([_numbers(stroke) for stroke in strokes]), grid, into)
    return into


def windows_cover(windows: Sequence[Box], grid: Grid) -> Coverage:
    """How much of each pixel lies in a mask's windows."""
    into = empty(grid)
    edges = [[box.x, box.y, box.x + box.width, box.y + box.height] for box in windows]
    draw_boxes(np.array(edges).reshape(-1, 4), grid, into)
    return into
