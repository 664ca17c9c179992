"""From what is known of a new procedure to a file that the check finds clean, or sentences about why not."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.procedure.drafts.skeleton import Begun, skeleton
from trainer.procedure.load import load_bytes


@dataclass(frozen=True, slots=True)
class Draft:
    """The text of the new file; problems: sentences, empty where the file is clean."""

    text: str
    problems: tuple[str, ...]


def draft(begun: Begun) -> Draft:
    """Write the text and check it as `sinkside check` would."""
    text = skeleton(begun)
    found = load_bytes(text.encode(), f"{begun.id}.yaml").problems
    lines = text.split("\n")
    told = (
        f"{problem.message} {problem.help} It came to stand as: {lines[problem.place.line - 1].strip()}"
        for problem in found
    )
    return Draft(text, tuple(told))
