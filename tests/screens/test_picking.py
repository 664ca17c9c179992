"""Picking an answer by its digit: the row names the digits there are; Space says what to press instead."""

from __future__ import annotations

import pytest
from stage import idle_space, press, text, working
from stand_ins import VIEWS, ViewRun

from trainer.screens.actions import digit_keys


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("judge", "Press the digit of your answer."),
        ("choices", "Press the digits of your answer first, then Space."),
        ("order", "Press the digits of your answer first, then Space."),
    ],
)
async def test_space_where_a_digit_is_wanted_says_so(name: str, said: str) -> None:
    """A foot switch or a wet thumb on Space does nothing there, and is told what does."""
    async with idle_space(name, said) as (pilot, run):
        await press(pilot, "1")
        assert said not in text(pilot.app)
        assert run.did == [("pick", 1)]


async def test_the_row_names_as_many_digits_as_there_are() -> None:
    """Three answers are three digits; a digit that picks nothing is not named."""
    run = ViewRun(VIEWS["judge"])
    stage, _ = working(run)
    choice = VIEWS["judge"].choice
    assert choice is not None
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert f"1-{len(choice.options)}  pick" in text(stage).splitlines()[-1]


@pytest.mark.parametrize(
    ("most", "named"), [(0, "1-9"), (1, "1"), (2, "1-2"), (5, "1-5"), (9, "1-9"), (12, "1-9")]
)
def test_digits_in_the_row(most: int, named: str) -> None:
    """From one digit to the nine that a keyboard has."""
    assert digit_keys(most) == named
