"""What of a procedure the walks have gone through: its steps, its answers, its ways on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from trainer.procedure.model import Step
from trainer.procedure.plan import Plan
from trainer.run import events as ev

Kind = Literal["steps", "answers", "ways"]
KINDS: tuple[Kind, ...] = ("steps", "answers", "ways")


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
            yield from (Piece("ways", step.id, way.to) for way in step.go)
            if not _always_led_on(step):
                yield Piece("ways", step.id, plan.next_of[step.id])
        if stage.new_plate_from is not None:
            yield Piece("ways", stage.id, f"a new plate from {stage.new_plate_from}")


def gone_in(events: Iterable[ev.Event]) -> frozenset[Piece]:
    """What the events of a run have gone through."""
    return frozenset(piece for event in events for piece in _gone(event))


def _gone(event: ev.Event) -> Iterator[Piece]:
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
        case ev.Moved(to=to, why="finished" | "guard"):
            yield Piece("ways", at, to)
        case ev.PlateSpoiled(stage=stage, back_to=back_to):
            yield Piece("ways", stage, f"a new plate from {back_to}")
        case _:
            pass


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
