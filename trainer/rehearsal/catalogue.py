"""The catalogue of faults as lines to read, and for a program."""

from __future__ import annotations

import json
from itertools import groupby

from trainer.bench.faults import CATALOGUE, CLASSES


def as_text() -> str:
    """Every fault in the order of the work: what is done, what is seen, what to do."""
    lines: list[str] = []
    for stage, faults in groupby(CATALOGUE.values(), key=lambda fault: fault.stage):
        lines.append(stage.upper())
        for fault in faults:
            lines += [
                f"  {fault.title}  ({fault.id})",
                f"    done:  {fault.acts}",
                f"    seen:  {fault.looks}",
                f"    class: {CLASSES[fault.alike].title}",
                f"    do:    {fault.remedy}",
            ]
            lines += [f"    mind:  {fault.caution}"] if fault.caution else []
        lines.append("")
    return "\n".join(lines) + f"{len(CATALOGUE)} faults in {len(CLASSES)} classes that leave the same plate."


def as_json() -> str:
    """The same, as a list of objects."""
    return json.dumps(
        [
            {
                "id": fault.id,
                "title": fault.title,
                "stage": fault.stage,
                "skill": fault.skill,
                "class": fault.alike,
                "class_title": CLASSES[fault.alike].title,
                "acts": fault.acts,
                "looks": fault.looks,
                "measures": list(fault.measures),
                "remedy": fault.remedy,
                "caution": fault.caution,
            }
            for fault in CATALOGUE.values()
        ],
        indent=2,
        ensure_ascii=False,
    )
