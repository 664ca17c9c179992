"""The pages of questions: which ask to be looked at, what is said of them, what was answered."""

from __future__ import annotations

import locale
from dataclasses import replace
from typing import cast

import pytest
from review_values import (
    LARGE,
    PLATES,
    QUESTIONS,
    RELIABILITY,
    REVIEW,
    RUNS,
    SMALL,
    HandDesk,
    cells,
    opened,
    shown,
)

from trainer.insight.intervals import rate
from trainer.insight.questions import REMARKS
from trainer.insight.results import Interval, QuestionRow, Review
from trainer.screens.review import question_rows, question_words, questions_rows
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens

VACUUM, RINSE, EYES = QUESTIONS


@pytest.fixture(autouse=True)
def _line_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal with line drawing, whatever the locale of the machine that runs the tests."""
    monkeypatch.setattr(locale, "getencoding", lambda: "utf-8")


def desk(review: Review = REVIEW, **orders: int) -> Desk:
    """A desk by hand; it has what these pages ask for."""
    return cast("Desk", HandDesk(review, orders=orders))


def text(row: QuestionRow) -> str:
    """The page of one question, its line breaks taken out."""
    there = desk(replace(REVIEW, questions=(row,)))
    return " ".join(shown(question_rows.leaf(there, (row.procedure, row.name), SMALL)).split())


def test_every_remark_has_its_words() -> None:
    """Each remark that can be found has a short word and a paragraph, and no other has."""
    assert question_words.SHORT.keys() == question_words.LONG.keys() == REMARKS.keys()


@pytest.mark.parametrize(
    ("order", "names"),
    [(0, [RINSE, VACUUM, EYES]), (1, [RINSE, VACUUM, EYES]), (2, [VACUUM, RINSE, EYES])],
)
def test_questions_stand_in_the_order_chosen(order: int, names: list[QuestionRow]) -> None:
    """What asks to be looked at, what is hardest, the procedure's order."""
    leaf = questions_rows.leaf(desk(questions=order), (), SMALL)
    assert cells(leaf, 0) == [row.ask for row in names]
    assert opened(leaf)[0] == Opens("question", (PLATES, names[0].name))


def test_a_question_in_a_row() -> None:
    """A count, a figure, and in a few words what to look at; its interval where there is room."""
    small, large = (questions_rows.leaf(desk(), (), size) for size in (SMALL, LARGE))
    assert cells(small, 1) == ["4 of 14", "11 of 14", "14 of 14"]
    assert cells(small, 3) == ["-0.35", "+0.41", "-"]
    assert cells(large, 3)[0] == "-0.35 (-0.70 to +0.20)"
    assert cells(small, 4) == ["! check the key +1", "an unused answer", "everybody right"]


def test_reliability_carries_its_caveat() -> None:
    """The figure with its interval, what it rests on, and that a small class is provisional."""
    leaf = questions_rows.leaf(desk(), (), LARGE)
    said = " ".join(shown(leaf, LARGE.width).split())
    assert "Reliability (KR-20) 0.52, interval 0.10 to 0.80, from 3 questions, 14 trainees." in said
    assert "Under 30 trainees: provisional." in said
    assert opened(leaf)[-1].runs == list(RUNS)
    firm = replace(REVIEW, reliability=(replace(RELIABILITY, provisional=False),))
    assert "provisional" not in shown(questions_rows.leaf(desk(firm), (), LARGE), LARGE.width)
    none = replace(REVIEW, reliability=(replace(RELIABILITY, alpha=None, interval=None, sem=None),))
    assert "cannot be told from 3 questions, 14 trainees" in shown(
        questions_rows.leaf(desk(none), (), LARGE), 118
    )


@pytest.mark.parametrize(
    ("value", "interval", "said"),
    [
        (0.41, (0.02, 0.75), "it tells them apart (+0.41, interval +0.02 to +0.75"),
        (-0.5, (-0.8, -0.1), "do badly on this one (-0.50"),
        (0.1, (-0.4, 0.6), "Too few answers to say whether it tells"),
        (None, None, "cannot be said: too few answers, or all of them the same"),
    ],
)
def test_discrimination_is_said_with_its_doubt(
    value: float | None, interval: tuple[float, float] | None, said: str
) -> None:
    """What lies on both sides of nought is not called either."""
    found = None if interval is None else Interval(*interval, "point-biserial")
    assert said in text(replace(VACUUM, discrimination=value, discrimination_interval=found))


def test_an_easy_safety_question_is_as_it_should_be() -> None:
    """That everybody has it right is praised there, and a thought elsewhere."""
    assert "Everybody has it right. It tells nobody apart" not in text(EYES)
    assert "that everybody has it right is the aim" in text(EYES)
    assert "Everybody has it right. It tells nobody apart" in text(replace(EYES, safety=False))


def test_answers_have_bars_and_the_right_one_its_mark() -> None:
    """Each answer in its words, whole, with its count; the right one with a sign and a word."""
    said = text(VACUUM)
    assert "> Light creeps under the edges where they do not" in said
    assert "11 of 14 right" in said
    assert "The pump would stop 0 of 14" in said
    short = replace(VACUUM, options=tuple(replace(one, words=one.key) for one in VACUUM.options))
    assert "> a █" in text(short)


@pytest.mark.parametrize("width", [40, 78, 118])
def test_answers_fit_their_room(width: int) -> None:
    """Long words are wrapped and never cut."""
    said = "[CAUTION] " + "a very long answer with words " * 5
    row = replace(VACUUM, options=(replace(VACUUM.options[0], words=said), *VACUUM.options[1:]))
    lines = [line.plain for line in question_rows.drawn(row, width)]
    assert max(len(line) for line in lines) <= width
    assert "[CAUTION] a very long answer" in " ".join(" ".join(lines).split())


def test_a_question_that_is_gone_is_said() -> None:
    """A filter that leaves no answer, and a class without questions."""
    none = replace(REVIEW, questions=(), reliability=())
    assert "Nobody answered it" in shown(question_rows.leaf(desk(none), (PLATES, "eyes"), SMALL))
    assert "No question was answered" in shown(questions_rows.leaf(desk(none), (), SMALL))
    unanswered = replace(VACUUM, first_right=rate(0, 0), all_right=rate(0, 0), remarks=("few",))
    assert "Nobody has answered it yet." in text(unanswered)


def test_a_question_leads_to_its_step() -> None:
    """There every answer stands, and who gave it."""
    leaf = question_rows.leaf(desk(), (PLATES, "why_vacuum"), SMALL)
    assert opened(leaf)[-1] == Opens("step", (PLATES, "ask-vacuum"))
    assert opened(leaf)[0].runs == RUNS
