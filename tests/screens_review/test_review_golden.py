"""The main pages of the review as text, each looked at by eye before it was kept.

To write them anew after a wanted change: run this file by `WRITE_GOLDEN=1 pytest -n 0`, then look at every
difference.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest
from review_desk import EMPTY, StillDesk, finding, hand_glance
from stage import Stage, press, segments, settled, text
from test_review_class import whole_trainee
from test_review_runs import RunDesk, every_act, whole_run

from trainer.screens import themes
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens
from trainer.screens.review.pages import FIRST
from trainer.screens.review.reviewing import Reviewing, Visit

GOLDEN = Path(__file__).parent / "golden"
FINDINGS = (
    finding("T-01 gets contact right in 9 of 24 attempts (interval 21 to 57 %); the others in 181 of 214."),
    finding("“Measure the developer.” trips nearly everybody: a miss in 61 of 140.", kind="step-trips"),
    finding("Sink 1 drifts: the wedge is under the lower limit since 12 March.", level="watch", kind="drift"),
    finding("T-10 meets the rule of Two burns: 3 of 3 runs.", level="know", kind="ready"),
)

RUN = tuple(replace(event, id=f"event-{event.seq}") for event in whole_run())
"""Ids are drawn by chance; these are the same each time."""


def class_desk() -> Desk:
    """Fourteen trainees, and findings."""
    return StillDesk(hand_glance(14, skills=8, invented="7"), replace(EMPTY, findings=FINDINGS))


PAGES: dict[str, tuple[Desk, Opens]] = {
    "class": (class_desk(), FIRST),
    "findings": (class_desk(), Opens("findings")),
    "finding": (class_desk(), Opens("finding", ("weak-skill", "T-01", "contact"))),
    "trainee": (whole_trainee(), Opens("trainee", ("T-01",))),
    "runs": (class_desk(), Opens("runs")),
    "run": (every_act(RunDesk(RUN)), Opens("run", ("run-1",))),
    "run-first": (RunDesk(RUN), Opens("run", ("run-1",))),
    "act": (RunDesk(RUN), Opens("act", ("run-1", "12"))),
    "filters": (class_desk(), Opens("filters")),
    "help": (class_desk(), Opens("help")),
}
"""By name: what is on the desk, and the page."""


def shown_page(name: str, *, ansi: bool = False) -> Stage:
    """A page on a stage; nothing is found anew."""
    desk, opens = PAGES[name]
    screen = Reviewing(desk)
    if opens != FIRST:
        screen.trail.append(Visit(opens))
    return Stage(screen, themes.SIXTEEN, ansi=True) if ansi else Stage(screen)


def compare(name: str, shown: str) -> None:
    """Hold what is shown to what was kept; write it where the environment says so."""
    kept = GOLDEN / f"{name}.txt"
    if os.environ.get("WRITE_GOLDEN"):
        GOLDEN.mkdir(exist_ok=True)
        kept.write_text(shown, encoding="utf-8")
    assert shown == kept.read_text(encoding="utf-8")


QUICK = ("class", "trainee", "run")
"""Looked at in every run of the tests; the others with the long ones."""


@pytest.mark.parametrize(
    "name", [name if name in QUICK else pytest.param(name, marks=pytest.mark.long) for name in PAGES]
)
async def test_pages_at_80_by_24(name: str) -> None:
    """The main pages look at 80x24 as they did when they were looked at."""
    stage = shown_page(name)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        compare(f"{name}-80", text(stage))


@pytest.mark.long
@pytest.mark.parametrize("name", ["class", "trainee"])
async def test_pages_at_120_by_40(name: str) -> None:
    """The same at 120x40, where more stands beside and below."""
    stage = shown_page(name)
    async with stage.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        compare(f"{name}-120", text(stage))


async def test_states_without_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR no colour is used, not a character differs, and the bar is reversed."""
    coloured = shown_page("class")
    async with coloured.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        words = text(coloured)
    monkeypatch.setenv("NO_COLOR", "1")
    stage = shown_page("class", ansi=True)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert text(stage) == words
        styles = [piece.style for row in segments(stage) for piece in row if piece.style]
        colours = [colour for style in styles for colour in (style.color, style.bgcolor) if colour]
        assert all(colour.is_default for colour in colours)
        bar = next(row for row in segments(stage) if "".join(piece.text for piece in row).startswith(" T-01"))
        assert any(piece.style and piece.style.reverse and "T-01" in piece.text for piece in bar)
        help_ = [piece for row in segments(stage) for piece in row if "HELP" in piece.text]
        assert help_
        assert all(piece.style and piece.style.bold for piece in help_)


async def test_sixteen_colours_suffice() -> None:
    """With sixteen colours no other is used."""
    stage = shown_page("class", ansi=True)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await press(pilot, "down")
        styles = [piece.style for row in segments(stage) for piece in row if piece.style]
        colours = [colour for style in styles for colour in (style.color, style.bgcolor) if colour]
        assert all(one.is_default or (one.number is not None and one.number < 16) for one in colours)
