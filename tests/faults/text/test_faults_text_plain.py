"""A whole run in lines of text through a hostile procedure, with hostile words typed."""

from __future__ import annotations

from pathlib import Path

import pytest
from hostile_hand import whole_run
from hostile_procedure import procedure
from hostile_texts import MARK, MARKS, SHAPES, leaks, texts_of

from trainer.run import session
from trainer.screens import lines, questions

NOT_SAID = ("item", "title", "summary", "skill", "because", "stage", "second stage")
"""Texts that a run in lines does not say, or says only after a wrong answer."""


def test_every_text_of_a_procedure_is_said_as_it_stands(tmp_path: Path) -> None:
    """Every mark of every text of the procedure is in the lines; nothing a terminal obeys is."""
    said = f"{MARK} {' '.join(MARKS)}"
    came = whole_run(tmp_path, said)
    assert leaks(came) == []
    wanted = [text for text in texts_of(procedure(said)) if text.startswith(said)]
    missing = [text[len(said) :] for text in wanted if text not in came]
    assert [letter for letter in missing if not letter.strip().startswith(NOT_SAID)] == []


@pytest.mark.parametrize("shape", SHAPES)
def test_odd_shapes_are_said_as_they_stand(shape: str, tmp_path: Path) -> None:
    """Long, wide, combining and joined texts come through a whole run unchanged."""
    came = whole_run(tmp_path, SHAPES[shape])
    assert f"{SHAPES[shape]} last." in came
    assert leaks(came) == []


def test_typed_words_that_are_not_cleaned_are_caught(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the cleaning taken out of the reader, the questions and the run, a typed control comes back."""
    monkeypatch.setattr(lines, "one_line", str)
    monkeypatch.setattr(questions, "clean", str)
    monkeypatch.setattr(session, "clean", str)
    assert leaks(whole_run(tmp_path, "Plain words"))
