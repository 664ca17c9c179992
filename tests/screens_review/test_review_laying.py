"""A leaf laid out, and moving over it: widths, spots, the head in sight, where the bar goes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.content import Content

from trainer.screens.review.laying import Laid, fitted, lay
from trainer.screens.review.leaf import (
    Cell,
    Column,
    Drawing,
    Heading,
    Leaf,
    Opens,
    Table,
    Words,
    rests,
    rests_on_acts,
)
from trainer.screens.review.moving import Place, begun, kept, moved

HERE = Opens("here")


def table(rows: int, spots: int = 1) -> Table:
    """A table whose rows open as many things."""
    columns = tuple(Column(f"col {number}", 10) for number in range(spots))
    return Table(columns, tuple(_row(str(row), spots) for row in range(rows)))


def _row(row: str, spots: int) -> tuple[Cell, ...]:
    places = [str(number) for number in range(spots)]
    return tuple(Cell(f"cell {row} {place}", "", Opens("cell", (row, place))) for place in places)


@given(st.text(max_size=30), st.integers(1, 20), st.booleans())
def test_a_cell_takes_exactly_its_width(text: str, width: int, right: bool) -> None:
    """Whatever letters a text has, wide ones too, it takes the cells it has, no more and no fewer."""
    text = "".join(letter for letter in text if letter.isprintable())
    assert fitted(text, width, right=right).cell_length == width


@given(st.integers(8, 140), st.text(alphabet="ab [$]/漢", max_size=200))
def test_no_line_is_wider_than_the_page(width: int, text: str) -> None:
    """Paragraphs are wrapped, tables and plots cut; none is wider than the page."""
    items = (Heading(text), Words(text, first="!! "), table(2, 3), Drawing(lambda _: [Content(text)]))
    made = lay(Leaf("", items), width)
    assert max(line.cell_length for line in made.lines) <= max(8, width)


def test_markup_stands_as_it_was_written() -> None:
    """Brackets in a text are text."""
    made = lay(Leaf("", (Words("[CAUTION] 5 [cm] [/]"), Heading("[x]"))), 40)
    assert [line.plain for line in made.lines if line.plain] == ["[CAUTION] 5 [cm] [/]", "[x]"]


def test_spots_of_a_table_are_cells_or_the_whole_line() -> None:
    """Where one cell of a row opens, the bar takes the line; where several do, the cell."""
    one, two = lay(Leaf("", (table(1),)), 40), lay(Leaf("", (table(1, 2),)), 40)
    assert [(spot.start, spot.end) for spot in one.spots] == [(0, 0)]
    assert [(spot.start, spot.end) for spot in two.spots] == [(0, 10), (11, 21)]
    assert two.lines[1].plain[11:21] == "cell 0 1  "


def test_what_something_rests_on() -> None:
    """Runs and acts open the common page; nothing opens where there are none."""
    assert rests("Why", []) is None
    assert rests_on_acts("Why", []) is None
    found = rests("Why", ["r1", "r2"])
    assert found is not None
    assert (found.page, found.keys, found.runs) == ("rests", ("Why",), ["r1", "r2"])
    acts = rests_on_acts("Why", [("r1", 4)])
    assert acts is not None
    assert acts.runs == ("r1/4",)


def laid_table(rows: int, spots: int = 2) -> Laid:
    """A heading and a table under it."""
    return lay(Leaf("", (Heading("Over it"), table(rows, spots), Words("The end"))), 60)


def under(made: Laid, place: Place) -> tuple[str, ...]:
    """What the bar is on."""
    return made.spots[place.spot].opens.keys


def test_arrows_go_from_cell_to_cell() -> None:
    """Right and Left stay in the row, Down and Up in the column, and the ends hold."""
    made, place = laid_table(5), Place()
    for key, there in (
        ("right", ("0", "1")),
        ("right", ("0", "1")),
        ("down", ("1", "1")),
        ("left", ("1", "0")),
        ("left", ("1", "0")),
        ("up", ("0", "0")),
        ("up", ("0", "0")),
        ("end", ("4", "1")),
        ("home", ("0", "0")),
    ):
        place = moved(made, 10, place, key)
        assert under(made, place) == there


@pytest.mark.parametrize("height", [3, 5, 9])
def test_the_bar_is_in_sight_and_not_under_the_head(height: int) -> None:
    """Going down and up row by row, the bar is always in sight, below the head that covers the first row."""
    made, place = laid_table(30), Place()
    for key in ["down"] * 29 + ["up"] * 29:
        place = moved(made, height, place, key)
        spot = made.spots[place.spot]
        covered = any(head < place.top <= end for head, end in made.heads)
        assert place.top + covered <= spot.line < place.top + height
    assert under(made, place) == ("0", "0")


def test_pages_and_sections() -> None:
    """Page keys go by pages and end at the ends; Tab goes from heading to heading and round."""
    made, place = laid_table(30), Place()
    seen = []
    for _ in range(6):
        place = moved(made, 10, place, "pagedown")
        seen.append(int(under(made, place)[0]))
    assert seen == sorted(seen)
    assert seen[-1] == 29
    for _ in range(6):
        place = moved(made, 10, place, "pageup")
    assert under(made, place) == ("0", "0")
    parts = lay(Leaf("", (Heading("A"), table(3), Heading("B"), table(3))), 60)
    second = moved(parts, 20, Place(), "tab")
    assert parts.spots[second.spot].line > parts.headings[1]
    assert moved(parts, 20, second, "tab") == Place()


def test_a_page_without_spots_is_moved_all_the_same() -> None:
    """Text alone can be read to its end and back."""
    made = lay(Leaf("", (Words("word " * 300),)), 40)
    place = begun(made, 10)
    for _ in range(100):
        place = moved(made, 10, place, "down")
    assert place.top == len(made.lines) - 10
    for key in ("left", "right", "tab", "pageup", "pageup", "home"):
        place = moved(made, 10, place, key)
    assert place.top == 0


def test_text_between_spots_is_not_jumped_over() -> None:
    """Where the next spot is more than a page away, Down shows what lies between first."""
    items = (Words("first", opens=HERE), Words("word " * 200), Words("last", opens=HERE))
    made = lay(Leaf("", items), 40)
    place, tops = Place(), []
    while place.spot == 0:
        place = moved(made, 6, place, "down")
        tops.append(place.top)
    assert all(later - before <= 6 for before, later in pairwise(tops))


def test_a_leaf_begins_where_it_says() -> None:
    """The bar begins on the spot that opens what the leaf names, else on the first."""
    made = laid_table(30)
    assert under(made, begun(made, 10, Opens("cell", ("20", "1")))) == ("20", "1")
    assert under(made, begun(made, 10, Opens("nowhere"))) == ("0", "0")


def test_a_place_on_a_shorter_leaf_stays_on_it() -> None:
    """What was laid out anew and became shorter holds the place."""
    made = laid_table(2)
    assert kept(made, 10, Place(spot=57, top=40)) == Place(spot=3, top=0)
    empty = lay(Leaf("", ()), 40)
    assert kept(empty, 10, Place(3, 3)).top == 0
