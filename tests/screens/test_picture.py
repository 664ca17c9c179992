"""The plate's picture as a widget: rows in, cells on the terminal, only what changed painted again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest
from stage import segments
from textual.app import App, ComposeResult

from trainer.screens import loupe
from trainer.screens.widgets.gauges import bar
from trainer.screens.widgets.gauges import rows as gauge_rows
from trainer.screens.widgets.picture import Area, Picture, colours


@dataclass(frozen=True)
class Piece:
    """Cells of one style."""

    text: str
    fg: str = ""
    bg: str = ""


RED = Piece("▀▀▀▀", "#ff0000", "#00ff00")
ROWS = ((RED, Piece("▄▄", "bright_white", "color(110)")), (Piece("abcdef"),), (Piece("      "),))


class Showing(App[None]):
    """One picture of 10 by 5 cells."""

    CSS = "Picture { display: block; width: 10; height: 5; }"

    def __init__(self, **more: Any) -> None:  # noqa: ANN401 - as the library takes them
        super().__init__(**more)
        self.picture = Picture("whole")
        self.pointed: list[tuple[int, int]] = []
        self.rooms = 0

    def compose(self) -> ComposeResult:
        """The picture."""
        yield self.picture

    def on_picture_pointed(self, message: Picture.Pointed) -> None:
        """Keep what was clicked."""
        self.pointed.append((message.col, message.row))

    def on_picture_room(self) -> None:
        """Count sizes."""
        self.rooms += 1


def row(app: App[Any], number: int) -> str:
    """The characters of a row."""
    return "".join(piece.text for piece in segments(app)[number])[:10]


async def test_rows_stand_in_the_middle_of_the_room() -> None:
    """Three rows of six cells stand in the middle of 10 by 5, in their own colours."""
    app = Showing()
    async with app.run_test(size=(10, 5)) as pilot:
        app.picture.show(ROWS)
        await pilot.pause()
        assert [row(app, number) for number in range(5)] == [
            " " * 10,
            "  ▀▀▀▀▄▄  ",
            "  abcdef  ",
            " " * 10,
            " " * 10,
        ]
        red = next(piece for piece in segments(app)[1] if piece.text.startswith("▀"))
        assert red.style is not None
        assert red.style.color is not None
        assert red.style.bgcolor is not None
        assert red.style.color.name == "#ff0000"
        assert red.style.bgcolor.name == "#00ff00"


async def test_only_rows_that_changed_are_painted(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same rows again paint nothing; one other row paints that one alone."""
    app = Showing()
    async with app.run_test(size=(10, 5)) as pilot:
        app.picture.show(ROWS)
        await pilot.pause()
        painted: list[int] = []
        paint = app.picture._painted

        def noting(number: int, room: int) -> Any:  # noqa: ANN401 - a strip
            painted.append(number)
            return paint(number, room)

        monkeypatch.setattr(app.picture, "_painted", noting)
        app.picture.show(tuple(ROWS))
        await pilot.pause()
        assert painted == []
        app.picture.show((ROWS[0], (Piece("uvwxyz"),), ROWS[2]))
        await pilot.pause()
        assert painted == [1]
        assert row(app, 2) == "  uvwxyz  "


@pytest.mark.parametrize(
    ("area", "shown"),
    [
        (Area(1, 0, 4, 3), ["  ▀┌──┐▄  ", "  a│cd│f  ", "   └──┘   "]),
        (Area(1, 1, 2, 1), ["  ▀▀▀▀▄▄  ", "  a[]def  ", "          "]),
        (Area(1, 1, 1, 1), ["  ▀▀▀▀▄▄  ", "  a□cdef  ", "          "]),
        (Area(-2, 0, 5, 3), ["  ┌─┐▀▄▄  ", "  │b│def  ", "  └─┘     "]),
        (Area(9, 0, 4, 3), ["  ▀▀▀▀▄▄  ", "  abcdef  ", "          "]),
    ],
)
async def test_the_loupe_has_a_frame_on_the_plate(area: Area, shown: list[str]) -> None:
    """A frame goes round what the loupe covers, hides nothing inside, and holds at the edges of the plate."""
    app = Showing()
    async with app.run_test(size=(10, 5)) as pilot:
        app.picture.show(ROWS, area)
        await pilot.pause()
        assert [row(app, number) for number in (1, 2, 3)] == shown


async def test_a_click_is_a_place_of_the_picture() -> None:
    """A click says which cell of the picture it met; beside the picture it says nothing."""
    app = Showing()
    async with app.run_test(size=(10, 5)) as pilot:
        app.picture.show(ROWS)
        await pilot.pause()
        await pilot.click(offset=(3, 2))
        await pilot.click(offset=(0, 0))
        assert app.pointed == [(1, 1)]


async def test_another_size_asks_for_another_picture() -> None:
    """Whoever draws the plate is told of every size."""
    app = Showing()
    async with app.run_test(size=(10, 5)) as pilot:
        before = app.rooms
        app.picture.styles.width = 8
        await pilot.pause()
        assert app.rooms == before + 1


async def test_no_colours_are_asked_for_where_none_are_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    """NO_COLOR asks for the picture without colours."""
    monkeypatch.setenv("NO_COLOR", "1")
    app = Showing()
    async with app.run_test(size=(10, 5)):
        assert colours(app) == "none"


def test_the_loupe_moves_and_stays_on_the_plate() -> None:
    """A press moves by a quarter of what is seen; the edges hold; magnifications come round."""
    over = loupe.over(250, 400)
    assert (over.x, over.y) == (125, 200)
    right = over.moved("right", across=40, down=60)
    assert (right.x, right.y) == (135, 200)
    assert (right.moved("down", 40, 60).y, right.moved("up", 40, 60).y) == (215, 185)
    edge = over
    for _ in range(20):
        edge = edge.moved("left", across=40, down=60)
    assert edge.x == 20
    assert over.at(10, 10).within(across=300, down=500) == over
    assert right.at(300, -5) == loupe.Loupe(250, 400, 250, 0, over.step)
    seen = [over]
    for _ in loupe.STEPS:
        seen.append(seen[-1].magnified())
    assert seen[-1] == over
    assert sorted(one.times for one in seen[1:]) == list(loupe.STEPS)


@dataclass(frozen=True)
class Dial:
    """A gauge by hand."""

    label: str
    shown: str
    value: float
    least: float = 0.0
    most: float = 30.0
    lit: bool = True


def test_a_bar_fills_by_eighths() -> None:
    """A bar is as long as its share to an eighth of a cell, and never outside its ends."""
    assert bar(0.0, 4) == "····"
    assert bar(1.0, 4) == bar(7.0, 4) == "████"
    assert bar(0.5, 4) == "██··"
    assert bar(0.53125, 4) == "██▏·"
    assert bar(-1.0, 4) == "····"


@pytest.mark.parametrize("width", [24, 40, 78, 118])
def test_gauges_fit_their_room(width: int) -> None:
    """Gauges stand under one another in any width, and their figures are always there."""
    dials = [
        Dial("Vacuum", "21.3 inHg", 21.3),
        Dial("Count", "12 units", 12, most=24),
        Dial("Lamp", "8 %", 8),
    ]
    drawn = gauge_rows(dials, width)
    assert all(line.cell_length <= width for line in drawn)
    assert all(dial.shown in line.plain for dial, line in zip(dials, drawn, strict=True))
    assert len({line.plain.find("▕") for line in drawn}) == 1


def test_a_gauge_without_a_scale_has_no_bar() -> None:
    """A gauge whose ends are one shows its figure alone."""
    (line,) = gauge_rows([Dial("Water", "12 s", 12, most=0.0)], 60)
    assert line.plain == "Water  12 s"
