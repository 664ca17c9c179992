"""Intervals and tails against published tables and reference libraries."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from trainer.insight import states
from trainer.insight.intervals import chance_below, rate, wilson

NEWCOMBE = [  # Newcombe 1998, Statistics in Medicine 17:857, Table I, method 3 (four digits from memory)
    (81, 263, 0.255289, 0.366210),
    (15, 148, 0.062386, 0.160487),
    (0, 20, 0.0, 0.161125),
    (1, 29, 0.006113, 0.171755),
]
"""All six digits: statsmodels 0.15.0, `proportion_confint(method="wilson")`, agrees with the table."""
LIBRARY = [  # statsmodels 0.15.0 and scipy 1.17.1 (`binomtest(...).proportion_ci("wilson")`)
    (340, 400, 0.811686, 0.881655),
    (23, 60, 0.270883, 0.509824),
    (10, 10, 0.722467, 1.0),
    (8, 10, 0.490162, 0.943318),
    (0, 10, 0.0, 0.277533),
    (0, 30, 0.0, 0.113513),
]


@pytest.mark.parametrize(("k", "n", "low", "high"), NEWCOMBE + LIBRARY)
def test_wilson_is_as_published(k: int, n: int, low: float, high: float) -> None:
    """The interval of Newcombe's table and of two libraries, to six digits."""
    found = wilson(k, n)
    assert found.low == pytest.approx(low, abs=1e-6)
    assert found.high == pytest.approx(high, abs=1e-6)


def test_wilson_has_no_continuity_correction() -> None:
    """R's prop.test(340, 400) has one (R-help list, February 2007: 0.8103309 to 0.8827749)."""
    found = wilson(340, 400)
    assert found.low > 0.8103309 + 1e-3
    assert found.high < 0.8827749 - 1e-3


@given(st.integers(0, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_agrees_with_scipy(count: tuple[int, int]) -> None:
    """For any count, as scipy's; exactly 0 and 1 at the ends; nothing known of nothing."""
    k, n = count
    found = wilson(k, n)
    assert (found.low == 0) == (k == 0)
    assert (found.high == 1) == (k == n)
    if n:
        known = stats.binomtest(k, n).proportion_ci(method="wilson")
        assert (found.low, found.high) == pytest.approx((known.low, known.high), abs=1e-9)


@pytest.mark.parametrize(
    ("k", "n", "above"), [(5, 5, 0.737856), (8, 10, 0.382598), (9, 10, 0.677877), (10, 10, 0.914101)]
)
def test_chance_that_the_rate_is_lower(k: int, n: int, above: float) -> None:
    """From Beta(1,1), the chance of a rate of 0.8 or more: values of scipy 1.17.1 (`beta.sf`)."""
    assert 1 - chance_below(k, n, 0.8) == pytest.approx(above, abs=1e-6)


@given(
    st.integers(0, 2000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    st.floats(0.01, 0.99),
)
def test_chance_agrees_with_scipy(count: tuple[int, int], line: float) -> None:
    """For any count and line, as scipy's distribution function of the beta distribution."""
    k, n = count
    assert chance_below(k, n, line) == pytest.approx(stats.beta.cdf(line, 1 + k, 1 + n - k), abs=1e-9)


@pytest.mark.parametrize(("k", "n"), [(-1, 3), (4, 3)])
def test_what_is_no_count_is_refused(k: int, n: int) -> None:
    """More hits than attempts, or fewer than none, are an error and no number."""
    with pytest.raises(ValueError, match="is no count"):
        wilson(k, n)
    with pytest.raises(ValueError, match="cannot be told"):
        chance_below(k, n, 0.8)


def test_a_rate_says_what_it_rests_on() -> None:
    """Count, interval and, where a line is held, the chance of being under it."""
    assert rate(0, 0).share is None
    held = rate(8, 10, 0.8)
    assert (held.share, held.line, held.interval) == (0.8, 0.8, wilson(8, 10))
    assert held.chance_below == pytest.approx(1 - 0.382598, abs=1e-6)


def test_states_follow_the_rule_as_it_is_written() -> None:
    """The rule in words, each number of it (common practice, no source)."""
    most = {5: 2, 6: 2, 7: 3, 8: 4, 9: 4, 10: 5}
    for n in range(5):
        assert {states.state(k, n) for k in range(n + 1)} == {"too few"}
    for n, help_ in most.items():
        found = [states.state(k, n) for k in range(n + 1)]
        assert found[: help_ + 1] == ["needs help"] * (help_ + 1)
        steady = ["steady", "steady"] if n == 10 else []
        assert found[help_ + 1 :] == ["coming on"] * (n - help_ - len(steady)) + steady
        assert f"{help_} of {n}" in states.RULE
    with pytest.raises(ValueError, match="more than the last 10"):
        states.state(11, 11)


def test_the_guide_states_the_rule() -> None:
    """The page on methods has the rule in the very words of the code."""
    page = Path(__file__).parents[2] / "trainer" / "guide" / "methods.md"
    assert states.RULE in " ".join(page.read_text(encoding="utf-8").split())
