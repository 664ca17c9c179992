"""The main screens as text, each looked at by eye before it was kept; everything else asserts on values.

To write them anew after a wanted change: `WRITE_GOLDEN=1 pytest -n 0 tests/screens/test_golden.py`,
then look at every difference.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from stage import Stage, compare, segments, settled, text, working
from stand_ins import VIEWS, ViewRun
from textual.screen import Screen

from trainer.screens import themes
from trainer.screens.help import Help
from trainer.screens.outcome import Outcome, SkillLine
from trainer.screens.start import Start
from trainer.screens.summary import Summary
from trainer.screens.ticket import Wanted

OUTCOME = Outcome(
    run="run-1",
    trainee="T-03",
    procedure="negative-plate-two-burns",
    guidance="cued",
    how="done",
    reason="",
    began="2026-03-02T09:00:00.000Z",
    minutes=74.5,
    plates=2,
    spoiled=1,
    skills=(
        SkillLine("contact", 5, 4, 1, ("read-gauge: 17 inHg, not good",)),
        SkillLine("exposure", 6, 6, 0, ()),
        SkillLine("", 2, 1, 0, ("rub: ended late",)),
    ),
    signed=("last-look: passed, I-1",),
    events=231,
    head="0123456789ab",
)
SKILLS = {
    "contact": "Gets film and plate into contact all over",
    "exposure": "Sets and corrects the exposure",
}


class NoStation:
    """A station with two procedures and two open runs."""

    language = "en"
    notice = ""

    def trainees(self) -> list[str]:
        """One trainee who was here before."""
        return ["T-03"]

    def heads(self) -> list[Any]:
        """Two heads."""
        from trainer.procedure.heads import Head

        return [
            Head(
                "exposure-test",
                "Exposure test with a wedge",
                "Strips, until the wedge reads.",
                1,
                Path("a.yaml"),
                has_bench=True,
            ),
            Head(
                "two-burns",
                "Negative-working plate, two burns",
                "One plate, developed by hand.",
                3,
                Path("b.yaml"),
                has_bench=True,
            ),
        ]

    def open_runs(self) -> list[Any]:
        """Two open runs."""
        from trainer.record.journal import OpenRun

        first = OpenRun(
            run="r1",
            trainee="T-03",
            procedure="two-burns",
            revision=3,
            content_hash="0" * 64,
            guidance="full",
            rehearsal=False,
            step="draw-down",
            plate=2,
            opened_at="2026-03-02T09:00:00.000Z",
            last_at="2026-03-02T09:41:00.000Z",
            job="tide table",
            colour="blue",
        )
        second = replace(first, run="r2", trainee="T-11", procedure="exposure-test", step="burn", plate=1)
        return [first, replace(second, job="", colour="")]


def start() -> Screen[Any]:
    """The start screen over `NoStation`."""
    return Start(NoStation(), Wanted())  # type: ignore[arg-type] # as much of a station as is asked for


SCREENS: dict[str, Callable[[], Screen[Any]]] = {
    "start": start,
    "summary": lambda: Summary(OUTCOME, "Negative-working plate, two burns", SKILLS),
    "help": lambda: Help(VIEWS["confirm"]),
    **{
        name: lambda name=name: working(ViewRun(VIEWS[name]))[1]  # type: ignore[misc] # bound to each name
        for name in (
            "confirm",
            "countdown",
            "countdown-due",
            "hazard",
            "quiz",
            "order",
            "wrong",
            "reading-miss",
        )
    },
}


@pytest.mark.parametrize("name", SCREENS)
async def test_screens_at_80_by_24(name: str) -> None:
    """The main screens look at 80x24 as they did when they were looked at."""
    stage = Stage(SCREENS[name]())
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        compare(f"{name}-80", text(stage))


@pytest.mark.parametrize("name", ["start", "confirm", "countdown-due", "hazard"])
async def test_screens_at_120_by_40(name: str) -> None:
    """The same at 120x40, where key points and drawing stand beside the act."""
    stage = Stage(SCREENS[name]())
    async with stage.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        compare(f"{name}-120", text(stage))


@pytest.mark.parametrize("name", ["hazard", "countdown-due", "confirm", "start"])
async def test_sixteen_colours_suffice(name: str) -> None:
    """With sixteen colours no other is used, and bands still stand out by being reversed."""
    stage = Stage(SCREENS[name](), themes.SIXTEEN, ansi=True)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        styles = [piece.style for row in segments(stage) for piece in row if piece.style]
        colours = {colour for style in styles for colour in (style.color, style.bgcolor) if colour}
        assert all(
            colour.is_default or (colour.number is not None and colour.number < 16) for colour in colours
        )
        assert any(style.reverse for style in styles)


@pytest.mark.parametrize("name", ["hazard", "countdown-due", "confirm", "quiz", "start"])
async def test_the_same_words_stand_without_colours(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR no colour is used at all, and not a character differs."""
    coloured = Stage(SCREENS[name]())
    async with coloured.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        words = text(coloured)
    monkeypatch.setenv("NO_COLOR", "1")
    stage = Stage(SCREENS[name](), themes.SIXTEEN, ansi=True)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert text(stage) == words
        styles = [piece.style for row in segments(stage) for piece in row if piece.style]
        assert all(
            not colour or colour.is_default for style in styles for colour in (style.color, style.bgcolor)
        )
        assert any(style.reverse or style.bold for style in styles)


async def test_a_safety_prompt_looks_like_nothing_else() -> None:
    """The stripes of a safety prompt's frame occur on no other screen, in colour or without."""
    for name, screen in SCREENS.items():
        stage = Stage(screen())
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            rows = text(stage).split("\n")
            assert any("▞▞▞" in row for row in rows) == (name == "hazard")


@pytest.mark.parametrize("theme", themes.THEMES[:2], ids=["dark", "light"])
def test_words_stand_out_from_their_ground(theme: Any) -> None:  # noqa: ANN401 - the library's theme
    """Every colour that carries words has a contrast of at least 4.5 to 1 with each ground it stands on.

    Source: WCAG 2.2, success criterion 1.4.3.
    """
    from textual.color import Color

    grounds = [theme.background, theme.surface, theme.panel]
    inks = [theme.foreground, theme.primary, theme.accent, theme.warning, theme.error, theme.success]
    inks += [theme.variables["quiet"], theme.variables["danger"], theme.variables["caution"]]
    for ink in inks:
        for ground in grounds:
            assert contrast(Color.parse(ink), Color.parse(ground)) >= 4.5, (ink, ground)


def contrast(one: Any, other: Any) -> float:  # noqa: ANN401 - the library's colours
    """Contrast ratio of two colours (WCAG 2.2: relative luminance)."""

    def luminance(colour: Any) -> float:  # noqa: ANN401
        parts = [part / 255 for part in colour.rgb]
        red, green, blue = (
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
        )
        return float(0.2126 * red + 0.7152 * green + 0.0722 * blue)

    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
