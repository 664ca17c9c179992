"""Units against other sources: the trade's published values, pint, and scipy.constants."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from trainer.procedure import units
from trainer.procedure.problems import Mistake

IN_PINT = {
    "days": "day",
    "weeks": "week",
    "US fl oz": "US_fluid_ounce",
    "US gal": "US_liquid_gallon",
    "inHg": "inch_Hg_0C",
    "mmHg": "millimeter_Hg_0C",
    "degC": "degree_Celsius",
    "degF": "degree_Fahrenheit",
    "lpcm": "1/centimeter",
    "lpi": "1/inch",
    "in": "inch",
}
"""Units of ours that pint calls otherwise."""
ALONE = ("%", "%RH", "D", "lx", "units", "step", "each", "times")
MEASURED = tuple(unit for unit in units.KNOWN if unit not in ALONE)
PINT: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize("unit", MEASURED)
def test_every_factor_is_pints(unit: str) -> None:
    """Each unit turns into each other of its kind as pint 0.24 and newer has it, to 12 figures."""
    for other in MEASURED:
        if not units.same_kind(unit, other):
            continue
        quantity = PINT.Quantity(21.5, IN_PINT.get(unit, unit))
        assert units.convert(21.5, unit, other) == pytest.approx(
            quantity.to(IN_PINT.get(other, other)).magnitude, rel=1e-12
        )


@pytest.mark.parametrize(
    ("unit", "base", "factor"),
    [
        ("min", "s", constants.minute),
        ("h", "s", constants.hour),
        ("days", "s", constants.day),
        ("weeks", "s", constants.week),
        ("in", "m", constants.inch),
        ("ft", "m", constants.foot),
        ("um", "m", constants.micron),
        ("L", "mL", constants.liter / constants.milli / constants.liter),
        ("US fl oz", "L", constants.fluid_ounce / constants.liter),
        ("US gal", "L", constants.gallon / constants.liter),
        ("oz", "kg", constants.oz),
        ("lb", "kg", constants.lb),
        ("bar", "Pa", constants.bar),
        ("psi", "Pa", constants.psi),
    ],
)
def test_factors_are_scipys(unit: str, base: str, factor: float) -> None:
    """Factors that scipy.constants has (CODATA and exact definitions) are the same to 12 figures."""
    assert units.convert(1, unit, base) == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "unit", "to", "wanted", "within"),
    [
        # V01: NIST SP 811, conversion factors: 3.386 389 E+03 Pa.
        (1, "inHg", "Pa", 3386.389, 0.001),
        # C6: a converter page that says 33.8639 Pa is a hundred times wrong; it is hPa.
        (1, "inHg", "hPa", 33.86389, 0.00001),
        # V02: NIST SP 811: psi.
        (1, "psi", "Pa", 6894.757, 0.01),
        # V03: one standard atmosphere, US Standard Atmosphere 1976.
        (101.325, "kPa", "inHg", 29.92126, 0.0005),
        (101.325, "kPa", "psi", 14.696, 0.0005),
        # V04: worked out from V01.
        (20, "inHg", "kPa", 67.73, 0.01),
        (24, "inHg", "kPa", 81.27, 0.01),
        (25, "inHg", "kPa", 84.66, 0.01),
        (26, "inHg", "kPa", 88.05, 0.01),
        (27, "inHg", "kPa", 91.43, 0.01),
        # V05: worked out from V01 to V03.
        (25, "inHg", "mbar", 846.6, 0.1),
        (25, "inHg", "psi", 12.279, 0.012),
        # V07 in V08: the air at heights of 500 to 3000 m (US Standard Atmosphere 1976), as a gauge shows it.
        (95.461, "kPa", "inHg", 28.19, 0.01),
        (89.874, "kPa", "inHg", 26.54, 0.01),
        (84.555, "kPa", "inHg", 24.97, 0.01),
        (79.494, "kPa", "inHg", 23.47, 0.01),
        (70.108, "kPa", "inHg", 20.70, 0.01),
        # H11: ISO 12647-9 as reported: lines per centimetre to lines per inch.
        (69, "lpcm", "lpi", 175.3, 0.1),
        (48, "lpcm", "lpi", 121.9, 0.1),
        # R07: film base of 4 mil is 0.10 mm.
        (0.004, "in", "mm", 0.10, 0.002),
        # D18 (common practice, no source): 70 to 75 degrees Fahrenheit are 21 to 24 Celsius.
        (70, "degF", "degC", 21.1, 0.05),
        (75, "degF", "degC", 23.9, 0.05),
        # The fixed points of water on both scales, from memory.
        (32, "degF", "degC", 0, 1e-9),
        (212, "degF", "degC", 100, 1e-9),
        (-40, "degC", "degF", -40, 1e-9),
    ],
)
def test_the_trades_values(value: float, unit: str, to: str, wanted: float, within: float) -> None:
    """Published and handbook values come out within the tolerance given for them."""
    assert units.convert(value, unit, to) == pytest.approx(wanted, abs=within)


def test_no_gauge_shows_pounds() -> None:
    """C8: 20 to 25 "pounds" of vacuum cannot be psi, since all the air there is makes 14.7 psi."""
    assert units.convert(20, "psi", "kPa") > 101.325


@pytest.mark.parametrize("unit", ALONE)
def test_counts_turn_into_nothing(unit: str) -> None:
    """Integrator units, steps and counted things have no kin, and turn into no time and no other unit."""
    assert units.kin(unit) == (unit,)
    for other in units.KNOWN:
        if other != unit:
            assert not units.same_kind(unit, other)
            with pytest.raises(Mistake, match="cannot be turned into"):
                units.convert(1, unit, other)


_PAIRS = [(a, b) for a in units.KNOWN for b in units.KNOWN if units.same_kind(a, b)]


@given(st.sampled_from(_PAIRS), st.floats(-1e6, 1e6))
def test_there_and_back(pair: tuple[str, str], value: float) -> None:
    """A value turned into another unit and back is the same."""
    one, other = pair
    assert units.convert(units.convert(value, one, other), other, one) == pytest.approx(
        value, rel=1e-9, abs=1e-6
    )


@pytest.mark.parametrize(
    ("unit", "system", "first"),
    [
        *(("degC", "us", "degF"), ("degF", "us", "degF"), ("degF", "metric", "degC")),
        *(
            ("inHg", "metric", "kPa"),
            ("inHg", "us", "inHg"),
            ("mbar", "us", "inHg"),
            ("mmHg", "metric", "mmHg"),
        ),
        *(("cm", "us", "in"), ("cm", "metric", "cm"), ("mL", "us", "US fl oz"), ("g", "us", "oz")),
        *(("units", "us", "units"), ("step", "us", "step"), ("s", "us", "s"), ("%RH", "us", "%RH")),
    ],
)
def test_what_an_instrument_shows_comes_first(unit: str, system: units.System, first: str) -> None:
    """In a shop with instruments of the one system or the other; common practice, no source."""
    found = units.in_system(units.kin(unit), system)
    assert found[0] == first
    assert sorted(found) == sorted(units.kin(unit))
    assert units.in_system((), system) == ()
    assert units.in_system(units.kin(unit), None) == units.kin(unit)


def test_kin_come_with_the_own_unit_first() -> None:
    """The units offered for a reading begin with its own and are found on instruments."""
    assert units.kin("kPa")[0] == "kPa"
    assert units.kin("inHg") == ("inHg", "kPa", "mbar", "mmHg", "bar")
    assert units.kin("degF") == ("degF", "degC")
    assert "weeks" not in units.kin("s")


@pytest.mark.parametrize(
    ("value", "unit", "wanted"),
    [
        (22, "inHg", "22 inHg"),
        (21.5, "inHg", "21.5 inHg"),
        (67.72777, "kPa", "67.73 kPa"),
        (846.597, "mbar", "846.6 mbar"),
        (12345.6, "Pa", "12346 Pa"),
        (0.004, "in", "0.004 in"),
        (-0.00001, "mm", "0 mm"),
        (21, "degC", "21 °C"),
        (45, "s", "45 s"),
        (90, "s", "1 min 30 s"),
        (3600, "s", "1 h"),
        (3725, "s", "1 h 2 min 5 s"),
        (-75, "s", "-1 min 15 s"),
        (1, "days", "1 day"),
        (60, "days", "60 days"),
        (24, "units", "24 units"),
        (2, "each", "2"),
        (50, "%", "50 %"),
        (float("nan"), "s", "no number s"),
    ],
)
def test_values_as_people_read_them(value: float, unit: str, wanted: str) -> None:
    """Numbers show four figures and no exponent, times in minutes and hours, units by their sign."""
    assert units.shown(value, unit) == wanted


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("sec", "s"),
        ("Minutes", "min"),
        ("ml", "mL"),
        ("°C", "degC"),
        ("INHG", "inHg"),
        ("d", "days"),
        ("xyz", None),
    ],
)
def test_what_people_write_for_a_unit(written: str, meant: str | None) -> None:
    """Other spellings are understood well enough to say the right one."""
    assert units.meant_by(written) == meant
    assert units.known(written) is False
    with pytest.raises(Mistake):
        units.kind_of(written)
