"""The functions that formulas call, against printed figures and against the vocabulary."""

from __future__ import annotations

import inspect
from dataclasses import replace
from math import log2, log10

import pytest
from hypothesis import given
from hypothesis import strategies as st
from run_kit import Sink

from trainer.procedure import vocabulary
from trainer.procedure.units import convert
from trainer.run import functions
from trainer.run.facts import Facts
from trainer.run.functions import call, exposure_for_step, steps_between
from trainer.run.state import Taken

POSITIVE = st.floats(min_value=1e-3, max_value=1e6)


def test_functions_are_those_of_the_vocabulary() -> None:
    """Every pure function of the vocabulary is implemented, with the same parameters, and no other is."""
    pure = {name: f for name, f in vocabulary.FUNCTIONS.items() if not f.asks_run}
    assert set(functions.FUNCTIONS) == set(pure)
    for name, declared in pure.items():
        given_parameters = inspect.signature(functions.FUNCTIONS[name]).parameters
        assert list(given_parameters) == [parameter.name for parameter in declared.parameters]
        optional = [p for p in given_parameters.values() if p.default is not inspect.Parameter.empty]
        assert len(optional) == declared.optional
        assert declared.gives == "number"


def test_functions_that_ask_the_run_are_answered() -> None:
    """Every function of the vocabulary that asks the run has an answer from it, of the kind declared."""
    facts = Facts(Sink.open().run.state)
    kinds = {"number": float, "truth": bool}
    for name, declared in vocabulary.FUNCTIONS.items():
        if declared.asks_run:
            assert isinstance(facts.call(name, ("read-gauge",)), kinds[declared.gives])


def test_wedge_of_the_functions_is_the_21_step_tablet() -> None:
    """Twenty steps of the increment used here lead from the tablet's first density to its last."""
    # Sources: trade-facts E01, E02 (US Navy NAVEDTRA 14209 p. 10-40), E03 (two sources), E09 computed.
    first, last = 0.05, 3.05
    assert first + 20 * functions.DENSITY_A_STEP == pytest.approx(last, abs=1e-9)
    assert first + 5 * functions.DENSITY_A_STEP == pytest.approx(0.80, abs=1e-9)
    assert first + 10 * functions.DENSITY_A_STEP == pytest.approx(1.55, abs=1e-9)


def test_step_is_half_a_stop() -> None:
    """A step of the tablet is half a stop, and its whole range ten stops, as printed."""
    # Source: trade-facts E04, E05 (NAVEDTRA 14209: "1/2 stop", "10 f/stop range"; tolerance 0.05 stop; C3).
    assert log2(exposure_for_step(1, 0, 1)) == pytest.approx(0.5, abs=0.05)
    assert log2(exposure_for_step(1, 1, 21)) == pytest.approx(10, abs=0.05)


@pytest.mark.parametrize(
    ("steps", "factor"),
    [
        (1, 1.4125),
        (2, 1.9953),
        (3, 2.8184),
        (4, 3.9811),
        (-1, 0.7079),
        (-2, 0.5012),
        (-3, 0.3548),
        (-4, 0.2512),
    ],
)
def test_exposure_factors(steps: int, factor: float) -> None:
    """To move the solid step, units are multiplied by the factors of the table."""
    # Source: trade-facts E11, E12 (computed from E03 and D = -log10 T, E06), to their last digit.
    assert exposure_for_step(24, 6, 6 + steps) / 24 == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(("steps", "factor"), [(1, 1.414), (2, 2), (3, 2.828), (4, 4)])
def test_exposure_factors_as_people_learn_them(steps: int, factor: float) -> None:
    """The rule that two steps double the units holds within half a percent."""
    # Source: trade-facts E11, the square-root-of-two rule, tolerance 0.5 %.
    assert exposure_for_step(1, 0, steps) == pytest.approx(factor, rel=0.005)


FACTORS_FROM_6 = """0.178 0.251 0.355 0.501 0.708 1.000 1.413 1.995 2.818 3.981 5.623 7.943 11.220 15.849
22.387 31.623 44.668 63.096 89.125 125.893 177.828"""


def test_whole_wedge_of_factors() -> None:
    """The factor from step 6 to each of the 21 steps is the one in the table."""
    # Source: trade-facts, notes on exposure, "Full wedge" (computed from E09 and E06), to its last digit.
    for step, factor in enumerate(FACTORS_FROM_6.split(), 1):
        assert exposure_for_step(1, 6, step) == pytest.approx(float(factor), abs=0.0005)


@pytest.mark.parametrize(("step", "percent"), [(6, 15.849), (7, 11.220), (14, 1.000)])
def test_light_that_a_step_lets_through(step: int, percent: float) -> None:
    """What a step lets through follows from the first step's density and the factor between the two."""
    # Sources: trade-facts E10 (to 0.001 %), from E01 (0.05, NAVEDTRA 14209) and E06 (D = -log10 T, IALA).
    first = 10**-0.05
    assert 100 * first * exposure_for_step(1, step, 1) == pytest.approx(percent, abs=0.001)


def test_dose_under_the_open_area() -> None:
    """The open area gets 6.310 times the dose that step 6 gets."""
    # Source: trade-facts E19 (10^0.80), tolerance 0.01.
    assert 10**0.05 * exposure_for_step(1, 1, 6) == pytest.approx(6.310, abs=0.0005)


@pytest.mark.parametrize(("factor", "steps"), [(2, 2.007), (3, 3.181), (0.7, -1.033)])
def test_steps_of_a_change(factor: float, steps: float) -> None:
    """A change of units moves the solid step by as much as the table says."""
    # Source: trade-facts E13 (log10(x) / 0.15), tolerance 0.01 step.
    assert steps_between(24, 24 * factor) == pytest.approx(steps, abs=0.001)


def test_printed_series_of_thirds_of_a_stop() -> None:
    """A published series of times in thirds of a stop comes out of the same factor function."""
    # Source: trade-facts E16, E15 ([9], times 10:00 to 1:00), tolerance 1.5 s as the source cuts off.
    printed = [600, 476, 378, 300, 238, 188, 150, 118, 94, 75, 60]
    third = log10(2) / 3 / functions.DENSITY_A_STEP
    for place, seconds in enumerate(printed):
        assert exposure_for_step(600, place * third, 0) == pytest.approx(seconds, abs=1.5)
    assert exposure_for_step(600, 0, third) == pytest.approx(756, abs=1)


def test_quarter_of_a_stop() -> None:
    """A quarter of a stop more is the factor that is printed for it."""
    # Source: trade-facts E14 ([8], 1.19), tolerance 0.005.
    assert exposure_for_step(1, 0, log10(2) / 4 / functions.DENSITY_A_STEP) == pytest.approx(1.19, abs=0.005)


@given(POSITIVE, st.floats(1, 21), st.floats(1, 21))
def test_correction_and_steps_undo_each_other(units: float, read: float, target: float) -> None:
    """Corrected units are as many steps away as the correction was for."""
    assert steps_between(units, exposure_for_step(units, read, target)) == pytest.approx(
        target - read, abs=1e-6
    )


@pytest.mark.parametrize(("x", "nearest"), [(2.5, 3), (-2.5, -3), (2.4, 2), (0.5, 1), (-0.4, 0), (7, 7)])
def test_halves_go_away_from_zero(x: float, nearest: float) -> None:
    """Numbers are rounded as people round, halves away from zero."""
    # Common practice, no source.
    assert call("round", (x,)) == nearest


@pytest.mark.parametrize(
    ("x", "step", "nearest"), [(23.7, 0.5, 23.5), (47.89, 1, 48), (33, 5, 35), (-3, 2, -4)]
)
def test_round_to_a_step(x: float, step: float, nearest: float) -> None:
    """A number is rounded to the nearest multiple; the first row is the vocabulary's own example."""
    assert call("round_to", (x, step)) == pytest.approx(nearest)


def test_small_functions() -> None:
    """The least, the greatest and the sign-less do what their names say, with two numbers or three."""
    assert call("min", (3, 2)) == 2
    assert call("min", (3, 2, 1)) == 1
    assert call("max", (3, 2)) == 3
    assert call("max", (3, 2, 9)) == 9
    assert call("abs", (-3.5,)) == 3.5


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("steps_between", (0.0, 24.0)),
        ("steps_between", (24.0, -1.0)),
        ("round_to", (3.0, 0.0)),
        ("exposure_for_step", (24.0, 1.0, 1e9)),
        ("exposure_for_step", (24.0, 1.0)),
        ("min", ("readings.vacuum", 1.0)),
        ("system", (1.0,)),
    ],
)
def test_no_result_is_a_sentence(name: str, arguments: tuple[float | str, ...]) -> None:
    """Where a function has no result it says so in a sentence, and gives no number."""
    with pytest.raises(ValueError, match=r"^[A-Za-z_].* .*\.$"):
        call(name, arguments)


def test_facts_are_the_values_that_hold() -> None:
    """Formulas see settings, the plate's number, and the last value taken under a name; nothing else."""
    sink = Sink.open().until("take-plate")
    facts = Facts(sink.run.state)
    assert facts.value("settings.exposure") == 24
    assert facts.value("plate.number") == 1
    assert facts.value("answers.film") == "clean"
    assert facts.value("readings.humidity") == 50
    assert facts.value("readings.vacuum") is None
    assert facts.value("plate.solid_step") is None
    assert facts.call("taken", ("readings.humidity",)) is True
    assert facts.call("taken", ("readings.vacuum",)) is False
    assert facts.call("tries", ("film-clean",)) == 1
    assert facts.call("tries", ("read-gauge",)) == 0
    later = replace(sink.run.state, values={"worked.x": (Taken(1.0, "units", 3), Taken(2.0, "units", 9))})
    assert Facts(later).value("worked.x") == 2
    with pytest.raises(ValueError, match="one name"):
        facts.call("tries", (3.0,))


@pytest.mark.parametrize(
    ("metres", "kilopascal", "gauge"),
    [
        (0, 101.325, 29.92),
        (500, 95.461, 28.19),
        (1000, 89.874, 26.54),
        (1500, 84.555, 24.97),
        (2000, 79.494, 23.47),
        (3000, 70.108, 20.70),
    ],
)
def test_highest_gauge_reading_at_altitude(metres: int, kilopascal: float, gauge: float) -> None:
    """The units that readings are converted with give the highest gauge reading that altitude allows."""
    # Sources: trade-facts V06 ([26], US Standard Atmosphere 1976), V07 and V08 computed from it and V01.
    pressure = 101_325 * (1 - metres / 44_329) ** 5.255876
    assert convert(pressure, "Pa", "kPa") == pytest.approx(kilopascal, abs=0.01)
    assert convert(pressure, "Pa", "inHg") == pytest.approx(gauge, abs=0.01)
