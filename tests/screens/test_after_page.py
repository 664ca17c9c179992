"""The page after a rehearsal: verdict, what is not good, what was found out, the rest; the plate beside."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import pytest
from bench_stand_ins import HandRehearsal, HandSight, HandWork
from stage import Stage, compare, press, text
from textual.pilot import Pilot

from trainer.rehearsal.measure_words import label
from trainer.screens import bench_words, looking
from trainer.screens.after import After, finding, page
from trainer.screens.looking import Looking
from trainer.screens.page import Block


@dataclass(frozen=True)
class Line:
    """A measure by hand."""

    name: str
    value: float | bool | None
    unit: str
    ok: bool | None
    held_against: str


@dataclass(frozen=True)
class Sheet:
    """A plate sheet by hand."""

    lines: tuple[Line, ...]
    passes: bool


LINES = (
    Line("solid_step", 4.0, "step", ok=False, held_against="6"),
    Line("background", 0.31, "%", ok=True, held_against="at most 1 %"),
    Line("tone_50", 56.4, "%", ok=True, held_against="48 to 62 %"),
    Line("register_error", 0.04, "mm", ok=True, held_against="at most 0.15 mm"),
    Line("pinholes", 3.0, "each", ok=False, held_against="at most 0 each"),
    Line("right_reading", value=True, unit="", ok=True, held_against="right-reading"),
    Line("smallest_dot", None, "%", ok=None, held_against="[b]no tint[/b] held"),
)
BAD = Sheet(LINES, passes=False)
GOOD = Sheet(tuple(replace(line, ok=True) for line in LINES[1:4]), passes=True)
FOUND = (
    ("Likeliest causes", ("Too little light: the wedge is two steps short.", "Pinholes not opaqued.")),
    ("What made it so", ("The integrator was set to 12 units. With 24 the wedge reads 6.",)),
    ("Next time", ("Read the card before you set the units.",)),
    ("Nothing to say", ()),
)


@pytest.fixture(autouse=True)
def _sight(monkeypatch: pytest.MonkeyPatch) -> None:
    """The plate is drawn by hand."""
    monkeypatch.setattr(looking, "sight", HandSight())


def after(sheet: Sheet, found: tuple[tuple[str, tuple[str, ...]], ...] = FOUND) -> Stage:
    """The page on a stage."""
    rehearsal = HandRehearsal()
    rehearsal.made = HandWork("#", "gummed")
    looked = Looking(rehearsal)  # type: ignore[arg-type] # as much of a plate as is looked at
    return Stage(After(page(sheet, 2, found), looked))  # type: ignore[arg-type] # as above


@pytest.mark.parametrize(("cols", "rows"), [(80, 24), (120, 40)])
@pytest.mark.parametrize(("name", "sheet"), [("bad", BAD), ("good", GOOD)])
async def test_it_looks_as_it_did(name: str, sheet: Sheet, cols: int, rows: int) -> None:
    """A good and a bad plate's page look as they did when they were looked at."""
    stage = after(sheet, FOUND if name == "bad" else ())
    async with stage.run_test(size=(cols, rows)) as pilot:
        await pilot.pause()
        compare(f"after-{name}-{cols}", text(stage))


def test_what_is_not_good_comes_first() -> None:
    """Measures that are not good stand before causes, all others after them; nothing is left out."""
    said = [f"{block.first.plain}{block.content.plain}" for block in page(BAD, 1, FOUND)]  # type: ignore[arg-type]
    order = ["Solid wedge step", "Pinholes", "Too little light", "Read the card", "Coating on metal"]
    places = [next(number for number, row in enumerate(said) if word in row) for word in order]
    assert places == sorted(places)
    assert sum("NOT GOOD" in row for row in said) == 3
    assert all(any(label(line.name) in row for row in said) for line in LINES)
    assert not any("Nothing to say" in row for row in said)


async def test_the_plate_opens_and_closes() -> None:
    """`i` gives the plate all the room, the loupe moves over it, Space closes it first and then goes on."""
    stage = after(BAD)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "left", "m", "i")
        await pilot.pause()
        assert "125.0 mm from the left" in text(stage)
        assert "NOT GOOD" not in text(stage)
        await press(pilot, "left", "m")
        assert "125.0 mm" not in text(stage)
        assert "Loupe 15x" in text(stage)
        await press(pilot, "space")
        assert "NOT GOOD" in text(stage)
        assert stage.results == []
        await press(pilot, "space")
        assert stage.results == [None]


async def test_a_long_page_moves() -> None:
    """What does not fit is reached with Down."""
    stage = after(BAD)
    async with stage.run_test(size=(80, 14)) as pilot:
        await pilot.pause()
        assert "no tint" not in text(stage)
        await press(pilot, "down", "pagedown", "down")
        assert "[b]no tint[/b] held" in text(stage)


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (None, "%", "-"),
        (True, "", "yes"),
        (False, "", "no"),
        (6.0, "step", "6"),
        (3.0, "each", "3"),
        (0.0000845, "mm", "0.00 mm"),
        (12.24, "%", "12.2 %"),
        (99.97, "%", "100.0 %"),
        (412.3, "h", "412 h"),
    ],
)
def test_values_are_said_as_finely_as_they_are_seen(value: float | bool | None, unit: str, said: str) -> None:
    """A measure has no more figures than anybody could read off a plate."""
    assert bench_words.value_text(value, unit) == said


def test_a_plate_just_begun_leaves_the_word_to_the_one_before_it() -> None:
    """Where nothing was made of a plate there is no verdict on it, only what the one before it showed."""
    blocks = page(None, 2, FOUND[2:])
    said = [block.content.plain for block in blocks]
    assert said[0] == "Nothing was made of plate 2. This is what the one before it showed."
    assert said[1:] == ["Next time", "Read the card before you set the units."]


async def test_the_plate_is_looked_at_while_its_causes_are_found() -> None:
    """Finding out holds no key up; what is known is shown at once, and Space goes on once all is known."""
    part, rest = threading.Event(), threading.Event()

    def more(show: Callable[[Sequence[Block]], object]) -> list[Block]:
        part.wait(30)
        show(page(BAD, 2, FOUND[1:2]))  # type: ignore[arg-type] # as much of a sheet as is read
        rest.wait(30)
        return page(BAD, 2, FOUND)  # type: ignore[arg-type] # as above

    rehearsal = HandRehearsal()
    rehearsal.made = HandWork("#", "gummed")
    looked = Looking(rehearsal)  # type: ignore[arg-type] # as above
    stage = Stage(After(page(BAD, 2, finding()), looked, more))  # type: ignore[arg-type] # as above
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Being found out." in text(stage)
        await press(pilot, "i")
        assert "Loupe" in text(stage)
        await press(pilot, "i")
        part.set()
        await until(pilot, lambda: "With 24 the wedge reads 6." in text(stage))
        assert "Being found out." not in text(stage)
        await press(pilot, "space", "space")
        assert stage.results == []
        rest.set()
        await until(pilot, lambda: stage.results == [None])


async def until(pilot: Pilot[None], holds: Callable[[], bool]) -> None:
    """Let the app go on until that holds."""
    for _ in range(400):
        if holds():
            return
        await pilot.pause()
    raise AssertionError("it did not come to that")
