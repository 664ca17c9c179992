"""Quantities: a number with its unit, written as people write it: `45 s`, `1 min 30 s`, `75 mL`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.procedure import units
from trainer.procedure.problems import Mistake

_CODE = "S14"
_MOST = 1e9
_LONGEST = 100
_NUMBER = r"[+-]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?"
_ONE = re.compile(rf"({_NUMBER}) +(\S.*)")
_TIMES = re.compile(rf"{_NUMBER} +(?:days|h|min|s)(?: +{_NUMBER} +(?:h|min|s))+")
_PART = re.compile(rf"({_NUMBER}) +(\S+)")
_VALUE = re.compile(r"(?:settings|worked)\.[a-z][a-z0-9_]*")
_SINGULAR = {"day": "days", "week": "weeks"}
_CLOCK = re.compile(r"(?:(\d+):)?(\d{1,3}):(\d{2})")
_EXAMPLES = "Write a number, a space and a unit: `45 s`, `1 min 30 s`, `60 days`, `24 units`."


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number and its unit (one of `units.KNOWN`)."""

    value: float
    unit: str

    def to(self, unit: str) -> float:
        """The number in another unit of the same kind. Raises Mistake."""
        return units.convert(self.value, self.unit, unit)

    def __str__(self) -> str:
        return units.shown(self.value, self.unit)


def parse(text: str) -> Quantity:
    """The quantity that `text` says. Several parts are added where all are times. Raises Mistake."""
    wanted = text.strip()
    if len(wanted) > _LONGEST:
        raise Mistake(_CODE, f"`{_short(wanted)}` is not a quantity.", _EXAMPLES)
    if _TIMES.fullmatch(wanted):
        return _added([(float(number), unit) for number, unit in _PART.findall(wanted)], wanted)
    found = _ONE.fullmatch(wanted)
    unit = _SINGULAR.get(found[2], found[2]) if found else ""
    if found and units.known(unit):
        value = float(found[1])
        if abs(value) > _MOST:
            raise Mistake(_CODE, f"`{_short(wanted)}` is beyond anything at a sink.", _EXAMPLES)
        return Quantity(value, unit)
    raise _explained(wanted)


def quantity(value: object) -> object:
    """Reads a value of a file: a text that `parse` understands becomes a Quantity. Raises Mistake."""
    if isinstance(value, Quantity):
        return value
    if isinstance(value, str):
        return parse(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise Mistake(_CODE, "This is a number without a unit.", _with_units(units.plain(value)))
    raise Mistake(_CODE, "This is not a quantity.", _EXAMPLES)


def amount(value: object) -> object:
    """Reads a value of a file: a quantity, or the dotted name of a setting or a worked value."""
    if not isinstance(value, str):
        return quantity(value)
    wanted = value.strip()
    if _VALUE.fullmatch(wanted):
        return wanted
    if re.match(r"[A-Za-z_]", wanted):
        raise _no_such_value(wanted)
    return parse(value)


def _added(parts: list[tuple[float, str]], wanted: str) -> Quantity:
    """Times from large to small, added in the smallest unit."""
    factors = [units.convert(1, unit, "s") for _, unit in parts]
    if factors != sorted(set(factors), reverse=True) or any(number < 0 for number, _ in parts):
        raise Mistake(
            _CODE,
            f"`{_short(wanted)}` does not go from large units to small ones.",
            "Write the largest first, each once: `1 h 5 min`, `1 min 30 s`.",
        )
    unit = parts[-1][1]
    total = sum(units.convert(number, own, unit) for number, own in parts)
    return Quantity(total, unit)


def _explained(text: str) -> Mistake:
    """Why `text` is no quantity, and what its author most likely means."""
    if not text:
        return Mistake(_CODE, "There is no quantity here.", _EXAMPLES)
    if clock := _CLOCK.fullmatch(text):
        return Mistake(
            _CODE, f"`{text}` could be minutes and seconds or hours and minutes.", _clock_words(clock)
        )
    if re.fullmatch(_NUMBER, text):
        return Mistake(_CODE, f"`{_short(text)}` is a number without a unit.", _with_units(_short(text)))
    for reason in (_comma, _exponent, _glued, _leading_zero, _fraction, _span, _unit):
        if found := reason(text):
            return found
    return Mistake(_CODE, f"`{_short(text)}` is not a quantity.", _EXAMPLES)


def _clock_words(clock: re.Match[str]) -> str:
    hours, minutes, seconds = (int(part or 0) for part in clock.groups())
    parts = ((hours, "h"), (minutes, "min"), (seconds, "s"))
    said = " ".join(f"{number} {unit}" for number, unit in parts if number) or "45 s"
    return f"Write it with units: `{said}`."


def _with_units(number: str) -> str:
    return f"Write the unit after the number: `{number} s`, `{number} min`, `{number} days`."


def _comma(text: str) -> Mistake | None:
    found = re.fullmatch(r"([+-]?\d+),(\d+)( *)(\S.*)?", text)
    if not found:
        return None
    unit = f" {found[4]}" if found[4] else " s"
    return Mistake(
        _CODE,
        f"`{_short(text)}` has a comma in its number.",
        f"Write a point: `{found[1]}.{found[2]}{_short(unit)}`.",
    )


def _exponent(text: str) -> Mistake | None:
    found = re.fullmatch(r"([+-]?\d+(?:\.\d+)?[eE][+-]?\d{1,2}|\d+(?:_\d+)+)(?: *(\S.*))?", text)
    if not found:
        return None
    number = units.plain(float(found[1]))
    return Mistake(
        _CODE,
        f"`{_short(text)}` has a number written as computers do.",
        f"Write it in full: `{number[:20]} {_short(found[2] or 's')}`.",
    )


def _glued(text: str) -> Mistake | None:
    found = re.fullmatch(r"([+-]?\d+(?:\.\d+)?)([^\d\s.,:/+-]\D*)", text)
    meant = found and (found[2] if units.known(found[2]) else units.meant_by(found[2]))
    if not found or not meant:
        return None
    return Mistake(_CODE, f"`{_short(text)}` has no space before its unit.", f"Write `{found[1]} {meant}`.")


def _leading_zero(text: str) -> Mistake | None:
    found = re.fullmatch(r"0+([1-9]\d*(?:\.\d+)?)(?: +(\S.*))?", text)
    if not found:
        return None
    unit = found[2] or "s"
    return Mistake(
        _CODE, f"`{_short(text)}` begins with a zero.", f"Write it without: `{found[1]} {_short(unit)}`."
    )


def _fraction(text: str) -> Mistake | None:
    if not re.match(r"\d*\s*[½¼¾]|\d+\s*/\s*\d+", text):
        return None
    return Mistake(
        _CODE,
        f"`{_short(text)}` is written with a fraction.",
        "Write it with a point or in a smaller unit: `0.5 h`, `30 min`.",
    )


def _span(text: str) -> Mistake | None:
    if not re.match(r"[\d.]+\s*\w*\s*(?:-|\u2013|to|\.\.)\s*\d", text):
        return None
    return Mistake(
        _CODE,
        f"`{_short(text)}` is a span, and one amount is wanted here.",
        "Write one amount: `45 s`. A wait with a least and a most has `at_least: 30 s` and `at_most: 90 s`.",
    )


_DAYS = {"month": 30, "months": 30, "year": 365, "years": 365}


def _unit(text: str) -> Mistake | None:
    found = re.fullmatch(rf"({_NUMBER}) *(\D.*)", text)
    if not found:
        return None
    meant = units.meant_by(found[2])
    if days := _DAYS.get(found[2].strip().lower()):
        return Mistake(
            _CODE,
            f"`{_short(found[2])}` are not all of one length, so they are no unit here.",
            f"Write days: `{units.plain(float(found[1]) * days)} days`.",
        )
    instead = f"Write `{found[1]} {meant}`." if meant else f"{_EXAMPLES} Units: {', '.join(units.KNOWN)}."
    return Mistake(_CODE, f"`{_short(found[2])}` is not a unit that is known here.", instead)


def _no_such_value(text: str) -> Mistake:
    singular = re.fullmatch(r"(?:setting|Settings?)\.(\w+)", text)
    tail = singular[1].lower() if singular else "NAME"
    return Mistake(
        _CODE,
        f"`{_short(text)}` is neither a quantity nor the name of a value.",
        f"Write a quantity (`45 s`, `24 units`), or the name of a setting (`settings.{_short(tail)}`) "
        "or of a worked value (`worked.NAME`).",
    )


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"
