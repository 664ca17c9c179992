"""When a question is forgotten: FSRS-6 with the parameters of the `fsrs` library, for all trainees at once.

The library takes one answer at a time, which is minutes for a school; a test holds this to it. Its parameters
come from reviews of memory cards, not from work at a sink: it suggests, and moves no deadline.
"""

from __future__ import annotations

from math import exp
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from fsrs.scheduler import DEFAULT_PARAMETERS, STABILITY_MIN

Numbers: TypeAlias = npt.NDArray[np.float64]
Whole: TypeAlias = npt.NDArray[np.int64]

REMEMBERED = 0.9
"""A question is worth asking again when it is remembered no better than this."""
W = DEFAULT_PARAMETERS
"""The 21 parameters, by the number that they have in the formulas."""
FACTOR = REMEMBERED ** (-1 / W[20]) - 1
_AGAIN, _GOOD, _EASY = 1, 3, 4
"""The library's ratings: a wrong answer is 1, a right one 3; how hard it was nobody says."""
_DAY_MS = 86_400_000
_MOST_DAYS = 36_500


def memory(at_ms: Whole, right: npt.NDArray[np.bool_], counts: Whole) -> tuple[Numbers, Numbers]:
    """Stability (days) and difficulty (1 to 10) of each question after its last answer.

    at_ms, right: all answers, those to one question together and oldest first. counts: how many to each, none
    without. The nth answers to all questions are worked through together.
    """
    starts = np.cumsum(counts) - counts
    first = np.where(right[starts], _GOOD, _AGAIN)
    stability = np.maximum(np.array(W[:4])[first - 1], STABILITY_MIN)
    difficulty = np.clip(_first_difficulty(first), 1, 10)
    order = np.argsort(-counts, kind="stable")
    for nth in range(1, int(counts.max(initial=1))):
        on = order[: int((counts > nth).sum())]
        place = starts[on] + nth
        days = (at_ms[place] - at_ms[place - 1]) // _DAY_MS
        grade = np.where(right[place], _GOOD, _AGAIN)
        stability[on] = _next_stability(stability[on], difficulty[on], days, grade)
        difficulty[on] = _next_difficulty(difficulty[on], grade)
    return stability, difficulty


def remembered(stability: Numbers, days: Whole | int) -> Numbers:
    """How likely an answer is right so many days after the last."""
    return np.asarray((1 + FACTOR * days / stability) ** -W[20])


def days_until(stability: Numbers) -> Whole:
    """Whole days from the last answer until a question is worth asking again."""
    days = np.rint(stability / FACTOR * (REMEMBERED ** (-1 / W[20]) - 1))
    return np.asarray(np.clip(days, 1, _MOST_DAYS).astype(np.int64))


def _first_difficulty(grade: Whole | int) -> Numbers:
    return np.asarray(W[4] - np.exp(W[5] * (np.asarray(grade) - 1)) + 1)


def _next_stability(stability: Numbers, difficulty: Numbers, days: Whole, grade: Whole) -> Numbers:
    recall = remembered(stability, days)
    grown = np.exp(W[8]) * (11 - difficulty) * stability ** -W[9] * np.expm1((1 - recall) * W[10])
    kept = stability * (1 + grown)
    lost = W[11] * difficulty ** -W[12] * ((stability + 1) ** W[13] - 1) * np.exp((1 - recall) * W[14])
    lost = np.minimum(lost, stability / exp(W[17] * W[18]))
    same_day = np.exp(W[17] * (grade - 3 + W[18])) * stability ** -W[19]
    same_day = stability * np.where(grade == _AGAIN, same_day, np.maximum(same_day, 1))
    later = np.where(grade == _AGAIN, lost, kept)
    return np.asarray(np.maximum(np.where(days < 1, same_day, later), STABILITY_MIN))


def _next_difficulty(difficulty: Numbers, grade: Whole) -> Numbers:
    moved = difficulty + (10 - difficulty) * -W[6] * (grade - 3) / 9
    return np.asarray(np.clip(W[7] * _first_difficulty(_EASY) + (1 - W[7]) * moved, 1, 10))
