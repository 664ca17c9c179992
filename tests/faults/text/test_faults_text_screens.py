"""Every screen and widget with hostile texts: shown as they stand, nothing obeyed, nothing pushed aside."""

from __future__ import annotations

from pathlib import Path

import pytest
from hostile_scenes import SCENES, SHOWN_IN, classes, seen, there
from hostile_texts import EVERYTHING, MARKS, SHAPES, leaks
from stage import Stage, press, settled, working
from stand_ins import VIEWS, ViewRun
from textual import events
from textual.content import Content

from trainer.record import journal
from trainer.screens import ask, start
from trainer.screens.widgets.drawn import Drawn

WIDE, NARROW = (120, 40), (80, 24)


def test_every_screen_and_widget_is_in_a_scene() -> None:
    """A new screen or widget has to be shown with hostile texts in a scene here."""
    assert SHOWN_IN.keys() == classes(), "tests/faults/text/hostile_scenes.py: SHOWN_IN"
    assert set(SHOWN_IN.values()) == {*SCENES, "the terminal"}


async def shown(scene: str, said: str, size: tuple[int, int], folder: Path) -> str:
    """All that stood on the terminal in a scene; each class of the scene was there."""
    screens: list[str] = []
    found: set[str] = set()

    def look(stage: Stage) -> None:
        screens.append(seen(stage))
        found.update(there(stage))

    await SCENES[scene](said, size, folder, look)
    assert {name for name, shown_in in SHOWN_IN.items() if shown_in == scene} <= found
    return "\n".join(screens)


@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.sweep(quick=4)
async def test_marks_stand_as_they_were_written(scene: str, tmp_path: Path) -> None:
    """A text of marks is on the screen, each mark whole, and nothing a terminal obeys."""
    said = "[CAUTION] [x] 5 [cm] [/] [@click=app.quit]go[/]"
    came = await shown(scene, said, WIDE, tmp_path)
    assert leaks(came) == []
    if scene != "help":  # its words are the program's own
        assert "[CAUTION] [x] 5 [cm]" in came
        assert "[@click=app.quit]go[/]" in came


@pytest.mark.long
@pytest.mark.parametrize("size", [WIDE, NARROW, (40, 10)])
@pytest.mark.parametrize("scene", SCENES)
async def test_odd_shapes_push_nothing(scene: str, size: tuple[int, int], tmp_path: Path) -> None:
    """Every row is as wide as the terminal, whatever the text's letters take."""
    for number, said in enumerate(
        [" ".join(SHAPES.values()), "".join(SHAPES.values()), " ".join(MARKS), "a\nb\nc"]
    ):
        assert leaks(await shown(scene, said, size, tmp_path / str(number))) == []


async def test_what_is_pasted_is_cleaned(monkeypatch: pytest.MonkeyPatch) -> None:
    """A hostile text pasted into a prompt's line is shown harmless; without its cleaning it is found."""
    assert leaks(await pasted_into_prompt()) == []
    monkeypatch.setattr(ask, "one_line", str)
    assert leaks(await pasted_into_prompt())


async def pasted_into_prompt() -> str:
    """What stands on the terminal after a hostile text was pasted into a prompt; it takes the first line."""
    stage, _ = working(ViewRun(VIEWS["sign"]))
    async with stage.run_test(size=WIDE) as pilot:
        await press(pilot, "s")
        await settled(pilot)
        stage.screen.query_one(ask.Line).post_message(events.Paste("".join(EVERYTHING.splitlines())))
        await settled(pilot)
        return seen(stage)


async def test_rows_that_are_not_cleaned_are_caught(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the cleaning of the record's rows taken out, the start screen shows a control, and it is found."""
    monkeypatch.setattr(journal, "one_line", str)
    monkeypatch.setattr(start, "clean", str)
    screens: list[str] = []
    await SCENES["start"]("Plain", WIDE, tmp_path, lambda stage: screens.append(seen(stage)))
    assert leaks("".join(screens))


async def test_a_widget_that_reads_markup_is_caught(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a widget takes its text as markup, `[CAUTION]` goes from the screen, and that is seen."""
    literal = Drawn.draw

    def marked(self: Drawn, content: Content) -> None:
        literal(self, Content.from_markup(content.plain.replace("[/]", "").replace("[@click=app.quit]", "")))

    monkeypatch.setattr(Drawn, "draw", marked)
    came = await shown("start", "[CAUTION] [x] 5 [cm]", WIDE, tmp_path)
    assert "[CAUTION] [x] 5 [cm]" not in came
