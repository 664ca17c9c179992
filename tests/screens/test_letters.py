"""The large letters of the act."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.screens.letters import LINE, MOST_LINES, SHAPES, large

SPANISH = "áéíóúüñÁÉÍÓÚÑ¿¡"


def test_every_letter_and_digit_has_a_shape_of_its_own() -> None:
    """No two characters look the same, and each is of one width from top to bottom."""
    wanted = string.ascii_letters + string.digits + ".,:;!?'\"()-/+% " + SPANISH
    assert set(wanted) == set(SHAPES)
    assert len(set(SHAPES.values())) == len(SHAPES)
    for character, rows in SHAPES.items():
        assert len({len(row) for row in rows}) == 1, character
        assert len(rows) == 2 * LINE


@given(st.text(alphabet=string.ascii_letters + " .,", max_size=80), st.integers(20, 120))
def test_large_letters_keep_to_their_width_and_lose_no_word(text: str, width: int) -> None:
    """A text is drawn within its width, in whole lines of five rows, or not at all."""
    rows = large(text, width)
    if rows is None:
        return
    assert len(rows) % LINE == 0
    assert len(rows) <= LINE * MOST_LINES
    assert all(len(row) <= width for row in rows)
    alone = sum(row.count("█") for word in text.split() for row in large(word, width) or ())
    assert sum(row.count("█") for row in rows) == alone


@pytest.mark.parametrize("text", ["", "   ", "Größe", "24 °C", "[x]", "漢字", "a\x1b[2J"])
def test_what_has_no_shape_is_not_drawn_large(text: str) -> None:
    """A text with a character that has no large shape is left to plain letters, whole."""
    assert large(text, 200) is None


def test_a_word_wider_than_the_screen_is_not_drawn_large() -> None:
    """A word is never broken in the middle."""
    assert large("exposure", 20) is None
    assert large("exposure", 60) is not None
