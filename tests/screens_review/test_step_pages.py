"""The pages of steps and safety prompts: what leads, what is said, what opens."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import pytest
from review_values import (
    AT_STEP,
    FACTS,
    HAZARDS,
    LARGE,
    PLATES,
    REVIEW,
    RUNS,
    SMALL,
    STEPS,
    HandDesk,
    cells,
    opened,
    paragraphs,
    shown,
    step,
)

from trainer.insight.at_step import AtStep, Done, Person
from trainer.insight.intervals import rate
from trainer.screens.review import hazards_rows, step_rows, steps_rows
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens

NAMES = {
    "draw-down": "Close the glass and start the pump.",
    "read-gauge": "Read the gauge.",
    "rub": "Rub all over until the coating is gone.",
    "rinse": "Rinse both sides.",
}


def desk(**orders: int) -> Desk:
    """A desk by hand; it has what these pages ask for."""
    return cast("Desk", HandDesk(orders=orders))


@pytest.mark.parametrize(
    ("order", "first"),
    [
        (0, ["read-gauge", "rub", "rinse", "draw-down"]),
        (1, ["rinse", "read-gauge", "rub", "draw-down"]),
        (2, ["rub", "draw-down", "rinse", "read-gauge"]),
        (3, ["rub", "rinse", "draw-down", "read-gauge"]),
        (4, ["draw-down", "read-gauge", "rub", "rinse"]),
    ],
)
def test_steps_stand_in_the_order_chosen(order: int, first: list[str]) -> None:
    """Misses by the lower end of the interval (1 of 2 does not lead), hesitation, time, plates, file."""
    leaf = steps_rows.leaf(desk(steps=order), (), SMALL)
    assert cells(leaf, 0) == [NAMES[name] for name in first]
    assert leaf.orders[order] in steps_rows.ORDERS


def test_a_step_says_its_figures_and_opens_its_page() -> None:
    """Misses as a count, never a bare percentage; the row opens the step."""
    leaf = steps_rows.leaf(desk(), (), SMALL)
    assert cells(leaf, 1)[:2] == ["21 of 60", "12 of 58"]
    assert "%" not in "".join(cells(leaf, 1))
    assert paragraphs(leaf)[0].endswith("First: Read the gauge. 21 of 60 (interval 24 to 48 %).")
    assert opened(leaf)[0] == Opens("step", (PLATES, "read-gauge"))


def test_the_table_of_steps_fits_both_sizes() -> None:
    """At 80 columns as at 120 no row is wider than the room, and the wide one says more."""
    for size in (SMALL, LARGE):
        leaf = steps_rows.leaf(desk(), (), size)
        assert max(len(row) for row in shown(leaf, size.width).split("\n")) <= size.width
    assert "hints" in shown(steps_rows.leaf(desk(), (), LARGE), LARGE.width)


def test_other_procedures_open_on_the_same_page() -> None:
    """The procedure with most steps comes first; the others are named below it."""
    other = replace(step("rub", (1, 9), 1, 1), procedure="test-strip")
    there = cast("Desk", HandDesk(replace(REVIEW, steps=(other, *STEPS))))
    leaf = steps_rows.leaf(there, (), SMALL)
    assert leaf.title == "Steps: Plate, two burns"
    assert opened(leaf)[-1] == Opens("steps", ("test-strip",))
    assert steps_rows.leaf(there, ("test-strip",), SMALL).title == "Steps: test-strip"


def test_without_steps_a_sentence_stands() -> None:
    """An empty record, or a filter that leaves nothing, is said."""
    empty = cast("Desk", HandDesk(replace(REVIEW, steps=(), hazards=())))
    assert "No step" in shown(steps_rows.leaf(empty, (), SMALL))
    assert "Nobody has worked" in shown(step_rows.leaf(empty, (PLATES, "rub"), SMALL))
    assert "No safety prompt" in shown(hazards_rows.leaf(empty, (), SMALL))
    assert "was not shown" in shown(hazards_rows.one(empty, (PLATES, "x"), SMALL))


def test_the_page_of_a_step_says_all_of_it() -> None:
    """Misses with interval, time and hesitation with spread, what was done, what was lost, who."""
    leaf = step_rows.page(STEPS[2], REVIEW, FACTS, AT_STEP, SMALL)
    text = " ".join(shown(leaf).split())
    for said in (
        "Missed in 12 of 58 (interval 12 to 33 %).",
        "Takes, pauses and waits taken out: median 1 min 36 s, half of them between 1 min 17 s and 2 min",
        "Hesitates before the first act: median 3.5 s, half of them between 2.1 s and 7.0 s, of 60.",
        "5 plates: scratched (T-02, T-09)",
        "2 plates: scratched, in rehearsals (T-02)",
        "T-02 6 of 9",
    ):
        assert said in text
    spots = opened(leaf)
    assert [spot.runs for spot in spots if spot.page == "rests"] == [RUNS] * 3
    acts = [spot.runs for spot in spots if spot.page == "acts"]
    assert acts == [("r1/9", "r2/9"), ("r1/7",), ("r3/8",), ("r1/7", "r1/9"), ("r2/9",)]


def test_what_never_happened_is_left_out() -> None:
    """No counts of nought in the line under the name."""
    row = replace(STEPS[1], hints=0, again=0, slips=1)
    said = paragraphs(step_rows.page(row, REVIEW, FACTS, AtStep((), ()), SMALL))[1]
    assert said == "Vacuum. Shown 60 times to 14 trainees, 1 slip of the keys, which count against nobody."


def test_who_misses_most_comes_first() -> None:
    """Trainees stand by the lower end of their interval."""
    leaf = step_rows.page(STEPS[2], REVIEW, FACTS, replace(AT_STEP, people=AT_STEP.people[::-1]), SMALL)
    assert cells(leaf, 0) == ["T-02", "T-09"]


def test_of_whom_there_is_nothing_to_say_is_named_in_a_line() -> None:
    """Trainees without mark, key points or lost plates have no rows of dashes."""
    quiet = tuple(Person(code, rate(0, 0), 0, 0, ()) for code in ("T-04", "T-05"))
    alone = shown(step_rows.page(STEPS[0], REVIEW, FACTS, AtStep((), quiet), SMALL))
    assert "Done by T-04, T-05." in alone
    assert "key points plates" not in alone
    beside = shown(step_rows.page(STEPS[1], REVIEW, FACTS, AtStep((), (*AT_STEP.people, *quiet)), SMALL))
    assert "Nothing more of T-04, T-05." in beside


def test_the_step_of_a_safety_prompt_says_what_it_warns_of() -> None:
    """A prompt has no act; its harm stands for it."""
    row = replace(STEPS[0], step="mind-the-glass")
    assert (
        step_rows.page(row, REVIEW, FACTS, AtStep((), ()), SMALL).title
        == "Step: The frame can crush fingers."
    )


def test_a_step_that_asks_leads_to_its_question() -> None:
    """A step at which a question is asked opens the question's page."""
    row = replace(STEPS[0], step="ask-vacuum")
    leaf = step_rows.page(row, REVIEW, FACTS, AtStep((), ()), SMALL)
    assert Opens("question", (PLATES, "why_vacuum")) in opened(leaf)


def test_many_kinds_of_things_done_are_added_up() -> None:
    """Twelve different readings: the first eight, then the rest in one line that opens them all."""
    many = tuple(Done(f"{place} inHg", ((f"r{place}", 1),), good=False) for place in range(12))
    leaf = step_rows.page(STEPS[1], REVIEW, FACTS, AtStep(many, ()), SMALL)
    assert "4 other ones, 4 times in all" in shown(leaf)
    last = [spot for spot in opened(leaf) if spot.page == "acts"][-1]
    assert last.runs == ("r8/1", "r9/1", "r10/1", "r11/1")


def test_nothing_marked_is_said() -> None:
    """A step without marked attempts has no strip of nothing."""
    assert "Nothing is marked at this step." in shown(
        step_rows.page(STEPS[0], REVIEW, FACTS, AtStep((), ()), SMALL)
    )


def test_hostile_words_stand_as_they_are() -> None:
    """Marks in a procedure's words and a trainee's reason are shown, whole."""
    said = "[CAUTION] [x] 5 [cm] [@click=app.quit]go[/]"
    steps = dict(FACTS.steps) | {"rub": replace(FACTS.steps["rub"], words=said)}
    facts = replace(FACTS, steps=steps)
    spoiled = (replace(REVIEW.spoiled[0], reason=said),)
    leaf = step_rows.page(STEPS[2], replace(REVIEW, spoiled=spoiled), facts, AT_STEP, LARGE)
    assert said in leaf.title
    assert said in shown(leaf, LARGE.width)


@pytest.mark.parametrize(
    ("order", "first"),
    [(0, "The frame can crush fingers."), (1, "Developer burns eyes."), (2, "The frame can crush fingers.")],
)
def test_safety_prompts_stand_in_the_order_chosen(order: int, first: str) -> None:
    """By what was accepted too fast, by what was passed by, by the procedure."""
    assert cells(hazards_rows.leaf(desk(hazards=order), (), SMALL), 0)[0] == first


def test_all_safety_prompts_in_a_sentence() -> None:
    """Sums over the prompts: 9 and 1 of 60 and 58, by two trainees, two passed by."""
    assert hazards_rows.told(HAZARDS) == (
        "Accepted too fast to be read: 10 of 118, by 2 trainees. Passed by without being accepted: 2."
    )


def test_a_safety_prompt_says_who_and_what_it_protects() -> None:
    """Who was too fast, each opening the trainee; the steps it stands before; that it proves no fault."""
    leaf = hazards_rows.one(desk(), (PLATES, "mind-the-glass"), SMALL)
    spots = opened(leaf)
    assert [spot for spot in spots if spot.page == "trainee"] == [
        Opens("trainee", (code,)) for code in ("T-02", "T-09")
    ]
    assert Opens("step", (PLATES, "draw-down")) in spots
    text = " ".join(shown(leaf).split())
    assert "accepted too fast to be read: 9 of 60 (interval 8 to 26 %)" in text
    assert "ask before you judge" in text
