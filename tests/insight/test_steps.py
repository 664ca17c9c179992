"""Figures of steps, and which of them trip everybody."""

from __future__ import annotations

import numpy as np
import pytest
from insight_kit import frames
from work_kit import STEPS, Row, facts, read_by, runs

from trainer.insight import steps
from trainer.insight.joined import joined
from trainer.insight.results import Finding

EASY = [0.05, 0.08, 0.1, 0.06, 0.12, 0.09, 0.07, 0.1, 0.05, 0.08, 0.11, 0.06]
FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


def said(rates: list[float], seed: int, worst: dict[str, tuple[int, float]] | None = None) -> list[Finding]:
    """What would be worth saying, if chance did not make it."""
    j = read_by(runs(140, 14), rates, seed, worst)
    return list(steps.stands_out(steps.steps(j, facts()), j, facts()).findings)


def test_quartiles_are_of_type_seven() -> None:
    """Ten flow rates of the NIST handbook: 49.675, 51.25, 52.325 (numpy 2.4, method `linear`)."""
    visits = [{"active": value, "trainee": f"T-{place}"} for place, value in enumerate(FLOW)]
    (row,) = steps.steps(joined(frames(runs=[{}], visits=visits)), {})
    assert (row.active.low, row.active.median, row.active.high) == pytest.approx((49.675, 51.25, 52.325))
    assert (row.active.n, row.visits, row.trainees, row.hesitation.n) == (10, 10, 10, 0)
    assert row.hesitation.median is None


def test_a_step_is_counted() -> None:
    """Misses of marks but no faults, hints, slips, asked again, plates given up there; and its runs."""
    visits: list[Row] = [
        {"run": "r1", "hints": 2, "ended": "again"},
        {"run": "r2", "slips": 1, "trainee": "T-02"},
        {"run": "r2", "slips": 1, "trainee": "T-02", "ended": "spoiled"},
    ]
    attempts: list[Row] = [
        {"run": "r1", "hit": False},
        {"run": "r1"},
        {"run": "r2", "hit": False, "mark": "fault"},
        {"run": "r2", "hit": None, "mark": ""},
    ]
    plates: list[Row] = [
        {"run": "r2", "how": "spoiled", "step": "read-gauge"},
        {"run": "r2", "plate": 2, "step": ""},
    ]
    made = frames(runs=[{"run": "r1"}, {"run": "r2"}], visits=visits, attempts=attempts, plates=plates)
    (row,) = steps.steps(joined(made), {})
    assert (row.visits, row.trainees, row.hints, row.slips, row.again, row.spoiled) == (3, 2, 2, 2, 1, 1)
    assert (row.misses.k, row.misses.n) == (1, 2)
    assert row.runs == ("r1", "r2")


def test_excused_runs_fall_out() -> None:
    """Rows of a run that is not among the runs are not counted."""
    made = frames(runs=[{"run": "r1"}], visits=[{"run": "r1"}, {"run": "gone"}])
    (row,) = steps.steps(joined(made), {})
    assert row.visits == 1


def test_a_step_that_trips_everybody_is_told() -> None:
    """Missed by half, whoever it is: told with a small chance, and no other step."""
    for seed in range(3):
        (found,) = said([0.6, *EASY[1:]], seed)
        assert found.keys == ("plate", STEPS[0])
        assert found.p is not None
        assert found.p < 0.005  # twelve steps tell what is usual no better
        assert "14 of 14 trainees" in found.words


def test_a_step_that_one_person_misses_is_not() -> None:
    """Two trainees miss it always, the others hardly: that is about the two."""
    worst = {"T-01": (0, 1.0), "T-02": (0, 1.0)}
    assert said(EASY, 1, worst) == []


def test_steps_that_differ_a_little_are_not_told() -> None:
    """Ten classes with nothing planted: nothing has a chance under 1 in 500."""
    chances = [found.p for seed in range(10) for found in said(EASY, seed)]
    assert [chance for chance in chances if chance is not None and chance < 0.002] == []


def test_hesitation_that_everybody_has_is_told() -> None:
    """Longer before the first act, by all, at one of twelve steps; slow people do not make it."""
    drawn = np.random.default_rng(4)
    of_runs = runs(140, 14)
    pace = dict(zip((f"T-{one:02}" for one in range(1, 15)), drawn.normal(0, 0.5, 14), strict=True))
    visits = [
        {
            "run": run["run"],
            "trainee": run["trainee"],
            "step": step,
            "hesitation": float(drawn.lognormal(1.5 + pace[str(run["trainee"])] + (step == STEPS[3]), 0.4)),
        }
        for run in of_runs
        for step in STEPS
    ]
    j = joined(frames(runs=of_runs, visits=visits))
    (found,) = steps.stands_out(steps.steps(j, facts()), j, facts()).findings
    assert found.keys == ("plate", STEPS[3])
    assert found.p is not None
    assert found.p < 1e-3


def test_absurd_numbers_of_a_bad_row_hide_nothing() -> None:
    """A plate number that no bench ever had is unknown; everything else is found all the same."""
    visits: list[Row] = [{"run": "r1", "plate": 2**62, "hints": 2**62}, {"run": "r1", "hints": 1}]
    (row,) = steps.steps(joined(frames(runs=[{"run": "r1"}], visits=visits)), {})
    assert (row.visits, row.hints) == (2, 1)
