"""The large digits and letters."""

from __future__ import annotations

import pytest

from trainer.screens import figures, words


@pytest.mark.parametrize("digit", list("0123456789"))
def test_a_digit_is_seven_rows_by_six_cells(digit: str) -> None:
    """Each digit is 7 rows high and 6 cells wide, the least that can be read from two metres (design)."""
    shape = figures.big(digit)
    assert len(shape) == 7
    assert {len(row) for row in shape} == {6}


def test_no_two_digits_look_the_same() -> None:
    """Any two digits differ in at least three cells of their shape."""
    shapes = {digit: "".join(figures.big(digit)) for digit in "0123456789"}
    for digit, shape in shapes.items():
        for other, against in shapes.items():
            differing = sum(left != right for left, right in zip(shape, against, strict=True))
            assert differing >= 3 or digit == other


@pytest.mark.parametrize("word", [*words.SIGNALS.values(), "TIME", "OPEN", "CLOSING", "LATE"])
def test_every_word_that_is_shown_large_has_its_letters(word: str) -> None:
    """Signal words and ringing words can be drawn, in seven rows and in four, all rows of one width."""
    assert figures.has_shapes(word)
    for shape, rows in ((figures.big(word), 7), (figures.half(word), 4)):
        assert len(shape) == rows
        assert len({len(row) for row in shape}) == 1


def test_four_rows_show_the_same_dots_as_seven() -> None:
    """The low shape is the high one, two dots to a cell."""
    dots = {" ": "  ", "▀": "█ ", "▄": " █", "█": "██"}
    low = figures.half("-5.,8+")
    for column in range(len(low[0])):
        seen = "".join(dots[row[column]] for row in low)
        assert seen[:7] == "".join(row[column] for row in figures.big("-5.,8+", gap=1))
