"""A safety prompt that is longer than the screen is accepted only once it was there to its end."""

from __future__ import annotations

from dataclasses import replace

import pytest
from stage import press, settled, text, working
from stand_ins import VIEWS, ViewRun

from trainer.run.view import HazardView

LONG = replace(VIEWS["hazard"], hazard=HazardView("danger", "Harm.", tuple(f"Rule {n}." for n in range(60))))


async def test_a_long_prompt_is_accepted_at_its_end() -> None:
    """`a` goes on in the text, and accepts when the end stood on the screen; the size is as at the sink."""
    run = ViewRun(LONG)
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "Rule 59." not in text(stage)
        presses = 0
        while "Rule 59." not in text(stage):
            assert run.did == []
            await press(pilot, "a")
            presses += 1
            assert presses < 30
        await press(pilot, "a")
        assert run.did == [("accept",)]


async def test_what_was_read_to_its_end_may_be_moved_back() -> None:
    """Going up again after the end does not take the reading back."""
    run = ViewRun(LONG)
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, *["down"] * 30, *["up"] * 30)
        assert "Rule 0." in text(stage)
        await press(pilot, "a")
        assert run.did == [("accept",)]


@pytest.mark.parametrize(
    ("width", "named"),
    [(80, ["b look back", "p pause", "h help"]), (70, ["b look back", "p pause"]), (44, [])],
)
async def test_no_key_beside_a_prompt_is_cut(width: int, named: list[str]) -> None:
    """On a narrow screen the last of the other keys go whole; the one that accepts always stands."""
    stage, _ = working(ViewRun(VIEWS["hazard"]))
    async with stage.run_test(size=(width, 24)) as pilot:
        await settled(pilot)
        row = next(row for row in text(stage).split("\n") if "I have read it" in row)
        others = row.strip("▞ ").partition("I do it so.")[2].strip()
        assert others == "   ".join(named)
