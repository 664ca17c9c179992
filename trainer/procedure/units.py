"""Units: a small exact table, what kind each is of, how to turn one into another and how to show it.

Each factor is exact by definition; where it is said so stands beside it. Integrator `units`, wedge steps and
counted things have kinds of their own: they never turn into seconds or into each other.
"""

from __future__ import annotations

from math import isfinite
from typing import Literal, NamedTuple

from trainer.procedure.problems import Mistake, nearest

_POUND_KG = 0.45359237  # international yard and pound agreement, 1959
_GRAVITY = 9.80665  # m/s2, standard gravity, 3rd CGPM, 1901
_MERCURY = 13.5951  # kg/L, conventional density of mercury at 0 degC (ISO 80000-4; NIST SP 811, B.8)
_INCH_M = 0.0254  # international yard and pound agreement, 1959
_GALLON_ML = 3785.411784  # US gallon: 231 cubic inches, NIST Handbook 44, appendix C
_MMHG_PA = _MERCURY * _GRAVITY  # a millimetre of it: 133.322387415 Pa


class Unit(NamedTuple):
    """`kind`; how many of the kind's base one is; what zero of it is in the base; how it is shown."""

    kind: str
    factor: float
    offset: float = 0.0
    shown: str = ""
    on_gauges: bool = True
    """Offered to a trainee when the unit of a reading is changed."""


_TABLE: dict[str, Unit] = {
    # time, in s: BIPM, The International System of Units, 9th edition, table 8
    "s": Unit("time", 1),
    "min": Unit("time", 60),
    "h": Unit("time", 3600),
    "days": Unit("time", 86400, on_gauges=False),
    "weeks": Unit("time", 604800, on_gauges=False),
    # length, in mm
    "mm": Unit("length", 1),
    "in": Unit("length", 25.4),
    "cm": Unit("length", 10),
    "m": Unit("length", 1000),
    "um": Unit("length", 0.001, shown="µm", on_gauges=False),
    "ft": Unit("length", 304.8, on_gauges=False),
    # volume, in mL
    "mL": Unit("volume", 1),
    "US fl oz": Unit("volume", _GALLON_ML / 128),
    "L": Unit("volume", 1000),
    "US gal": Unit("volume", _GALLON_ML, on_gauges=False),
    # mass, in g
    "g": Unit("mass", 1),
    "kg": Unit("mass", 1000),
    "oz": Unit("mass", _POUND_KG * 1000 / 16),
    "lb": Unit("mass", _POUND_KG * 1000),
    # temperature, in degC: BIPM as above (2.3.1); the Fahrenheit scale: NIST SP 811, B.8
    "degC": Unit("temperature", 1, shown="°C"),
    "degF": Unit("temperature", 5 / 9, offset=-160 / 9, shown="°F"),
    # pressure and vacuum, in Pa: BIPM as above; the conventional inch and millimetre of mercury: NIST SP 811
    "inHg": Unit("pressure", _MMHG_PA * 25.4),
    "kPa": Unit("pressure", 1000),
    "mbar": Unit("pressure", 100),
    "mmHg": Unit("pressure", _MMHG_PA),
    "hPa": Unit("pressure", 100, on_gauges=False),
    "bar": Unit("pressure", 100_000),
    "Pa": Unit("pressure", 1, on_gauges=False),
    "psi": Unit("pressure", _POUND_KG * _GRAVITY / _INCH_M**2, on_gauges=False),
    # screen ruling, in lines per centimetre
    "lpcm": Unit("ruling", 1, shown="lines/cm"),
    "lpi": Unit("ruling", 1 / 2.54, shown="lines/in"),
    # alone in their kind: nothing turns into them
    "%": Unit("share", 1),
    "%RH": Unit("humidity", 1, shown="% RH"),
    "D": Unit("density", 1),
    "lx": Unit("illuminance", 1),
    "units": Unit("integrator count", 1),
    "step": Unit("wedge step", 1),
    "each": Unit("count", 1, shown=" "),
    "times": Unit("repeats", 1),
}

System = Literal["metric", "us"]
"""What the instruments of a shop show."""

_US = frozenset(("in", "ft", "US fl oz", "US gal", "oz", "lb", "degF", "inHg", "psi"))
_USUAL: dict[str, dict[System, str]] = {
    "length": {"metric": "mm", "us": "in"},
    "volume": {"metric": "mL", "us": "US fl oz"},
    "mass": {"metric": "g", "us": "oz"},
    "temperature": {"metric": "degC", "us": "degF"},
    "pressure": {"metric": "kPa", "us": "inHg"},
}
"""By kind: what an instrument at a sink shows in either system (common practice, no source)."""

KNOWN = tuple(_TABLE)
"""Every unit that a file may use."""

_OTHER_WORDS = {
    "s": "sec secs second seconds",
    "min": "m mins minute minutes",
    "h": "hr hrs hour hours",
    "days": "d day",
    "weeks": "week wk",
    "mm": "millimetre millimetres millimeter millimeters",
    "cm": "centimetre centimetres centimeter centimeters",
    "in": 'inch inches "',
    "um": "µm μm micron microns",
    "ft": "foot feet",
    "mL": "ml ML millilitre millilitres milliliter milliliters cc",
    "L": "l litre litres liter liters",
    "US fl oz": "floz fl_oz fl-oz ounces",
    "US gal": "gal gallon gallons",
    "g": "gr gram grams",
    "lb": "lbs pound pounds",
    "degC": "°c c celsius ℃",
    "degF": "°f f fahrenheit ℉",
    "inHg": 'inhg "hg in.hg inches-of-mercury',
    "kPa": "kpa KPA",
    "mbar": "millibar millibars",
    "mmHg": "mmhg torr",
    "lpcm": "lines/cm l/cm",
    "lpi": "lines/in lines/inch l/in",
    "%": "percent pct",
    "%RH": "rh humidity",
    "units": "unit count counts",
    "step": "steps",
    "each": "piece pieces pcs plate plates sheet sheets",
    "times": "time x",
}


def known(unit: str) -> bool:
    """Is `unit` in the table?"""
    return unit in _TABLE


def kind_of(unit: str) -> str:
    """What the unit measures: time, length, pressure, integrator count, ... Raises Mistake where unknown."""
    return _entry(unit).kind


def same_kind(one: str, other: str) -> bool:
    """Can one be turned into the other? False where either is unknown."""
    return known(one) and known(other) and _TABLE[one].kind == _TABLE[other].kind


def kin(unit: str) -> tuple[str, ...]:
    """`unit` first, then the others of its kind that are found on instruments, in the table's order."""
    kind = kind_of(unit)
    return (unit, *(u for u, row in _TABLE.items() if row.kind == kind and row.on_gauges and u != unit))


def in_system(units: tuple[str, ...], system: System | None) -> tuple[str, ...]:
    """`units`, of one kind, with the one first that an instrument of that system shows; else as they stand.

    The first of them stays where it is of that system itself, and where none is known.
    """
    if not units or system is None or (units[0] in _US) == (system == "us"):
        return units
    usual = _USUAL.get(kind_of(units[0]), {}).get(system)
    return (usual, *(unit for unit in units if unit != usual)) if usual in units else units


def convert(value: float, unit: str, to: str) -> float:
    """`value` of `unit` in `to`. Raises Mistake where either is unknown or they are not of one kind."""
    start, goal = _entry(unit), _entry(to)
    if start.kind != goal.kind:
        raise Mistake(
            "S16",
            f"`{unit}` cannot be turned into `{to}`: one is {start.kind}, the other {goal.kind}.",
            f"Write one of: {', '.join(kin(to))}.",
        )
    if unit == to:
        return value
    return (value * start.factor + start.offset - goal.offset) / goal.factor


def shown(value: float, unit: str) -> str:
    """For people: `21.5 inHg`, `1 min 30 s`, `24 °C`; numbers to four figures, whole ones in full."""
    if unit == "s" and abs(value) >= 60:
        return _minutes(value)
    if unit in {"days", "weeks"} and value == 1:
        return f"1 {unit[:-1]}"
    return f"{plain(value)} {sign(unit)}".strip()


def sign(unit: str) -> str:
    """The unit alone, for people: `°C`, `µm`; empty for what is only counted."""
    return (_TABLE[unit].shown or unit if known(unit) else unit).strip()


def plain(value: float) -> str:
    """A number for people: four figures, or more where it is whole; never an exponent."""
    if not isfinite(value):
        return "no number"
    whole = len(str(int(abs(value))))
    places = max(0, 4 - whole) if abs(value) >= 1 else 4
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def mistaken(unit: str) -> Mistake:
    """What to say about a unit that is not known, with the nearest that is."""
    meant = meant_by(unit)
    instead = f"Write `{meant}`." if meant else f"Write one of: {', '.join(KNOWN)}."
    return Mistake("S15", f"`{unit[:40]}` is not a unit that is known here.", instead)


def called(unit: str) -> str | None:
    """The unit that is written `unit` elsewhere, in full or with another sign: `minutes`, `°C`."""
    lower = unit.strip().rstrip(".").lower()
    for right, words in _OTHER_WORDS.items():
        if lower == right.lower() or lower in words.lower().split():
            return right
    return None


def meant_by(unit: str) -> str | None:
    """The unit that somebody who writes `unit` most likely means."""
    if right := called(unit):
        return right
    lower = unit.strip().rstrip(".").lower()
    by_lower = {u.lower(): u for u in KNOWN}
    found = nearest(lower, by_lower) if len(lower) > 1 else None
    return by_lower[found] if found else None


def _minutes(value: float) -> str:
    sign, left = ("-" if value < 0 else ""), round(abs(value))
    hours, left = divmod(left, 3600)
    minutes, seconds = divmod(left, 60)
    parts = ((hours, "h"), (minutes, "min"), (seconds, "s"))
    return sign + " ".join(f"{amount} {unit}" for amount, unit in parts if amount)


def _entry(unit: str) -> Unit:
    if unit not in _TABLE:
        raise mistaken(unit)
    return _TABLE[unit]
