"""How the pages of the review say times, rates, states and kinds: one way for all. Pure; English only."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from trainer.insight.glance import UNKNOWN, RunSeen
from trainer.insight.results import Level, Rate, SkillState
from trainer.run.clock import on_the_wall

STATES: Mapping[SkillState, tuple[str, str, str]] = {
    "needs help": ("█", "HELP", "bold $error"),
    "coming on": ("▒", "coming", ""),
    "steady": ("░", "steady", "$quiet"),
    "too few": ("·", "few", "$quiet"),
}
"""Shade, short word and style of each state: the darker, the sooner somebody should be there."""
LEVELS: Mapping[Level, tuple[str, str]] = {
    "act": ("!! ", "bold"),
    "watch": ("!  ", ""),
    "know": ("+  ", "$quiet"),
}
"""What stands before a finding, and its style."""
ENDS = {"done": "done", "stopped": "stopped", "erased": "erased", "": "open"}


def state(of: SkillState) -> str:
    """Shade and short word."""
    shade, word, _ = STATES[of]
    return f"{shade} {word}"


def day(at: datetime | None, now: datetime) -> str:
    """`12 Mar`; month and year where it is another year."""
    if at is None or at == UNKNOWN:
        return "?"
    there = on_the_wall(at)
    return f"{there.day} {there:%b}" if there.year == on_the_wall(now).year else f"{there:%b %y}"


def date(at: datetime) -> str:
    """`2026-03-12`."""
    return "?" if at == UNKNOWN else f"{on_the_wall(at):%Y-%m-%d}"


def moment(at: datetime) -> str:
    """`2026-03-12 09:41`, as the clock on the wall showed it."""
    return "?" if at == UNKNOWN else f"{on_the_wall(at):%Y-%m-%d %H:%M}"


def number_of(number: int, one: str, more: str = "") -> str:
    """`1 run`, `2 runs`."""
    return f"{number} {one if number == 1 else more or one + 's'}"


def of(k: int, n: int) -> str:
    """`9 of 24`."""
    return f"{k} of {n}"


def percents(low: float, high: float) -> str:
    """`21 to 57 %`."""
    return f"{100 * low:.0f} to {100 * high:.0f} %"


def rate(found: Rate) -> str:
    """`9 of 24 (21 to 57 %)`: never a bare percentage."""
    if not found.n:
        return "none"
    return f"{of(found.k, found.n)} ({percents(found.interval.low, found.interval.high)})"


def rate_short(found: Rate) -> str:
    """`1602 of 2301 (68-71 %)`: the same where a table has little room."""
    if not found.n:
        return "none"
    return f"{of(found.k, found.n)} ({100 * found.interval.low:.0f}-{100 * found.interval.high:.0f} %)"


def kind(run: RunSeen) -> str:
    """`wet`, `rehearsal`, `faults`."""
    return "faults" if run.practice else "rehearsal" if run.rehearsal else "wet"


def ended(run: RunSeen) -> str:
    """How a run ended, in a word; a run that was excused says so."""
    word = ENDS.get(run.closed, run.closed)
    return f"{word}, excused" if run.excused else word


def span(seconds: float) -> str:
    """A length of time: `45 s`, `1 min 30 s`, `2 h 5 min`."""
    whole = max(0, round(seconds))
    if whole < 60:
        return f"{whole} s"
    minutes, left = divmod(whole, 60)
    if minutes < 60:
        return f"{minutes} min {left} s" if left else f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def clock(seconds: float) -> str:
    """Time since the beginning: `12:41`, `1:02:41`."""
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes:02}:{left:02}"


def ordinal(number: int) -> str:
    """`2nd`, `3rd`, `11th`."""
    tail = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number % 100 in (11, 12, 13) else tail}"
