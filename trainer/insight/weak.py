"""Who is weak at one skill: fewer hits than others at the same steps, and than he or she has elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import polars as pl

from trainer.insight.results import Finding, SkillRow
from trainer.insight.standing import Compared
from trainer.insight.tails import binomial, levels, moments, so_few, spread_of

Numbers: TypeAlias = npt.NDArray[np.float64]

FEWEST = 20
"""Fewer attempts are not compared: a few misses in a row, on one morning, look like a weakness."""
LEAST_GAP = 0.05
"""Fewer hits than expected by less than this share of the attempts is not worth ten minutes of anybody."""
BELOW_OTHERS = 0.05
"""Nobody is weak whose hits are not fewer than the others' by this chance; what is sure goes by the rest."""
LEAST_SPREAD = 0.3
"""Trainees differ at least by so much, in logits, where a class is too small to show by how much."""
FEW_TRAINEES = 4
"""With fewer there are no others to be compared with."""
_FEW_PAIRS = 8
_SPREAD_OF_FEW = 0.5
_AS_SURE = 0.37
TELLS = 1.0
"""Where hits vary by less than this, by chance alone, nothing can be told."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A trainee at a skill beside what was to be expected.

    by_others, by_self: hits expected by the others' rates; the same, moved to how he or she does elsewhere.
    chance: mid-p of so few hits by how trainees' skills differ anyway; 1 where the gap is not worth saying,
    or not surely one to the others.
    """

    trainee: str
    skill: str
    n: int
    k: int
    by_others: float
    by_self: float
    chance: float

    @property
    def worth_saying(self) -> bool:
        """Is there a gap that is large enough, and one to the others?"""
        return self.chance < 1


def standings(standard: pl.DataFrame) -> list[Standing]:
    """Hold each trainee at each skill against the others and against himself or herself elsewhere.

    standard: of `peers.expected`. Empty where there are too few trainees to compare.
    """
    tested = standard.filter((pl.col("n") >= FEWEST) & (pl.col("variance") >= TELLS))
    if tested["trainee"].n_unique() < FEW_TRAINEES:
        return []
    n, hits, expected, variance = (
        tested[name].cast(pl.Float64).to_numpy() for name in ("n", "k", "expected", "variance")
    )
    of = tested["trainee"].rank("dense").cast(pl.Int64).to_numpy() - 1
    tries, odds = binomial(expected, variance)
    own_odds = odds + levels(hits, tries, odds, of)
    own_odds += _middles(hits, *moments(tries, own_odds), tested["skill"].to_numpy())
    own, own_variance = moments(tries, own_odds)
    worth = np.minimum(expected, own) - hits >= LEAST_GAP * n
    worth[worth] = so_few(hits[worth], tries[worth], odds[worth], 0.0) <= BELOW_OTHERS
    chances = np.ones_like(hits)
    spread = _spread(hits - own, own_variance)
    chances[worth] = _by_students(so_few(hits[worth], tries[worth], own_odds[worth], spread), len(hits))
    names = tested.select("trainee", "skill", "n", "k").iter_rows()
    figures = zip(names, expected.tolist(), own.tolist(), chances.tolist(), strict=True)
    return [
        Standing(trainee, skill, of_n, k, by_others, by_self, chance)
        for (trainee, skill, of_n, k), by_others, by_self, chance in figures
    ]


def _middles(hits: Numbers, own: Numbers, variance: Numbers, skills: npt.NDArray[np.object_]) -> Numbers:
    """For each row: how far the middle trainee at its skill is off, in logits; 0 where there are few.

    One who tries a step again and again and misses makes the others' rate too low for everybody else.
    """
    off, found = (hits - own) / variance, np.zeros_like(hits)
    for skill in set(skills):
        there = skills == skill
        if there.sum() >= _FEW_PAIRS:
            found[there] = np.median(off[there])
    return found


def _spread(gap: Numbers, variance: Numbers) -> float:
    if len(gap) < _FEW_PAIRS:
        return _SPREAD_OF_FEW
    return max(LEAST_SPREAD, spread_of(gap, variance))


def _by_students(chances: Numbers, rows: int) -> Numbers:
    """The same chances where the spread is no more than an estimate from so many rows.

    As far out in Student's distribution as they are in the normal one. A median of squares is as sure as a
    variance of 0.37 times as many (Rousseeuw and Croux 1993, from memory).
    """
    from scipy.special import ndtri, stdtr  # 40 ms, only here

    return np.asarray(stdtr(_AS_SURE * rows, ndtri(np.maximum(chances, 1e-300))))


def stands_out(
    found: Iterable[Standing], rows: Iterable[SkillRow], words: Mapping[str, str], *, provisional: bool
) -> Compared:
    """What is worth saying of `found`. rows: of `skills`. words: of skills, by name."""
    every = list(found)
    by_key = {(row.trainee, row.skill): row for row in rows}
    worth = [one for one in every if one.worth_saying and (one.trainee, one.skill) in by_key]
    said = tuple(_finding(one, by_key[one.trainee, one.skill], words, provisional) for one in worth)
    return Compared(said, len(every) - len(said))


def _finding(one: Standing, row: SkillRow, words: Mapping[str, str], provisional: bool) -> Finding:
    expected = (
        f"At the same steps, with as much practice, {one.by_others:.0f} hits of {one.n} were to be expected "
        f"by the others' rates, {one.by_self:.0f} by the trainee's own at other skills; there were {one.k}."
    )
    why = [expected]
    if one.skill in words:
        why.append(f"The skill: {words[one.skill]}.")
    if provisional:
        why.append("Provisional: fewer than 30 trainees.")
    return Finding(
        kind="weak-skill",
        level="watch" if row.state == "steady" else "act",
        subject="skill",
        keys=(one.trainee, one.skill),
        words=_words(row),
        why=" ".join(why),
        n=row.rate.n,
        method="weak-skill",
        p=one.chance,
        runs=row.runs,
    )


def _words(row: SkillRow) -> str:
    """What is found, and how it goes of late: the state that stands elsewhere is of the last ones alone."""
    rate, peers, recent = row.rate, row.peers, row.recent
    low, high = (round(100 * end) for end in (rate.interval.low, rate.interval.high))
    attempts = f"{rate.k} of {rate.n} attempts (interval {low} to {high} %)"
    others, late = f"the others in {peers.k} of {peers.n}", f"{recent.k} of the last {recent.n}"
    if row.state == "steady":
        return (
            f"{row.trainee} was weak at {row.skill} and is steady of late: right in {late}, "
            f"and in {attempts} over the whole time; {others}."
        )
    return f"{row.trainee} gets {row.skill} right in {attempts}, {late}; {others}."
