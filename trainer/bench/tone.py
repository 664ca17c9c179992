"""Tone: round dots on a square grid, what becomes of them when every edge grows, and how a tint is read.

The area of a dot of radius r in its cell of width p is exact also where neighbours have joined: from r =
p/2 on, the four caps that stick out of the cell are taken off, and from r = p / sqrt(2) on the cell is
full. A tone is a share, 0 to 1; a ruling is in lines per cm; lengths are in um.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np

from trainer.bench import numbers
from trainer.bench.limits import held
from trainer.bench.numbers import N

_UM_IN_CM = 10_000.0
_FULL = sqrt(0.5)
"""Radius, in cells, of a dot that fills its cell."""
_HALVINGS = 50
_ROUNDING = 1e-9
"""So much may a tint's density lie over its solid's: what is left of a sum, not a slip of the reader."""


def pitch(ruling: float) -> float:
    """Width of a cell in um: 10,000 / (lines per cm)."""
    return _UM_IN_CM / held(ruling, "The screen ruling", 4, 400, "lines/cm")


def tone_of(radius: N, ruling: float) -> N:
    """Tone of round dots of a radius in um."""
    cell = pitch(ruling)
    held(radius, "The radius of the dot", 0, 100_000, "um")
    return _area(numbers.same(np.minimum(radius / cell, _FULL), radius))


def radius(tone: N, ruling: float) -> N:
    """Radius in um of the round dots of a tone: found by halving, so exact also where dots have joined."""
    held(tone, "The tone", 0, 1)
    low = numbers.same(tone * 0.0, tone)
    high = numbers.same(low + _FULL, tone)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        small = _area(middle) < tone
        low, high = (
            numbers.same(np.where(small, middle, low), tone),
            numbers.same(np.where(small, high, middle), tone),
        )
    return numbers.same((low + high) / 2 * pitch(ruling), tone)


def grown(tone: N, edge: float, ruling: float) -> N:
    """Tone once every edge moved out by `edge` um (in, where negative). No dot stays none; full stays full.

    While dots stand alone it is tone + perimeter x edge + pi edge^2 over the cell. Where joined dots shrink,
    their necks lose a little more than they would.
    """
    held(edge, "The growth of the edge", -10_000, 10_000, "um")
    before = radius(tone, ruling)
    after = numbers.same(np.clip(before + edge, 0, pitch(ruling) * _FULL), tone)
    changed = np.where((tone <= 0) | (tone >= 1), tone, _area(after / pitch(ruling)))
    return numbers.same(changed, tone)


def area(tint: float, solid: float, paper: float = 0.0, n: float = 1.0) -> float:
    """Tone that a tint's density shows, by Murray and Davies (1936); with n over 1, Yule and Nielsen.

    (1 - 10^(-(tint - paper) / n)) / (1 - 10^(-(solid - paper) / n)). `n`: 1 for paper that does not scatter,
    2 for paper that does; 1.7 where nothing better is known (Pearson, TAGA 1981, as cited).
    """
    held(n, "n", 1, 2)
    held(paper, "The density of the paper", 0, 1)
    over = held(solid, "The density of the solid", 0.01, 5) - paper
    held(over, "The solid over the paper", 0.01, 5)
    above = held(tint, "The density of the tint", 0, 5) - paper
    held(above, "The tint over the paper", 0, over + _ROUNDING)
    return min(1.0, float((1 - 10 ** (-above / n)) / (1 - 10 ** (-over / n))))


def _area(of_radius: N) -> N:
    """Share of a cell of width 1 that a round dot covers, for a radius from 0 to sqrt(1/2)."""
    square = of_radius * of_radius
    # arccos wants 1/2r of at most 1, and dots that stand alone have no caps
    reach = np.clip(0.5 / np.maximum(of_radius, 0.5), 0, 1)
    over = np.sqrt(np.maximum(square - 0.25, 0))
    caps = np.where(of_radius > 0.5, 4 * (square * np.arccos(reach) - 0.5 * over), 0)
    return numbers.same(np.clip(pi * square - caps, 0, 1), of_radius)
