"""Control charts against the NIST/SEMATECH handbook; drift and false alarms by drawing; spread."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from trainer.insight import process
from trainer.insight.spread import apart, chance, left_over
from trainer.insight.trend import falling, trend_chance

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: flow rates of ten batches.
FLOW = np.asarray([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])


def test_the_handbooks_individuals_chart() -> None:
    """Mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159."""
    found = process.limits(FLOW)
    assert found is not None
    assert found.centre == pytest.approx(50.81, abs=5e-5)
    assert found.sigma * process.D2 == pytest.approx(1.8778, abs=5e-5)
    assert found.high == pytest.approx(55.8041, abs=5e-5)
    assert found.low == pytest.approx(45.8159, abs=5e-5)
    assert not process.outside(FLOW, found).any()


def test_the_rounded_factor_is_not_used() -> None:
    """2.66 in place of 3 / 1.128 would give 55.8049, which differs in the last digit printed."""
    found = process.limits(FLOW)
    assert found is not None
    assert found.high != pytest.approx(50.81 + 2.66 * 1.87778, abs=5e-5)


def test_the_factors_are_those_of_the_normal_distribution() -> None:
    """d2 = 2 / sqrt(pi) and D4 = 1 + 3 d3 / d2, rounded as the handbook's tables round them."""
    d2 = 2 / np.sqrt(np.pi)
    d3 = np.sqrt(2 - 4 / np.pi)
    assert d2 == pytest.approx(1.1283791671, abs=1e-9)
    assert pytest.approx(d2, abs=5e-4) == process.D2
    assert 1 + 3 * d3 / d2 == pytest.approx(3.2665319, abs=1e-6)
    assert pytest.approx(1 + 3 * d3 / d2, abs=5e-4) == process.D4


def test_rule_one_has_its_false_alarms() -> None:
    """0.0027 a point beyond three sigma (scipy's normal), so one in 370."""
    rate = 2 * stats.norm.sf(process.SIGMAS)
    assert rate == pytest.approx(0.0026997961, abs=1e-9)
    assert 1 / rate == pytest.approx(370.398, abs=1e-3)
    values = np.random.default_rng(3).normal(size=200_000)
    drawn = process.limits(values, baseline=100_000)
    assert drawn is not None
    assert process.outside(values, drawn).mean() == pytest.approx(rate, abs=4e-4)


def test_a_point_beyond_is_out() -> None:
    """Rule 1 marks the one point that jumped, and no other."""
    values = np.append(FLOW, [50.0, 58.0, 51.0])
    drawn = process.limits(values, baseline=10)
    assert drawn is not None
    assert np.flatnonzero(process.outside(values, drawn)).tolist() == [11]


def test_too_few_values_have_no_limits() -> None:
    """Nine draw nothing."""
    assert process.limits(FLOW[:9]) is None


def test_equal_readings_do_not_say_that_nothing_varies() -> None:
    """Read to half a step and always the same: sigma is what rounding leaves."""
    values = np.asarray([6.0] * 19 + [6.5, 6.0, 5.5])
    drawn = process.limits(values[:19], resolution=0.5)
    assert drawn is not None
    assert drawn.sigma == pytest.approx(0.5 / np.sqrt(12))
    bare = process.limits(values[:19])
    assert bare is not None
    assert bare.sigma == 0.0


def test_the_moving_average_is_the_recursion() -> None:
    """z = 0.2 x + 0.8 z before, from the centre on, as the handbook (6.3.2.4) writes it."""
    found = process.moving_average(FLOW, 50.0, 0.3)
    before = 50.0
    for value, one in zip(FLOW, found, strict=True):
        before = 0.3 * value + 0.7 * before
        assert one == pytest.approx(before, abs=1e-12)


def readings(seed: int, drift: float, count: int = 60, spread: float = 0.5) -> process.Values:
    """Half-step readings of a wedge about 6 that falls by `drift` steps over the last half."""
    values = np.random.default_rng(seed).normal(6, spread, count)
    half = count // 2
    values[half:] -= drift * np.linspace(0, 1, count - half)
    return np.asarray(np.round(values * 2) / 2)


def told(drift: float, seeds: int, spread: float = 0.5) -> float:
    """The share of charts that are said to drift."""
    found = 0
    for seed in range(seeds):
        values = readings(seed, drift, spread=spread)
        drawn = process.limits(values, resolution=0.5)
        assert drawn is not None
        found += process.drifts(values, drawn)
    return found / seeds


def test_a_slow_drift_is_seen_and_nothing_is_not() -> None:
    """1.5 steps over half of 60 plates: seen in 19 of 20 charts; of still ones at most 1 in 50 warns."""
    assert told(1.5, 200) >= 0.95
    assert told(2.0, 200) >= 0.98
    assert told(0.0, 500) <= 0.02
    assert told(0.0, 500, spread=0.3) <= 0.03


def test_the_chance_of_a_drift() -> None:
    """Small for a drift; no smaller than its share says where nothing drifts."""
    drawn = [
        (values, process.limits(values, resolution=0.5))
        for values in (readings(seed, 0) for seed in range(200))
    ]
    chances = [process.drift_chance(values, one) for values, one in drawn if one is not None]
    assert np.mean(np.asarray(chances) < 0.05) <= 0.06
    still = process.limits(readings(1, 1.75), resolution=0.5)
    assert still is not None
    assert process.drift_chance(readings(1, 1.75), still) < 1e-4


def test_what_stands_apart_does_not_stretch_its_own_yardstick() -> None:
    """One of thirty far off has a small chance, the others have not; each is held against its kind."""
    values = np.random.default_rng(2).normal(0, 0.4, 30)
    values[:15] += 5
    values[20] += 4
    kinds = ["high"] * 15 + ["low"] * 15
    found = chance(apart(values, np.full(30, 0.01), kinds, 0.1).away, 30)
    assert found[20] < 1e-4
    assert np.sort(found)[1] > 1e-3


def test_what_is_left_over_beyond_sampling() -> None:
    """True values with a standard deviation of 0.5, each told with an error of 0.3: 0.5 is found again."""
    drawn = np.random.default_rng(9)
    values = drawn.normal(0, 0.5, 4000) + drawn.normal(0, 0.3, 4000)
    assert left_over(values, np.full(4000, 0.09)) == pytest.approx(0.5, abs=0.03)
    assert left_over(drawn.normal(0, 0.3, 4000), np.full(4000, 0.09)) == pytest.approx(0, abs=0.1)
    assert left_over(np.zeros(5), np.ones(5)) == 0


@pytest.mark.parametrize("step", [0.0, 0.01, 0.5])
@pytest.mark.parametrize(("n", "slope"), [(3, 0.0), (12, 0.1), (60, 0.01), (700, 0.0002)])
def test_a_trend_s_chance_is_kendall_s(n: int, slope: float, step: float) -> None:
    """Against scipy 1.17's `kendalltau`, asymptotic, without ties and with values read to a step."""
    drawn = np.random.default_rng(n)
    values = drawn.normal(size=n) - slope * np.arange(n)
    values = values if step == 0 else np.round(values / step) * step
    known = stats.kendalltau(np.arange(n), values, method="asymptotic").pvalue
    assert trend_chance(values) == pytest.approx(known, rel=1e-9)


def test_what_never_changes_has_no_trend() -> None:
    """All equal, one value, none: no chance is too small."""
    for values in ([6.0] * 30, [6.0], []):
        assert trend_chance(np.asarray(values)) == 1


@given(st.lists(st.integers(0, 40), max_size=60))
def test_falling_pairs_are_counted(ranks: list[int]) -> None:
    """As one would count them, pair by pair."""
    known = sum(one > other for place, one in enumerate(ranks) for other in ranks[place:])
    assert falling(np.asarray(ranks, dtype=np.int64)) == known
