"""Which values the formulas of a procedure may use: each declared by its dotted name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from trainer.procedure.model import Procedure, Quiz, Step
from trainer.procedure.problems import Path
from trainer.procedure.vocabulary import MEASURES, Kind

ROOTS: Mapping[str, str] = {
    "settings": "a number the shop owns",
    "readings": "a number read off an instrument",
    "answers": "what was judged, answered or signed",
    "worked": "a value worked out by a step",
    "plate": "the plate's number and, in a rehearsal, its measures",
}
"""The first part of every name, and what stands under it."""


class Declared(NamedTuple):
    """One value: `name` with its root, what it is, its unit, where it is declared.

    keys: what a text may be, where that is known. step: the step that takes it, None for settings and
    measures. keeps: it outlives a spoiled plate. path: where it is declared in the file.
    """

    name: str
    kind: Kind
    unit: str = ""
    keys: tuple[str, ...] = ()
    step: str | None = None
    keeps: bool = False
    path: Path = ()


class Scope(NamedTuple):
    """All values of a procedure by dotted name, the steps they come from, and every step's id."""

    names: Mapping[str, Declared]
    taken_at: Mapping[str, tuple[Declared, ...]]
    """By name, every declaration: a worked value may be set by several steps."""
    steps: frozenset[str]


def scope_of(procedure: Procedure) -> Scope:
    """What the formulas of `procedure` may use. Of a name declared twice, the first."""
    taken_at: dict[str, tuple[Declared, ...]] = {}
    for declared in _all(procedure):
        taken_at[declared.name] = (*taken_at.get(declared.name, ()), declared)
    steps = frozenset(step.id for stage in procedure.stages for step in stage.steps)
    return Scope({name: found[0] for name, found in taken_at.items()}, taken_at, steps)


def declared_by(step: Step, path: Path = ()) -> Declared | None:
    """The value that a step takes when it is finished, or None."""
    if reading := step.reading:
        return Declared(
            f"readings.{reading.name}",
            "number",
            reading.unit,
            step=step.id,
            keeps=reading.keeps == "run",
            path=(*path, "reading", "name"),
        )
    if judge := step.judge:
        return Declared(
            f"answers.{judge.name}",
            "text",
            keys=tuple(judge.answers),
            step=step.id,
            keeps=judge.keeps == "run",
            path=(*path, "judge", "name"),
        )
    if quiz := step.quiz:
        return _of_quiz(quiz, step.id, path)
    if work_out := step.work_out:
        return Declared(
            f"worked.{work_out.name}",
            "number",
            work_out.unit,
            step=step.id,
            keeps=work_out.keeps == "run",
            path=(*path, "work_out", "name"),
        )
    if (sign_off := step.sign_off) and sign_off.name is not None:
        return Declared(
            f"answers.{sign_off.name}",
            "text",
            keys=("passed", "not_yet"),
            step=step.id,
            path=(*path, "sign_off", "name"),
        )
    return None


def _of_quiz(quiz: Quiz, step: str, path: Path) -> Declared:
    """A quiz is asked once in a run, so its answer outlives a spoiled plate."""
    kind: Kind = "text" if quiz.choice else "number" if quiz.number else "texts"
    keys = tuple(quiz.choice or quiz.choices or quiz.order or ())
    unit = quiz.number.unit if quiz.number else ""
    return Declared(f"answers.{quiz.name}", kind, unit, keys, step, keeps=True, path=(*path, "quiz", "name"))


def _all(procedure: Procedure) -> Iterator[Declared]:
    for name, setting in procedure.settings.items():
        yield Declared(f"settings.{name}", "number", setting.unit, path=("settings", name))
    for name, measure in MEASURES.items():
        yield Declared(f"plate.{name}", measure.kind, measure.unit)
    for number, stage in enumerate(procedure.stages):
        for place, step in enumerate(stage.steps):
            declared = declared_by(step, ("stages", number, "steps", place))
            if declared is not None:
                yield declared
