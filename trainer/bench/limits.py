"""What the bench takes: every number has a least and a most, and what is outside is refused with a sentence.

Values that no bench can have (a NaN, a negative amount, a lamp a kilometre away) mean a slip by the caller
or an absurd setting; the bench never computes with them.
"""

from __future__ import annotations

from dataclasses import Field, dataclass, field, fields
from math import isfinite
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from trainer.bench.numbers import Array, Mixed

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

V = TypeVar("V", bound=Mixed)
"""One number, or an array of them."""


class OutOfRange(ValueError):  # noqa: N818 - it is shown to people by this name
    """Something the bench does not take. `args[0]` is a sentence: what is wrong and what is possible."""


@dataclass(frozen=True, slots=True)
class Range:
    """The unit of a number and the least and the most it may be."""

    unit: str
    least: float
    most: float


def held(value: V, what: str, least: float, most: float, unit: str = "") -> V:
    """`value`, if all of it lies in least..most. `what` begins the sentence. Raises OutOfRange.

    For a float it costs next to nothing; for an array one pass each for the least and the most.
    """
    if isinstance(value, np.ndarray):
        _hold_array(value, what, least, most, unit)
        return value
    if isinstance(value, bool | np.bool_) or not isinstance(value, int | float | np.number):
        raise OutOfRange(f"{what} must be a number, and this is {type(value).__name__}.")
    if not least <= value <= most:
        raise _refused(what, float(value), least, most, unit)
    return value


def _hold_array(array: Array, what: str, least: float, most: float, unit: str) -> None:
    if not np.issubdtype(array.dtype, np.number):
        raise OutOfRange(f"{what} must be numbers, and these are {array.dtype}.")
    if array.size:
        low, high = float(array.min()), float(array.max())
        if not (least <= low and high <= most):
            raise _refused(what, low if not least <= low else high, least, most, unit)


def one_of(value: str, what: str, words: tuple[str, ...]) -> str:
    """`value`, if it is one of the words. Raises OutOfRange."""
    if value not in words:
        raise OutOfRange(f"{what} is {str(value)[:40]!r}; it must be one of {', '.join(words)}.")
    return value


def number(unit: str, least: float, most: float) -> float:
    """The field of a settings dataclass that holds a number in `unit`, from least to most."""
    made: float = field(metadata={"range": Range(unit, least, most)})
    return made


def choice(*words: str) -> str:
    """The field of a settings dataclass that holds one of several words."""
    made: str = field(metadata={"words": words})
    return made


def range_of(one: Field[object]) -> Range | None:
    """The range of a number's field; None where the field holds a word."""
    found = one.metadata.get("range")
    return found if isinstance(found, Range) else None


def words_of(one: Field[object]) -> tuple[str, ...]:
    """The words that a field takes; none where it holds a number."""
    return tuple(one.metadata.get("words", ()))


def check(settings: DataclassInstance) -> None:
    """Hold every field of a settings dataclass to its range. For `__post_init__`. Raises OutOfRange."""
    section = type(settings).__name__.lower()
    for one in fields(settings):
        value, what = getattr(settings, one.name), f"{section}.{one.name}"
        if limits := range_of(one):
            held(value, what, limits.least, limits.most, limits.unit)
        elif words := words_of(one):
            one_of(value, what, words)


def less(settings: DataclassInstance, small: str, large: str) -> None:
    """Hold one field of a settings dataclass below another. For `__post_init__`. Raises OutOfRange."""
    if not getattr(settings, small) < getattr(settings, large):
        raise OutOfRange(f"`{small}` must be less than `{large}`.")


def _refused(what: str, value: float, least: float, most: float, unit: str) -> OutOfRange:
    if not isfinite(value):
        said = "no number" if value != value else "endless"  # noqa: PLR0124 - only a NaN differs from itself
    else:
        said = f"{value:g} {unit}".strip()
    return OutOfRange(f"{what} is {said}; it must be from {least:g} to {most:g} {unit}".strip() + ".")
