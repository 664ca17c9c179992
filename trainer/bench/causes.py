"""The likeliest causes of what a plate shows: classes of faults, each with the signs that speak for it.

A class has signs that it must show and signs that it also accounts for. The class that accounts for most
of what
is still unexplained is named, what it accounts for is put aside, and so on until nothing is left. So one
fault with three signs is one cause and not three.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from trainer.bench.faults import CLASSES
from trainer.bench.signs import Sign


@dataclass(frozen=True, slots=True)
class Shows:
    """What a class shows:

    `must`, all of them; `either`, one or more; `also` may come with it and is accounted for.
    """

    must: tuple[str, ...]
    also: tuple[str, ...] = ()
    either: tuple[str, ...] = ()

    @property
    def every(self) -> tuple[str, ...]:
        """All signs that it accounts for."""
        return (*self.must, *self.either, *self.also)


SHOWS: Final[Mapping[str, Shows]] = {
    "nothing-burned": Shows(("nothing",), ("gaps",)),
    "no-image": Shows(("no-image",), ("gaps",)),
    "other-image": Shows(("other-image",), ("gaps",)),
    "no-marks": Shows(("no-marks",)),
    "mirrored-soft": Shows(("mirrored", "edges-grown")),
    "mirrored-sharp": Shows(("mirrored",)),
    "unmasked": Shows(("border",)),
    "islands": Shows(("islands",), ("gaps", "soft-spots", "edges-grown", "edges-lost")),
    "uneven-pool": Shows(("pool",)),
    "tinted-corner": Shows(("corner",)),
    "veil": Shows(("veil",)),
    "fogged": Shows(("fog",)),
    "underdeveloped": Shows(("short",), ()),
    "developer-left": Shows(("left",), ()),
    "overdeveloped": Shows(("edges-lost",)),
    "too-little-light": Shows(("wedge-low",)),
    "too-much-light": Shows(("wedge-high",), ()),
    "poor-contact": Shows((), either=("edges-grown", "edges-far")),
    "soft-spots": Shows(("soft-spots",)),
    "pinholes": Shows(("pinholes",)),
    "holes-in-image": Shows(("gaps",)),
    "scratches": Shows(("scratches",)),
    "displaced": Shows(("displaced",)),
    "moved-image": Shows(("image-moved",)),
    "moved-marks": Shows(("marks-moved",)),
    "stretched-image": Shows(("stretched",), ("image-moved",)),
    "oxidised": Shows(("dull",)),
    "blind": Shows(("blind",)),
}
"""What each class of `faults.CLASSES` shows."""


def likeliest(signs: Sequence[Sign]) -> tuple[str, ...]:
    """The classes of causes (of `faults.CLASSES`), the likeliest first; none where there is no sign."""
    left = {sign.id: sign for sign in signs}
    every = dict(left)
    found: list[str] = []
    while left:
        best = max(CLASSES, key=lambda alike: _weight(alike, every, left))
        if _weight(best, every, left) <= 0:
            break
        found.append(best)
        for one in SHOWS[best].every:
            left.pop(one, None)
    return tuple(found)


def _weight(alike: str, every: Mapping[str, Sign], left: Mapping[str, Sign]) -> float:
    """How much a class accounts for of what is left: nothing unless all that it must show is seen."""
    shows = SHOWS[alike]
    if not all(one in every for one in shows.must):
        return 0.0
    told = [left[one].strength for one in (*shows.must, *shows.either) if one in left]
    if not told:
        return 0.0
    return sum(told) + sum(0.5 * left[one].strength for one in shows.also if one in left)
