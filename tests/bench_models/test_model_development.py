"""Development: Q10 against its definition and a published example; pools, rubbing and time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from trainer.bench import development as model
from trainer.bench.settings import BenchSettings

SHARES = st.floats(0, 1)


def test_q10_of_the_published_example() -> None:
    """A rate that goes from 8 to 24 between 40 and 70 degC has a Q10 of 1.44."""
    # Sources: trade-facts D14 (definition), D15 (worked example 1.4422, tolerance 0.005).
    assert model.q10(8, 24, 40, 70) == pytest.approx(1.4422, abs=5e-5)


@pytest.mark.parametrize(("degrees", "seconds"), [(19, 73.9), (22, 60), (25, 48.7)])
def test_development_time_by_temperature(bench: BenchSettings, degrees: float, seconds: float) -> None:
    """60 s at 22 degC with a Q10 of 2 are 73.9 s at 19 and 48.7 s at 25, and the shipped bench is set so."""
    # Sources: trade-facts D16 (computed from D14, tolerance 0.1 s), D05 (60 s: an order of magnitude, C15),
    # D17 and D18 (Q10 about 2, 21 to 24 degC: common practice, no source).
    assert model.time_for(degrees, 0, bench.developer) == pytest.approx(seconds, abs=0.1)


@given(first=st.floats(10, 35), second=st.floats(10, 35))
def test_rates_at_two_temperatures_show_their_q10(bench: BenchSettings, first: float, second: float) -> None:
    """The Q10 that two of the model's own rates show is the one it is set to."""
    developer = bench.developer
    if abs(first - second) < 0.5:
        second = first + 1
    rates = [model.temperature_factor(degrees, developer) for degrees in (first, second)]
    assert model.q10(rates[0], rates[1], first, second) == pytest.approx(developer.q10, rel=1e-9)


def test_right_development_is_one(bench: BenchSettings) -> None:
    """The reference time at the reference temperature, wet and rubbed all the time, is a development of 1."""
    developer = bench.developer
    rate = model.rate(developer.reference_temperature, 0, developer)
    assert model.treatment(developer.reference_time, rate, 1.0, 1.0, developer) == pytest.approx(1)


@given(first=st.floats(0, 300), second=st.floats(0, 300), rate=st.floats(0.1, 3), rub=SHARES, wet=SHARES)
def test_treatments_add_up(
    bench: BenchSettings, *, first: float, second: float, rate: float, rub: float, wet: float
) -> None:
    """Two treatments are one of their whole time."""
    developer = bench.developer
    parts = [model.treatment(seconds, rate, rub, wet, developer) for seconds in (first, second)]
    assert sum(parts) == pytest.approx(model.treatment(first + second, rate, rub, wet, developer), rel=1e-9)


@given(rub=SHARES, more=SHARES, wet=SHARES)
def test_more_rubbing_never_develops_less(bench: BenchSettings, rub: float, more: float, wet: float) -> None:
    """A place rubbed more is developed no less; a dry place not at all."""
    developer = bench.developer
    low, high = sorted((rub, more))
    assert model.treatment(60, 1, low, wet, developer) <= model.treatment(60, 1, high, wet, developer)
    assert model.treatment(60, 1, high, 0.0, developer) == 0


def test_corner_that_rubbing_missed(bench: BenchSettings) -> None:
    """Where nobody rubs, the developer works at the share that the settings say."""
    # Teaching model: assets/bench.yaml, `soak_only`.
    rub = np.array([1.0, 0.0], dtype=np.float32)
    rubbed, missed = model.treatment(60, 1, rub, 1.0, bench.developer)
    assert missed / rubbed == pytest.approx(bench.developer.soak_only)


def test_used_developer_halves(bench: BenchSettings) -> None:
    """Developer that has done `half_strength` of plate a mL works half as fast, and takes twice as long."""
    # Teaching model: assets/bench.yaml, `half_strength`.
    developer = bench.developer
    assert model.strength(0, developer) == 1
    assert model.strength(developer.half_strength, developer) == pytest.approx(0.5)
    fresh, used = (model.time_for(22, use, developer) for use in (0, developer.half_strength))
    assert used == pytest.approx(2 * fresh)


def test_volume_for_the_size_of_a_plate(bench: BenchSettings) -> None:
    """75 mL on a plate of 250 by 400 mm are 7.5 mL a dm2, which wets all of it; 25 mL wet half."""
    # Arithmetic; what is enough is a teaching model (trade-facts D19: no defensible figure found).
    assert model.per_area(75, 1000) == pytest.approx(7.5)
    assert model.wetted(75, 1000, bench.developer) == 1
    assert model.wetted(25, 1000, bench.developer) == pytest.approx(0.5)
    assert model.wetted(0, 1000, bench.developer) == 0


@given(volume=st.floats(1, 200), more=st.floats(0, 200), seconds=st.floats(0, 1800))
def test_more_developer_never_dries_sooner(
    bench: BenchSettings, volume: float, more: float, seconds: float
) -> None:
    """A deeper pool never dries on more of the plate, and a longer wait never on less."""
    developer = bench.developer
    dried = model.dried(seconds, volume, 1000, developer)
    assert 0 <= model.dried(seconds, volume + more, 1000, developer) <= dried <= 1
    assert model.dried(seconds + 60, volume, 1000, developer) >= dried


def test_pool_dries_from_its_drying_time_on(bench: BenchSettings) -> None:
    """Until its drying time nothing has dried; after as long again it is the integral of what still could."""
    # Oracle: scipy.integrate.quad over the exponential law of what is still wet.
    developer = bench.developer
    lasts = model.drying_time(75, 1000, developer)
    assert model.dried(lasts, 75, 1000, developer) == 0
    expected, _ = quad(lambda t: np.exp(-t / lasts) / lasts, 0, lasts)
    assert model.dried(2 * lasts, 75, 1000, developer) == pytest.approx(expected, rel=1e-9)
    assert model.dried(1, 0, 1000, developer) == 1


@given(kept=SHARES, share=SHARES)
def test_what_is_put_down_again_never_takes_coating_away(kept: float, share: float) -> None:
    """Redeposited coating adds to what is kept and never passes a whole coating."""
    assert kept <= model.redeposited(kept, share) <= 1 + 1e-12
    assert model.redeposited(kept, 0.0) == kept


def test_a_shop_s_own_q10_counts(bench: BenchSettings) -> None:
    """With a shop's own Q10 of 3 the developer is three times as fast at 10 degC more."""
    developer = replace(bench.developer, q10=3.0)
    assert model.temperature_factor(32, developer) == pytest.approx(3)
