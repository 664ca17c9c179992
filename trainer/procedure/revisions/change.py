"""What changed between two revisions, as it is told to a class."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Literal

from trainer.procedure.charts.lines import WIDTH, wrapped

Group = Literal["hazards", "steps", "moved", "words", "limits", "questions", "ways", "about", "unseen"]

HEADINGS: dict[Group, str] = {
    "hazards": "Safety prompts and cautions",
    "steps": "New and gone",
    "moved": "Moved",
    "words": "Said in other words",
    "limits": "Settings, limits and times",
    "questions": "Questions",
    "ways": "Ways through the work",
    "about": "About the procedure",
    "unseen": "Not seen by trainees",
}
"""In the order they are told: what can hurt comes first."""


@dataclass(frozen=True, slots=True)
class Change:
    """One difference. where: the step's id, the setting's name, or empty. old, new: the texts.

    called: what a class knows it by, the act or the label, where that is the same in both.
    """

    group: Group
    where: str
    said: str
    old: str = ""
    new: str = ""
    called: str = ""


@dataclass(frozen=True, slots=True)
class Revisions:
    """Two revisions and what is different."""

    old: str
    new: str
    changes: tuple[Change, ...]

    def as_text(self, width: int = WIDTH) -> str:
        """For people: heading by heading, at most `width` cells wide."""
        rows = [*wrapped(f"From {self.old} to {self.new}:", width)]
        if not self.changes:
            rows.append("nothing that the file says is different.")
        for group, heading in HEADINGS.items():
            found = [change for change in self.changes if change.group == group]
            if found:
                rows += ["", heading, *_told(found, width)]
        return "\n".join(row.rstrip() for row in rows) + "\n"

    def as_json(self) -> str:
        """For programs: one object with `old`, `new` and a list of `changes`."""
        return json.dumps(asdict(self), indent=2, ensure_ascii=True)


def _told(changes: Iterable[Change], width: int) -> Iterator[str]:
    for change in changes:
        named = f"{change.where}, “{change.called}”" if change.called else change.where
        yield from _hung(f"{named}: {change.said}" if named else change.said, "- ", width)
        yield from _hung(change.old, "    was  ", width)
        yield from _hung(change.new, "    now  ", width)


def _hung(text: str, lead: str, width: int) -> Iterator[str]:
    for number, row in enumerate(wrapped(text, width - len(lead)) if text else ()):
        yield f"{lead if not number else ' ' * len(lead)}{row}"


def in_order(changes: Sequence[Change]) -> tuple[Change, ...]:
    """By heading; within one, as they were found."""
    order = list(HEADINGS)
    return tuple(sorted(changes, key=lambda change: order.index(change.group)))
