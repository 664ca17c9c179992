"""The coating: what holds for every dose and development, and what the shipped numbers make of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.bench import coating as model
from trainer.bench import lamp as lamps
from trainer.bench import wedge
from trainer.bench.settings import BenchSettings

DOSES = st.floats(0, 1000)
DEVELOPMENTS = st.floats(0, 50)


@given(dose=DOSES, more=DOSES, development=DEVELOPMENTS)
def test_more_dose_never_keeps_less(
    bench: BenchSettings, dose: float, more: float, development: float
) -> None:
    """More dose never leaves less coating, whatever the development."""
    kept = model.kept(dose, development, bench.coating)
    assert 0 <= kept <= 1
    assert model.kept(dose + more, development, bench.coating) >= kept - 1e-12


@given(dose=DOSES, development=DEVELOPMENTS, more=DEVELOPMENTS)
def test_more_development_never_keeps_more(
    bench: BenchSettings, dose: float, development: float, more: float
) -> None:
    """More development never leaves more coating, hardened or not."""
    less = model.kept(dose, development + more, bench.coating)
    assert less <= model.kept(dose, development, bench.coating) + 1e-12


@given(dose=st.floats(0.1, 500), hours=st.floats(0, 2000))
def test_two_half_doses_are_one_whole(bench: BenchSettings, dose: float, hours: float) -> None:
    """Two burns of half the units each, the second on a warmer lamp, keep what one whole burn keeps."""
    # Source: trade-facts L02 (CIE 17-26-081, Bunsen-Roscoe): the coating answers to the total dose.
    lamp = bench.lamp
    first = lamps.by_integrator(dose / 2, 0, hours, lamp)
    second = lamps.by_integrator(dose / 2, first.theta, hours, lamp)
    whole = lamps.by_integrator(dose, 0, hours, lamp)
    assert first.seconds + second.seconds == pytest.approx(whole.seconds, rel=1e-6)
    together = model.kept(first.units + second.units, 1, bench.coating)
    assert together == pytest.approx(model.kept(whole.units, 1, bench.coating), abs=1e-9)


@given(share=st.floats(0.001, 0.999))
def test_dose_for_a_share_hardens_it(bench: BenchSettings, share: float) -> None:
    """The dose for a share hardens just that share."""
    assert model.hardened(model.dose_for(share, bench.coating), bench.coating) == pytest.approx(share)


def test_nothing_is_lost_before_development(bench: BenchSettings) -> None:
    """With no development all of the coating is there, exposed or not."""
    assert model.kept(np.array([0.0, 2.0, 100.0]), 0, bench.coating) == pytest.approx([1, 1, 1], abs=0)


def test_right_development_clears_the_background_and_half_of_one_does_not(bench: BenchSettings) -> None:
    """Unexposed coating is clear after a right development and still looks coated after half of one."""
    # Teaching model: the numbers are those that assets/bench.yaml says of `clearing`.
    assert model.kept(0.0, 1, bench.coating) == pytest.approx(0.002, abs=0.0005)
    assert model.kept(0.0, 0.3, bench.coating) > bench.coating.clear_below


def test_twice_the_development_takes_what_the_settings_say_off_the_wedge(bench: BenchSettings) -> None:
    """Twice the development moves the dose that half keeps by 0.7 of a wedge step."""
    # Teaching model: assets/bench.yaml, `development_power`.
    assert wedge.steps_between(1, 2**bench.coating.development_power) == pytest.approx(0.70, abs=0.01)


def test_opaque_holds_the_light_back(bench: BenchSettings) -> None:
    """Through opaque of density 3 a plate gets 0.0063 of its step-6 dose, and keeps nothing of it."""
    # Sources: trade-facts E19 (open area to step 6: 6.310), E20 (0.0063, tolerance 0.0001).
    through = wedge.transmittance(3.0)
    step_6 = wedge.transmittance(wedge.density(6))
    assert 1 / step_6 == pytest.approx(6.310, abs=0.01)
    assert through / step_6 == pytest.approx(0.0063, abs=0.0001)
    assert model.kept(24 * through, 1, bench.coating) < bench.coating.clear_below


def test_room_light_fogs_with_time_and_brightness(bench: BenchSettings) -> None:
    """Fog is a dose: it grows with lux and seconds alike, and yellow light (0 lx of white) gives none."""
    # Source of the rule: trade-facts D07 (yellow light indefinitely, room light for short periods only).
    coating = bench.coating
    assert model.fog(0, 7 * 24 * 3600, coating) == 0
    assert model.fog(500, 600, coating) == pytest.approx(2 * model.fog(500, 300, coating))
    assert model.fog(1000, 300, coating) == pytest.approx(model.fog(500, 600, coating))
    short, long = model.fog(500, 120, coating), model.fog(500, 3600, coating)
    assert model.kept(short, 1, coating) < coating.clear_below < model.kept(long, 1, coating)


def test_a_raster_in_float32_stays_one(bench: BenchSettings) -> None:
    """Doses in float32 give coating in float32, each as a plain float gives it."""
    doses = np.linspace(0, 30, 7, dtype=np.float32)
    kept = model.kept(doses, 1, bench.coating)
    assert kept.dtype == np.float32
    assert kept == pytest.approx([model.kept(float(dose), 1, bench.coating) for dose in doses], abs=1e-5)
