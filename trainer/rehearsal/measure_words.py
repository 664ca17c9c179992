"""A measure of a plate in words, as it was taken and as it is held against what is wanted."""

from __future__ import annotations

from trainer.bench.measures import Line
from trainer.procedure.units import shown
from trainer.rehearsal.practice_view import Measured


def label(measure: str) -> str:
    """A measure's name in words."""
    return measure.replace("_", " ").capitalize()


def measured(line: Line) -> Measured:
    """A line of the plate's sheet."""
    unit = "" if line.unit == "each" else line.unit
    if line.value is None:
        value = "cannot be read"
    elif isinstance(line.value, bool):
        value = "yes" if line.value else "no"
    else:
        value = shown(round(line.value, 2), unit).replace("cm2", "cm²") if unit else f"{line.value:g}"
    return Measured(line.name, label(line.name), value, line.held_against.removesuffix(" each"))
