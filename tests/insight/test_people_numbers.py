"""Kappa, curves, false discoveries and memory against published values and reference libraries."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from fsrs import Card, Rating, Scheduler
from hypothesis import given
from hypothesis import strategies as st
from insight_kit import START, frames
from scipy import stats

from trainer.insight.agreement import agreement, kappa
from trainer.insight.curves import curves
from trainer.insight.joined import joined
from trainer.insight.memory import FACTOR, days_until, memory, remembered
from trainer.insight.results import CurveRow, Finding
from trainer.insight.standing import Compared, adjusted, stands_out

DAY_MS = 86_400_000


# Kappa


@pytest.mark.parametrize(
    ("table", "value", "ends"),
    [
        # worked example on easycalculation.com, "Learn Cohen's kappa index" (prints 0.21); ends: statsmodels
        ((12, 2, 4, 2), 0.2105263, (-0.244367, 0.665420)),
        # common textbook tables, from memory; values: statsmodels 0.15.0 `cohens_kappa`, scikit-learn 1.9.1
        ((20, 5, 10, 15), 0.4, (0.151092, 0.648908)),
        ((45, 15, 25, 15), 0.130435, (-0.062938, 0.323808)),
        ((25, 35, 5, 35), 0.259259, (0.108029, 0.410490)),
    ],
)
def test_kappa_is_as_published(
    table: tuple[int, int, int, int], value: float, ends: tuple[float, float]
) -> None:
    """Kappa and its interval by the large-sample variance."""
    found = kappa(*table)
    assert found is not None
    assert found[0] == pytest.approx(value, abs=1e-6)
    assert (found[1].low, found[1].high) == pytest.approx(ends, abs=1e-6)


@pytest.mark.parametrize("table", [(9, 3, 0, 0), (0, 0, 9, 3), (9, 0, 3, 0), (0, 9, 0, 3), (0, 0, 0, 0)])
def test_kappa_of_an_empty_row_or_column_is_none(table: tuple[int, int, int, int]) -> None:
    """Who always says the same agrees with nobody by choice."""
    assert kappa(*table) is None


def test_sign_offs_stand_beside_the_marks_of_their_plate() -> None:
    """The word that counts on a plate, against every other attempt there; the sign-off itself is none."""
    plate = {
        "signed well": ("passed", True),
        "signed all the same": ("passed", False),
        "sent back": ("not_yet", False),
    }
    found = joined(
        frames(
            runs=[*({"run": run} for run in plate), {"run": "on the bench", "rehearsal": True}],
            attempts=[
                {"run": run, "hit": hit, "mark": mark}
                for run, (word, clean) in plate.items()
                for mark, hit in (("reading", clean), ("quiz", True), ("sign_off", word == "passed"))
            ],
            plates=[
                *({"run": run, "how": word} for run, (word, _) in plate.items()),
                {"run": "on the bench"},
            ],
            signatures=[
                {"run": "signed well", "word": "not_yet", "by": "I-2"},  # taken back by the next one
                *({"run": run, "word": word} for run, (word, _) in plate.items()),
                {"run": "on the bench", "by": "bench"},
            ],
        )
    )
    whole, one = agreement(found)
    assert (whole.by, one.by) == ("", "I-1")
    assert (whole.passed_clean, whole.passed_missed, whole.not_yet_clean, whole.not_yet_missed) == (
        1,
        1,
        0,
        1,
    )
    assert (whole.n, whole.provisional) == (3, True)
    assert whole.kappa == pytest.approx(0.4)
    assert tuple(one.runs) == ("sent back", "signed all the same", "signed well")
    assert agreement(joined(frames())) == ()


# Learning curves


def curve(times: Sequence[float], **run: object) -> list[CurveRow]:
    """The curves of one trainee whose finished runs took so many seconds at work."""
    runs = [f"r{nth:02}" for nth in range(1, len(times) + 1)]
    at = [START + timedelta(days=nth) for nth in range(len(runs))]
    found = frames(
        runs=[{"run": one, "opened_at": when, **run} for one, when in zip(runs, at, strict=True)],
        visits=[
            {"run": one, "active": time, "seconds": 9999.0} for one, time in zip(runs, times, strict=True)
        ],
    )
    return list(curves(joined(found)))


def test_eight_points_of_an_80_percent_curve_are_found_again() -> None:
    """Wideman, "Learning curve mathematics", unit model: 100 80 64 51.2 at 1 2 4 8; slope log .8 / log 2."""
    times = [100.0, 80.0, 70.21037, 64.0, 59.56373, 56.16830, 53.44902, 51.2]
    row, plates = curve(times)
    assert (row.what, plates.what) == ("active time", "plates used")
    assert row.slope == pytest.approx(-0.3219280949, abs=1e-6)
    assert row.first == pytest.approx(100, abs=1e-4)
    assert row.rate == pytest.approx(0.8, abs=1e-6)
    assert row.rate_interval is not None
    assert row.rate_interval.high - row.rate_interval.low < 1e-6
    assert [point.nth for point in row.points] == list(range(1, 9))
    assert plates.slope == pytest.approx(0)
    assert plates.first == pytest.approx(1)


@given(st.lists(st.floats(1, 1e5), min_size=4, max_size=12, unique=True))
def test_a_curve_is_the_line_of_scipy(times: list[float]) -> None:
    """Slope, first and interval of any times, as scipy's least squares give them."""
    row = curve(times)[0]
    known = stats.linregress(np.log(np.arange(1, len(times) + 1)), np.log(times))
    wide = stats.t.ppf(0.975, len(times) - 2) * known.stderr
    assert row.rate_interval is not None
    found = (row.slope, row.first, row.rate, row.rate_interval.low, row.rate_interval.high)
    ends = (2 ** (known.slope - wide), 2 ** (known.slope + wide))
    assert found == pytest.approx(
        (known.slope, np.exp(known.intercept), 2**known.slope, *ends), rel=1e-6, abs=1e-9
    )


def test_three_runs_make_no_curve() -> None:
    """The points are there; slope, rate and interval are not."""
    row = curve([60.0, 50.0, 40.0])[0]
    assert len(row.points) == 3
    assert (row.slope, row.first, row.rate, row.rate_interval) == (None, None, None, None)


def test_only_whole_wet_runs_of_one_trainee_are_on_a_curve() -> None:
    """Stopped, handed over and open runs and rehearsals are left out; a run of unknown time lacks a time."""
    for left_out in ({"closed": "stopped"}, {"handed": True}, {"closed": ""}, {"rehearsal": True}):
        assert curve([10.0] * 5, **left_out) == []
    found = frames(
        runs=[{"run": "known"}, {"run": "torn", "spoiled": 2, "opened_at": START + timedelta(days=1)}],
        visits=[{"run": "known"}, {"run": "torn"}, {"run": "torn", "active": None}],
    )
    times, plates = curves(joined(found))
    assert [(point.nth, point.run) for point in times.points] == [(1, "known")]
    assert [(point.nth, point.value) for point in plates.points] == [(1, 1.0), (2, 3.0)]


# False discoveries


def test_adjusted_values_are_those_of_statsmodels() -> None:
    """Benjamini and Hochberg's; recorded from statsmodels 0.15.0, `multipletests(method="fdr_bh")`."""
    chances = [0.01, 0.04, 0.03, 0.005, 0.2, 0.0001]
    known = [0.02, 0.048, 0.045, 0.015, 0.2, 0.0006]
    assert adjusted(chances) == pytest.approx(known, abs=1e-12)
    among_nine = [0.03, 0.072, 0.0675, 0.0225, 0.3, 0.0009]  # the same with three more of p = 1
    assert adjusted(chances, silent=3) == pytest.approx(among_nine, abs=1e-12)
    assert adjusted([]) == []


def finding(chance: float | None, level: str = "act", subject: str = "skill") -> Finding:
    """A finding with this p-value."""
    return Finding("kind", level, subject, (), "words", "why", 1, "method", chance, ())  # type: ignore[arg-type]


def test_what_is_tested_counts_even_where_nothing_is_said() -> None:
    """A chance of 0.004 stands alone, and no more among a hundred comparisons that found nothing."""
    lone = Compared((finding(0.004),))
    assert stands_out([lone]) == lone.findings
    assert stands_out([lone, Compared((), silent=99)]) == ()
    fact = Compared((finding(None),), silent=1000)
    assert stands_out([fact]) == fact.findings


def test_the_most_urgent_stands_first() -> None:
    """Level, then a safety prompt, then the surest, then other facts."""
    every = (
        finding(None, "know"),
        finding(None),
        finding(1e-4),
        finding(1e-6),
        finding(1e-9, "watch"),
        finding(None, subject="hazard"),
    )
    said = stands_out([Compared(every)])
    assert [every.index(one) for one in said] == [5, 3, 2, 1, 4, 0]


# Memory


def test_memory_is_as_the_library_tests_it() -> None:
    """Ratings 1,3,3,3,3,3 at gaps of 0,0,1,3,8,21 days: tests/test_basic.py of py-fsrs (MIT)."""
    at = np.cumsum(np.array([0, 0, 1, 3, 8, 21]) * DAY_MS)
    stability, difficulty = memory(at, np.array([False, *[True] * 5]), np.array([6]))
    assert stability[0] == pytest.approx(53.62691, abs=1e-4)
    assert difficulty[0] == pytest.approx(6.3574867, abs=1e-4)


def test_what_is_remembered_after_a_right_answer() -> None:
    """Values of fsrs 6.3.2 at a stability of 2.3065: after 1, 10, 30 and 90 days."""
    assert abs(FACTOR - 0.9803464944) < 1e-9
    found = remembered(np.full(4, 2.3065), np.array([1, 10, 30, 90]))
    assert found == pytest.approx([0.946847, 0.774367, 0.667526, 0.567838], abs=1e-6)
    right, wrong = memory(np.array([0, 0]), np.array([True, False]), np.array([1, 1]))[0]
    assert (right, wrong) == pytest.approx((2.3065, 0.212), abs=1e-5)


def test_intervals_are_those_of_the_library_s_own_test() -> None:
    """The grades of tests/test_basic.py of py-fsrs, each asked when due; without its learning steps."""
    at, right, days, found = 0, [], [], []
    for grade in (3, 3, 3, 3, 3, 3, 1, 1, 3, 3, 3, 3, 3):
        right.append(grade == 3)
        days.append(at)
        found.append(int(days_until(memory(np.array(days), np.array(right), np.array([len(days)]))[0])[0]))
        at += found[-1] * DAY_MS
    assert found == known_intervals((3, 3, 3, 3, 3, 3, 1, 1, 3, 3, 3, 3, 3))


def known_intervals(grades: Sequence[int]) -> list[int]:
    """What the library says, each answer given on the day it is due."""
    scheduler = Scheduler(enable_fuzzing=False, learning_steps=(), relearning_steps=())
    card, at, found = Card(), datetime(2026, 1, 1, tzinfo=UTC), []
    for grade in grades:
        card, _ = scheduler.review_card(card, Rating(grade), at)
        found.append((card.due - at).days)
        at = card.due
    return found


ANSWERS = st.lists(
    st.lists(st.tuples(st.integers(0, 90 * DAY_MS), st.booleans()), min_size=1, max_size=8),
    min_size=1,
    max_size=6,
)


@given(ANSWERS)
def test_memory_of_many_is_the_library_s_memory_of_each(questions: list[list[tuple[int, bool]]]) -> None:
    """Any answers at any times: stability, difficulty and days as the library gives them one by one."""
    scheduler = Scheduler(enable_fuzzing=False, learning_steps=(), relearning_steps=())
    times, hits = [], []
    known = []
    for question in questions:
        card, at = Card(), datetime(2026, 1, 1, tzinfo=UTC)
        for gap, right in question:
            at += timedelta(milliseconds=gap)
            card, _ = scheduler.review_card(card, Rating.Good if right else Rating.Again, at)
            times.append(round(at.timestamp() * 1000))
            hits.append(right)
        assert card.stability is not None
        known.append((card.stability, card.difficulty, (card.due - at).days))
    stability, difficulty = memory(np.array(times), np.array(hits), np.array([len(one) for one in questions]))
    assert stability == pytest.approx([one[0] for one in known], rel=1e-9)
    assert difficulty == pytest.approx([one[1] for one in known], rel=1e-9)
    assert list(days_until(stability)) == [one[2] for one in known]
