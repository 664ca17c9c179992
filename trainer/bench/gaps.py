"""Gaps in the image, seen through the loupe: how wide is a place where image was meant and metal is bare?"""

from __future__ import annotations

from typing import Final

import numpy as np

from trainer.bench.artwork import Film, Point
from trainer.bench.film import rendered
from trainer.bench.film_place import Placement
from trainer.bench.looks import Look
from trainer.bench.raster import Grid

_PIXEL: Final = 0.1
_WIDE: Final = 70
"""The loupe shows so many pixels each way."""

_BARE: Final = 0.3
_MEANT: Final = 0.9


def widest_gap(look: Look, film: Film | None, at: Point, place: Placement) -> float:
    """The longest stretch (mm) of image, near a place, that is bare metal; 0 where there is none.

    `place`: where the film's picture lies.
    """
    if film is None:
        return 0.0
    from scipy import ndimage  # 60 ms, and only a plate with a gap needs it

    grid = Grid.around(at[0], at[1], _PIXEL, _WIDE, _WIDE)
    raster = rendered(film.without_flaws(), grid, place)
    meant = (raster.cover > _MEANT) & (raster.patch == 0)
    lost = meant & (look(grid).kept < _BARE)
    pieces, count = ndimage.label(lost, structure=np.ones((3, 3)))
    if not count:
        return 0.0
    longest = 0.0
    for rows, cols in ndimage.find_objects(pieces):
        tall, wide = rows.stop - rows.start, cols.stop - cols.start
        longest = max(longest, float(np.hypot(tall, wide)) * _PIXEL)
    return longest
