"""A plate, or a film on the light table, as rows of characters for a terminal.

Two pixels stand in a cell, one over the other (half-blocks), and cells alike run together, so that a screen
has few strips to draw. Without colour the coating is shown by shades.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trainer.bench import colours as colour
from trainer.bench.artwork import Job
from trainer.bench.colours import Colours
from trainer.bench.film import rendered, spots_cover, windows_cover
from trainer.bench.film_place import Placement
from trainer.bench.light import clear_share
from trainer.bench.limits import held
from trainer.bench.made import PlateRaster
from trainer.bench.plate import Burn, Stage
from trainer.bench.raster import Coverage, Grid

Shades = NDArray[np.int16]

_TOP: Final = "▀"
_MARKS: Final = " ░▒▓█"
_HALF_TOP, _HALF_LOW = "▀", "▄"
_OXIDE: Final = "x"


class Run(NamedTuple):
    """Cells alike, side by side: their text, and the colours of its signs and of what is behind them."""

    text: str
    fg: str
    bg: str


Row = tuple[Run, ...]


def whole(job: Job, cols: int, rows: int) -> Grid:
    """The grid of a whole plate in at most `cols` by `rows` cells."""
    held(float(cols), "The columns of a picture", 1, 1000)
    held(float(rows), "The rows of a picture", 1, 1000)
    return Grid.fitted(job.width, job.height, cols, 2 * rows)


def rows(plate: PlateRaster, how: Colours) -> tuple[Row, ...]:
    """The plate, row by row of cells. An odd last row of pixels has nothing under it."""
    shades = colour.shades((plate.struck, plate.kept, plate.oxidised, plate.blind))
    if how == "none":
        return _plain(_darkness(plate), plate.oxidised > _SPOT)
    return _coloured(shades, _plate_words(plate.stage, how))


@lru_cache(maxsize=16)
def _plate_words(stage: Stage, how: Colours) -> tuple[str, ...]:
    if how == "16":
        return tuple(_of_sixteen(*(part.tolist() for part in colour.shares())))
    return tuple(colour.words(colour.palette(stage), how))


_SPOT: Final = 0.25
_SOLID: Final = 0.55
_TINTED: Final = 0.12
_FAINT: Final = 0.65
"""Fine lines and small holes show better where faint things are drawn darker, by this power."""


def _of_sixteen(
    struck: Sequence[float], kept: Sequence[float], oxidised: Sequence[float], blind: Sequence[float]
) -> list[str]:
    """Sixteen colours, picked by hand so that light and dark stay in order."""
    found = []
    for light, coat, oxide, unable in zip(struck, kept, oxidised, blind, strict=True):
        if oxide > _SPOT:
            found.append("bright_black")
        elif coat < _TINTED:
            found.append("white")
        elif light < coat * _TINTED:
            found.append("yellow" if coat > _SOLID else "bright_yellow")
        elif coat < _SOLID:
            found.append("cyan" if light > coat / 2 else "green")
        elif unable > coat / 2:
            found.append("bright_blue")
        else:
            found.append("blue" if light > coat / 2 else "green")
    return found


def _coloured(shades: Shades, names: tuple[str, ...]) -> tuple[Row, ...]:
    """Rows of half-blocks. Shades of one name are one colour."""
    kinds = {name: place for place, name in enumerate(dict.fromkeys(names))}
    ink = np.array([kinds[name] for name in names], dtype=np.int32)[shades]
    if len(ink) % 2:
        ink = np.vstack((ink, np.full((1, ink.shape[1]), len(kinds), dtype=np.int32)))
    by_number = (*kinds, "")
    count = len(by_number)
    pairs = ink[::2] * count + ink[1::2]
    return tuple(_row(line, count, by_number) for line in pairs)


def _row(pairs: NDArray[np.int32], count: int, names: tuple[str, ...]) -> Row:
    ends = np.flatnonzero(pairs[1:] != pairs[:-1]) + 1
    starts = [0, *ends.tolist()]
    lengths = np.diff([*starts, len(pairs)]).tolist()
    return tuple(
        Run(" " * length, "", names[top]) if top == low else Run(_TOP * length, names[top], names[low])
        for (top, low), length in zip(
            (divmod(pair, count) for pair in pairs[starts].tolist()), lengths, strict=True
        )
    )


def _darkness(plate: PlateRaster) -> Coverage:
    """How dark each place is where there is no colour: coating, and coating struck darker than raw."""
    return np.asarray(plate.kept * (0.3 + 0.7 * plate.struck))


def _plain(dark: Coverage, spots: NDArray[np.bool_]) -> tuple[Row, ...]:
    """Rows of shade characters: five shades, and two halves where an edge runs through a cell."""
    if len(dark) % 2:
        dark = np.vstack((dark, np.zeros((1, dark.shape[1]), dtype=dark.dtype)))
        spots = np.vstack((spots, np.zeros((1, spots.shape[1]), dtype=bool)))
    top, low = dark[::2], dark[1::2]
    shade = np.rint(np.clip((top + low) / 2, 0.0, 1.0) ** _FAINT * (len(_MARKS) - 1)).astype(int)
    signs = np.array(list(_MARKS + _HALF_TOP + _HALF_LOW + _OXIDE))
    kind = np.where((top > 0.75) & (low < 0.25), len(_MARKS), shade)
    kind = np.where((low > 0.75) & (top < 0.25), len(_MARKS) + 1, kind)
    kind = np.where(spots[::2] | spots[1::2], len(_MARKS) + 2, kind)
    return tuple((Run("".join(line), "", ""),) for line in signs[kind].tolist())


@dataclass(frozen=True, slots=True)
class OnTable:
    """A film on the light table, its mask over it: each 0 to 1. `light`: what shines through."""

    light: Coverage
    masked: Coverage
    painted: Coverage


def on_table(job: Job, burn: Burn, grid: Grid) -> OnTable:
    """What an eye sees of a burn's film on the light table, with its mask and the paint on it."""
    place = Placement(job.width, job.pin, burn.mirrored)
    raster = rendered(job.film(burn.film), grid, place)
    light = clear_share(raster, np.float32(0.0))
    masked = 1.0 - windows_cover(job.windows(burn.mask), grid) if burn.mask else np.zeros_like(light)
    painted = spots_cover(burn.opaque, grid, place)
    return OnTable(light, masked, painted)


_LIT: Final = np.array([252, 248, 232], dtype=np.float32)
_BLACK: Final = np.array([26, 26, 30], dtype=np.float32)
_MASK: Final = np.array([146, 52, 38], dtype=np.float32)
_PAINT: Final = np.array([108, 46, 40], dtype=np.float32)


def table_rows(seen: OnTable, how: Colours) -> tuple[Row, ...]:
    """The film on the light table, row by row of cells."""
    light = np.rint(seen.light**_FAINT * 7).astype(np.int16)
    shades = np.where(seen.painted > 0.5, 8, np.where(seen.masked > 0.5, 9, light)).astype(np.int16)
    if how == "none":
        return _plain(np.where(shades >= 8, 0.5, 1.0 - seen.light), np.zeros(shades.shape, dtype=bool))
    return _coloured(shades, _table_words(how))


@lru_cache(maxsize=4)
def _table_words(how: Colours) -> tuple[str, ...]:
    if how == "16":
        return (
            *["black"] * 2,
            *["bright_black"] * 2,
            *["white"] * 2,
            *["bright_white"] * 2,
            "magenta",
            "red",
        )
    steps = np.linspace(0.0, 1.0, 8, dtype=np.float32)[:, None]
    table = np.vstack((_BLACK + (_LIT - _BLACK) * steps, _PAINT, _MASK))
    return tuple(colour.words(np.asarray(table, dtype=np.float32), how))
