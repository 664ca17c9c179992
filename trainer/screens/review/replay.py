"""A run replayed: its events gathered by the showings of its steps, with times. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from trainer.run import events as ev
from trainer.run.clock import to_ms
from trainer.run.events import Event, Stamp

RESTS = (ev.Paused, ev.Resumed, ev.WaitWarned, ev.StepShown, ev.NextOffered, ev.Moved, ev.BenchReady)
"""What is no act of the trainee's: the first act at a step is none of these."""


@dataclass(frozen=True, slots=True)
class Showing:
    """A step as it stood on the screen once, and what happened while it did.

    began: seconds from the beginning of the run. lasted: until the next step came; None where nobody knows.
    hesitated: seconds to the first act there, pauses and all; None where there was none.
    """

    step: str
    stage: str
    plate: int
    visit: int
    seq: int
    began: float
    lasted: float | None
    hesitated: float | None
    events: tuple[Event, ...]


@dataclass(slots=True)
class _Open:
    first: Event
    shown: ev.StepShown | None
    events: list[Event] = field(default_factory=list)


def showings(events: Sequence[Event]) -> tuple[Showing, ...]:
    """All showings in order; what came before the first step stands in one without a step."""
    if not events:
        return ()
    gathered: list[_Open] = []
    for event in events:
        if isinstance(event.body, ev.StepShown):
            gathered.append(_Open(event, event.body))
        elif not gathered:
            gathered.append(_Open(event, None))
        gathered[-1].events.append(event)
    ends = [*(one.first.stamp for one in gathered[1:]), None]
    return tuple(_showing(one, events[0].stamp, end) for one, end in zip(gathered, ends, strict=True))


def _showing(one: _Open, start: Stamp, end: Stamp | None) -> Showing:
    first = one.first
    act = next((event for event in one.events if not isinstance(event.body, RESTS)), None)
    last = end or one.events[-1].stamp
    return Showing(
        step=(first.step or "") if one.shown else "",
        stage=one.shown.stage if one.shown else "",
        plate=one.shown.plate if one.shown else 1,
        visit=one.shown.visit if one.shown else 1,
        seq=first.seq,
        began=since(start, first.stamp),
        lasted=between(first.stamp, last),
        hesitated=None if act is None or one.shown is None else between(first.stamp, act.stamp),
        events=tuple(one.events),
    )


def between(first: Stamp, later: Stamp) -> float | None:
    """Seconds by the clock that goes on while a laptop sleeps; None over a restart of the machine."""
    return (later.ticks_ms - first.ticks_ms) / 1000 if first.boot == later.boot else None


def since(start: Stamp, stamp: Stamp) -> float:
    """Seconds from the beginning; over a restart of the machine by the wall clock, and never less than 0."""
    known = between(start, stamp)
    return known if known is not None else max(0.0, (to_ms(stamp.at) - to_ms(start.at)) / 1000)
