"""The two-burn procedure holds what a whole plate wants, counted from the loaded file."""

from __future__ import annotations

import pytest
from shipped import plan, quizzes, steps_with, task

TWO_BURNS = "negative-plate-two-burns"
STAGES = ["inspection", "punching", "vacuum", "exposure", "development", "rinse", "gumming", "closing"]


def test_all_seven_stages_and_the_closing() -> None:
    """The stages are those that the trade names, in order, with the closing after them."""
    assert [stage.id for stage in plan(TWO_BURNS).procedure.stages] == STAGES


@pytest.mark.parametrize(
    ("key", "least"),
    [
        ("hazard", 8),
        ("quiz", 12),
        ("reading", 5),
        ("wait", 6),
        ("judge", 4),
        ("work_out", 1),
        ("sign_off", 1),
    ],
)
def test_enough_of_each_task(key: str, least: int) -> None:
    """The file has at least so many steps with this task."""
    assert len(steps_with(TWO_BURNS, key)) >= least


def test_enough_acts() -> None:
    """At least 35 steps say what to do with the hands, asides not counted."""
    acts = [
        step
        for step in plan(TWO_BURNS).steps.values()
        if step.do is not None and not step.aside and task(step) in ("none", "wait", "reading", "judge")
    ]
    assert len(acts) >= 35


def test_questions_of_all_four_kinds() -> None:
    """One of several, all that hold, a number and an order are each asked for."""
    kinds = {
        kind
        for quiz in quizzes(TWO_BURNS)
        for kind in ("choice", "choices", "number", "order")
        if getattr(quiz, kind) is not None
    }
    assert kinds == {"choice", "choices", "number", "order"}


def test_waits_of_all_three_forms() -> None:
    """There are countdowns, windows, and a dose for each of the two burns."""
    waits = [step.wait for step in steps_with(TWO_BURNS, "wait") if step.wait]
    assert sum(wait.for_ is not None for wait in waits) >= 1
    assert sum(wait.at_least is not None and wait.at_most is not None for wait in waits) >= 1
    assert [wait.dose for wait in waits if wait.dose is not None] == ["settings.exposure"] * 2


def test_judgements_branch_to_asides() -> None:
    """Every judgement on the main way has at least one answer that leads to an aside."""
    whole = plan(TWO_BURNS)
    for step in steps_with(TWO_BURNS, "judge"):
        if not step.aside:
            assert any(whole.steps[way.to].aside for way in step.go), step.id


def test_a_way_back_wherever_a_plate_can_be_spoiled() -> None:
    """From the first touch of a plate to its last look a spoiled plate leads to a new one, elsewhere not."""
    back = {stage.id: stage.new_plate_from for stage in plan(TWO_BURNS).procedure.stages}
    assert back == {stage: None if stage in ("inspection", "closing") else "wash-hands" for stage in STAGES}


def test_a_plate_that_is_not_yet_good_has_a_way() -> None:
    """The instructor's `not yet` leads to an aside, and from there back to the last look."""
    whole = plan(TWO_BURNS)
    signed = whole.steps["instructor-looks"]
    assert signed.sign_off is not None
    assert signed.sign_off.of == "last-look"
    assert [way.to for way in signed.go] == ["not-yet"]
    assert whole.next_of["not-yet"] == "last-look"


def test_nothing_is_asked_while_developer_or_water_is_on_the_plate() -> None:
    """From the pouring to the first gum no question and no safety prompt holds the trainee up."""
    order = [step.id for step in plan(TWO_BURNS).steps.values() if not step.aside]
    wet = order[order.index("pour") : order.index("spread-gum") + 1]
    assert not {task(plan(TWO_BURNS).steps[step]) for step in wet} & {
        "quiz",
        "hazard",
        "work_out",
        "sign_off",
    }


def test_who_may_work_alone_is_stated() -> None:
    """The file states how many solo runs, all hazards, a passed plate, and when to refresh."""
    whole = plan(TWO_BURNS).procedure
    assert whole.ready is not None
    assert (whole.ready.solo_runs, whole.ready.hazards, whole.ready.plate) == (3, "all", "passes")
    assert whole.refresh_after is not None
    assert all(
        step.skill is not None for step in plan(TWO_BURNS).steps.values() if task(step) in ("reading", "quiz")
    )
