"""Laying text out in the rows there are."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from textual.content import Content

from trainer.procedure.text import clean
from trainer.screens.page import Block, lay_out

PLAIN = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=80).map(clean)


def block(words: str, **kind: object) -> Block:
    """A block of plain words."""
    return Block(Content(words), **kind)  # type: ignore[arg-type] # fields of Block by their names


def characters(lines: tuple[Content, ...]) -> str:
    """What stands in lines, without blanks."""
    return "".join("".join(line.plain.split()) for line in lines)


@given(st.lists(PLAIN, max_size=5), st.integers(20, 120), st.integers(1, 40))
def test_no_character_of_what_is_needed_is_lost(texts: list[str], width: int, height: int) -> None:
    """Whatever the size, all that is needed stands in the lines, and no line is wider than asked for."""
    page = lay_out([block(words) for words in texts], width, height)
    assert characters(page.lines) == "".join("".join(words.split()) for words in texts)
    assert all(line.cell_length <= width for line in page.lines)


def test_gaps_go_before_words() -> None:
    """Where rows are short the empty lines go; where they suffice every block has its own."""
    blocks = [block("one"), block("two"), block("three")]
    assert [line.plain for line in lay_out(blocks, 20, 9).lines] == ["", "one", "", "two", "", "three"]
    assert [line.plain for line in lay_out(blocks, 20, 3).lines] == ["one", "two", "three"]


def test_what_is_spare_is_left_out_whole() -> None:
    """Spare blocks of one number stand all or not at all, and the page says that something was left out."""
    blocks = [block("needed"), block("spare one", spare=1), block("spare two", spare=1)]
    roomy, narrow = lay_out(blocks, 20, 9), lay_out(blocks, 20, 4)
    assert (roomy.whole, narrow.whole) == (True, False)
    assert "spare" not in characters(narrow.lines)


def test_the_highest_number_is_spared_first() -> None:
    """Padding of the band goes before anything spare; then goes what has the highest number."""
    blocks = [block("act", band="bold"), block("point", spare=1), block("reason", spare=2)]
    shown = [
        [line.plain.strip("▌ ") for line in lay_out(blocks, 20, height).lines] for height in (7, 6, 4, 2)
    ]
    assert shown[0] == ["", "act", "", "", "point", "", "reason"]
    assert shown[1] == ["act", "", "point", "", "reason"]
    assert shown[2] == ["act", "", "point"]
    assert shown[3] == ["act"]
    assert [lay_out(blocks, 20, height).whole for height in (6, 4)] == [True, False]


def test_every_line_of_an_option_belongs_to_it() -> None:
    """A click on any line of a wrapped option is a click on that option."""
    page = lay_out([block("ask"), block("a long answer that wraps", pick=1), block("b", pick=2)], 16, 20)
    picked = {number: page.lines[row].plain for row, number in page.picks.items()}
    assert set(picked) == {1, 2}
    assert len([row for row, number in page.picks.items() if number == 1]) == 2


def test_a_drawing_keeps_its_lines() -> None:
    """A fixed block is never wrapped, and its blanks stay."""
    drawing = Block(Content("+--+\n|  |\n+--+"), fixed=True)
    assert [line.plain for line in lay_out([drawing], 10, 10).lines][1:] == ["+--+", "|  |", "+--+"]


def test_what_is_far_from_the_keys_goes_last_and_farthest_first() -> None:
    """With no gap left to give, what the keys go to stays in sight, and what stands beside it the longest."""
    blocks = [block("act"), *(block(f"control {n}", far=abs(n - 4)) for n in range(6)), block("wait")]
    shown = [[line.plain for line in lay_out(blocks, 20, height).lines] for height in (8, 6, 5, 3)]
    assert len(shown[0]) == 8
    assert shown[1] == ["act", "control 2", "control 3", "control 4", "control 5", "wait"]
    assert shown[2] == ["act", "control 3", "control 4", "control 5", "wait"]
    assert shown[3] == ["act", "control 4", "wait"]
    assert not lay_out(blocks, 20, 6).whole
    assert len(lay_out(blocks, 20, 2).lines) == 8
