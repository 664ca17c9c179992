"""From what is known of a new procedure to a file that is free of errors, or sentences about why not."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.procedure.drafts.skeleton import Begun, skeleton
from trainer.procedure.load import load_bytes

_TO_WRITE = "S36"
"""The warning of a text that the author is to write: what a draft is for."""


@dataclass(frozen=True, slots=True)
class Draft:
    """The text of the new file; problems: sentences, empty where only its texts are still to be written."""

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
        if problem.code != _TO_WRITE
    )
    return Draft(text, tuple(told))
