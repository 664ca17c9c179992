"""What looking at a station found: each thing in a sentence, with what to do and the command that does it."""

from __future__ import annotations

import json
from dataclasses import asdict
from textwrap import wrap
from typing import Literal

from trainer.procedure.text import one_line
from trainer.run.frozen import frozen

State = Literal["fine", "note", "mend", "unseen"]
"""note: to be known, nothing to do at once. mend: something to do. unseen: it could not be looked at."""

_MARGIN = 8


@frozen
class Told:
    """One thing looked at. code: a stable word for programs. mend: what to do. command: what does it."""

    code: str
    state: State
    said: str
    mend: str = ""
    command: str = ""


def fine(code: str, said: str) -> Told:
    """It is as it should be."""
    return Told(code, "fine", one_line(said))


def note(code: str, said: str, do: str = "", command: str = "") -> Told:
    """To be known; the work can go on as it is."""
    return Told(code, "note", one_line(said), one_line(do), one_line(command))


def mend(code: str, said: str, do: str, command: str = "") -> Told:
    """Something is wrong, and this is how to mend it."""
    return Told(code, "mend", one_line(said), one_line(do), one_line(command))


def unseen(code: str, said: str, do: str = "", command: str = "") -> Told:
    """It could not be looked at."""
    return Told(code, "unseen", one_line(said), one_line(do), one_line(command))


@frozen
class Diagnosis:
    """Everything that was looked at, in order."""

    told: tuple[Told, ...]

    @property
    def exit_code(self) -> int:
        """0: fine. 1: something to mend. 2: nothing to mend was seen, but not all could be looked at."""
        states = {one.state for one in self.told}
        return 1 if "mend" in states else 2 if "unseen" in states else 0

    def as_text(self, width: int = 0) -> str:
        """A line for each thing; under what is not fine, what to do and the command; a line that sums up.

        width: sentences are broken to that many columns, commands are not; 0: nothing is.
        """
        lines: list[str] = []
        for one in self.told:
            said = [*_broken(one.said, width), *_broken(one.mend, width)]
            if one.command:
                said.append(f"  {one.command}")
            state, margin = f"{one.state:{_MARGIN}}", " " * _MARGIN
            lines += [f"{margin if number else state}{line}" for number, line in enumerate(said)]
        return "\n".join([*lines, self.summed_up()])

    def summed_up(self) -> str:
        """How many things there are to mend, and how many could not be looked at."""
        to_mend = sum(one.state == "mend" for one in self.told)
        hidden = sum(one.state == "unseen" for one in self.told)
        looked = f"{len(self.told)} things looked at"
        if not to_mend and not hidden:
            return f"{looked}: nothing to mend."
        counted = [f"{to_mend} to mend"] if to_mend else []
        counted += [f"{hidden} could not be looked at"] if hidden else []
        return f"{looked}: {', '.join(counted)}."

    def as_json(self) -> str:
        """The same for a program."""
        told = {"exit": self.exit_code, "looked_at": [asdict(one) for one in self.told]}
        return json.dumps(told, indent=2)


def _broken(sentence: str, width: int) -> list[str]:
    """A sentence in lines; a path or another long word is not broken."""
    if not width:
        return [sentence] if sentence else []
    return wrap(sentence, max(width - _MARGIN, _MARGIN), break_long_words=False, break_on_hyphens=False)
