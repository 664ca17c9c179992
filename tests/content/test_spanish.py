"""The Spanish of the two-burn procedure is held to the rules of the English. Common practice, no source."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shipped import file_of, plan, quizzes
from test_texts import MOST

from trainer.procedure import levels
from trainer.procedure.reader import read_tree
from trainer.procedure.text import in_language

PROCEDURE = "negative-plate-two-burns"
KINDS = {
    "skills": "skill",
    "cautions": "caution",
    "key_points": "key point",
    "answers": "answer",
    "choices": "answer",
    "choice": "answer",
    "order": "answer",
    "avoid": "avoid",
}
"""What a text is called by the key above it; else by its own key."""


def pairs() -> Iterator[tuple[str, str, str, str]]:
    """Every text of the file: where it is, what it is, English, Spanish."""
    tree = read_tree(file_of(PROCEDURE).read_bytes(), PROCEDURE)
    for pattern in levels.TEXTS:
        for path, text in levels.matching(tree.value, pattern):
            assert isinstance(text, dict), path
            english, spanish = str(text["en"]), str(text["es"])
            kind = KINDS.get(str(path[-2]) if len(path) > 1 else "", str(path[-1]))
            yield ".".join(map(str, path)), kind, english, spanish


def test_every_spanish_text_is_short() -> None:
    """No Spanish text is longer than its place takes, which is no longer than for English."""
    long = [
        (where, kind, len(said))
        for where, kind, _, said in pairs()
        if len(said) > MOST.get(kind, MOST["title"])
    ]
    assert long == []


def test_every_text_is_translated_with_its_numbers() -> None:
    """More than 500 texts; each differs from the English, and has the same digits in the same order."""
    found = list(pairs())
    assert len(found) > 500
    same = [where for where, _, english, spanish in found if english == spanish]
    assert same == []
    differ = [
        where
        for where, _, english, spanish in found
        if re.findall(r"\d+", english) != re.findall(r"\d+", spanish)
    ]
    assert differ == []


def test_a_spanish_reason_is_one_or_two_sentences() -> None:
    """No reason runs to three sentences, no name stands in one, and what is asked opens with its sign."""
    for where, kind, _, said in pairs():
        if kind == "why":
            assert len(re.findall(r"[.?!](?:\s|$)", said)) <= 2, where
        assert re.findall(r"(?<![.?!:]) ([A-ZÁÉÍÓÚÑ][a-záéíóúñ]+)", said) == [], where
        assert said.count("?") == said.count("¿"), where


def test_the_right_answer_is_not_the_longest_every_time() -> None:
    """Of the questions with one right answer, it is the longest in less than half."""
    longest = asked = 0
    for quiz in quizzes(PROCEDURE):
        if quiz.choice:
            lengths = {key: len(in_language(words, "es")) for key, words in quiz.choice.items()}
            asked += 1
            longest += max(lengths, key=lambda key: lengths[key]) == quiz.right
    assert asked
    assert longest < asked / 2


def test_acts_that_differ_in_english_differ_in_spanish() -> None:
    """At solo acts are told apart by their words: two with the same Spanish have the same English."""
    english: dict[str, set[str]] = {}
    for step in plan(PROCEDURE).steps.values():
        if step.do is not None:
            english.setdefault(in_language(step.do, "es"), set()).add(in_language(step.do))
    assert [said for said, others in english.items() if len(others) > 1] == []
