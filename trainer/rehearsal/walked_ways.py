"""What of a procedure the walks have gone through: its steps, its answers, its ways on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal, Protocol

from trainer.procedure.model import Step
from trainer.procedure.plan import Plan
from trainer.procedure.text import one_line
from trainer.run import events as ev
from trainer.run.facts import Facts
from trainer.run.fold import apply
from trainer.run.state import State

Kind = Literal["steps", "answers", "ways"]
KINDS: tuple[Kind, ...] = ("steps", "answers", "ways")


class Bench(Protocol):
    """The bench of a rehearsal, gone through once more event by event."""

    def follow(self, events: Iterable[ev.Event]) -> None:
        """These events were kept."""
        ...

    def measures(self, now: ev.Stamp) -> Mapping[str, ev.Value]:
        """The plate's measures as they stand, by name."""
        ...


@dataclass(frozen=True, slots=True, order=True)
class Piece:
    """One thing that a walk can go through. `at`: a step's or stage's id; `what`: an answer, or a way."""

    kind: Kind
    at: str
    what: str = ""

    def __str__(self) -> str:
        """As the author sees it in the file."""
        return {"steps": self.at, "answers": f"{self.at}: {self.what}", "ways": f"{self.at} > {self.what}"}[
            self.kind
        ]


@dataclass(frozen=True, slots=True)
class Went:
    """Where one walk went: the file of its procedure, the plan, what it has gone through."""

    procedure: str
    plan: Plan
    gone: frozenset[Piece]


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the walks of one procedure have left out, in the order of the file; and how much there is."""

    procedure: str
    walks: int
    of: Mapping[Kind, int]
    left_out: tuple[Piece, ...]

    def not_gone(self, kind: Kind) -> tuple[str, ...]:
        """What no walk has gone through, in words."""
        return tuple(str(piece) for piece in self.left_out if piece.kind == kind)

    def lines(self) -> Iterator[str]:
        """A line that counts, and a line for each kind that something is left out of."""
        counted = ", ".join(
            f"{self.of[kind] - len(self.not_gone(kind))} of {self.of[kind]} {kind}" for kind in KINDS
        )
        walks = "1 walk" if self.walks == 1 else f"{self.walks} walks"
        yield f"{self.procedure}: {walks} went through {counted}."
        for kind in KINDS:
            if missing := self.not_gone(kind):
                yield f"  {kind} that no walk went through: {', '.join(missing)}"

    def as_object(self) -> dict[str, object]:
        """As plain values."""
        left = {kind: list(self.not_gone(kind)) for kind in KINDS}
        return {"procedure": self.procedure, "walks": self.walks, "of": dict(self.of), "not_gone": left}


def coverage(went: Iterable[Went]) -> tuple[Coverage, ...]:
    """What is left out, for each procedure that was walked, in the order in which they come."""
    by_file: dict[str, list[Went]] = {}
    for one in went:
        by_file.setdefault(one.procedure, []).append(one)
    found = []
    for walks in by_file.values():
        plan = walks[0].plan
        every = tuple(dict.fromkeys(pieces_of(plan)))
        gone = frozenset().union(*(one.gone for one in walks))
        of = {kind: sum(piece.kind == kind for piece in every) for kind in KINDS}
        left_out = tuple(piece for piece in every if piece not in gone)
        found.append(Coverage(plan.procedure.id, len(walks), of, left_out))
    return tuple(found)


def pieces_of(plan: Plan) -> Iterator[Piece]:
    """Everything of a procedure that a walk can go through."""
    for stage in plan.procedure.stages:
        for step in stage.steps:
            yield Piece("steps", step.id)
            yield from (Piece("answers", step.id, answer) for answer in _answers(step))
            led_on = not _always_led_on(step)
            forked = _forked(plan, step.id)
            yield from (Piece("ways", step.id, _way(way.to, way.when, forked)) for way in step.go)
            if led_on:
                yield Piece("ways", step.id, _way(plan.next_of[step.id], "", forked))
        if stage.new_plate_from is not None:
            yield Piece("ways", stage.id, f"a new plate from {stage.new_plate_from}")


def gone_in(plan: Plan, events: Iterable[ev.Event], bench: Bench | None = None) -> frozenset[Piece]:
    """What the events of a run have gone through. bench: of a rehearsal, made ready and not yet worked at."""
    found: set[Piece] = set()
    state: State | None = None
    looks = any(_forked(plan, step) for step in plan.steps)
    for event in events:
        found |= set(_gone(plan, event, partial(_condition, plan, state, event, bench)))
        if looks:
            state = apply(plan, state, event)
            if bench is not None:
                bench.follow((event,))
    return frozenset(found)


def _gone(plan: Plan, event: ev.Event, condition: Callable[[], str]) -> Iterator[Piece]:
    at = event.step or ""
    match event.body:
        case ev.StepShown():
            yield Piece("steps", at)
        case ev.Judged(answer=answer):
            yield Piece("answers", at, answer)
        case ev.QuizAnswered(right=right):
            yield Piece("answers", at, "right" if right else "wrong")
        case ev.ReadingTaken(verdict=verdict):
            yield Piece("answers", at, verdict)
        case ev.SignedOff(word=word):
            yield Piece("answers", at, word)
        case ev.Moved(to=to, why="finished" | "guard" as why):
            forked = _forked(plan, at)
            when = condition() if why == "guard" and to in forked else ""
            yield Piece("ways", at, _way(to, when, forked))
        case ev.PlateSpoiled(stage=stage, back_to=back_to):
            yield Piece("ways", stage, f"a new plate from {back_to}")
        case _:
            pass


def _forked(plan: Plan, step: str) -> frozenset[str]:
    """Targets that more than one way leads to from a step: only its condition tells such a way."""
    if step not in plan.steps:
        return frozenset()
    go = plan.steps[step].go
    every = [way.to for way in go] + ([] if _always_led_on(plan.steps[step]) else [plan.next_of[step]])
    return frozenset(to for to in every if every.count(to) > 1)


def _way(to: str, when: str, forked: frozenset[str]) -> str:
    """A way on in words: its target, and its condition where other ways lead there too."""
    if to not in forked:
        return to
    return f"{to} when {one_line(when)}" if when else f"{to} otherwise"


def _condition(plan: Plan, state: State | None, event: ev.Event, bench: Bench | None) -> str:
    """The condition of the way that was taken with this event: as in the run, the first that holds."""
    if state is None or event.step is None:
        return ""
    facts = Facts(state, None if bench is None else lambda: bench.measures(event.stamp))
    held = (
        way.when
        for way, compiled in zip(plan.steps[event.step].go, plan.ways[event.step], strict=True)
        if compiled.when.truth(facts)
    )
    return next(held, "")


def _answers(step: Step) -> tuple[str, ...]:
    """What a step can be answered with: a judgement's keys, right or wrong, good or a miss, passed or not."""
    if step.judge is not None:
        return tuple(step.judge.answers)
    if step.quiz is not None:
        return ("right", "wrong")
    if step.reading is not None:
        return ("ok", "miss") if step.reading.ok is not None else ("ok",)
    if step.sign_off is not None and step.sign_off.name is not None:
        return ("passed", "not_yet")
    return ()


def _always_led_on(step: Step) -> bool:
    """Has each answer of a judgement or a sign-off a `go` of its own, so that nothing else leads on?"""
    name = step.judge.name if step.judge is not None else step.sign_off.name if step.sign_off else None
    if name is None:
        return False
    asked = (re.fullmatch(rf"\s*answers\.{name} == '(\w+)'\s*", way.when) for way in step.go)
    return {found[1] for found in asked if found} >= set(_answers(step))
