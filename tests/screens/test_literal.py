"""Text from a file or a person is shown as it stands, in every place where there is any."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from stage import press, settled, showing, text, working
from stand_ins import BARE, CONFIRM, VIEWS, ViewRun

from trainer.run.view import (
    AnswerView,
    ChoiceView,
    HazardView,
    NumberView,
    OfferView,
    Option,
    RunView,
    SignView,
    WorkedView,
)

MARKS = [
    "[CAUTION]",
    "[x]",
    "5 [cm]",
    "[/nope]",
    "[@click=app.quit]go[/]",
    "[$x]",
    "a\\[b",
    "end\\",
    "*b* `c`",
]
PLACES: dict[str, Callable[[str], RunView]] = {
    "act": lambda said: replace(CONFIRM, act=said),
    "key point": lambda said: replace(CONFIRM, key_points=(said,)),
    "why": lambda said: replace(CONFIRM, why=said),
    "notice": lambda said: replace(CONFIRM, notice=said),
    "stage": lambda said: replace(CONFIRM, stages=("Inspection", "Punching", said)),
    "trainee": lambda said: replace(CONFIRM, trainee=said),
    "job": lambda said: replace(CONFIRM, job=said),
    "harm": lambda said: replace(BARE, hazard=HazardView("danger", said, ("Wait",)), acts=("accept",)),
    "avoid": lambda said: replace(BARE, hazard=HazardView("caution", "Harm", (said,)), acts=("accept",)),
    "question": lambda said: replace(BARE, choice=ChoiceView(said, (Option("a", "A"),)), acts=("pick",)),
    "option": lambda said: replace(BARE, choice=ChoiceView("Which?", (Option("a", said),)), acts=("pick",)),
    "miss": lambda said: replace(BARE, number=NumberView(("mm",), "1", "miss", said), acts=("next",)),
    "unit": lambda said: replace(BARE, number=NumberView((said, "mm")), acts=("next",)),
    "because": lambda said: replace(BARE, answer=AnswerView(True, "a", "a", said), acts=("next",)),  # noqa: FBT003
    "given": lambda said: replace(BARE, answer=AnswerView(False, said, "a", "b"), acts=("next",)),  # noqa: FBT003
    "working": lambda said: replace(BARE, worked=WorkedView("rule", said, "1"), acts=("next",)),
    "rule": lambda said: replace(BARE, worked=WorkedView(said, "1 = 1", "1"), acts=("next",)),
    "offer": lambda said: replace(
        BARE, offer=OfferView(said, "1", "2", fits=True, limits="0 to 3"), acts=("sign",)
    ),
    "sign": lambda said: replace(BARE, sign=SignView(said), acts=("sign",)),
}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.long)])
@pytest.mark.sweep(quick=6)
async def test_marks_are_visible_characters(place: str, size: tuple[int, int]) -> None:
    """Square brackets, stars and backslashes stand on the screen as they were written."""
    run = ViewRun(CONFIRM)
    stage, screen = working(run)
    async with stage.run_test(size=size) as pilot:
        for said in MARKS:
            run.shows = PLACES[place](said)
            screen.draw_now()
            await pilot.pause()
            assert said in text(stage)


@pytest.mark.parametrize("said", MARKS)
@pytest.mark.sweep(quick=3)
async def test_a_prompt_shows_marks_too(said: str) -> None:
    """What a prompt quotes from the procedure is shown as it was written."""
    stage, _ = showing(replace(VIEWS["sign"], sign=SignView(said)))
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "s")
        await settled(pilot)
        assert f"Signing for: {said}" in text(stage)
