"""The bench once more, over the same events with one act put right: what plate would that have made?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from trainer.bench.apparatus import HELD, Apparatus, Kit, Setting
from trainer.bench.conditions import given
from trainer.bench.plate import Work
from trainer.rehearsal.after_acts import Act, Visit
from trainer.rehearsal.bench_measures import Measuring
from trainer.rehearsal.standing import Standing
from trainer.run.events import BenchReady, BenchSet, Body, Event, Stamp

_TO_COME_UP: Final = 40.0
"""A pump that is switched on at last, and was not waited for, is given so many seconds."""


@dataclass(frozen=True, slots=True)
class Again:
    """What the bench was like, and what happened at it up to the plate that is looked at."""

    kit: Kit
    ready: BenchReady
    measuring: Measuring
    events: tuple[Event, ...]

    def standing(self, kit: Kit | None = None) -> Standing:
        """The bench made ready."""
        return Standing(kit or self.kit, self.ready, self.measuring)

    def at_the_end(self) -> Apparatus:
        """The bench after the last event."""
        bench = self.standing()
        bench.follow(self.events)
        return bench.at(self.events[-1].stamp)

    def work(self, acts: Iterable[Act] = ()) -> Work:
        """What was done to the plate; with these acts put right. Raises OutOfRange, LookupError."""
        kit, events = self.kit, list(self.events)
        changes = tuple(acts)
        for act in changes:
            if act.kind == "day":
                day = given({**kit.conditions.as_mapping(), act.control: act.right})
                kit = replace(kit, conditions=day)
        laid = [_Laid(place, event.stamp.ticks_ms, event.body) for place, event in enumerate(events)]
        for act in changes:
            laid = _changed(laid, act)
        return _played(laid, self.standing(kit), self.events[-1].stamp)


@dataclass(frozen=True, slots=True)
class _Laid:
    """Something that happened: place of its event (-1: it did not happen, and should have), when, what."""

    place: int
    ticks_ms: int
    body: Body


def _changed(laid: list[_Laid], act: Act) -> list[_Laid]:
    match act.kind:
        case "extra":
            return [one for one in laid if one.place not in act.at]
        case "set" | "held":
            return _put_right(laid, act)
        case "time":
            return _lasting(laid, act)
        case _:
            return laid


def _put_right(laid: list[_Laid], act: Act) -> list[_Laid]:
    """The control at its right value: where it was set last at the step, else after what was set there."""
    if act.visit is None or isinstance(act.right, bool):
        return laid
    body = BenchSet(act.control, act.right)
    if act.at and act.control not in HELD:
        return [
            replace(one, body=body) if one.place == act.at[-1] else one
            for one in laid
            if one.place not in act.at[:-1]
        ]
    kept = [one for one in laid if one.place not in act.at]
    after = _place_for(kept, act.visit, act.control)
    moment = kept[after].ticks_ms
    return [*kept[: after + 1], _Laid(-1, moment, body), *kept[after + 1 :]]


def _place_for(laid: Sequence[_Laid], visit: Visit, control: str) -> int:
    """Behind which of the laid events something is done at a step."""
    first = next(n for n, one in enumerate(laid) if one.place == visit.first)
    if control in HELD:
        return first
    last = first
    for n in range(first, len(laid)):
        if laid[n].place >= visit.end:
            break
        if isinstance(laid[n].body, BenchSet):
            last = n
    return last


def _lasting(laid: list[_Laid], act: Act) -> list[_Laid]:
    """The step lasts as long as is right; all that comes later comes so much sooner or later."""
    visit = act.visit
    if visit is None or isinstance(act.right, str) or isinstance(act.was, str):
        return laid
    first = next(one.ticks_ms for one in laid if one.place == visit.first)
    end = next((one.ticks_ms for one in laid if one.place == visit.end), laid[-1].ticks_ms)
    more = round(1000 * float(act.right)) - (end - first)
    limit = first + round(1000 * float(act.right))

    def moved(one: _Laid) -> _Laid:
        if one.place >= visit.end or (one.ticks_ms >= end and one.place > visit.first):
            return replace(one, ticks_ms=one.ticks_ms + more)
        if more < 0 and one.ticks_ms > limit:
            return replace(one, ticks_ms=limit)
        return one

    return [moved(one) for one in laid]


def _played(laid: list[_Laid], bench: Standing, last: Stamp) -> Work:
    """The fold over what is laid out. A lamp that is lit at last burns until it goes out."""
    more = 0
    stamp = last
    for seq, one in enumerate(laid, start=1):
        stamp = replace(last, ticks_ms=one.ticks_ms + more)
        bench.follow((Event("", "", seq, stamp, None, one.body),))
        if one.place == -1 and isinstance(one.body, BenchSet):
            more += _taken_by(one.body.control, one.body.value, bench, stamp)
    return bench.work(replace(last, ticks_ms=max(stamp.ticks_ms, last.ticks_ms + more)))


def _taken_by(control: str, value: Setting | bool, bench: Standing, now: Stamp) -> int:
    """The milliseconds that somebody who does it at last waits for it."""
    if control == "lamp" and value == "on":
        light = bench.at(now).light
        return 0 if light is None else round(1000 * (light.lasts - light.seconds)) + 1000
    if control == "pump" and value == "on":
        return round(1000 * _TO_COME_UP)
    return 0
