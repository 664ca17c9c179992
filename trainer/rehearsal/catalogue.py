"""The catalogue of faults as lines to read, and for a program."""

from __future__ import annotations

import json
from itertools import groupby

from trainer.bench.fault_words import Fault
from trainer.bench.faults import CATALOGUE, CLASSES
from trainer.tongue import marked, spoken

STAGES = {
    "inspection": marked("inspection"),
    "punching": marked("punching"),
    "vacuum": marked("vacuum"),
    "exposure": marked("exposure"),
    "development": marked("development"),
    "rinse": marked("rinse"),
    "gumming": marked("gumming"),
}
"""The stages of the work in which faults are made."""


def as_text() -> str:
    """Every fault in the order of the work: what is done, what is seen, what to do."""
    lines: list[str] = []
    width = max(len(lead) for lead, _ in _rows(next(iter(CATALOGUE.values()))))
    for stage, faults in groupby(CATALOGUE.values(), key=lambda fault: fault.stage):
        lines.append(spoken(STAGES[stage]).upper())
        for fault in faults:
            lines.append(f"  {spoken(fault.title)}  ({fault.id})")
            lines += [f"    {lead.ljust(width)} {spoken(text)}" for lead, text in _rows(fault) if text]
        lines.append("")
    ends = spoken(
        "{faults} faults in {classes} classes that leave the same plate.",
        faults=len(CATALOGUE),
        classes=len(CLASSES),
    )
    return "\n".join([*lines, ends])


def _rows(fault: Fault) -> tuple[tuple[str, str], ...]:
    """What is said of a fault, each with the word that stands before it."""
    return (
        (spoken("done:"), fault.acts),
        (spoken("seen:"), fault.looks),
        (spoken("class:"), CLASSES[fault.alike].title),
        (spoken("do:"), fault.remedy),
        (spoken("mind:"), fault.caution),
    )


def as_json() -> str:
    """The same, as a list of objects; their texts in the language spoken."""
    return json.dumps(
        [
            {
                "id": fault.id,
                "title": spoken(fault.title),
                "stage": fault.stage,
                "skill": fault.skill,
                "class": fault.alike,
                "class_title": spoken(CLASSES[fault.alike].title),
                "acts": spoken(fault.acts),
                "looks": spoken(fault.looks),
                "measures": list(fault.measures),
                "remedy": spoken(fault.remedy),
                "caution": spoken(fault.caution),
            }
            for fault in CATALOGUE.values()
        ],
        indent=2,
        ensure_ascii=False,
    )
