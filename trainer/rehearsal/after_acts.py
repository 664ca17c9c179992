"""Acts of a rehearsal that were not as the procedure's `bench:` would have them, and what puts each right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from trainer.bench.apparatus import HELD, Apparatus, Setting
from trainer.bench.conditions import Conditions
from trainer.procedure.expressions import FormulaFault
from trainer.procedure.plan import Plan
from trainer.rehearsal.standing import Standing
from trainer.run.events import (
    BenchSet,
    Event,
    PlateSpoiled,
    RunClosed,
    StepShown,
    WaitBegun,
)
from trainer.run.facts import Facts
from trainer.run.fold import apply
from trainer.run.state import State

Kind = Literal["set", "held", "extra", "time", "day"]
_NEAR: Final = 0.02
"""A number within this share of the right one is right."""
_LINGERED: Final = 60.0
_MOMENT: Final = 15.0
"""Longer than `_LINGERED` s at an act without a wait is too long; `_MOMENT` s is usual."""
_HELD: Final = 20.0
"""What is held, at a step that says no time, is held for so many seconds."""
_DAY: Final[Mapping[str, Setting | bool]] = {
    "film_wrong": False,
    "film_damper": 0.0,
    "film_warmer": 0.0,
    "plate_warmer": 0.0,
    "plate_scratches": 0.0,
    "developer_used": 0.0,
}
"""What may be wrong with a day that no control puts right, and what it is on a good one."""


@dataclass(frozen=True, slots=True)
class Visit:
    """A step while it was at hand: events from `first` up to `end`, and how the bench stood as it was left.

    burn: which film was to be burned then, `image` or `marks`.
    """

    step: str
    first: int
    end: int
    seconds: float
    right: Mapping[str, Setting]
    left: Apparatus
    burn: str


@dataclass(frozen=True, slots=True)
class Act:
    """One act that was not right. control: what was operated, or not; empty for time; a condition for `day`.

    was, right: where it stood and where it should have; seconds for time. visit: at which step, None for
    `day`.
    at: places of the events to be changed, for `extra` and `set`.
    """

    kind: Kind
    control: str
    was: Setting | bool
    right: Setting | bool
    visit: Visit | None
    at: tuple[int, ...] = ()


def acts_not_right(plan: Plan, events: Sequence[Event], bench: Standing) -> tuple[Act, ...]:
    """Acts that may have spoiled the plate in hand at the end of `events`. bench: as it was made ready."""
    visits = tuple(_of_the_plate(events, _visits(plan, events, bench)))
    found = [act for visit in visits for act in _of_visit(events, visit)]
    found += [act for visit in visits if (act := _too_long(events, visit))]
    found += _not_gone_to(plan, visits)
    return tuple(found) + tuple(_of_the_day(bench.kit.conditions))


def _visits(plan: Plan, events: Sequence[Event], bench: Standing) -> Iterator[Visit]:
    """Every step as it was at hand, in order."""
    state: State | None = None
    first, burn = -1, "image"
    for place, event in enumerate(events):
        ends = isinstance(event.body, StepShown | PlateSpoiled | RunClosed)
        if ends and first >= 0 and state is not None:
            step = events[first].step or ""
            right = _right(plan, step, state)
            if right.get("film") in {"image", "marks"}:
                burn = str(right["film"])
            seconds = (event.stamp.ticks_ms - events[first].stamp.ticks_ms) / 1000
            yield Visit(step, first, place, seconds, right, bench.at(event.stamp), burn)
            first = -1
        if isinstance(event.body, StepShown):
            first = place
        state = apply(plan, state, event)
        bench.follow((event,))


def _right(plan: Plan, step: str, state: State) -> dict[str, Setting]:
    """Where a step's controls should stand, as its `bench:` works out."""
    found: dict[str, Setting] = {}
    for control, value in plan.steps[step].bench.items() if step in plan.steps else ():
        formula = plan.expression(step, f"bench.{control}")
        try:
            right = value if formula is None else formula.value(Facts(state))
        except FormulaFault:
            continue  # it asks for a measure, and nobody knows now what that was
        if isinstance(right, str | int | float):
            found[control] = right if isinstance(right, str) else float(right)
    return found


def _of_the_plate(events: Sequence[Event], visits: Iterator[Visit]) -> Iterator[Visit]:
    """The visits since the plate in hand began, and of the steps before them the last each."""
    begun = max((n for n, event in enumerate(events[:-1]) if isinstance(event.body, PlateSpoiled)), default=0)
    every = list(visits)
    later = {visit.step for visit in every if visit.first >= begun}
    before = {visit.step: visit for visit in every if visit.first < begun and visit.step not in later}
    for visit in every:
        if visit.first >= begun or before.get(visit.step) is visit:
            yield visit


def _of_visit(events: Sequence[Event], visit: Visit) -> Iterator[Act]:
    sets: dict[str, list[int]] = {}
    for place in range(visit.first, visit.end):
        body = events[place].body
        if isinstance(body, BenchSet):
            sets.setdefault(body.control, []).append(place)
    for control, right in visit.right.items():
        places = tuple(sets.pop(control, ()))
        values = [_value(events[place]) for place in places]
        if control in HELD:
            if not values or values[0] != right or len(set(values)) > 1 or _late(events, visit, places[0]):
                yield Act("held", control, values[0] if values else "none", right, visit, places)
            continue
        was = values[-1] if values else visit.left.controls[control]
        if not _same(was, right):
            yield Act("set", control, was, right, visit, places)
    for control, places_left in sets.items():
        for place in places_left:
            yield Act("extra", control, _value(events[place]), "", visit, (place,))


def _late(events: Sequence[Event], visit: Visit, place: int) -> bool:
    """Was something held begun only after half of the time?"""
    waited = (events[place].stamp.ticks_ms - events[visit.first].stamp.ticks_ms) / 1000
    return waited > visit.seconds / 2 and waited > _MOMENT


def _too_long(events: Sequence[Event], visit: Visit) -> Act | None:
    """Time that went by at a step in which it should not have, or that was cut short."""
    begun = next((e for e in events[visit.first : visit.end] if isinstance(e.body, WaitBegun)), None)
    wait = begun.body if begun is not None and isinstance(begun.body, WaitBegun) else None
    if wait is None:
        lasts = _HELD if any(control in HELD for control in visit.right) else _MOMENT
        longest, least = _LINGERED, _HELD / 2 if lasts == _HELD else 0.0
    elif wait.form == "dose":
        return None
    elif wait.form == "countdown":
        lasts, least = (wait.seconds or 0.0) + _MOMENT / 3, 0.0
        longest = lasts + _LINGERED
    else:
        least = wait.at_least or 0.0
        lasts = (least + (wait.at_most or least + _MOMENT)) / 2
        longest = wait.at_most or lasts + _LINGERED
    if least <= visit.seconds <= longest:
        return None
    return Act("time", "", visit.seconds, lasts, visit)


def _not_gone_to(plan: Plan, visits: Sequence[Visit]) -> Iterator[Act]:
    """What nobody did because the judgement that leads to it was another; only what no other step does."""
    been = {visit.step for visit in visits}
    asked = {control for visit in visits for control in visit.right}
    for visit in visits:
        for way in plan.ways.get(visit.step, ()):
            step = plan.steps.get(way.to)
            for control, right in step.bench.items() if step is not None and way.to not in been else ():
                if control not in asked and plan.expression(way.to, f"bench.{control}") is None:
                    was = visit.left.controls[control]
                    value = float(right) if isinstance(right, int | float) else right
                    yield Act("set", control, was, value, visit)


def _of_the_day(day: Conditions) -> Iterator[Act]:
    given = day.as_mapping()
    for name, good in _DAY.items():
        if given[name] != good:
            yield Act("day", name, given[name], good, None)
    if day.lamp_warm < 1:
        yield Act("day", "lamp_warm", day.lamp_warm, 1.0, None)
    if day.lamp_hours > 0:
        yield Act("day", "lamp_hours", day.lamp_hours, 0.0, None)


def _value(event: Event) -> Setting:
    body = event.body
    value = body.value if isinstance(body, BenchSet) else ""
    return value if isinstance(value, str) else float(value)


def _same(was: Setting, right: Setting) -> bool:
    if isinstance(was, str) or isinstance(right, str):
        return was == right
    return abs(was - right) <= _NEAR * max(abs(right), 1e-9)
