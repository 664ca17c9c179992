"""Walks of the later procedures go through every step, answer, question, miss and way on."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from shipped import LATER, plan, steps_with

from trainer.rehearsal.walk_file import read_walk
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walker import Walker
from trainer.run import events as ev

WALKS = Path(__file__).resolve().parent.parent / "walks"


def files(procedure: str) -> list[Path]:
    """The walk files of a procedure, by their name."""
    return sorted(WALKS.glob(f"{procedure}-*.yaml"))


@cache
def walked(file: Path) -> tuple[Walk, tuple[ev.Event, ...]]:
    """A walk, and what was recorded on it."""
    walk = read_walk(file).walk
    assert walk is not None
    of = plan(walk.procedure)
    own = {name: float(setting.value) for name, setting in of.procedure.settings.items()}
    walker = Walker.start(walk, of, {**own, **walk.settings})
    for placed in walk.acts:
        walker.do(placed)
    return walk, tuple(walker.events)


def recorded(procedure: str) -> Iterator[ev.Event]:
    """The events of all walks of a procedure."""
    for file in files(procedure):
        yield from walked(file)[1]


@pytest.mark.parametrize("procedure", LATER)
@pytest.mark.sweep(quick=3)
def test_a_right_walk_at_each_level_of_guidance(procedure: str) -> None:
    """Full, cued and solo each have a walk to the end without a miss, a slip or a hint."""
    for level in ("full", "cued", "solo"):
        walk, events = walked(WALKS / f"{procedure}-right-{level}.yaml")
        bodies = [event.body for event in events]
        assert walk.guidance == level
        assert not [body for body in bodies if isinstance(body, ev.HintOpened | ev.PlateSpoiled)]
        assert all(body.verdict == "ok" for body in bodies if isinstance(body, ev.ReadingTaken))
        assert all(body.right for body in bodies if isinstance(body, ev.QuizAnswered | ev.NextPicked))
        assert all(body.outcome == "on_time" for body in bodies if isinstance(body, ev.WaitEnded))
        assert [body.how for body in bodies if isinstance(body, ev.RunClosed)] == ["done"]


@pytest.mark.parametrize("procedure", LATER)
@pytest.mark.sweep(quick=3)
def test_every_step_is_shown(procedure: str) -> None:
    """No step, asides included, is left without a walk through it."""
    shown = {event.step for event in recorded(procedure) if isinstance(event.body, ev.StepShown)}
    assert set(plan(procedure).steps) - shown == set()


@pytest.mark.parametrize("procedure", LATER)
def test_every_answer_is_given(procedure: str) -> None:
    """Each judgement is made each way, and each question answered right and wrong."""
    bodies = [event.body for event in recorded(procedure)]
    judged = {(body.name, body.answer) for body in bodies if isinstance(body, ev.Judged)}
    quizzed = {(body.name, body.right) for body in bodies if isinstance(body, ev.QuizAnswered)}
    for step in plan(procedure).steps.values():
        if step.judge is not None:
            assert {(step.judge.name, key) for key in step.judge.answers} - judged == set()
        if step.quiz is not None:
            assert {(step.quiz.name, right) for right in (True, False)} - quizzed == set()


@pytest.mark.parametrize("procedure", LATER)
def test_every_reading_that_can_miss_is_missed(procedure: str) -> None:
    """Each reading with a limit is taken on both sides of it."""
    taken = {(e.step, e.body.verdict) for e in recorded(procedure) if isinstance(e.body, ev.ReadingTaken)}
    for step in steps_with(procedure, "reading"):
        assert step.reading is not None
        if step.reading.ok is not None:
            assert {(step.id, "ok"), (step.id, "miss")} - taken == set()


@pytest.mark.parametrize("procedure", LATER)
def test_every_way_on_is_gone(procedure: str) -> None:
    """Each `go` of each step, and each step's way on when no `go` holds, is taken by some walk."""
    moves = {(event.step, event.body.to) for event in recorded(procedure) if isinstance(event.body, ev.Moved)}
    whole = plan(procedure)
    ways = {(step.id, way.to) for step in whole.steps.values() for way in step.go}
    ways |= {(step, whole.next_of[step]) for step in whole.steps}
    assert ways - moves == set()


@pytest.mark.parametrize("procedure", LATER)
def test_every_prompt_comes_again_for_a_new_plate(procedure: str) -> None:
    """Where a plate can be spoiled, each stage where it can has a walk that spoils one there."""
    wanted = {stage.id for stage in plan(procedure).procedure.stages if stage.new_plate_from}
    spoiled = {event.body.stage for event in recorded(procedure) if isinstance(event.body, ev.PlateSpoiled)}
    assert wanted - spoiled == set()


def test_a_walk_is_named_after_its_procedure() -> None:
    """Each walk file of the later procedures begins with its procedure's name."""
    for procedure in LATER:
        assert {walked(file)[0].procedure for file in files(procedure)} == {procedure}
