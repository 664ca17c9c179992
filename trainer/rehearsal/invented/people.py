"""The invented trainees: what each can do, how quickly, how hastily, and how that grows with practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from trainer.rehearsal.invented.chance import dice, practised
from trainer.rehearsal.invented.planted import Planted

Sort = Literal["quiz", "reading", "window", "judge", "pick", "act"]
_EASE: Final[Mapping[Sort, float]] = {
    "quiz": 0.4,
    "reading": 1.3,
    "window": 1.1,
    "judge": 1.6,
    "pick": 0.7,
    "act": 1.6,
}
"""Log odds of a hit at the first try of an average trainee."""
_HASTE: Final = (0.01, 0.01, 0.02, 0.03, 0.4)
"""How often a safety prompt is accepted unread: hardly ever, but for a few."""
_SOLO, _SOLO_BY_ABLE, _SOLO_WEAK = 11.0, 3.0, 10.0
"""After so many runs an instructor lets a trainee work alone: the able sooner, the weak hardly in a term."""
_WEAK = 2.5
"""So much less are the log odds at the skill that somebody is weak at: of four hits, one is left."""
_SKILLED, _ABLE, _PLACE = 0.2, 0.7, 0.25


@dataclass(frozen=True, slots=True)
class Trainee:
    """One trainee. Log odds: able in general, and over that at each skill by name.

    pace: time taken against that of the usual one. hasty: chance that a safety prompt is not read. learns:
    what practice adds to the log odds, by the logarithm of runs. quickens: how the time falls, likewise.
    """

    seed: int
    code: str
    able: float
    weak_at: frozenset[str]
    pace: float
    hasty: float
    learns: float
    quickens: float

    @property
    def solo_from(self) -> int:
        """Runs of a procedure after which this trainee does it at guidance solo."""
        return max(5, round(_SOLO - _SOLO_BY_ABLE * self.able + _SOLO_WEAK * bool(self.weak_at)))

    def over(self, skill: str | None) -> float:
        """What the skill adds to what this trainee is able to do."""
        if skill is None:
            return 0.0
        natural = _drawn(_SKILLED, self.seed, self.code, "skill", skill)
        return natural - (_WEAK if skill in self.weak_at else 0.0)

    def logit(self, sort: Sort, skill: str | None, practice: float) -> float:
        """The log odds of a hit at a step like any other."""
        return _EASE[sort] + self.able + self.over(skill) + practised(practice, self.learns)


def ease(seed: int, procedure: str, step: str) -> float:
    """How much easier a step is than others of its sort, log odds."""
    return _drawn(_PLACE, seed, procedure, step, "ease")


@lru_cache(maxsize=4096)
def _drawn(sigma: float, *name: object) -> float:
    return dice(*name).gauss(0, sigma)


@lru_cache(maxsize=64)
def trainee(seed: int, code: str, planted: Planted) -> Trainee:
    """The trainee that goes by this code in the class of this seed."""
    drawn = dice(seed, code, "person")
    return Trainee(
        seed=seed,
        code=code,
        able=drawn.gauss(0, _ABLE),
        pace=2 ** drawn.gauss(0, 0.3),
        hasty=drawn.choice(_HASTE),
        learns=drawn.uniform(0.25, 0.45),
        quickens=drawn.uniform(0.15, 0.3),
        weak_at=frozenset(one.skill for one in planted.weak if one.trainee == code),
    )
