"""Numbers with their units, as the person at the screen says them."""

from __future__ import annotations

from trainer.procedure.units import shown
from trainer.tongue import marked, spoken

UNITS = (
    *(marked("units"), marked("step"), marked("each"), marked("times")),
    *(marked("days"), marked("day"), marked("weeks"), marked("week")),
)
"""Units that are words; the others are signs, and the same in every language."""


def measured(value: float, unit: str) -> str:
    """For people, in the language spoken: `24 units`, `1 min 30 s`, `21.5 inHg`."""
    said = shown(value, unit)
    number, _, last = said.rpartition(" ")
    return f"{number} {spoken(last)}" if number and last in UNITS else said
