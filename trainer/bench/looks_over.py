"""Looking a plate over, place by place: maps of what is there against what was meant, in tiles of 5 mm.

Everything is read from one raster of the whole plate and from the films as they were meant to print. Where
a film's picture really lies (`looks.lies`) can be given, so that a picture that is only off its place is
compared where it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from trainer.bench.artwork import Box, Film, Job, Point, Rect, Screen
from trainer.bench.film import rendered, windows_cover
from trainer.bench.film_place import Placement
from trainer.bench.light import clear_share
from trainer.bench.made import PlateRaster
from trainer.bench.raster import Coverage, Grid
from trainer.bench.register import EXACT, Fit

PIXEL: Final = 1.25
"""The pixels of a plate looked over, mm."""

TILE: Final = 4
"""So many of them, each way, make a tile."""

EDGE: Final = 4.0
"""To know how long the edges in a pixel are, the films are drawn with edges moved out by so many um."""

T = TypeVar("T", bound=np.generic)

Map = NDArray[np.floating]
"""A value for each tile, rows by columns; NaN where a tile has nothing to say."""


_EDGES_WANTED: Final = 0.004
"""A tile tells growth where each um of it adds so many pixels: about 6 mm of edges."""

_BORNE_OUT: Final = 3.0
"""Growth in one tile shows in it and its neighbours to a third or more."""

_THICK: Final = 0.3
_UNEVEN: Final = 0.03
"""Where the background has more coating than this, or changes by more from tile to tile, none can be told."""


@dataclass(frozen=True, slots=True)
class Meant:
    """What films were meant to print, pixel by pixel: `cover` 0 to 1, and how much each um of growth adds."""

    grid: Grid
    cover: Coverage
    per_um: Coverage
    bare: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Lying:
    """Where things lie that are not in their place: films by id, wedge and masks by a shift in mm.

    `mirror`: films read the wrong way round.
    """

    fits: tuple[tuple[str, Fit], ...] = ()
    mirror: bool = False
    shift: Point = (0.0, 0.0)


WELL: Final = Lying()
"""Everything in its place."""


@dataclass(frozen=True, slots=True)
class Tint:
    """A tint as it came out: its tone on film, the coating kept."""

    tone: float
    kept: float


def whole_grid(job: Job) -> Grid:
    """The grid of a plate looked over: whole tiles, beyond the edge where they do not come out even."""
    side = PIXEL * TILE
    across, down = (int(np.ceil(length / side - 1e-9)) * TILE for length in (job.width, job.height))
    return Grid(0.0, 0.0, PIXEL, across, down)


def place_of(job: Job, fit: Fit, *, mirror: bool = False) -> Placement:
    """Where a film lies that has a fit."""
    return Placement(job.width, job.pin, mirror, () if fit == EXACT else (fit,))


def meant(job: Job, films: Sequence[Film], lying: Lying = WELL) -> Meant:
    """What several films were meant to print through their masks, where they lie."""
    if len(lying.fits) == 0:
        return _meant_well(job, tuple(films), lying)
    return _meant(job, films, lying)


@lru_cache(maxsize=24)
def _meant_well(job: Job, films: tuple[Film, ...], lying: Lying) -> Meant:
    return _meant(job, films, lying)


def _meant(job: Job, films: Sequence[Film], lying: Lying) -> Meant:
    grid = whole_grid(job)
    covers = np.zeros((2, grid.rows, grid.cols), dtype=np.float32)
    for film in films:
        fit = next((fit for name, fit in lying.fits if name == film.id), EXACT)
        place = place_of(job, fit, mirror=lying.mirror)
        windows = windows_cover([_moved(box, lying.shift) for box in job.windows(film.mask)], grid)
        for step, edge in enumerate((0.0, EDGE)):
            raster = rendered(_clean(film), grid, place, edge / 1000)
            clear = clear_share(raster, np.float32(edge))
            np.maximum(covers[step], clear * windows, out=covers[step])
    wedge = windows_cover((_moved(job.wedge, lying.shift),), grid) > 0
    bare = ~(near(covers[1] > 0) | near(wedge)) & _on_plate(job, grid)
    return Meant(grid, covers[0], (covers[1] - covers[0]) / np.float32(EDGE), bare)


def _moved(box: Box, shift: Point) -> Box:
    return replace(box, x=box.x + shift[0], y=box.y + shift[1])


@lru_cache(maxsize=64)
def _clean(film: Film) -> Film:
    """The film without its flaws, the same object each time, so that its drawing is found again."""
    return film.without_flaws()


def near(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """A mask and the pixels next to it."""
    wide = mask.copy()
    wide[1:] |= mask[:-1]
    wide[:-1] |= mask[1:]
    both = wide.copy()
    both[:, 1:] |= wide[:, :-1]
    both[:, :-1] |= wide[:, 1:]
    return both


def _on_plate(job: Job, grid: Grid) -> NDArray[np.bool_]:
    inside = (grid.x()[None, :] < job.width) & (grid.y()[:, None] < job.height)
    return np.asarray(inside)


def _tiles(values: NDArray[T]) -> NDArray[T]:
    """Pixels by tile: rows of tiles, columns of tiles, the pixels of each."""
    rows, cols = values.shape[0] // TILE, values.shape[1] // TILE
    return values.reshape(rows, TILE, cols, TILE).swapaxes(1, 2).reshape(rows, cols, TILE * TILE)


def tile_middles(job: Job) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    """The middles of the tiles, mm: x of each column, y of each row."""
    grid, side = whole_grid(job), PIXEL * TILE
    return (np.arange(grid.cols // TILE) + 0.5) * side, (np.arange(grid.rows // TILE) + 0.5) * side


def background(plate: PlateRaster, of: Meant) -> Map:
    """Coating on what should be bare metal: in each tile the fifth part that has least is left out of count.

    A speck, a line or a scrap of unwanted image does not raise it; fog or coating left all over does.
    """
    bare = _tiles(of.bare)
    kept = np.sort(np.where(bare, _tiles(plate.kept), np.float32(np.inf)), axis=2)
    count = bare.sum(axis=2)
    place = np.maximum((count - 1) // 5, 0)
    value = np.take_along_axis(kept, place[..., None], axis=2)[..., 0]
    return np.where(count >= 4, value, np.nan)


def growth(plate: PlateRaster, of: Meant, background: Map | None = None, *, around: bool = False) -> Map:
    """How far (um) edges moved out in each tile that has enough of them; in, where negative.

    `background`: the coating on bare metal, which is no growth; where it is thick or uneven, none is told.
    `around`: over each tile and its neighbours. An image that lies a hair off its place takes from one
    tile what it gives the next, which is no growth either.
    """
    level = _filled_in(background) if background is not None else np.zeros(_tiles(of.cover).shape[:2])
    spread = np.repeat(np.repeat(level, TILE, axis=0), TILE, axis=1)
    kept = (plate.kept - spread) / np.maximum(1.0 - spread, 0.1)
    edge = of.per_um > 1e-6
    more = _tiles(np.where(edge, kept - of.cover, 0.0)).sum(axis=2)
    each = _tiles(of.per_um).sum(axis=2)
    enough = each > _EDGES_WANTED
    if around:
        more, each = _with_neighbours(more), _with_neighbours(each)
    told = enough & (level < _THICK) & (_uneven(level) < _UNEVEN)
    return np.where(told, more / np.maximum(each, 1e-9), np.nan)


def _with_neighbours(values: Map) -> Map:
    """The sum over each tile and its eight neighbours."""
    padded = np.pad(values, 1)
    rows, cols = values.shape
    return np.asarray(sum(padded[row : row + rows, col : col + cols] for row in range(3) for col in range(3)))


def worst_growth(alone: Map, around: Map) -> float:
    """The most that edges moved out anywhere, um: only what the tiles beside a tile bear out counts."""
    usual = float(np.nanmedian(alone))
    return usual + float(np.nanmax(np.fmin(alone - usual, _BORNE_OUT * (around - usual))))


def _uneven(level: Map) -> Map:
    """How much a map changes from each tile to those around it."""
    padded = np.pad(level, 1, mode="edge")
    around = np.lib.stride_tricks.sliding_window_view(padded, (3, 3))
    return np.asarray(around.max(axis=(2, 3)) - around.min(axis=(2, 3)))


def _filled_in(values: Map) -> Map:
    """A map whose empty tiles take the mean of those around them, or the median of all."""
    if np.isnan(values).all():
        return np.zeros_like(values)
    padded = np.pad(values, 2, constant_values=np.nan)
    around = np.lib.stride_tricks.sliding_window_view(padded, (5, 5)).reshape(*values.shape, 25)
    known = np.isfinite(around)
    mean = np.where(known, around, 0.0).sum(axis=2) / np.maximum(known.sum(axis=2), 1)
    other = np.where(known.any(axis=2), mean, np.nanmedian(values))
    return np.where(np.isnan(values), other, values)


def missing(plate: PlateRaster, of: Meant) -> Map:
    """The share of each tile's image that is not there."""
    want = _tiles(of.cover).sum(axis=2)
    lost = _tiles(np.maximum(of.cover - plate.kept, 0.0)).sum(axis=2)
    return np.where(want > 0.3, lost / np.maximum(want, 1e-9), np.nan)


def missing_share(plate: PlateRaster, of: Meant) -> float:
    """The share of all image that is not there."""
    want = float(of.cover.sum())
    return float(np.maximum(of.cover - plate.kept, 0.0).sum()) / want if want else 0.0


def unwanted(plate: PlateRaster, of: Meant) -> Map:
    """The area (cm2) in each tile that is solid and should be bare."""
    solid = of.bare & (plate.kept > 0.5)
    return np.asarray(_tiles(solid).sum(axis=2) * (PIXEL / 10) ** 2, dtype=np.float32)


def strength(plate: PlateRaster, of: Meant) -> Map:
    """The coating kept where the film is clear all over a pixel and round it: how strong the image is."""
    solid = ~near(of.cover < 0.999)
    kept = _tiles(np.where(solid, plate.kept, 0.0)).sum(axis=2)
    count = _tiles(solid).sum(axis=2)
    return np.where(count > 0, kept / np.maximum(count, 1), np.nan)


def oxidation(plate: PlateRaster) -> Map:
    """The share of each tile that is oxidised metal."""
    return np.asarray(_tiles(plate.oxidised).mean(axis=2))


def blindness(plate: PlateRaster, of: Meant) -> Map:
    """The share of each tile's image that takes no ink."""
    image = np.where(of.cover > 0.2, plate.kept, 0.0)
    count = _tiles(image).sum(axis=2)
    blind = _tiles(np.where(of.cover > 0.2, plate.blind, 0.0)).sum(axis=2)
    return np.where(count > 0.3, blind / np.maximum(count, 1e-9), np.nan)


def tints(plate: PlateRaster, job: Job, film: Film, fit: Fit = EXACT) -> tuple[Tint, ...]:
    """The tints of a film as they came out, each read inside its patch, where the film's picture lies."""
    found = []
    place = place_of(job, fit)
    for shape in film.art:
        if isinstance(shape, Rect) and isinstance(shape.ink, Screen):
            x, y = place.points(np.array([shape.box.middle[0]]), np.array([shape.box.middle[1]]))
            box = shape.box
            moved = Box(
                float(x[0]) - box.width / 2, float(y[0]) - box.height / 2, box.width, box.height
            ).inset(1.5)
            kept = _inside(plate, moved)
            if kept is not None:
                found.append(Tint(shape.ink.tone, kept))
    return tuple(found)


def _inside(plate: PlateRaster, box: Box) -> float | None:
    """The mean of what is kept on the pixels that lie wholly in a rectangle; None where none does."""
    grid = plate.grid
    rows = np.flatnonzero(
        (grid.y() - grid.pixel / 2 >= box.y) & (grid.y() + grid.pixel / 2 <= box.y + box.height)
    )
    cols = np.flatnonzero(
        (grid.x() - grid.pixel / 2 >= box.x) & (grid.x() + grid.pixel / 2 <= box.x + box.width)
    )
    if not len(rows) or not len(cols):
        return None
    return float(plate.kept[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1].mean())
