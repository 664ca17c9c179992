"""What a plate looks like: the colours of its coating, its metal and its flaws, as red, green and blue.

Colours of the invented coating: olive before light, blue once struck; grained aluminium is light grey. They
are near those of common plates and no maker's.
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from trainer.bench.plate import Stage
from trainer.bench.raster import Coverage

Colours = Literal["full", "256", "16", "none"]
"""How many colours there are to draw with."""

RGB = NDArray[np.float32]
"""Red, green and blue, 0 to 255, along the last axis."""

Parts = tuple[Coverage, Coverage, Coverage, Coverage]
"""Coating struck, coating kept, metal oxidised and image blind, each 0 to 1."""

_RAW: Final = np.array([158, 172, 96], dtype=np.float32)
_STRUCK: Final = np.array([42, 92, 142], dtype=np.float32)
_METAL: Final = np.array([205, 207, 209], dtype=np.float32)
_GUMMED_METAL: Final = np.array([214, 210, 200], dtype=np.float32)
_OXIDISED: Final = np.array([112, 88, 66], dtype=np.float32)
_BLIND: Final = np.array([150, 164, 172], dtype=np.float32)

LEVELS: Final = (8, 4, 3, 3)
"""How many shades of coating kept, coating struck, oxidation and blindness a terminal shows."""

_CUBE: Final = np.array([0, 95, 135, 175, 215, 255])
"""The steps of the colour cube of 256 colours (xterm's, which terminals share)."""


def mixed(parts: Parts, stage: Stage) -> RGB:
    """The colour of each place of a plate."""
    struck, kept, oxidised, blind = parts
    coating = _RAW + (_STRUCK - _RAW) * _share(struck, kept)[..., None]
    coating = coating + (_BLIND - coating) * _share(blind, kept)[..., None]
    metal = _GUMMED_METAL if stage == "gummed" else _METAL
    bare = metal + (_OXIDISED - metal) * _share(oxidised, 1.0 - kept)[..., None]
    return np.asarray(bare + (coating - bare) * kept[..., None], dtype=np.float32)


def _share(part: Coverage, of: Coverage) -> Coverage:
    return np.asarray(np.clip(part / np.maximum(of, 1e-3), 0.0, 1.0), dtype=np.float32)


def shades(of: Parts) -> NDArray[np.int16]:
    """Which of the shades each place has: a number into `palette`."""
    struck, kept, oxidised, blind = of
    total = np.zeros(kept.shape, dtype=np.int16)
    parts = (kept, _share(struck, kept), _share(oxidised, 1.0 - kept), _share(blind, kept))
    for part, levels in zip(parts, LEVELS, strict=True):
        total *= levels
        total += np.rint(np.clip(part, 0.0, 1.0) * (levels - 1)).astype(np.int16)
    return total


def shares() -> Parts:
    """Struck, kept, oxidised and blind of every shade, in their order."""
    number = np.arange(np.prod(LEVELS))
    found: list[Coverage] = []
    for levels in reversed(LEVELS):
        found.append((number % levels / (levels - 1)).astype(np.float32))
        number = number // levels
    blind, oxidised, struck, kept = found
    return struck * kept, kept, oxidised * (1.0 - kept), blind * kept


def palette(stage: Stage) -> RGB:
    """The colour of every shade."""
    return mixed(shares(), stage)


def words(colours: RGB, how: Colours) -> list[str]:
    """Colours as a terminal's style takes them: `#rrggbb`, or `color(110)` of 256."""
    if how == "full":
        whole = np.rint(colours).astype(int).tolist()
        return [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in whole]
    return [f"color({number})" for number in nearest_of_256(colours).tolist()]


def nearest_of_256(colours: RGB) -> NDArray[np.int_]:
    """The nearest of the 240 colours of the cube and the greys that terminals with 256 colours share.

    Nearest by lightness and by the two pairs of opponent colours, red and green counted most: a blue that
    turns purple looks wrong sooner than one a little too dark.
    """
    steps = np.stack(np.meshgrid(_CUBE, _CUBE, _CUBE, indexing="ij"), axis=-1).reshape(-1, 3)
    greys = np.repeat((8 + 10 * np.arange(24))[:, None], 3, axis=1)
    known = _opponents(np.vstack((steps, greys)).astype(np.float32))
    away = ((_opponents(colours)[:, None, :] - known[None, :, :]) ** 2).sum(axis=2)
    return np.asarray(16 + away.argmin(axis=1))


def _opponents(colours: RGB) -> RGB:
    red, green, blue = colours[:, 0], colours[:, 1], colours[:, 2]
    light = 0.3 * red + 0.59 * green + 0.11 * blue
    return np.stack((light, 1.2 * (red - green), 0.6 * (blue - (red + green) / 2)), axis=1)
