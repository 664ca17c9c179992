"""What a fault of a plate is, in the words of the trade: its cause, its signs, its remedy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

_SKILLS: Final[Mapping[str, str]] = {
    "inspection": "film",
    "punching": "handling",
    "vacuum": "contact",
    "exposure": "exposure",
    "development": "developing",
    "rinse": "finishing",
    "gumming": "finishing",
}
"""Which skill a stage is marked under, where a fault names none."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that goes wrong with a plate.

    `alike`: the class of faults that leave the same plate; from the plate alone nobody can tell them apart.
    `acts`: what was done or left undone. `looks`: what a person sees. `measures`: names of the sheet's
    measures that
    show it. `remedy`: what to do next time, and with this plate where it can be saved. `caution`: a safety
    note, empty where there is none. `of`: the skill, where it is not its stage's.
    """

    id: str
    title: str
    alike: str
    stage: str
    acts: str
    looks: str
    measures: tuple[str, ...]
    remedy: str
    caution: str = ""
    of: str = ""

    @property
    def skill(self) -> str:
        """Whose mark it is, as the shipped procedures name skills."""
        return self.of or _SKILLS[self.stage]


@dataclass(frozen=True, slots=True)
class Alike:
    """A class of faults that leave the same plate, with the one sentence that is printed for all of them."""

    id: str
    title: str
    sentence: str
