"""Numbers and times as the report says them: always with what they rest on, never a bare percentage."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, tzinfo

from trainer.insight.results import Interval, Rate, Spread

NONE = "\N{EN DASH}"
"""What stands where there is nothing to say."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MINUTE, _HOUR = 60, 3600
_NAMED = 6


def number_of(number: int, word: str, several: str = "") -> str:
    """`1 run`, `2 runs`."""
    return f"{number:,} {word if number == 1 else several or word + 's'}"


def percent(share: float) -> str:
    """A share in whole percent; under one and over ninety-nine are not rounded to none and all."""
    if 0 < share < 0.01:
        return "under 1 %"
    if 0.99 < share < 1:
        return "over 99 %"
    return f"{share * 100:.0f} %"


def between(interval: Interval) -> str:
    """An interval of a share: `21 to 57 %`."""
    return f"{interval.low * 100:.0f} to {interval.high * 100:.0f} %"


def of(rate: Rate) -> str:
    """`9 of 24 (21 to 57 %)`."""
    return f"{rate.k:,} of {rate.n:,} {_held(between(rate.interval))}" if rate.n else NONE


def _held(words: str) -> str:
    """In brackets, on one line: the blanks in it do not break."""
    return f"({words})".replace(" ", "\N{NO-BREAK SPACE}")


def number(value: float, places: int = 1) -> str:
    """A number with as many places at most, none where they are noughts, with a minus sign of its own."""
    rounded = round(value, places)
    said = f"{rounded:,.{places}f}" if places else f"{rounded:,.0f}"
    said = said.rstrip("0").rstrip(".") if "." in said else said
    return "0" if said in {"-0", "0"} else said.replace("-", "\u2212")


def duration(seconds: float) -> str:
    """Seconds as people say them: `8 s`, `1 min 5 s`, `1 h 12 min`."""
    if seconds < 9.95:
        return f"{number(seconds)} s"
    whole = round(seconds)
    if whole < _MINUTE:
        return f"{whole} s"
    if whole < _HOUR:
        minutes, rest = divmod(whole, _MINUTE)
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    hours, minutes = divmod(round(whole / _MINUTE), _MINUTE)
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def spread(times: Spread) -> str:
    """A median of times with its quartiles: `12 s (8 s to 20 s)`."""
    if times.median is None:
        return NONE
    if times.low is None or times.high is None:
        return duration(times.median)
    return f"{duration(times.median)} {_held(f'{duration(times.low)} to {duration(times.high)}')}"


def day(at: datetime, zone: tzinfo | None) -> str:
    """The date at a place; zone None: where this machine is."""
    there = at.astimezone(zone)
    return f"{there.day} {_MONTHS[there.month - 1]} {there.year}"


def minute(at: datetime, zone: tzinfo | None) -> str:
    """Date and time of day."""
    there = at.astimezone(zone)
    return f"{day(at, zone)}, {there:%H:%M}"


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(words) <= 1:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def school_of(code: str) -> str:
    """The school behind a code where several are read, `T-03 (North)`: a code has no brackets of its own."""
    return code.partition(" (")[2].removesuffix(")")


def by_school(code: str) -> tuple[str, str]:
    """Where a code stands in a list: people of one school together."""
    return school_of(code), code


def short(run: str) -> str:
    """The beginning of a run's id: when it was opened, to the millisecond. Commands take it as the id."""
    return run[:13]


def runs_named(runs: Iterable[str], most: int = _NAMED) -> str:
    """The first few runs by the beginnings of their ids, and how many more."""
    ids = list(runs)
    said = ", ".join(short(run) for run in ids[:most])
    return f"{said} and {len(ids) - most:,} more" if len(ids) > most else said


def sentence(words: str) -> str:
    """With a capital letter and a full stop."""
    if not words:
        return ""
    begun = words[0].upper() + words[1:]
    return begun if begun[-1] in ".?!" else f"{begun}."
