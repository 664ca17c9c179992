"""Waits: pure functions of what was begun and of two moments. Nothing here ends a wait.

Elapsed time is the difference of two boot-time counts. It is unknown (None) where the boot changed, or where,
across a time when the program was down, count and wall clock disagree: then a person decides.
"""

from __future__ import annotations

from typing import Literal

from trainer.procedure.model import Wait
from trainer.procedure.plan import Plan
from trainer.procedure.quantity import Quantity
from trainer.procedure.units import convert
from trainer.run.clock import DISAGREE_MS, to_ms
from trainer.run.events import Stamp, WaitBegun
from trainer.run.frozen import replace
from trainer.run.state import State, WaitState
from trainer.run.view import WaitView

BENCH_BOOT = "bench:"
"""A rehearsal's clock counts the time of its bench, under a boot id that begins so."""
CLOSING_SECONDS = 10.0
"""So long before a window closes the trainee is warned, or for half the window where that is shorter."""


def gap(since: Stamp, now: Stamp) -> float | None:
    """Seconds between two moments while nobody watched; None where the clocks do not tell."""
    if since.boot != now.boot:
        return None
    if now.boot.startswith(BENCH_BOOT):
        return max(0, now.ticks_ms - since.ticks_ms) / 1000  # a bench stands still while nobody is there
    ticks = now.ticks_ms - since.ticks_ms
    wall = to_ms(now.at) - to_ms(since.at)
    if ticks < 0 or abs(ticks - wall) > DISAGREE_MS:
        return None
    return ticks / 1000


def elapsed(wait: WaitState, now: Stamp) -> float | None:
    """Seconds since the wait was begun; None where the time is unknown."""
    if wait.doubted or "unknown" in wait.warned or wait.begun.boot != now.boot:
        return None
    return max(0, now.ticks_ms - wait.begun.ticks_ms) / 1000


def amounts(plan: Plan, state: State, wait: Wait) -> WaitBegun:
    """What a wait amounts to now: seconds, or the units of a dose."""
    if wait.dose is not None:
        return WaitBegun("dose", units=_amount(plan, state, wait.dose)[0])
    if wait.for_ is not None:
        return WaitBegun("countdown", seconds=_seconds(plan, state, wait.for_))
    return WaitBegun(
        "window",
        at_least=None if wait.at_least is None else _seconds(plan, state, wait.at_least),
        at_most=None if wait.at_most is None else _seconds(plan, state, wait.at_most),
    )


def dose_unit(plan: Plan, state: State, wait: Wait) -> str:
    """The unit of a dose."""
    return "units" if wait.dose is None else _amount(plan, state, wait.dose)[1]


def outcome(begun: WaitBegun, seconds: float) -> Literal["on_time", "early", "late"]:
    """What comes of a wait that is ended after so many seconds."""
    if begun.at_least is not None and seconds < begun.at_least:
        return "early"
    if begun.at_most is not None and seconds > begun.at_most:
        return "late"
    return "on_time"


def is_over(begun: WaitBegun, seconds: float) -> bool:
    """May a countdown be ended, or is a window open?"""
    least = begun.seconds if begun.form == "countdown" else begun.at_least
    return least is None or seconds >= least


def closes_soon_at(begun: WaitBegun) -> float | None:
    """Seconds after which a window is about to close; None where it does not close."""
    if begun.at_most is None:
        return None
    opens = begun.at_least or 0.0
    return begun.at_most - min(CLOSING_SECONDS, (begun.at_most - opens) / 2)


def show(begun: WaitBegun, wait: WaitState | None, now: Stamp, seconds_a_unit: float | None) -> WaitView:
    """A wait as the screen shows it. `wait` is None before it is begun."""
    view = WaitView(
        form=begun.form,
        state="ready",
        seconds=begun.seconds,
        at_least=begun.at_least,
        at_most=begun.at_most,
        units=begun.units,
        estimate=_estimate(begun, seconds_a_unit),
    )
    if wait is None:
        return view
    view = replace(view, unwatched=wait.unwatched, early_asked="early" in wait.warned)
    gone = elapsed(wait, now)
    if gone is None:
        return replace(view, state="unknown")
    return replace(view, state=_state(begun, gone), elapsed=gone, remaining=_remaining(begun, gone))


def _state(begun: WaitBegun, gone: float) -> Literal["running", "due", "closing", "late"]:
    if begun.form == "dose" or not is_over(begun, gone):
        return "running"
    if outcome(begun, gone) == "late":
        return "late"
    closing = closes_soon_at(begun)
    return "closing" if closing is not None and gone >= closing else "due"


def _remaining(begun: WaitBegun, gone: float) -> float | None:
    """Seconds to the end of a countdown, to the opening of a window, then to its closing; never below 0."""
    if begun.form == "dose":
        return None
    goal = begun.seconds if begun.form == "countdown" else begun.at_least
    if begun.form == "window" and is_over(begun, gone):
        goal = begun.at_most
    return None if goal is None else max(0.0, goal - gone)


def _estimate(begun: WaitBegun, seconds_a_unit: float | None) -> float | None:
    if begun.units is None or seconds_a_unit is None:
        return None
    return begun.units * seconds_a_unit


def _seconds(plan: Plan, state: State, amount: Quantity | str) -> float:
    value, unit = _amount(plan, state, amount)
    return convert(value, unit, "s")


def _amount(plan: Plan, state: State, amount: Quantity | str) -> tuple[float, str]:
    """The number and unit of an amount; of a named one, those of the setting or the worked value."""
    if isinstance(amount, Quantity):
        return amount.value, amount.unit
    root, _, name = amount.partition(".")
    if root == "settings":
        return state.settings[name], plan.procedure.settings[name].unit
    taken = state.taken(amount)
    if taken is None or isinstance(taken.value, str | tuple):
        raise LookupError(f"{amount} is not taken yet")
    return float(taken.value), taken.unit
