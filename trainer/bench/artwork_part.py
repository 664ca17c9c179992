"""Parts of a job's file that know where they stand, so that every fault says it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from trainer.bench.artwork import Box, Point

T = TypeVar("T")

Path = tuple[str | int, ...]
"""Where a value stands in the file: its keys, and its places in lists counted from 0."""


class ArtworkFault(ValueError):  # noqa: N818 - it is shown to people by this name
    """A job's file is wrong. `args[0]` is a sentence: what, where, what to write instead.

    `path` is where the value stands, so that whoever read the file can name line and column.
    """

    def __init__(self, sentence: str, path: Path = ()) -> None:
        super().__init__(sentence)
        self.path = path


def said(path: Path) -> str:
    """A path in words: `films: black: art 3`."""
    words = ""
    for step in path:
        words += f" {step + 1}" if isinstance(step, int) else f": {step}" if words else step
    return words or "the file"


class Part:
    """A mapping of the file. Reading it raises ArtworkFault where a value is not what is wanted."""

    def __init__(self, value: object, path: Path = ()) -> None:
        if not isinstance(value, Mapping):
            raise ArtworkFault(f"{said(path)}: `key: value` lines are wanted here.", path)
        self.value: Mapping[str, object] = value
        self.path = path

    def fault(self, sentence: str, key: str | None = None) -> ArtworkFault:
        """A fault of this part, or of one of its keys."""
        return ArtworkFault(f"{said(self.path)}: {sentence}", (*self.path, key) if key else self.path)

    def only(self, *keys: str) -> None:
        """Refuse a key that means nothing."""
        for key in self.value:
            if key not in keys:
                raise self.fault(f"`{key}` is not known here; known are {', '.join(keys)}.", key)

    def get(self, key: str) -> object:
        """A value that must be there."""
        if key not in self.value:
            raise self.fault(f"`{key}` is missing.")
        return self.value[key]

    def part(self, key: str) -> Part:
        """A part of it that is a mapping."""
        return Part(self.get(key), (*self.path, key))

    def text(self, key: str) -> str:
        """A text."""
        value = self.get(key)
        if not isinstance(value, str):
            raise self.fault(f"`{key}` must be a text.", key)
        return value

    def word(self, key: str, *words: str, otherwise: str | None = None) -> str:
        """One of several words; the last argument stands for it where it is left out."""
        if otherwise is not None and key not in self.value:
            return otherwise
        value = self.text(key)
        if value not in words:
            raise self.fault(f"`{key}` must be {' or '.join(words)}.", key)
        return value

    def number(self, key: str, otherwise: float | None = None) -> float:
        """A number, or what stands for it where it is left out."""
        if otherwise is not None and key not in self.value:
            return otherwise
        return number(self.get(key), (*self.path, key))

    def numbers(self, key: str, count: int) -> tuple[float, ...]:
        """A list of exactly `count` numbers."""
        return numbers(self.get(key), count, (*self.path, key))

    def box(self, key: str) -> Box:
        """A rectangle, written [x, y, width, height]."""
        return self.made(Box, key, self.numbers(key, 4))

    def points(self, key: str) -> tuple[Point, ...]:
        """Points, written as one text of numbers: `x y x y ...`."""
        return points(self.text(key), (*self.path, key))

    def made(self, make: Callable[..., T], key: str, values: Sequence[object]) -> T:
        """Something made of values of one key; what it will not take is a fault of that key."""
        try:
            return make(*values)
        except ArtworkFault as fault:
            if fault.path:
                raise
            raise self.fault(str(fault), key) from fault
        except ValueError as wrong:
            raise self.fault(f"`{key}`: {wrong}", key) from wrong

    def each(self, key: str, make: Callable[[object, Path], T]) -> tuple[T, ...]:
        """A list, each of its items made by `make`; empty where it is left out."""
        value = self.value.get(key, [])
        if not isinstance(value, Sequence) or isinstance(value, str):
            raise self.fault(f"`{key}` must be a list.", key)
        return tuple(make(item, (*self.path, key, place)) for place, item in enumerate(value))


def number(value: object, path: Path) -> float:
    """A number of the file. Raises ArtworkFault."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ArtworkFault(f"{said(path)} must be a number.", path)
    return float(value)


def numbers(value: object, count: int, path: Path) -> tuple[float, ...]:
    """A list of exactly `count` numbers. Raises ArtworkFault."""
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) != count:
        raise ArtworkFault(f"{said(path)} must be a list of {count} numbers.", path)
    return tuple(number(item, (*path, place)) for place, item in enumerate(value))


def points(written: str, path: Path) -> tuple[Point, ...]:
    """Points of a text of numbers. Raises ArtworkFault."""
    try:
        read = [float(word) for word in written.split()]
    except ValueError as wrong:
        raise ArtworkFault(f"{said(path)} holds a word that is no number.", path) from wrong
    if len(read) % 2 or not all(math.isfinite(one) for one in read):
        raise ArtworkFault(f"{said(path)} must hold pairs of numbers, x and y.", path)
    return tuple(zip(read[::2], read[1::2], strict=True))
