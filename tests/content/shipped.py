"""The shipped procedures, loaded once, and their texts."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.model import TASKS, Quiz, Step
from trainer.procedure.plan import Plan
from trainer.procedure.text import in_language

DRILLS = ("eye-splash", "chemical-spill")
LATER = (
    *DRILLS,
    "closing-the-sink",
    "positive-plate",
    "screen-stencil",
    "press-mounting",
    "polymer-relief-block",
    "contact-film-copy",
)
"""The procedures beside the first two, each with walks through every answer and every way."""
IDS = ("negative-plate-two-burns", "exposure-test", *LATER)


def file_of(procedure: str) -> Path:
    """The file of a shipped procedure."""
    return places.procedures_dir() / f"{procedure}.yaml"


@cache
def plan(procedure: str) -> Plan:
    """A shipped procedure, ready to run."""
    return load(file_of(procedure)).require()


def task(step: Step) -> str:
    """The key of a step's task, `none` where it has none."""
    return next((key for key in TASKS if getattr(step, key) is not None), "none")


def steps_with(procedure: str, key: str) -> list[Step]:
    """The steps of a procedure that have this task."""
    return [step for step in plan(procedure).steps.values() if task(step) == key]


def quizzes(procedure: str) -> list[Quiz]:
    """The questions of a procedure."""
    return [step.quiz for step in plan(procedure).steps.values() if step.quiz]


def options(quiz: Quiz) -> dict[str, str]:
    """The answers to pick from, in English."""
    given = quiz.choice or quiz.choices or quiz.order or {}
    return {key: in_language(words) for key, words in given.items()}


def texts(procedure: str) -> Iterator[tuple[str, str, str]]:
    """Every text of a procedure that a person reads: step id, what it is, English words."""
    whole = plan(procedure).procedure
    yield "", "title", in_language(whole.title)
    yield "", "summary", in_language(whole.summary)
    for caution in whole.cautions:
        yield "", "caution", in_language(caution)
    for setting in whole.settings.values():
        yield "", "label", in_language(setting.label)
    for skill in whole.skills.values():
        yield "", "skill", in_language(skill)
    for step in plan(procedure).steps.values():
        for kind, text in _of_step(step):
            yield step.id, kind, text


def _of_step(step: Step) -> Iterator[tuple[str, str]]:
    if step.do is not None:
        yield "do", in_language(step.do)
    if step.why is not None:
        yield "why", in_language(step.why)
    for point in step.key_points:
        yield "key point", in_language(point)
    yield from _of_task(step)


def _of_task(step: Step) -> Iterator[tuple[str, str]]:
    if step.hazard:
        yield "harm", in_language(step.hazard.harm)
        yield from (("avoid", in_language(line)) for line in step.hazard.avoid)
    if step.reading and step.reading.miss is not None:
        yield "miss", in_language(step.reading.miss)
    if step.judge:
        yield "ask", in_language(step.judge.ask)
        yield from (("answer", in_language(words)) for words in step.judge.answers.values())
    if step.quiz:
        yield "ask", in_language(step.quiz.ask)
        yield "because", in_language(step.quiz.because)
        yield from (("answer", words) for words in options(step.quiz).values())
    if step.work_out:
        yield "show", in_language(step.work_out.show)
