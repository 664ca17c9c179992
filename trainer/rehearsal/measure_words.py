"""A measure of a plate in words, as it was taken and as it is held against what is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.units import shown
from trainer.rehearsal.practice_view import Measured
from trainer.rehearsal.retold import held_against
from trainer.tongue import marked, spoken

if TYPE_CHECKING:
    from trainer.bench.measures import Line

_LABELS = {
    "solid_step": marked("Solid wedge step"),
    "background": marked("Coating on metal"),
    "uneven": marked("Uneven metal"),
    "tone_50": marked("A 50 % tint"),
    "smallest_dot": marked("Smallest dot held"),
    "growth": marked("Growth of edges"),
    "position": marked("Place on the plate"),
    "register_error": marked("Film on film"),
    "right_reading": marked("Reads right"),
    "marks": marked("Marks there"),
    "image_missing": marked("Image missing"),
    "image_missing_worst": marked("Missing, worst place"),
    "ghost_steps": marked("Grey wedge steps"),
    "strength": marked("Strength of image"),
    "unwanted": marked("Unwanted coating"),
    "oxidised": marked("Oxidised metal"),
    "blind": marked("Blind image"),
    "gum": marked("Metal under gum"),
    "pinholes": marked("Pinholes"),
    "scratches": marked("Scratches"),
}
"""Measures whose name alone would not say what they are."""


def label(measure: str) -> str:
    """A measure in two or three words."""
    said = _LABELS.get(measure)
    return spoken(said) if said else measure.replace("_", " ").capitalize()


def measured(line: Line) -> Measured:
    """A line of the plate's sheet."""
    unit = "" if line.unit in ("each", "step") else line.unit
    if line.value is None:
        value = spoken("cannot be read")
    elif isinstance(line.value, bool):
        value = spoken("yes") if line.value else spoken("no")
    else:
        value = shown(round(line.value, 2), unit).replace("cm2", "cm²") if unit else f"{line.value:g}"
    return Measured(line.name, label(line.name), value, held_against(line.held_against))
