"""What was typed or picked, read and marked. Pure."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping

from trainer.procedure.model import Quiz, Reading
from trainer.procedure.text import Text
from trainer.procedure.units import convert, kin
from trainer.run.measured import measured
from trainer.run.refusals import Refused
from trainer.tongue import spoken

_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)", re.ASCII)
_LONGEST = 15
_NEAR = 1e-9
"""Room for the last bit of a number that went through a change of units."""


def number(text: str) -> float:
    """The number that was typed, with a decimal point or comma. Raises Refused."""
    typed = text.strip()
    if not typed:
        raise Refused(spoken("Type the number first."))
    if len(typed) > _LONGEST or not _NUMBER.fullmatch(typed):
        raise Refused(spoken("That is not a number. Type digits, and a point or a comma where it needs one."))
    return float(typed.replace(",", "."))


def in_unit(value: float, typed_unit: str, unit: str) -> float:
    """A typed number in the unit it is kept in. Raises Refused where the units are not of one kind."""
    if typed_unit and typed_unit not in kin(unit):
        units = spoken(" or ").join(map(spoken, kin(unit)))
        said = spoken(
            "This is not measured in {unit}. Type it in {units}.", unit=spoken(typed_unit), units=units
        )
        raise Refused(said)
    return convert(value, typed_unit or unit, unit)


def is_plausible(reading: Reading, value: float) -> bool:
    """Can the instrument have shown this?"""
    least, most = reading.plausible
    return least - _NEAR <= value <= most + _NEAR


def slip_words(reading: Reading) -> str:
    """What to say about a number that the instrument cannot have shown."""
    least, most = reading.plausible
    low, high = measured(least, reading.unit), measured(most, reading.unit)
    return spoken(
        "It can only be between {low} and {high}. Look again and type it again.", low=low, high=high
    )


def options(quiz: Quiz, run: str) -> Mapping[str, Text]:
    """Keys and words to pick from, in the order shown.

    What is to be put in order is mixed first, for each run in its own way, since a file often has it right.
    """
    if quiz.order is None:
        return quiz.choice or quiz.choices or {}
    keys = sorted(quiz.order, key=lambda key: draw(run, quiz.name, key))
    if keys == list(right_keys(quiz)):
        keys = [*keys[1:], keys[0]]
    return {key: quiz.order[key] for key in keys}


def right_keys(quiz: Quiz) -> tuple[str, ...]:
    """The right answer as it is kept: keys, or the number as text."""
    if isinstance(quiz.right, tuple):
        return tuple(str(key) for key in quiz.right)
    return (str(quiz.right),)


def is_right(quiz: Quiz, given: tuple[str, ...]) -> bool:
    """Is this answer (keys, or the number as text) the right one?"""
    if quiz.number is not None:
        return abs(float(given[0]) - float(right_keys(quiz)[0])) <= quiz.number.within + _NEAR
    if quiz.choices is not None:
        return set(given) == set(right_keys(quiz))
    return given == right_keys(quiz)


def draw(*parts: str) -> str:
    """Something to sort by that looks drawn and is the same every time."""
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()
