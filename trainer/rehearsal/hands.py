"""Hands and the clock: as at a real sink, what is begun at the bench begins the wait of its step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from trainer.bench.apparatus import HELD
from trainer.run.refusals import TooSoon
from trainer.run.view import RunView
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import ControlView
    from trainer.rehearsal.rehearsal import Rehearsal

_LAMP: Final = "lamp"
_STARTS: Final = (*HELD, _LAMP)
"""Controls that are operated for as long as the wait of their step lasts."""


def operate(rehearsal: Rehearsal, control: str, value: str | float) -> float:
    """Operate a control; where its step waits for just that, the wait begins with it.

    Returns the seconds after which the primary key still has to begin that wait, where the step has only just
    come; else 0. Raises Refused, Trouble. A walk says both by itself (`Rehearsal.set`, then the primary key).
    """
    rehearsal.set(control, value)
    begun = value == "on" if control == _LAMP else control in HELD and value != "none"
    own = any(one.name == control for one in rehearsal.bench().controls)
    if begun and own and starts(rehearsal.run.view(), (control,)):
        try:
            rehearsal.run.next()
        except TooSoon as soon:
            return soon.seconds
    return 0.0


def starts(view: RunView, controls: Iterable[str]) -> bool:
    """Does the wait at hand begin as one of these controls of its step is operated?"""
    ready = view.wait is not None and view.wait.state == "ready" and not view.paused
    return ready and any(name in _STARTS for name in controls)


def idle(view: RunView, controls: Sequence[ControlView]) -> str:
    """A sentence while the clock runs and what it runs for is not done; else empty."""
    if view.wait is None or view.wait.state in ("ready", "unknown") or view.paused:
        return ""
    for control in controls:
        if control.held and not control.going:
            return spoken("{control}: hands off, while the clock runs.", control=control.label)
        if control.name == _LAMP and not control.touched:
            position = control.shown
            return spoken(
                "{control}: {position}, while the clock runs.", control=control.label, position=position
            )
    return ""
