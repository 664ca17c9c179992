"""The air at an altitude, and so the most that a vacuum gauge can show there.

US Standard Atmosphere, 1976 (NOAA, NASA, USAF), up to 11 km, in the form that a university prints of it:
P = 101325 Pa (1 - h / 44329 m)^5.255876. A gauge reads how far the frame is below the air around it, so it
can never pass the pressure of that air.
"""

from __future__ import annotations

from trainer.procedure.units import convert

_SEA_LEVEL_PA = 101_325.0
_SCALE_M = 44_329.0
_EXPONENT = 5.255876


def air_pressure(altitude: float) -> float:
    """Pressure of the standard atmosphere in Pa at an altitude in m, -500 to 11,000."""
    if not -500 <= altitude <= 11_000:
        raise ValueError(f"{altitude} m is outside the formula's range")
    return float(_SEA_LEVEL_PA * (1 - altitude / _SCALE_M) ** _EXPONENT)


def highest_gauge(altitude: float, unit: str) -> float:
    """The most that a vacuum gauge can show at an altitude in m, in a unit of pressure."""
    return convert(air_pressure(altitude), "Pa", unit)
