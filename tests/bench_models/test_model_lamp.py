"""Lamp, integrator and timer: against SciPy's integrators, its root finder and the printed figures."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from scipy.special import lambertw

from trainer.bench import lamp as model
from trainer.bench import wedge
from trainer.bench.limits import OutOfRange
from trainer.bench.settings import BenchSettings

SHARES = st.floats(0, 1)
HOURS = st.floats(0, 5000)
SECONDS = st.floats(0, 3600)
UNITS = st.floats(0.01, 500)


@pytest.mark.parametrize("theta", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("seconds", [0.5, 24.0, 120.0, 1800.0])
@pytest.mark.parametrize("hours", [0.0, 700.0])
def test_the_count_is_the_integral_of_the_output(
    bench: BenchSettings, theta: float, seconds: float, hours: float
) -> None:
    """The closed form of the count agrees with quadrature over the lamp's output."""
    # Oracle: scipy.integrate.quad (QUADPACK).
    lamp = bench.lamp

    def shining(t: float) -> float:
        return model.output(model.heated(theta, t, lamp, lit=True), hours, lamp) * lamp.units_per_second

    total, _ = quad(shining, 0, seconds)
    assert model.counted(seconds, theta, hours, lamp) == pytest.approx(total, rel=1e-9)


@pytest.mark.parametrize("lit", [True, False])
def test_the_thermal_state_solves_its_equation(bench: BenchSettings, *, lit: bool) -> None:
    """Warming and cooling agree with a numerical solution of theta' = (1 - theta) / tau and -theta / tau."""
    # Oracle: scipy.integrate.solve_ivp (an explicit Runge-Kutta of order 8).
    lamp = bench.lamp

    def change(_time: float, theta: list[float]) -> list[float]:
        return [(1 - theta[0]) / lamp.warm_up if lit else -theta[0] / lamp.cool_down]

    solved = solve_ivp(change, (0, 400), [0.4], method="DOP853", rtol=1e-10, atol=1e-12)
    assert model.heated(0.4, 400, lamp, lit=lit) == pytest.approx(float(solved.y[0][-1]), abs=1e-9)


@pytest.mark.parametrize("theta", [0.0, 0.5, 0.99, 1.0])
@pytest.mark.parametrize("units", [0.001, 5.0, 24.0, 300.0])
def test_seconds_are_where_the_count_comes_to_the_units(
    bench: BenchSettings, theta: float, units: float
) -> None:
    """The inversion by Lambert's W finds the same time as a root finder on the count."""
    # Oracle: scipy.optimize.brentq on `counted`, which is checked against quadrature above.
    lamp = bench.lamp
    found = brentq(lambda t: model.counted(t, theta, 400, lamp) - units, 0, 20_000, xtol=1e-10)
    assert model.seconds_for(units, theta, 400, lamp) == pytest.approx(found, abs=1e-6)


def test_lambert_w_of_a_cold_lamp_by_hand(bench: BenchSettings) -> None:
    """Time constant 1, no light when cold but a hundredth: the time is u + c + W(-c e^-(u + c))."""
    # Oracle: scipy.special.lambertw; with u = 1 and c = 0.99, solved by hand from t - c(1 - e^-t) = u.
    lamp = replace(bench.lamp, warm_up=1, cold_fraction=0.01, units_per_second=1)
    by_hand = 1.99 + float(lambertw(-0.99 * 2.718281828459045**-1.99).real)
    assert model.seconds_for(1, 0, 0, lamp) == pytest.approx(by_hand, rel=1e-12)


def test_hot_new_lamp_gives_irradiance_times_time(bench: BenchSettings) -> None:
    """Under a hot new lamp the dose is E times t."""
    # Source: trade-facts L01 (H = L t).
    lamp = replace(bench.lamp, units_per_second=2.5)
    assert model.counted(40, 1, 0, lamp) == pytest.approx(100, rel=1e-9)


def test_half_the_light_wants_twice_the_time(bench: BenchSettings) -> None:
    """Dose counts, not duration: with half the light the integrator takes twice as long for the same dose."""
    # Source: trade-facts L02 (CIE S 017, 17-26-081, Bunsen-Roscoe).
    half = replace(bench.lamp, units_per_second=bench.lamp.units_per_second / 2)
    whole = model.seconds_for(24, 1, 0, bench.lamp)
    assert model.seconds_for(24, 1, 0, half) == pytest.approx(2 * whole, rel=1e-9)


def test_shipped_lamp_strikes_and_cools_in_the_printed_times(bench: BenchSettings) -> None:
    """The lamp has 95 % of its warmth after 5 to 7 minutes and has lost 95 % of it within 15."""
    # Sources: trade-facts L10 (5 to 7 min), L11 ("as long as 15 minutes"); three time constants are 95 %.
    assert model.heated(0, 300, bench.lamp, lit=True) < 0.951 < model.heated(0, 420, bench.lamp, lit=True)
    assert model.heated(1, 900, bench.lamp, lit=False) == pytest.approx(0.05, abs=0.001)


def test_lamp_at_the_end_of_its_life(bench: BenchSettings) -> None:
    """An old lamp has 70 % of its light: the integrator takes 1.4286 times as long, a timer loses a step."""
    # Sources: trade-facts L12 ("up to 30%"), L13 (1.4286), L14 (-1.03 steps, tolerance 0.02).
    lamp, old = bench.lamp, bench.lamp.useful_life
    assert model.ageing(0, lamp) == 1
    assert model.ageing(old, lamp) == pytest.approx(0.70, rel=1e-9)
    slower = model.seconds_for(24, 1, old, lamp) / model.seconds_for(24, 1, 0, lamp)
    assert slower == pytest.approx(1.4286, abs=1e-4)
    timed = model.by_timer(model.timer_setting(24, lamp), 1, old, lamp)
    assert wedge.steps_between(24, timed.units) == pytest.approx(-1.03, abs=0.02)


@given(units=UNITS, hours=HOURS, theta=SHARES)
def test_integrator_gives_the_dose_whatever_the_lamp(
    bench: BenchSettings, units: float, hours: float, theta: float
) -> None:
    """Under the integrator the dose is the one set, whatever the lamp's age and warmth."""
    burn = model.by_integrator(units, theta, hours, bench.lamp)
    assert burn.units == units
    assert model.counted(burn.seconds, theta, hours, bench.lamp) == pytest.approx(units, rel=1e-6)


@given(units=UNITS, hours=st.floats(1, 5000), theta=SHARES, older=st.floats(1, 500))
def test_timer_gives_less_the_older_the_lamp(
    bench: BenchSettings, units: float, hours: float, theta: float, older: float
) -> None:
    """Under a plain timer an older lamp always gives less, and a new hot one what was wanted."""
    lamp = bench.lamp
    set_to = model.timer_setting(units, lamp)
    assert model.by_timer(set_to, 1, 0, lamp).units == pytest.approx(units)
    younger = model.by_timer(set_to, theta, hours, lamp).units
    assert model.by_timer(set_to, theta, hours + older, lamp).units < younger


@given(units=UNITS, colder=st.floats(0.01, 1))
def test_timer_gives_less_the_colder_the_lamp(bench: BenchSettings, units: float, colder: float) -> None:
    """Under a plain timer a lamp that begins colder gives less."""
    set_to = model.timer_setting(units, bench.lamp)
    hot = model.by_timer(set_to, 1, 0, bench.lamp).units
    assert model.by_timer(set_to, 1 - colder, 0, bench.lamp).units < hot


@given(seconds=SECONDS, part=SHARES, theta=SHARES, hours=HOURS)
def test_two_parts_of_an_exposure_count_as_the_whole(
    bench: BenchSettings, seconds: float, part: float, theta: float, hours: float
) -> None:
    """An exposure in two parts, the lamp left lit, counts as one of the same length: halves too."""
    lamp, first = bench.lamp, seconds * part
    between = model.heated(theta, first, lamp, lit=True)
    both = model.counted(first, theta, hours, lamp) + model.counted(seconds - first, between, hours, lamp)
    assert both == pytest.approx(model.counted(seconds, theta, hours, lamp), rel=1e-9, abs=1e-9)


@given(seconds=SECONDS, part=SHARES, theta=SHARES, lit=st.booleans())
def test_warming_is_exact_for_a_step_of_any_length(
    bench: BenchSettings, seconds: float, part: float, theta: float, *, lit: bool
) -> None:
    """Warming or cooling in two steps ends where one step ends."""
    halfway = model.heated(theta, seconds * part, bench.lamp, lit=lit)
    in_two = model.heated(halfway, seconds * (1 - part), bench.lamp, lit=lit)
    assert in_two == pytest.approx(model.heated(theta, seconds, bench.lamp, lit=lit), abs=1e-9)


def test_dose_that_takes_more_than_a_day_is_refused(bench: BenchSettings) -> None:
    """A dose that this lamp cannot give within a day is refused with a sentence."""
    with pytest.raises(OutOfRange, match="more than a day"):
        model.seconds_for(1e6, 0, 20_000, bench.lamp)
