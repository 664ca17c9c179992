"""How far along a trainee is at a skill: one rule, in words and as it is worked out. Pure Python."""

from __future__ import annotations

from trainer.insight.intervals import LINE, wilson
from trainer.insight.results import SkillState

FEWEST = 5
"""Fewer attempts than this say nothing."""
RECENT = 10
"""So many of the last attempts are looked at: what somebody could not do in March counts no more in June."""
STEADY = 9
"""So many hits among the last ten are steady."""
RULE = (
    "The last ten attempts of a trainee at a skill are looked at, or all where there are fewer. "
    "Fewer than 5 attempts: too few. "
    "At least 9 hits in the last ten: steady. "
    "So few hits that Wilson's 95 % interval lies below 80 in 100 "
    "(at most 2 of 5, 2 of 6, 3 of 7, 4 of 8, 4 of 9 or 5 of 10): needs help. "
    "Anything else: coming on."
)
"""What the guide says; a test holds guide and code to it."""


def state(recent_hits: int, recent: int) -> SkillState:
    """The state by `RULE`. recent: how many of the last attempts, at most `RECENT`.

    Raises ValueError where that is no count, or more than the last ten.
    """
    if recent > RECENT:
        raise ValueError(f"{recent} are more than the last {RECENT}")
    interval = wilson(recent_hits, recent)
    if recent < FEWEST:
        return "too few"
    if recent == RECENT and recent_hits >= STEADY:
        return "steady"
    return "needs help" if interval.high < LINE else "coming on"
