"""Several schools under one review: marks in tables, and schools and stations to choose from."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from review_desk import StillDesk, hand_glance

from trainer.insight.results import Wanted
from trainer.record.part import Part
from trainer.screens.review import class_rows, filtering
from trainer.screens.review.leaf import Cell, Column, Leaf, Opens, Size, Table, Words
from trainer.screens.review.schools import marks, place_of, shortened, with_marks

SIZE = Size(78, 21)
PLACES = (("Copper Lane", "sink 1"), ("Copper Lane", "sink 2"), ("Harbour Street", "sink 1"))


def desk_of(places: tuple[tuple[str, str], ...] = PLACES, part: Part | None = None) -> StillDesk:
    """A desk on the class by hand, at several places."""
    desk = StillDesk(hand_glance(), path=Path("no-record.db"))
    if part is not None:
        desk.whole = desk.path = part
    desk.places = places
    return desk


@pytest.mark.parametrize(
    ("schools", "made"),
    [
        ((), {}),
        (("North",), {}),
        (("North", "South"), {"North": "N", "South": "S"}),
        (("Copper Lane", "Mill Road"), {"Copper Lane": "CL", "Mill Road": "MR"}),
        (("Mill Road", "Main Road"), {"Mill Road": "MiRo", "Main Road": "MaRo"}),
        (("A b", "a B"), {"A b": "AB1", "a B": "AB2"}),
        (("North", "Norway", "South"), {"North": "Nort", "Norway": "Norw", "South": "S"}),
    ],
)
def test_a_mark_is_as_short_as_tells(schools: tuple[str, ...], made: dict[str, str]) -> None:
    """First letters of the words, more where those are alike, else a number."""
    assert marks(schools) == made


@given(
    st.lists(st.text("ABab c", min_size=1, max_size=8).filter(str.strip), min_size=2, max_size=9, unique=True)
)
def test_no_two_schools_have_one_mark(schools: list[str]) -> None:
    """Whatever they are called."""
    made = marks(schools)
    assert list(made) == schools
    assert len(set(made.values())) == len(schools)


def test_tables_have_marks_and_say_what_they_are() -> None:
    """Only tables are shortened; what opens keeps the whole code, and a column grows to hold the mark."""
    known = marks(("Copper Lane", "Harbour Street"))
    opens = Opens("trainee", ("T-03 (Copper Lane)",))
    table = Table((Column("who", 6), Column("", 0)), ((Cell("T-03 (Copper Lane)", "", opens), Cell("x")),))
    words = Words("T-03 (Copper Lane) is ready.")
    made = with_marks(Leaf("", (words, table)), known)
    shown = made.items[1]
    assert isinstance(shown, Table)
    assert shown.rows[0][0] == Cell("T-03 CL", "", opens)
    assert shown.columns[0].width == 7
    assert made.items[0] == words
    assert isinstance(made.items[2], Words)
    assert "CL Copper Lane,  HS Harbour Street." in str(made.items[2].text)
    plain = Leaf("", (words,))
    assert with_marks(plain, known) == plain
    assert with_marks(Leaf("", (table,)), {}) == Leaf("", (table,))
    assert shortened("T-01 (Elsewhere)", known) == "T-01 (Elsewhere)"


def test_the_class_goes_school_by_school() -> None:
    """Trainees of one school stand together; what a row opens is that trainee."""
    desk = desk_of()
    found = hand_glance().trainees[0]
    codes = ("T-01 (Harbour Street)", "T-02 (Copper Lane)", "T-01 (Copper Lane)")
    desk.glance = replace(hand_glance(), trainees=tuple(replace(found, trainee=code) for code in codes))
    leaf = class_rows.leaf(desk, (), SIZE)
    table = next(item for item in leaf.items if isinstance(item, Table))
    assert [row[0].text for row in table.rows] == [codes[2], codes[1], codes[0]]
    assert sum(column.width + 1 for column in table.columns) <= SIZE.width + 1
    assert [place_of(code, desk.marks)[0] for code in codes] == [1, 0, 0]


def choices(desk: StillDesk) -> dict[tuple[str, ...], bool]:
    """What the page of the filters offers of places, and whether it is chosen."""
    return {
        item.opens.keys: "■" in item.first
        for item in filtering.filters_leaf(desk, (), SIZE).items
        if isinstance(item, Words) and item.opens is not None and item.opens.keys[0] in filtering.PLACES
    }


def test_schools_and_stations_are_chosen_and_let_go() -> None:
    """Choosing narrows the part that is read, drops codes that are others then, and is told on top."""
    desk = desk_of()
    desk.wanted = Wanted(trainees=("T-01 (Copper Lane)",), kind="wet")
    assert choices(desk) == {
        ("school", ""): True,
        ("school", "Copper Lane"): False,
        ("school", "Harbour Street"): False,
        ("station", ""): True,
        ("station", "sink 1"): False,
        ("station", "sink 2"): False,
    }
    assert "of 2 schools" in filtering.line(desk_of())
    filtering.choose_place(desk, "school", "Copper Lane")
    filtering.choose_place(desk, "station", "sink 2")
    assert (desk.path.schools, desk.path.stations) == (("Copper Lane",), ("sink 2",))
    assert desk.wanted == Wanted(kind="wet")
    assert "only Copper Lane, sink 2, wet runs" in filtering.line(desk)
    assert desk.marks == {}
    filtering.choose_place(desk, "school", "Harbour Street")
    assert (desk.path.schools, desk.path.stations) == (("Copper Lane", "Harbour Street"), ())
    filtering.choose_place(desk, "school", "")
    assert desk.path == desk.whole


def test_what_the_review_was_opened_on_stays_its_bound() -> None:
    """Opened on one school: nothing else is offered, and `all` is all of that."""
    whole = Part(Path("no-record.db"), schools=("Copper Lane",))
    desk = desk_of(PLACES[:2], whole)
    assert ("school", "") not in choices(desk)
    filtering.choose_place(desk, "station", "sink 1")
    assert desk.path == replace(whole, stations=("sink 1",))
    filtering.choose_place(desk, "station", "sink 1")
    assert desk.path == whole


def test_one_station_offers_nothing() -> None:
    """Where there is nothing to choose from, nothing is said of it."""
    assert choices(desk_of((("", "sink 1"),))) == {}
    assert choices(desk_of(())) == {}
