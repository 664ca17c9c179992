"""Register: growth of film and plate against handbook coefficients, and the geometry of pins and slot."""

from __future__ import annotations

from math import cos, hypot, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.bench import register as model
from trainer.bench.register import Climate, Fit
from trainer.bench.settings import BenchSettings

UM = 1000
"""Micrometres in a millimetre."""
PLACES = st.floats(-500, 500)
SLACKS = st.floats(-1, 1)
CLIMATES = st.builds(Climate, st.floats(-20, 20), st.floats(-40, 40), st.floats(-20, 20))


def test_small_share_of_a_long_sheet() -> None:
    """0.02 % of 40 in are 0.008 in."""
    # Source: trade-facts R01 (Photographic Science and Engineering 3(1), 1959).
    assert model.growth(40 * 25.4, 1, 0, 0.0002, 0) / 25.4 == pytest.approx(0.008, rel=1e-9)


def test_humidity_of_base_and_of_film(bench: BenchSettings) -> None:
    """1 %RH on 500 mm: 4 um for the base alone, 8 um for coated film; +/- 5 %RH make 40 and 80 um of it."""
    # Sources: trade-facts R02, R03, R04 (a film maker's page), R05 (0.0016 %: processed film); conflict C14.
    base, film = 0.000008, bench.register.film_humidity
    assert UM * model.growth(500, 0, 1, 0, base) == pytest.approx(4, rel=1e-9)
    assert UM * model.growth(500, 0, 1, 0, film) == pytest.approx(8, rel=1e-9)
    assert UM * model.growth(500, 0, 10, 0, base) == pytest.approx(40, rel=1e-9)
    assert UM * model.growth(500, 0, 10, 0, film) == pytest.approx(80, rel=1e-9)


def test_plate_and_film_of_a_metre(bench: BenchSettings) -> None:
    """+5 degC: plate +118, film +90, 28 um apart; +10 %RH: film +160 um."""
    # Sources: trade-facts R06 (18e-6), R08 (23.6e-6), R09, R10, R11 (tolerance 0.1 um).
    settings = bench.register
    plate = UM * model.growth(1000, 5, 0, settings.plate_thermal, 0)
    warm = UM * model.growth(1000, 5, 0, settings.film_thermal, settings.film_humidity)
    damp = UM * model.growth(1000, 0, 10, settings.film_thermal, settings.film_humidity)
    assert plate == pytest.approx(118.0, abs=0.1)
    assert (warm, damp) == pytest.approx((90.0, 160.0), abs=0.1)
    assert plate - warm == pytest.approx(28.0, abs=0.1)


def test_coefficients_in_fahrenheit(bench: BenchSettings) -> None:
    """The shipped coefficients are the printed ones a degF: 0.001 % for film, 13.1e-6 for aluminium."""
    # Sources: trade-facts R06 (tolerance 5 %), R08 (2 %).
    assert bench.register.film_thermal * 5 / 9 == pytest.approx(0.00001, rel=0.05)
    assert bench.register.plate_thermal * 5 / 9 == pytest.approx(13.1e-6, rel=0.02)


def test_register_budget_of_the_worked_example(bench: BenchSettings) -> None:
    """Film made at 50 %RH and 21 degC, plate exposed at 55 %RH and 24 degC: 44.2 um over 700 mm."""
    # Source: trade-facts, notes on register (computed).
    climate = Climate(film_degrees=3, film_humidity=5, plate_degrees=3)
    assert UM * 700 * model.stretch(bench.register, climate) == pytest.approx(44.2, abs=0.1)


def test_slot_turns_the_film_within_its_clearance(bench: BenchSettings) -> None:
    """A clearance of 0.02 mm with pins 600 mm apart allows 0.0333 mm at 1000 mm from the round pin."""
    # Source: trade-facts R23 (geometry, from memory; tolerance 1e-4 mm).
    assert model.slot_error(0.02, 600, 1000) == pytest.approx(0.0333, abs=1e-4)
    settings = bench.register
    turned = model.seated(settings, slack=1)
    expected = model.slot_error(settings.slot_clearance, settings.pin_spacing, 400)
    assert model.error(0.0, 400.0, turned) == pytest.approx(expected, rel=1e-9)


def test_plate_bent_round_its_cylinder() -> None:
    """The face of a 0.30 mm plate on a cylinder of 150 mm lengthens by 0.0999 %, 0.599 mm on 600."""
    # Sources: trade-facts R24 (sign), R25 (pure bending, from memory; tolerance 0.001 mm).
    share = model.bending_stretch(0.30, 150)
    assert 100 * share == pytest.approx(0.0999, abs=1e-4)
    assert 600 * share == pytest.approx(0.599, abs=0.001)


@given(slack=SLACKS, climate=CLIMATES)
def test_nothing_moves_at_the_round_pin(bench: BenchSettings, slack: float, climate: Climate) -> None:
    """At the round pin a seated film is in register, whatever the slot allows and the climate does."""
    # Source: trade-facts R22 (one pin fixes the place, the slot the angle only).
    assert model.error(0.0, 0.0, model.seated(bench.register, slack, climate)) == 0


@given(x=PLACES, y=PLACES, slack=SLACKS, climate=CLIMATES)
def test_displacement_is_the_turned_and_grown_film(
    bench: BenchSettings, x: float, y: float, slack: float, climate: Climate
) -> None:
    """The displacement for a small turn agrees with turning and stretching the film exactly."""
    # Oracle: the rotation matrix; a turn this small leaves less than 0.1 um of difference.
    fit = model.seated(bench.register, slack, climate)
    grown = 1 + fit.stretch
    exact_x = grown * (x * cos(fit.angle) - y * sin(fit.angle)) - x
    exact_y = grown * (x * sin(fit.angle) + y * cos(fit.angle)) - y
    assert model.displacement(x, y, fit) == pytest.approx((exact_x, exact_y), abs=1e-4)


@given(x=PLACES, y=PLACES, along=SLACKS, across=SLACKS, slack=SLACKS)
def test_register_between_two_films_is_the_same_both_ways(
    bench: BenchSettings, *, x: float, y: float, along: float, across: float, slack: float
) -> None:
    """One film lies as far off another as the other off it, and never off itself."""
    one, other = model.unseated(bench.register, along, across, slack), model.seated(bench.register, -slack)
    assert model.error(x, y, one, other) == pytest.approx(model.error(x, y, other, one), abs=1e-12)
    assert model.error(x, y, one, one) == 0


def test_film_that_is_not_on_its_pins(bench: BenchSettings) -> None:
    """A loose film lies off by its play at the round pin, farther than the slot of a seated one allows."""
    settings = bench.register
    off = model.unseated(settings, along=1, across=-1)
    assert model.error(0.0, 0.0, off) == pytest.approx(hypot(settings.loose, settings.loose))
    assert model.error(0.0, 0.0, off) > 10 * model.error(400.0, 300.0, model.seated(settings, 1))


def test_worst_of_several_points() -> None:
    """The worst error is that of the farthest point under a turn, and none where there is no point."""
    turned = Fit(angle=0.001)
    assert model.worst([(0, 0), (100, 0), (0, 300)], turned) == pytest.approx(0.3)
    assert model.worst([], turned) == 0


@given(change=st.floats(-40, 40), hours=st.floats(0, 200))
def test_film_follows_the_humidity_of_its_room(bench: BenchSettings, change: float, hours: float) -> None:
    """Film follows a change of humidity from nothing to all of it, never further."""
    # Source of the rule: trade-facts R12 (hours to days); one time constant is a teaching model.
    followed = model.followed(change, hours, bench.register)
    assert 0 <= abs(followed) <= abs(change)
    assert model.followed(change, 100 * bench.register.film_settles, bench.register) == pytest.approx(change)


def test_arrays_of_places_keep_their_type(bench: BenchSettings) -> None:
    """Places in float32 give errors in float32, each as the float gives it."""
    x = np.array([0, 100, 400], dtype=np.float32)
    fit = model.seated(bench.register, 1)
    errors = model.error(x, np.zeros_like(x), fit)
    assert errors.dtype == np.float32
    assert errors == pytest.approx([model.error(float(one), 0.0, fit) for one in x], rel=1e-5)
