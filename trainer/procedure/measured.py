"""Numbers with their units, as the person who reads them says them."""

from __future__ import annotations

from trainer.procedure.units import shown, sign
from trainer.tongue import marked, spoken

UNITS = (
    *(marked("units"), marked("step"), marked("each"), marked("times")),
    *(marked("days"), marked("day"), marked("weeks"), marked("week")),
)
"""Units that are words; the others are signs, and the same in every language."""


def unit_words(unit: str) -> str:
    """A unit alone, as it is shown: `units` in the language spoken, `°C`; of what is counted, `pieces`."""
    if unit == "each":
        return spoken("pieces")  # in a file it reads `2 each`; nobody types a number in each
    return spoken(unit) if unit in UNITS else sign(unit)


def measured(value: float, unit: str) -> str:
    """For people, in the language spoken: `24 units`, `1 min 30 s`, `21.5 inHg`."""
    said = shown(value, unit)
    number, _, last = said.rpartition(" ")
    return f"{number} {spoken(last)}" if number and last in UNITS else said
