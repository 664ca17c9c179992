"""The run screen: every key reaches the run, and what the run shows is drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from stage import Stage, press, settled, showing, text, working
from stand_ins import BARE, CONFIRM, VIEWS, ViewRun
from textual.widgets import Input

from trainer.run.ports import JournalTrouble
from trainer.run.refusals import Refused, TooSoon
from trainer.run.view import ChoiceView, Option
from trainer.screens.widgets.countdown import Countdown
from trainer.screens.widgets.keys import Keys


@pytest.mark.parametrize(
    ("name", "keys", "did"),
    [
        ("confirm", ["space"], [("next",)]),
        ("confirm", ["enter"], [("next",)]),
        ("hazard", ["a"], [("accept",)]),
        ("hazard", ["space", "enter", "1", "s", "f2"], []),
        ("judge", ["2"], [("pick", 2)]),
        ("judge", ["3", "9", "space", "a"], []),
        ("quiz", ["3"], [("pick", 3)]),
        ("choices", ["1", "2", "space"], [("pick", 1), ("pick", 2), ("next",)]),
        ("solo", ["4"], [("pick", 4)]),
        ("unknown", ["1"], [("pick", 1)]),
        ("reading", ["2", "1", "full_stop", "5", "space"], [("enter", "21.5", "inHg")]),
        ("reading", ["7", "2", "u", "enter"], [("enter", "72", "kPa")]),
        ("reading", ["7", "f7", "f7", "minus", "backspace", "1", "space"], [("enter", "71", "mbar")]),
        ("reading", ["1", "comma", "5", "a", "z", "space"], [("enter", "1,5", "inHg")]),
        ("offer", ["l"], [("leave_setting",)]),
        ("offer", ["space"], []),
        ("cued", ["question_mark"], [("points",)]),
        ("cued", ["f2"], [("points",)]),
        ("confirm", ["p", "space"], [("pause",), ("next",)]),
        ("confirm", ["f5", "p"], [("pause",), ("resume",)]),
    ],
)
@pytest.mark.sweep(quick=8)
async def test_a_key_does_its_act(name: str, keys: list[str], did: list[tuple[object, ...]]) -> None:
    """Each key does the act that it stands for in that moment, and nothing where it stands for none."""
    run = ViewRun(VIEWS[name])
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys)
        assert run.did == did


@pytest.mark.parametrize(
    ("keys", "did"),
    [
        (["x", "1"], [("spoil", "scratched or dented")]),
        (["f6", "8", *"fell", "enter"], [("spoil", "fell")]),
        (["x", "7"], [("spoil", "punched wrongly")]),
        (["x", "b"], []),
        (["x", "f10"], []),
        (["x", "0", "9", "f10"], []),
        (["n", *"dim lamp", "enter"], [("note", "dim lamp")]),
        (["n", "enter"], []),
        (["o", *"t-07", "enter"], [("hand_over", "T-07")]),
        (["g", "1"], []),
        (["g", "2", *"ill", "enter"], [("stop", "ill")]),
    ],
)
@pytest.mark.sweep(quick=4)
async def test_an_act_with_words_asks_for_them(keys: list[str], did: list[tuple[object, ...]]) -> None:
    """Spoiling, a note, handing over and giving up ask first; going back does nothing."""
    run = ViewRun(CONFIRM)
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(
            pilot, *[key if len(key) > 1 else {" ": "space", "-": "minus"}.get(key, key) for key in keys]
        )
        await settled(pilot)
        assert run.did == did


async def test_what_is_typed_is_cleaned() -> None:
    """A control character typed or pasted into a note is kept as a picture of itself."""
    run = ViewRun(CONFIRM)
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "n")
        stage.screen.query_one(Input).value = "a\x1b[31mb\u202ec"
        await press(pilot, "enter")
        await settled(pilot)
        assert run.did == [("note", "a\u241b[31mb\ufffdc")]


@pytest.mark.parametrize(
    ("name", "keys", "did"),
    [
        ("sign", ["s", *"i-1", "enter", "1", *"271828", "enter"], ("sign", "I-1", "right", "passed", "")),
        (
            "sign",
            ["f8", *"i-1", "enter", "2", *"edge", "enter", *"271828", "enter"],
            ("sign", "I-1", "right", "not_yet", "edge"),
        ),
        ("sign", ["s", *"i-1", "enter", "1", *"111111", "enter"], ("sign", "I-1", "wrong_pin", "passed", "")),
        ("offer", ["s", *"i-1", "enter", *"271828", "enter"], ("take_setting", "I-1", "right")),
    ],
)
@pytest.mark.sweep(quick=2)
async def test_an_instructor_signs(name: str, keys: list[str], did: tuple[object, ...]) -> None:
    """Code, word, note and PIN are asked; the run hears what the PIN check found, right or wrong."""
    run = ViewRun(VIEWS[name])
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, *["minus" if key == "-" else key for key in keys])
        await settled(pilot)
        assert run.did == [did]


async def test_a_pin_is_never_shown() -> None:
    """While a PIN is typed no digit of it stands on the screen."""
    stage, _ = showing(VIEWS["sign"])
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "s", "i", "enter", "1", "9", "9", "9")
        assert "Your PIN" in text(stage)
        assert "9" not in text(stage)


async def test_a_refusal_is_said_and_the_act_can_be_done_again() -> None:
    """A refused act, or a record that cannot be written, stands in a sentence; the same key tries again."""
    for trouble in (Refused("The time is not over."), JournalTrouble("The disk is full.")):
        run = ViewRun(CONFIRM)
        run.fails = trouble
        stage, _ = working(run)
        async with stage.run_test(size=(80, 24)) as pilot:
            await press(pilot, "space")
            assert str(trouble) in text(stage)
            await press(pilot, "space")
            assert run.did == [("next",)]
            assert str(trouble) not in text(stage)


async def test_trouble_stands_on_a_safety_prompt() -> None:
    """A record that cannot be written is said on a safety prompt too, and the prompt stays."""
    run = ViewRun(VIEWS["hazard"])
    run.fails = JournalTrouble("The disk is full.")
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "a")
        assert "The disk is full." in text(stage)
        assert "I have read it" in text(stage)


async def test_a_key_that_is_too_soon_changes_nothing() -> None:
    """A repeat within the guard of the run leaves the screen as it is, without a word."""
    run = ViewRun(CONFIRM)
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        before = text(stage)
        run.fails = TooSoon(0.3)
        await press(pilot, "space")
        assert text(stage) == before


async def test_looking_back_changes_nothing_and_comes_back() -> None:
    """`b` shows earlier steps, one further each time; Space comes back and does no act."""
    run = ViewRun(CONFIRM, earlier=[replace(CONFIRM, act="First act."), replace(CONFIRM, act="Second act.")])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b")
        assert screen.shown.act == "Second act."
        assert "LOOKING BACK 1" in text(stage)
        await press(pilot, "f4", "b")
        assert screen.shown.act == "First act."
        await press(pilot, "x", "1", "p", "space")
        assert screen.shown.act == CONFIRM.act
        assert run.did == []


async def test_a_safety_prompt_looked_back_at_cannot_be_accepted() -> None:
    """An earlier safety prompt shows its words, not the frame, and `a` does nothing."""
    run = ViewRun(CONFIRM, earlier=[VIEWS["hazard"]])
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", "a")
        assert "Both hands on the rim" in text(stage)
        assert "I have read it" not in text(stage)
        assert run.did == []


async def test_the_wait_goes_on_while_somebody_looks_back() -> None:
    """The figures of the running wait stay while an earlier step is shown."""
    run = ViewRun(VIEWS["countdown"], earlier=[CONFIRM])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b")
        assert screen.query_one(Countdown).display
        assert screen.shown.act == CONFIRM.act


async def test_key_points_and_drawing_stand_behind_keys_on_a_narrow_screen() -> None:
    """At 80 columns `v` shows the drawing and a second `v`, or Space, the act again."""
    run = ViewRun(CONFIRM)
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        for closes in ("v", "f3", "space"):
            await press(pilot, "v")
            assert "+--+" in text(stage)
            await press(pilot, closes)
            assert "+--+" not in text(stage)
        assert run.did == []


async def test_key_points_without_room_open_on_their_key() -> None:
    """Key points that do not fit below the task come with `?`, and nothing is recorded for it at full."""
    points = tuple(f"Point number {number}" for number in range(1, 9))
    run = ViewRun(replace(VIEWS["countdown"], key_points=points, acts=("next", "points", "back")))
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        assert points[0] not in text(stage)
        assert "key points" in screen.query_one(Keys).shown
        await press(pilot, "question_mark")
        assert all(point in text(stage) for point in points)
        await press(pilot, "question_mark")
        assert points[0] not in text(stage)
        assert run.did == []


async def test_beside_the_act_there_is_room_from_100_columns() -> None:
    """From 100 columns key points, reason and drawing stand beside the act; below that they do not."""
    for width, beside in ((99, False), (100, True)):
        stage, _ = showing(VIEWS["countdown"])
        async with stage.run_test(size=(width, 40)) as pilot:
            await settled(pilot)
            assert ("+--+" in text(stage)) == beside


async def test_a_change_of_size_is_followed() -> None:
    """After the terminal has become wide, and narrow again, the screen is what it was."""
    stage, _ = showing(CONFIRM)
    async with stage.run_test(size=(80, 24)) as pilot:
        before = text(stage)
        await pilot.resize_terminal(120, 40)
        await settled(pilot)
        assert "+--+" in text(stage)
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert text(stage) == before


@pytest.mark.parametrize("size", [(1, 1), (40, 10), (500, 3)])
@pytest.mark.parametrize("name", ["hazard", "countdown-due", "quiz", "reading"])
@pytest.mark.sweep(quick=4)
async def test_no_size_is_too_small_to_go_on(size: tuple[int, int], name: str) -> None:
    """On a terminal of any size the screen stands, and is drawn again when it grows."""
    stage, _ = showing(VIEWS[name])
    async with stage.run_test(size=size) as pilot:
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert len(text(stage).split("\n")) == 25


async def test_a_click_is_its_key() -> None:
    """An option and a key of the row can be clicked."""
    run = ViewRun(VIEWS["judge"])
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        rows = text(stage).split("\n")
        line = next(number for number, row in enumerate(rows) if "A haze" in row)
        await pilot.click(offset=(10, line))
        column = rows[23].index("pause")
        await pilot.click(Keys, offset=(column, 0))
        assert run.did == [("pick", 2), ("pause",)]


async def test_a_safety_prompt_takes_no_focus() -> None:
    """Nothing has the focus on a safety prompt, so nothing in it can be pressed by Enter or Space."""
    stage, screen = showing(VIEWS["hazard"])
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "tab", "enter", "space")
        assert screen.focused is None


async def test_leaving_and_closing_end_the_screen() -> None:
    """`q` leaves with the run open; a run that is closed ends the screen."""
    for keys, result in ((["q"], "left"), (["f10"], "left"), (["g", "2", "a", "enter"], "closed")):
        stage, _ = showing(CONFIRM)
        async with stage.run_test(size=(80, 24)) as pilot:
            await press(pilot, *keys)
            await settled(pilot)
            assert stage.results == [result]


async def test_light_and_dark_change_places() -> None:
    """`t` changes between dark and light, and back."""
    stage, _ = showing(CONFIRM)
    async with stage.run_test(size=(80, 24)) as pilot:
        first = stage.theme
        await press(pilot, "t")
        assert stage.theme != first
        await press(pilot, "t")
        assert stage.theme == first


async def test_a_text_longer_than_the_screen_is_moved_by_hand() -> None:
    """An answer that does not fit says so, and Down brings the rest."""
    options = tuple(
        Option(f"o{number}", f"Answer {number} " + "with many words " * 14) for number in range(1, 10)
    )
    stage, _ = showing(replace(BARE, choice=ChoiceView("Which?", options), acts=("pick", "back")))
    async with stage.run_test(size=(80, 24)) as pilot:
        assert "more of this text" in text(stage)
        assert "Answer 9" not in text(stage)
        await press(pilot, "down", "down", "pagedown", "down")
        assert "Answer 9" in text(stage)
        await press(pilot, "up", "pageup", "up", "up")
        assert "Answer 1 " in text(stage)


def test_the_stage_shows_what_it_is_given() -> None:
    """The stage of these tests shows the screen it was made with."""
    stage, screen = showing(CONFIRM)
    assert isinstance(stage, Stage)
    assert stage.first is screen


@pytest.mark.parametrize("name", ["judge", "quiz", "choices", "order", "solo", "unknown", "confirm"])
async def test_nothing_hidden_has_the_focus(name: str) -> None:
    """Where no number is typed nothing has the focus, so no digit that picks can go astray."""
    stage, screen = showing(VIEWS[name])
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert screen.focused is None
