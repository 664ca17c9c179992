"""What is waited for at the bench, when it is over, and what rings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import log

from trainer.bench import vacuum
from trainer.bench.apparatus import HELD, Apparatus, Kit
from trainer.bench.apparatus_acts import AT_ZERO
from trainer.bench.apparatus_time import counted, suction
from trainer.rehearsal.bench_signs import STILL, end_of, moves
from trainer.rehearsal.bench_view import Busy
from trainer.run.view import RunView, WaitView
from trainer.tongue import marked

WORDS: Mapping[str, str] = {
    "light_out": marked("The light has gone out by itself at {units} units."),
    "zero": marked("The needle stands at zero."),
}
_HAND = 1.0
"""Something held goes on for so many seconds at a time where it is hurried."""
_LONGEST = 600.0
_STANDS = STILL * 0.9
"""A needle is waited for until it is so near to where it goes, kPa."""


@dataclass(frozen=True, slots=True)
class Moment:
    """What is watched from one tick to the next."""

    light: bool
    count: float
    down: bool
    zero: bool


def moment(now: Apparatus, kit: Kit) -> Moment:
    """The bench as far as something of it rings."""
    zero = vacuum.gauge(now.drawn.pressure, kit.conditions.air) < AT_ZERO
    return Moment(now.light is not None, counted(now, kit), now.word("glass") != "open", zero)


def rings(before: Moment, now: Moment) -> tuple[str, ...]:
    """What has happened since the last tick."""
    found = ["light_out"] if before.light and not now.light else []
    if now.zero and not before.zero and now.down and before.down:
        found.append("zero")
    return tuple(found)


def what(view: RunView, now: Apparatus, kit: Kit) -> Busy:
    """What is waited for, if anything: something held comes first, since it needs a hand."""
    if any(now.word(control) != "none" for control in HELD):
        return "hand"
    if view.wait is not None and view.wait.state != "ready" and _left(view.wait) > 0:
        return "wait"
    if now.light is not None:
        return "light"
    if now.word("glass") != "open" and moves(now, kit):
        return "gauge"
    return ""


def to_the_end(view: RunView, now: Apparatus, kit: Kit) -> float:
    """Seconds to the end of the wait, else of the light, else until the needle stands."""
    if view.wait is not None and view.wait.state != "ready":
        left = _left(view.wait)
        if left > 0 and view.wait.form != "dose":
            return left
    if now.light is not None:
        return max(0.0, now.light.lasts - now.light.seconds)
    if now.word("glass") != "open" and moves(now, kit):
        return _settles_in(now, kit)
    return _HAND if any(now.word(control) != "none" for control in HELD) else 0.0


def _left(wait: WaitView) -> float:
    """Seconds until a wait may be ended; none for a dose, which the light ends."""
    if wait.form == "dose" or wait.state in ("due", "closing", "late"):
        return 0.0
    return wait.remaining or 0.0


def _settles_in(now: Apparatus, kit: Kit) -> float:
    """Seconds until the needle stands; where it rises, until film and plate are pressed."""
    end = end_of(now, kit)
    frame, acting = kit.settings.frame, suction(now, kit)
    gauge = vacuum.gauge(now.drawn.pressure, kit.conditions.air)
    if end == 0:
        rate = (frame.vent + acting.leaking) / frame.volume / 60
        return min(_LONGEST, log(max(gauge, STILL) / _STANDS) / rate)
    rate = (frame.pump_speed + acting.leaking) / frame.volume / 60
    slower = min(rate, 1 / frame.settle)
    return min(_LONGEST, log(max(abs(end - gauge), 1.0) / _STANDS) / slower)
