"""Texts of the shipped procedures are short enough for an arm's length, and name nobody."""

from __future__ import annotations

import re

import pytest
from shipped import IDS, LATER, options, plan, quizzes, texts

MOST = {
    "title": 60,
    "label": 30,
    "skill": 60,
    "do": 70,
    "key point": 60,
    "avoid": 60,
    "why": 130,
    "harm": 90,
    "miss": 100,
    "ask": 110,
    "answer": 70,
    "because": 220,
    "show": 90,
    "caution": 90,
    "summary": 180,
}
PROPER = frozenset(["Copper", "Lane", "Print", "Workshop"])


@pytest.mark.parametrize("procedure", IDS)
def test_every_text_is_short(procedure: str) -> None:
    """No text is longer than its place on a screen of 80 columns takes at an arm's length."""
    long = [(step, kind, len(text)) for step, kind, text in texts(procedure) if len(text) > MOST[kind]]
    assert long == []


@pytest.mark.parametrize("procedure", IDS)
def test_few_key_points(procedure: str) -> None:
    """No act has more than four key points."""
    assert [step.id for step in plan(procedure).steps.values() if len(step.key_points) > 4] == []


@pytest.mark.parametrize("procedure", IDS)
def test_a_reason_is_one_or_two_sentences(procedure: str) -> None:
    """No reason runs to three sentences."""
    reasons = [(step, text) for step, kind, text in texts(procedure) if kind == "why"]
    assert [step for step, text in reasons if len(re.findall(r"[.?!](?:\s|$)", text)) > 2] == []


@pytest.mark.parametrize("procedure", IDS)
def test_no_name_of_a_maker_person_or_place(procedure: str) -> None:
    """No trade mark sign, and inside a sentence no capital but those of the invented workshop."""
    for step, _, text in texts(procedure):
        assert not re.search(r"[®™©]", text), step
        inside = re.findall(r"(?<![.?!:])(?<!^) ([A-Z][A-Za-z]+)", text)
        assert [word for word in inside if word not in PROPER] == [], (step, text)


@pytest.mark.parametrize("procedure", IDS)
def test_the_workshop_is_labelled_invented(procedure: str) -> None:
    """The summary says that the workshop is invented, and the file's head says it by name."""
    whole = plan(procedure)
    assert "invented" in str(whole.procedure.summary)
    head = whole.source.decode().split("format:", maxsplit=1)[0]
    assert "Copper Lane Print Workshop" in head
    assert "invented" in head


@pytest.mark.parametrize("procedure", ["negative-plate-two-burns", *LATER])
def test_a_right_answer_is_not_told_by_its_length(procedure: str) -> None:
    """Among questions with one right answer it is the longest, and alone so, in half of them at most."""
    longest = []
    for quiz in quizzes(procedure):
        if quiz.choice:
            lengths = {key: len(words) for key, words in options(quiz).items()}
            right = lengths.pop(str(quiz.right))
            longest.append(right > max(lengths.values()))
    assert sum(longest) <= len(longest) / 2


def test_steps_of_the_wedge_in_the_questions() -> None:
    """By 0.15 a step: 20 units from step 4 to 6 are 39.9, 36 from 1 to 3 are 71.8; three steps are 2.82."""
    by_name = {quiz.name: quiz for procedure in IDS for quiz in quizzes(procedure)}
    two = by_name["two_steps"]
    assert two.number is not None
    assert abs(float(str(two.right)) - 20 * 10 ** (0.15 * 2)) < two.number.within
    assert 2.8 <= 10 ** (0.15 * 3) < 3
    assert "about 2.8" in str(by_name["direction"].because)
    clearer = by_name["more_light"]
    assert clearer.number is not None
    assert abs(float(str(clearer.right)) - 36 * 10 ** (0.15 * 2)) < clearer.number.within
