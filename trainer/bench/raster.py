"""Drawing shapes as coverage: how much of each pixel a shape fills, 0 to 1, at any resolution.

A grid knows its place on the plate, and a band of it has the very same pixels, so that a plate made in bands
is the plate made at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from trainer.bench.artwork import Box
from trainer.bench.limits import held

Coverage = NDArray[np.float32]
Floats = NDArray[np.floating]

_PIECE: Final = 96
"""A line is drawn in pieces of at most so many pixels, so that a slanting one needs no large square."""

_SCANS: Final = 8
_MORE_SCANS: Final = 32
"""A polygon's edges are looked at on so many lines within a row of pixels: more where pixels are coarse."""

_COARSE: Final = 0.5
"""Pixels of more mm than this are coarse."""

_AT_ONCE: Final = 32
"""So many rows of pixels are looked at in one go."""

MM_PER_INCH: Final = 25.4


@dataclass(frozen=True, slots=True)
class Grid:
    """Square pixels over a part of the plate. `left`, `top`, `pixel` in mm; `first` is its first row."""

    left: float
    top: float
    pixel: float
    cols: int
    rows: int
    first: int = 0

    def __post_init__(self) -> None:
        held(self.pixel, "A pixel", 1e-4, 1000.0, "mm")
        held(float(self.cols), "The pixels of a row", 1, 100_000)
        held(float(self.rows), "The rows of a picture", 1, 100_000)

    @classmethod
    def at_dpi(cls, width: float, height: float, dpi: float) -> Grid:
        """A whole plate of `width` by `height` mm at so many pixels an inch."""
        pixel = MM_PER_INCH / held(dpi, "A resolution", 1.0, 10_000.0, "dpi")
        return cls(0.0, 0.0, pixel, math.ceil(width / pixel - 1e-9), math.ceil(height / pixel - 1e-9))

    @classmethod
    def fitted(cls, width: float, height: float, cols: int, rows: int) -> Grid:
        """A whole plate in at most `cols` by `rows` pixels, its shape kept."""
        pixel = max(width / max(1, cols), height / max(1, rows))
        shown = (max(1, math.ceil(side / pixel - 1e-9)) for side in (width, height))
        return cls(0.0, 0.0, pixel, *shown)

    @classmethod
    def around(cls, x: float, y: float, pixel: float, cols: int, rows: int) -> Grid:
        """A loupe's field: pixels of `pixel` mm with (x, y) in the middle."""
        return cls(x - cols * pixel / 2, y - rows * pixel / 2, pixel, cols, rows)

    @classmethod
    def over(cls, box: Box, pixel: float) -> Grid:
        """Pixels of about `pixel` mm over a rectangle, at least one."""
        cols, rows = (max(1, round(side / pixel)) for side in (box.width, box.height))
        return cls(box.x, box.y, pixel, cols, rows)

    @property
    def size(self) -> int:
        """How many pixels it has."""
        return self.cols * self.rows

    @property
    def box(self) -> Box:
        """The part of the plate that it shows."""
        return Box(
            self.left, self.top + self.first * self.pixel, self.cols * self.pixel, self.rows * self.pixel
        )

    def band(self, first: int, rows: int) -> Grid:
        """Rows of it, with the very same pixels."""
        return replace(self, first=self.first + first, rows=rows)

    def part(self, rows: tuple[int, int], cols: tuple[int, int]) -> Grid:
        """A rectangle of it, from the first to before the last row and column."""
        return replace(
            self,
            left=self.left + cols[0] * self.pixel,
            cols=cols[1] - cols[0],
            first=self.first + rows[0],
            rows=rows[1] - rows[0],
        )

    def touched(self, box: Box) -> tuple[tuple[int, int], tuple[int, int]] | None:
        """The rows and the columns that a rectangle touches; None where it touches none."""
        rows = self.span(box.y, box.y + box.height, down=True)
        cols = self.span(box.x, box.x + box.width, down=False)
        return (rows, cols) if rows[0] < rows[1] and cols[0] < cols[1] else None

    def x(self) -> Floats:
        """The middle of every column, mm."""
        return np.asarray(self.left + (np.arange(self.cols) + 0.5) * self.pixel)

    def y(self) -> Floats:
        """The middle of every row, mm."""
        return np.asarray(self.top + (self.first + np.arange(self.rows) + 0.5) * self.pixel)

    def span(self, low: float, high: float, *, down: bool) -> tuple[int, int]:
        """The columns, or with `down` the rows, that anything between two places in mm can touch."""
        start, count = (self.top + self.first * self.pixel, self.rows) if down else (self.left, self.cols)
        begin = math.floor((low - start) / self.pixel - 1e-6)
        end = math.ceil((high - start) / self.pixel + 1e-6)
        return min(max(begin, 0), count), min(max(end, 0), count)


def empty(grid: Grid) -> Coverage:
    """Nothing drawn yet."""
    return np.zeros((grid.rows, grid.cols), dtype=np.float32)


def _filled(middle: Floats, low: float, high: float, pixel: float) -> Floats:
    """The share of each pixel, by the place of its middle, that lies between two places."""
    inside = np.minimum(middle + pixel / 2, high) - np.maximum(middle - pixel / 2, low)
    return np.asarray(np.clip(inside / pixel, 0.0, 1.0))


def _add(into: Coverage, rows: tuple[int, int], cols: tuple[int, int], share: Floats) -> None:
    """Shapes that lie side by side in a pixel fill it together."""
    part = into[rows[0] : rows[1], cols[0] : cols[1]]
    np.add(part, share, out=part, casting="same_kind")
    np.minimum(part, 1.0, out=part)


def draw_boxes(boxes: Floats, grid: Grid, into: Coverage) -> None:
    """Rectangles, rows of (left, top, right, bottom) in mm; exact."""
    x, y = grid.x(), grid.y()
    for left, top, right, bottom in boxes.tolist():
        cols, rows = grid.span(left, right, down=False), grid.span(top, bottom, down=True)
        if cols[0] < cols[1] and rows[0] < rows[1]:
            across = _filled(x[cols[0] : cols[1]], left, right, grid.pixel).astype(np.float32)
            down = _filled(y[rows[0] : rows[1]], top, bottom, grid.pixel).astype(np.float32)
            _add(into, rows, cols, down[:, None] * across[None, :])


def draw_turned(corners: Floats, grid: Grid, into: Coverage) -> None:
    """A rectangle that is turned a little, by its corners in their order, (x, y) in mm.

    Finer than a pixel it fills its share too: the share between two edges is taken for each direction.
    """
    low, high = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    cols, rows = grid.span(low[0], high[0], down=False), grid.span(low[1], high[1], down=True)
    if cols[0] >= cols[1] or rows[0] >= rows[1]:
        return
    part = grid.part(rows, cols)
    across = _between_edges(corners, (0, 1, 2, 3), part)
    across *= _between_edges(corners, (1, 2, 3, 0), part)
    _add(into, rows, cols, across)


def _between_edges(corners: Floats, order: tuple[int, int, int, int], grid: Grid) -> Coverage:
    """How much of each pixel lies between two edges that face each other: a to b, and c to d."""
    share = np.full((grid.rows, grid.cols), -1.0, dtype=np.float32)
    middle = corners.mean(axis=0)
    for start, end in (order[:2], order[2:]):
        along = corners[end] - corners[start]
        inward = np.array([-along[1], along[0]]) / max(float(np.hypot(*along)), 1e-9)
        if float(inward @ (middle - corners[start])) < 0:
            inward = -inward
        x = (inward[0] * (grid.x() - corners[start][0]) / grid.pixel + 0.5).astype(np.float32)
        y = (inward[1] * (grid.y() - corners[start][1]) / grid.pixel).astype(np.float32)
        share += np.clip(x[None, :] + y[:, None], np.float32(0.0), np.float32(1.0))
    return np.maximum(share, 0.0, out=share)


def draw_rings(rings: Floats, grid: Grid, into: Coverage) -> None:
    """Circles, rows of (x, y, inner radius, outer radius) in mm; a disc's inner radius is under zero.

    Those smaller than a pixel fill their area's share of the pixels that they lie in.
    """
    x, y, box = grid.x(), grid.y(), grid.box
    middle, reach = rings[:, :2], np.maximum(rings[:, 3:], grid.pixel)
    near = (middle + reach > (box.x, box.y)) & (middle - reach < (box.x + box.width, box.y + box.height))
    rings = rings[near.all(axis=1)]
    small = 2 * rings[:, 3] < grid.pixel
    if small.any():
        tiny = rings[small]
        area = math.pi * (tiny[:, 3] ** 2 - np.maximum(tiny[:, 2], 0.0) ** 2)
        _scatter(np.column_stack((tiny[:, [0, 1, 3]], area)), grid, into)
    for centre_x, centre_y, inner, outer in rings[~small].tolist():
        cols = grid.span(centre_x - outer, centre_x + outer, down=False)
        rows = grid.span(centre_y - outer, centre_y + outer, down=True)
        if cols[0] >= cols[1] or rows[0] >= rows[1]:
            continue
        away = np.hypot(x[None, cols[0] : cols[1]] - centre_x, y[rows[0] : rows[1], None] - centre_y)
        _add(into, rows, cols, _filled(away, inner if inner > 0 else -outer, outer, grid.pixel))


def draw_area(points: Floats, grid: Grid, into: Coverage) -> None:
    """A polygon, even-odd, rows of (x, y) in mm: exact along each of several lines in a row of pixels."""
    cols = grid.span(float(points[:, 0].min()), float(points[:, 0].max()), down=False)
    rows = grid.span(float(points[:, 1].min()), float(points[:, 1].max()), down=True)
    if cols[0] >= cols[1]:
        return
    left = grid.x()[cols[0] : cols[1]] - grid.pixel / 2
    scans = _MORE_SCANS if grid.pixel > _COARSE else _SCANS
    offsets = ((np.arange(scans) + 0.5) / scans - 0.5) * grid.pixel
    for first in range(rows[0], rows[1], _AT_ONCE):
        last = min(first + _AT_ONCE, rows[1])
        lines = (grid.y()[first:last, None] + offsets).ravel()
        share = _scanned(points, lines, left, grid.pixel)
        share = share.reshape(last - first, scans, len(left)).mean(axis=1)
        _add(into, (first, last), cols, share)


def _scanned(points: Floats, lines: Floats, left: Floats, pixel: float) -> Floats:
    """How much of each pixel, from its left edge, a polygon fills along each of some level lines."""
    ends = np.roll(points, -1, axis=0)
    slant = np.where(ends[:, 1] == points[:, 1], 1.0, ends[:, 1] - points[:, 1])
    crossed = (points[:, 1] <= lines[:, None]) != (ends[:, 1] <= lines[:, None])
    at = points[:, 0] + (lines[:, None] - points[:, 1]) * ((ends[:, 0] - points[:, 0]) / slant)
    at = np.sort(np.where(crossed, at, np.inf), axis=1)
    share = np.zeros((len(lines), len(left)))
    for pair in range(0, int(crossed.sum(axis=1).max(initial=0)), 2):
        low, high = at[:, pair, None], at[:, pair + 1, None]
        there = np.isfinite(low[:, 0])
        filled = np.clip((high[there] - left) / pixel, 0.0, 1.0)
        share[there] += filled - np.clip((low[there] - left) / pixel, 0.0, 1.0)
    return share


def draw_lines(lines: Floats, grid: Grid, into: Coverage) -> None:
    """Lines with round ends, rows of (x, y, x, y, width) in mm.

    Where they are finer than a pixel they fill their area's share of it, and two that share a pixel add.
    """
    half = lines[:, 4] / 2
    box = grid.box
    near = (
        (np.minimum(lines[:, 0], lines[:, 2]) - half < box.x + box.width)
        & (np.maximum(lines[:, 0], lines[:, 2]) + half > box.x)
        & (np.minimum(lines[:, 1], lines[:, 3]) - half < box.y + box.height)
        & (np.maximum(lines[:, 1], lines[:, 3]) + half > box.y)
    )
    fine = lines[:, 4] < grid.pixel
    if (near & fine).any():
        _splat(lines[near & fine], grid, into)
    for piece in _pieces(lines[near & ~fine], grid.pixel).tolist():
        _draw_line(piece, grid, into)


def _pieces(lines: Floats, pixel: float) -> Floats:
    """Slanting lines cut into pieces; an upright or level one stays whole."""
    if not len(lines):
        return lines
    run = np.abs(lines[:, 2:4] - lines[:, 0:2])
    counts = np.where(run.min(axis=1) > pixel, np.ceil(run.max(axis=1) / (_PIECE * pixel)), 1).astype(int)
    counts = np.maximum(counts, 1)
    whole = np.repeat(lines, counts, axis=0)
    place = np.concatenate([np.arange(count) for count in counts])
    of = np.repeat(counts, counts)
    start, step = whole[:, 0:2], whole[:, 2:4] - whole[:, 0:2]
    return np.column_stack(
        (start + step * (place / of)[:, None], start + step * ((place + 1) / of)[:, None], whole[:, 4])
    )


def _draw_line(line: list[float], grid: Grid, into: Coverage) -> None:
    x0, y0, x1, y1, width = line
    half = width / 2
    cols = grid.span(min(x0, x1) - half, max(x0, x1) + half, down=False)
    rows = grid.span(min(y0, y1) - half, max(y0, y1) + half, down=True)
    if cols[0] >= cols[1] or rows[0] >= rows[1]:
        return
    x = grid.left + (np.arange(*cols) + 0.5) * grid.pixel - x0
    y = (grid.top + (grid.first + np.arange(*rows) + 0.5) * grid.pixel - y0)[:, None]
    along_x, along_y = x1 - x0, y1 - y0
    length = along_x**2 + along_y**2
    at = np.clip((x * along_x + y * along_y) / length, 0.0, 1.0) if length > 0 else np.zeros((len(y), len(x)))
    away = np.hypot(x - at * along_x, y - at * along_y)
    part = into[rows[0] : rows[1], cols[0] : cols[1]]  # pieces of one line overlap: the fuller counts
    np.maximum(part, _filled(away, -half, half, grid.pixel), out=part, casting="same_kind")


def _splat(lines: Floats, grid: Grid, into: Coverage) -> None:
    """Fine lines as points along them, each with its share of the line's area."""
    length = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
    counts = np.maximum(1, np.ceil(length / (grid.pixel / 3))).astype(int)
    each = np.repeat(np.arange(len(lines)), counts)
    place = np.concatenate([(np.arange(count) + 0.5) / count for count in counts])
    x = lines[each, 0] + (lines[each, 2] - lines[each, 0]) * place
    y = lines[each, 1] + (lines[each, 3] - lines[each, 1]) * place
    area = (length * lines[:, 4] / counts)[each]
    _scatter(np.column_stack((x, y, lines[each, 4] / 2, area)), grid, into)


def _scatter(squares: Floats, grid: Grid, into: Coverage) -> None:
    """Small squares, rows of (x, y, half a side, mm2): each fills its area in the pixels it lies over."""
    x, y, half, area = squares.T
    col, first_col = _parted(x - grid.left, half, grid.pixel)
    row, first_row = _parted(y - grid.top - grid.first * grid.pixel, half, grid.pixel)
    total = np.zeros(grid.size)
    for right, share_x in ((0, first_col), (1, 1.0 - first_col)):
        for low, share_y in ((0, first_row), (1, 1.0 - first_row)):
            cols, rows = col + right, row + low
            seen = (cols >= 0) & (cols < grid.cols) & (rows >= 0) & (rows < grid.rows)
            weights = (area * share_x * share_y)[seen]
            total += np.bincount(rows[seen] * grid.cols + cols[seen], weights, minlength=grid.size)
    share = total.reshape(grid.rows, grid.cols) / grid.pixel**2
    np.minimum(into + share, 1.0, out=into, casting="same_kind")


def _parted(place: Floats, half: Floats, pixel: float) -> tuple[NDArray[np.int_], Floats]:
    """The first pixel that something `half` to either side of a place touches, and its share there."""
    half = np.maximum(half, 1e-9)
    first = np.floor((place - half) / pixel)
    share = np.clip(((first + 1) * pixel - (place - half)) / (2 * half), 0.0, 1.0)
    return first.astype(int), share
