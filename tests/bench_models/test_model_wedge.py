"""The 21-step wedge, against the tablet's printed densities and the table of the trade facts."""

from __future__ import annotations

from math import floor, log10

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.bench import coating as coat
from trainer.bench import wedge
from trainer.bench.limits import OutOfRange
from trainer.bench.settings import BenchSettings

TABLE = {
    1: (0.05, 89.125, 0.178),
    2: (0.20, 63.096, 0.251),
    3: (0.35, 44.668, 0.355),
    4: (0.50, 31.623, 0.501),
    5: (0.65, 22.387, 0.708),
    6: (0.80, 15.849, 1.000),
    7: (0.95, 11.220, 1.413),
    8: (1.10, 7.943, 1.995),
    9: (1.25, 5.623, 2.818),
    10: (1.40, 3.981, 3.981),
    11: (1.55, 2.818, 5.623),
    12: (1.70, 1.995, 7.943),
    13: (1.85, 1.413, 11.220),
    14: (2.00, 1.000, 15.849),
    15: (2.15, 0.708, 22.387),
    16: (2.30, 0.501, 31.623),
    17: (2.45, 0.355, 44.668),
    18: (2.60, 0.251, 63.096),
    19: (2.75, 0.178, 89.125),
    20: (2.90, 0.126, 125.893),
    21: (3.05, 0.089, 177.828),
}
"""Step: density, % of the light let through, exposure to bring the last solid step there from 6."""


def wedge_kept(dose: float, development: float, coating: coat.Coating) -> tuple[float, ...]:
    """Coating kept on each of the 21 steps, step 1 first, under an open dose in units."""
    doses = dose * wedge.transmittance(np.array(wedge.DENSITIES))
    return tuple(coat.kept(doses, np.full(wedge.STEPS, development), coating).tolist())


@pytest.mark.parametrize(("step", "row"), TABLE.items())
def test_whole_wedge(step: int, row: tuple[float, float, float]) -> None:
    """Each step has the density, transmittance and factor of the table."""
    # Source: trade-facts, full wedge (computed from E01, E02 NAVEDTRA 14209; E03 two sources; E06 IALA).
    density, percent, factor = row
    assert wedge.density(step) == pytest.approx(density, abs=1e-9)
    assert 100 * wedge.transmittance(density) == pytest.approx(percent, abs=0.0006)
    assert wedge.exposure_factor(step - 6) == pytest.approx(factor, abs=0.0006)


@pytest.mark.parametrize(("light", "density"), [(1, 0), (0.5, 0.30103), (0.1, 1), (0.01, 2), (0.001, 3)])
def test_transmittance_of_printed_densities(light: float, density: float) -> None:
    """A density D lets 10^-D of the light through."""
    # Source: trade-facts E06, E07 (IALA; NASA dictionary), tolerance 1e-5.
    assert wedge.transmittance(float(density)) == pytest.approx(light, rel=1e-5)


@pytest.mark.parametrize(("density", "light"), [(0.3, 0.500), (0.6, 0.251), (0.9, 0.126)])
def test_transmittance_of_a_lecture_s_table(density: float, light: float) -> None:
    """0.3, 0.6 and 0.9 let through what a university's table prints."""
    # Source: trade-facts E08 (Aalto University, three places, tolerance 0.0015).
    assert wedge.transmittance(density) == pytest.approx(light, abs=0.0015)


@pytest.mark.parametrize(
    ("steps", "exact", "by_root_two"),
    [
        (1, 1.4125, 1.414),
        (2, 1.9953, 2),
        (3, 2.8184, 2.828),
        (4, 3.9811, 4),
        (-1, 0.7079, 1 / 1.414),
        (-2, 0.5012, 0.5),
        (-3, 0.3548, 1 / 2.828),
        (-4, 0.2512, 0.25),
    ],
)
def test_factor_of_so_many_steps(steps: int, exact: float, by_root_two: float) -> None:
    """The factor is 10^(0.15 k), within 0.5 % of the handbook's table of half stops."""
    # Sources: trade-facts E11, E12; conflict C3 (0.15 is not quite half a stop: allow 0.5 %).
    assert wedge.exposure_factor(steps) == pytest.approx(exact, abs=5e-5)
    assert wedge.exposure_factor(steps) == pytest.approx(by_root_two, rel=0.005)


@pytest.mark.parametrize(("times", "steps"), [(2, 2.007), (3, 3.181), (0.7, -1.033)])
def test_steps_of_a_change_of_exposure(times: float, steps: float) -> None:
    """Twice, three times and 0.7 times the exposure move the wedge by the worked steps."""
    # Source: trade-facts E13 (tolerance 0.01).
    assert wedge.steps_between(24, 24 * times) == pytest.approx(steps, abs=0.01)


def test_correction_of_a_plate_two_steps_short() -> None:
    """24 units that gave a solid 4 become 47.89 for a solid 6: two steps all but double it."""
    # Source: trade-facts E11 (1.9953).
    assert wedge.corrected(24, 4, 6) == pytest.approx(47.886, abs=0.0005)


@given(units=st.floats(0.1, 500), read=st.integers(1, 21), target=st.integers(1, 21))
def test_correction_and_steps_undo_each_other(units: float, read: int, target: int) -> None:
    """The steps between an exposure and its correction are the steps that were wanted."""
    new = wedge.corrected(units, read, target)
    assert wedge.steps_between(units, new) == pytest.approx(target - read, abs=1e-9)


@given(dose=st.floats(0.5, 500))
def test_last_solid_step_is_where_the_dose_still_reaches_the_threshold(
    bench: BenchSettings, dose: float
) -> None:
    """The reading is floor(1 + (log10(H / threshold) - 0.05) / 0.15), held to 0 to 21."""
    # Source: trade-facts, notes on exposure (the model that makes the wedge testable).
    coating = bench.coating
    # development 1 leaves a trace of soft coating, which helps a step to look solid
    trace = float(np.exp(-coating.clearing))
    threshold = coat.dose_for((coating.solid_from - trace) / (1 - trace), coating)
    steps = 1 + (log10(dose / threshold) - 0.05) / 0.15
    assume(abs(steps - round(steps)) > 1e-6)
    read = wedge.reading(wedge_kept(dose, 1, coating), coating)
    assert read.solid_step == min(max(floor(steps), 0), 21)


@given(dose=st.floats(0.5, 500), more=st.floats(1, 4))
def test_more_dose_never_reads_lower(bench: BenchSettings, dose: float, more: float) -> None:
    """More dose never lowers the last solid step."""
    coating = bench.coating
    first = wedge.reading(wedge_kept(dose, 1, coating), coating)
    second = wedge.reading(wedge_kept(dose * more, 1, coating), coating)
    assert second.solid_step >= first.solid_step


def test_shipped_exposure_reads_a_solid_six(bench: BenchSettings) -> None:
    """24 units and a right development give a solid 6 on the shipped bench, and a few ghost steps."""
    # Source: trade-facts E17 (common practice, no source: solid 6 on a negative-working plate).
    read = wedge.reading(wedge_kept(24, 1, bench.coating), bench.coating)
    assert read.solid_step == 6
    assert 2 <= read.ghost_steps <= 4


def test_reading_of_given_steps(bench: BenchSettings) -> None:
    """Solid counts up to the first step that is not; ghosts after it are neither solid nor clear."""
    kept = [1.0] * 4 + [0.7, 0.4, 0.01] + [0.0] * 14
    assert wedge.reading(kept, bench.coating) == wedge.Reading(4, 2)
    assert wedge.reading([0.0] * 21, bench.coating) == wedge.Reading(0, 0)
    assert wedge.reading([1.0] * 21, bench.coating) == wedge.Reading(21, 0)
    with pytest.raises(OutOfRange, match="A wedge has 21 steps, and 20 were given"):
        wedge.reading([1.0] * 20, bench.coating)
