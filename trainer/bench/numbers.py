"""Numbers that may be one or an array of them: the types, and the few functions that keep the kind.

A function over `N` gives a float for a float and an array of the same float type for an array, so that a
raster in float32 stays in float32.
"""

from __future__ import annotations

from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating]
"""An array of any float type."""

N = TypeVar("N", float, Array)
"""A float or an array."""

Mixed = float | Array
"""One number for all of an array, or one for each of its places."""

M = TypeVar("M", bound=Mixed)
"""As N, where a caller does not know which it has."""

LEAST_LOG = 1e-12
"""Stands for zero where a logarithm is taken."""


def same(value: object, like: M) -> M:
    """`value` as what it is: an array, or else a plain float. `like` tells a type checker which.

    A NumPy scalar would not do: its float64 turns a raster of float32 into one of twice the size.
    """
    del like
    return cast("M", value if isinstance(value, np.ndarray) else float(cast("float", value)))


def exp(x: M) -> M:
    """e to the power x."""
    return same(np.exp(x), x)


def log10(x: M) -> M:
    """The decimal logarithm; zero counts as 1e-12."""
    return same(np.log10(np.maximum(x, LEAST_LOG)), x)


def root(x: N) -> N:
    """The square root."""
    return same(np.sqrt(x), x)


def alike(one: Array, other: Array) -> float:
    """The correlation of two rasters of one size, -1 to 1; 0 where either is all the same."""
    if one.size < 2 or one.std() < 1e-6 or other.std() < 1e-6:
        return 0.0
    return float(np.corrcoef(one.ravel(), other.ravel())[0, 1])


def between(x: N, least: float, most: float) -> N:
    """`x`, held to least..most."""
    return same(np.clip(x, least, most), x)


def sigmoid(x: M) -> M:
    """1 / (1 + e^-x), without overflow."""
    return same(1 / (1 + np.exp(-np.clip(x, -80.0, 80.0))), x)
