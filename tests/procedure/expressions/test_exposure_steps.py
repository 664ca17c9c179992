"""Exposure and wedge steps against published values: the formula that corrects an exposure, through CEL.

The numbers E01 to E16 and their sources:
[1] US Navy, photography training manual NAVEDTRA 14209, "Step Tablets / Control Strips": a 21-step tablet
    goes from density 0.05 to 3.05 in half stops, a range of 10 stops.
[2], [3] density increment 0.15: a printmaking studio's page on the 21-step wedge; G. Saxby, dictionary entry
    "densitometry".
[4] International Dictionary of Marine Aids to Navigation, 2-1-200: D = -log10 T.
[5], [7] mailing list post of 7 Sep 2004, and a NASA dictionary at second hand: D for T = 1, 0.5, 0.1.
[6] Aalto University, lecture page "Densiteetti": T for D = 0.3, 0.6, 0.9.
[8] E. Buffaloe, "Test Exposures in Printing": a quarter of a stop is a factor of 1.19.
[9] a photography forum's table of third-stop times from 10 minutes.
E09 to E13 are computed from those.
"""

from __future__ import annotations

from math import log2

import pytest
from formula_scope import SCOPE, Known

from trainer.procedure.expressions import compile_formula

FIRST_DENSITY = 0.05
"""Density of step 1 (E01)."""


def factor(steps: float) -> float:
    """What the dose is multiplied by to move the wedge by `steps`, through the formula."""
    values = Known({"settings.exposure": 1.0, "readings.wedge": 1.0, "settings.wedge_target": 1.0 + steps})
    formula = "exposure_for_step(settings.exposure, readings.wedge, settings.wedge_target)"
    return compile_formula(formula, SCOPE, "number").number(values)


def steps(old: float, new: float) -> float:
    """How many steps a change of dose moves the wedge, through the formula."""
    values = Known({"settings.exposure": old, "worked.units": new})
    return compile_formula("steps_between(settings.exposure, worked.units)", SCOPE, "number").number(values)


def transmittance(step: int) -> float:
    """The share of the light that step `step` of the tablet lets through."""
    return 10**-FIRST_DENSITY / factor(step - 1)


def test_twenty_steps_span_the_tablet_s_range() -> None:
    """E01, E02, E03, E05 [1] [2] [3]: 0.05 to 3.05 in 20 increments of 0.15 are a dose of 1000, ten stops."""
    assert factor(20) == pytest.approx(10 ** (3.05 - 0.05), rel=1e-9)
    assert log2(factor(20)) == pytest.approx(9.966, abs=0.05)


def test_a_step_is_half_a_stop() -> None:
    """E04 [1]: one step of a 21-step tablet is half a stop, two are one."""
    assert factor(1) == pytest.approx(2**0.5, rel=0.005)
    assert factor(2) == pytest.approx(2, rel=0.005)


@pytest.mark.parametrize(("share", "density"), [(1, 0), (0.5, 0.30103), (0.1, 1), (0.01, 2), (0.001, 3)])
def test_density_is_the_logarithm_of_the_share_let_through(share: float, density: float) -> None:
    """E06, E07 [4] [5] [7]: what a density holds back, counted in steps of 0.15."""
    assert steps(share, 1.0) * 0.15 == pytest.approx(density, abs=1e-5)


@pytest.mark.parametrize(("density", "share"), [(0.3, 0.500), (0.6, 0.251), (0.9, 0.126)])
def test_printed_shares_of_three_densities(density: float, share: float) -> None:
    """E08 [6]: printed to three places."""
    assert 1 / factor(density / 0.15) == pytest.approx(share, abs=0.0015)


@pytest.mark.parametrize(("step", "per_cent"), [(6, 15.849), (7, 11.220), (14, 1.000)])
def test_share_of_three_steps(step: int, per_cent: float) -> None:
    """E09, E10: computed from E01 to E03 and E06."""
    assert transmittance(step) * 100 == pytest.approx(per_cent, abs=0.001)


@pytest.mark.parametrize(
    ("moved", "expected"),
    [
        *((1, 1.4125), (2, 1.9953), (3, 2.8184), (4, 3.9811)),
        *((-1, 0.7079), (-2, 0.5012), (-3, 0.3548), (-4, 0.2512)),
    ],
)
def test_exposure_factor_for_whole_steps(moved: int, expected: float) -> None:
    """E11, E12: computed, 10^(0.15 k)."""
    assert factor(moved) == pytest.approx(expected, rel=0.0005)


@pytest.mark.parametrize(("times", "moved"), [(2, 2.007), (3, 3.181), (0.7, -1.033)])
def test_step_shift_for_a_changed_exposure(times: float, moved: float) -> None:
    """E13: computed, log10(x) / 0.15."""
    assert steps(24, 24 * times) == pytest.approx(moved, abs=0.01)


def test_a_quarter_of_a_stop() -> None:
    """E14 [8]: 1.19, half a wedge step."""
    assert factor(0.25 * log2(10) ** -1 / 0.15) == pytest.approx(1.19, abs=0.005)


@pytest.mark.parametrize(("stops", "seconds"), [(1 / 3, 12 * 60 + 36), (-1 / 3, 7 * 60 + 56)])
def test_ten_minutes_and_a_third_of_a_stop(stops: float, seconds: float) -> None:
    """E15 [9]: 12:36 and 7:56, to a second."""
    assert 600 * factor(stops / log2(10) / 0.15) == pytest.approx(seconds, abs=1)


def test_third_stop_series_from_ten_minutes() -> None:
    """E16 [9]: the printed series, which drops parts of a second."""
    printed = ["10:00", "7:56", "6:18", "5:00", "3:58", "3:08", "2:30", "1:58", "1:34", "1:15", "1:00"]
    for number, time in enumerate(printed):
        minutes, seconds = time.split(":")
        expected = int(minutes) * 60 + int(seconds)
        assert 600 * factor(-number / 3 / log2(10) / 0.15) == pytest.approx(expected, abs=1.5)
