"""The run screen: waits that ring, and numbers that are typed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from stage import idle_space, press, settled, text, working
from stand_ins import CONFIRM, COUNTDOWN, VIEWS, ViewRun
from textual.timer import Timer

from trainer.screens.widgets.countdown import Countdown
from trainer.screens.widgets.entry import NumberEntry
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.sheet import Sheet


async def test_a_wait_rings_and_shows_it() -> None:
    """When the run rings, the bell sounds and the figures change their look and say a word."""
    run = ViewRun(VIEWS["countdown"])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        figures = screen.query_one(Countdown)
        assert not figures.has_class("rings")
        run.shows = VIEWS["countdown-due"]
        run.rings = ["due"]
        figures.tick()
        await settled(pilot)
        assert stage.bells == 1
        assert figures.has_class("rings")
        assert "TIME" in figures.shown


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("countdown", "The time is not over yet."),
        ("hazard", "Space does not accept this. Read it, then press a."),
        ("sign", "This needs an instructor's PIN."),
        ("offer", "The instructor takes the new value with a PIN"),
    ],
)
async def test_the_primary_key_says_why_it_does_nothing(name: str, said: str) -> None:
    """Whoever is impatient hears why; a key without any answer looks broken. Nothing is done or recorded."""
    async with idle_space(name, said):
        pass


async def test_what_was_said_of_an_early_press_goes_when_the_time_is_over() -> None:
    """`Not over yet` does not stand beside `Time is up`."""
    run = ViewRun(replace(VIEWS["countdown"], acts=("back", "pause")))
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "space")
        assert "not over yet" in text(stage)
        run.shows, run.rings = VIEWS["countdown-due"], ["due"]
        screen.query_one(Countdown).tick()
        await settled(pilot)
        assert "Time is up" in text(stage)
        assert "not over yet" not in text(stage)


async def test_a_wait_rings_over_a_prompt() -> None:
    """A wait that is due while a prompt covers its figures is said over the prompt."""
    run = ViewRun(VIEWS["countdown"])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "n")
        run.shows, run.rings = VIEWS["countdown-due"], ["due"]
        screen.query_one(Countdown).tick()
        await settled(pilot)
        assert "TIME" in text(stage)
        assert stage.bells == 1


async def test_a_tick_paints_nothing_that_has_not_changed() -> None:
    """A tick within the same second repaints neither figures nor sheet."""
    run = ViewRun(VIEWS["countdown"])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        painted: list[str] = []
        for widget in (screen.query_one(Countdown), screen.query_one(Sheet), screen.query_one(Keys)):
            refresh = widget.refresh

            def counted(
                *args: object, name: str = type(widget).__name__, again: object = refresh, **kind: object
            ) -> object:
                painted.append(name)
                return again(*args, **kind)  # type: ignore[operator] # the widget's own refresh

            widget.refresh = counted  # type: ignore[method-assign,assignment] # counts what is painted
        run.shows = replace(run.shows, wait=replace(COUNTDOWN, elapsed=15.2, remaining=74.8))
        screen.query_one(Countdown).tick()
        await settled(pilot)
        assert painted == []
        run.shows = replace(run.shows, wait=replace(COUNTDOWN, elapsed=16.2, remaining=73.8))
        screen.query_one(Countdown).tick()
        await settled(pilot)
        assert painted == ["Countdown"]


async def test_the_timer_rests_where_nothing_runs() -> None:
    """Only a wait that runs is ticked for; the same timer rests before and after."""
    run = ViewRun(VIEWS["countdown-ready"])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        timer = screen.query_one(Countdown).timer
        assert timer is not None
        assert resting(timer)
        run.then = lambda changed: setattr(changed, "shows", VIEWS["countdown"])
        await press(pilot, "space")
        assert not resting(timer)
        run.then = lambda changed: setattr(changed, "shows", CONFIRM)
        run.shows = VIEWS["countdown-due"]
        await press(pilot, "space")
        assert resting(timer)
        assert screen.query_one(Countdown).timer is timer


def resting(timer: Timer) -> bool:
    """Whether a timer is paused; the library shows that nowhere in public."""
    return not timer._active.is_set()


async def test_a_number_asks_again_empty_and_keeps_its_unit() -> None:
    """After a miss the number is asked for anew, in the unit that was chosen."""
    run = ViewRun(VIEWS["reading"])
    run.then = lambda changed: setattr(changed, "shows", VIEWS["reading-miss"])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "5", "7", "u", "space")
        entry = screen.query_one(NumberEntry)
        assert run.did == [("enter", "57", "kPa")]
        assert (entry.text, entry.unit) == ("", "kPa")
        assert "Wait, then read again." in " ".join(text(stage).split())


async def test_an_empty_number_is_not_entered() -> None:
    """Space without a number says what to do, and nothing reaches the run."""
    run = ViewRun(VIEWS["reading"])
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "space")
        assert run.did == []
        assert "Type the number first" in text(stage)


async def test_other_keys_work_while_a_number_stands_half_typed() -> None:
    """Looking back in the middle of a number keeps what was typed."""
    run = ViewRun(VIEWS["reading"], earlier=[CONFIRM])
    stage, screen = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "2", "b")
        assert "LOOKING BACK" in text(stage)
        await press(pilot, "space", "1", "space")
        assert run.did == [("enter", "21", "inHg")]
        assert screen.focused is screen.query_one(NumberEntry)
