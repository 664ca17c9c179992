"""What stands out: of many comparisons, those are said that chance hardly makes among so many."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer.insight.results import Finding

FALSE_SHARE = 0.02
"""Of what is said because chance hardly makes it, chance makes at most this share, over many classes.

Lower than the 5 % that is promised of all findings: no test's assumptions hold to the letter.
"""
_LEVELS = {"act": 0, "watch": 1, "know": 2}


@dataclass(frozen=True, slots=True)
class Compared:
    """What comparisons of one kind gave.

    findings: plain facts (p None), and what would be worth saying if chance did not make it (p as tested).
    silent: how many further comparisons were tested and found too small to be worth saying.
    """

    findings: tuple[Finding, ...] = ()
    silent: int = 0


def adjusted(chances: Sequence[float], silent: int = 0) -> list[float]:
    """Each p-value as Benjamini and Hochberg (1995) adjust it among all of them and `silent` more of p = 1.

    In the order given. A finding whose adjusted value is at most q is kept at a false discovery rate of q.
    """
    every = len(chances) + silent
    order = sorted(range(len(chances)), key=chances.__getitem__)
    found = [1.0] * len(chances)
    least = 1.0
    for rank in range(len(order), 0, -1):
        place = order[rank - 1]
        least = min(least, chances[place] * every / rank)
        found[place] = least
    return found


def stands_out(compared: Iterable[Compared], share: float = FALSE_SHARE) -> tuple[Finding, ...]:
    """The findings of all kinds that are said: facts, and what passes at `share` among all that was tested.

    Most urgent first; within a level a safety prompt passed by, then what is surest, then the other facts.
    """
    every = list(compared)
    tested = [one for kind in every for one in kind.findings if one.p is not None]
    silent = sum(kind.silent for kind in every)
    passed = adjusted([one.p for one in tested if one.p is not None], silent)
    kept = [one for kind in every for one in kind.findings if one.p is None]
    kept += [one for one, value in zip(tested, passed, strict=True) if value <= share]
    return tuple(sorted(kept, key=_urgency))


def _urgency(finding: Finding) -> tuple[int, float]:
    if finding.p is not None:
        return _LEVELS[finding.level], finding.p
    return _LEVELS[finding.level], -1.0 if finding.subject == "hazard" else 2.0
