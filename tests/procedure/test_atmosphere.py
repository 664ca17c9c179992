"""The air at an altitude against printed values of the US Standard Atmosphere, 1976."""

from __future__ import annotations

import pytest

from trainer.procedure.atmosphere import air_pressure, highest_gauge
from trainer.procedure.units import convert


@pytest.mark.parametrize(
    ("altitude", "kilopascal", "inches"),
    [
        # V06 to V08: the formula as UC Santa Cruz prints it; the values worked out from it.
        (0, 101.325, 29.92),
        (500, 95.461, 28.19),
        (1000, 89.874, 26.54),
        (1500, 84.555, 24.97),
        (2000, 79.494, 23.47),
        (3000, 70.108, 20.70),
    ],
)
def test_air_and_the_highest_gauge(altitude: float, kilopascal: float, inches: float) -> None:
    """Pressure within 0.01 kPa, and the highest reading of a gauge within 0.01 inHg."""
    assert air_pressure(altitude) == pytest.approx(kilopascal * 1000, abs=10)
    assert highest_gauge(altitude, "inHg") == pytest.approx(inches, abs=0.01)


def test_five_thousand_feet() -> None:
    """V09: 14.696 (1 - 6.8754e-6 Z)^5.2559 psia, a form that cites NASA 1976, gives 12.228 psi there."""
    altitude = convert(5000, "ft", "m")
    assert highest_gauge(altitude, "psi") == pytest.approx(12.228, abs=0.002)


def test_a_pump_in_the_mountains() -> None:
    """V11: a pump good for 27 inHg at sea level reaches 21.97 at 5000 ft: the same absolute pressure."""
    left = highest_gauge(0, "inHg") - 27
    reached = highest_gauge(convert(5000, "ft", "m"), "inHg") - left
    assert reached == pytest.approx(21.97, abs=0.02)


def test_a_thousand_feet_cost_an_inch() -> None:
    """V10: the rule of thumb, 1 inHg less for each 1000 ft, holds within a tenth near the ground."""
    lost = highest_gauge(0, "inHg") - highest_gauge(convert(1000, "ft", "m"), "inHg")
    assert lost == pytest.approx(1, rel=0.1)


@pytest.mark.parametrize("altitude", [-501, 11_001, float("nan")])
def test_no_shop_lies_there(altitude: float) -> None:
    """Outside the range of the formula there is no answer."""
    with pytest.raises(ValueError, match="outside"):
        air_pressure(altitude)
