"""The preview on a screen: the trainee's view, the author's rows, saves that are seen, room counted."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from trainer import places
from trainer.procedure.render import summary
from trainer.screens import room
from trainer.screens.draft import Preview
from trainer.screens.preview import Beside, Previewing
from trainer.screens.terminal_app import OneScreenApp
from trainer.screens.widgets.hazard import Hazard
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.place import Place
from trainer.screens.widgets.sheet import Sheet

SMALL = Path(__file__).resolve().parent.parent / "procedure" / "small.yaml"
SOURCE = SMALL.read_text(encoding="utf-8")
PATIENCE = 20.0


def save(file: Path, text: str) -> None:
    """Save as an editor does that writes in place."""
    file.write_text(text, encoding="utf-8")


def put_in_place(beside: Path, file: Path) -> None:
    """Save as an editor does that writes another file first."""
    beside.replace(file)


def delete(file: Path) -> None:
    """Take the file away."""
    file.unlink()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The small procedure, to be written in."""
    file = tmp_path / "small.yaml"
    file.write_text(SOURCE, encoding="utf-8")
    return file


@asynccontextmanager
async def shown(
    file: Path, size: tuple[int, int] = (100, 40), *, step: str = ""
) -> AsyncIterator[tuple[Pilot[None], Previewing]]:
    """The app over a file, at a step. Raises what went wrong in it."""
    preview = Preview(file)
    if step:
        assert preview.go(step)
    app = OneScreenApp(Previewing(preview))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        while not isinstance(app.screen, Previewing):
            await pilot.pause()
        await pilot.pause()
        yield pilot, app.screen
    if app.fault is not None:
        raise app.fault


async def until(pilot: Pilot[None], holds: Callable[[], bool]) -> None:
    """Wait for something to hold."""

    async def look() -> None:
        while not holds():
            await pilot.pause()

    await asyncio.wait_for(look(), PATIENCE)


def rows(screen: Previewing) -> str:
    """What stands in the author's rows."""
    return screen.query_one(Beside).shown


async def test_keys_move_freely_and_the_rows_say_where() -> None:
    """Space, digits, stage and back move; the rows name step and ways on; q ends."""
    async with shown(SMALL) as (pilot, screen):
        assert "take-plate" in rows(screen)
        await pilot.press("space", "space")
        assert "which-side" in rows(screen)
        assert "if “The bare side”: turn-over" in rows(screen)
        await pilot.press("2")
        assert screen.preview.step == "turn-over"
        await pilot.press("b", "j")
        assert screen.preview.step == "mind-the-light"
        assert screen.query_one(Hazard).display
        await pilot.press("j")
        assert not screen.query_one(Hazard).display
        assert "Space" in screen.query_one(Keys).shown
        await pilot.press("q")


async def test_a_save_is_seen_and_the_place_kept(file: Path) -> None:
    """A save in place, another file put in its place, one after a delete: each is drawn at the same step."""
    async with shown(file, step="turn-over") as (pilot, screen):
        save(file, SOURCE.replace("Turn the plate over.", "First."))
        await until(pilot, lambda: screen.shown.act == "First.")
        beside = file.with_suffix(".part")
        save(beside, SOURCE.replace("Turn the plate over.", "Second."))
        put_in_place(beside, file)
        await until(pilot, lambda: screen.shown.act == "Second.")
        delete(file)
        await until(pilot, lambda: screen.preview.older)
        assert "what stands above is older" in " ".join(rows(screen).split())
        save(file, SOURCE.replace("Turn the plate over.", "Third."))
        await until(pilot, lambda: screen.shown.act == "Third.")
        assert screen.preview.step == "turn-over"


async def test_problems_stand_beside_their_step(file: Path) -> None:
    """A wrong target is told at its step with its line, and w leads there."""
    async with shown(file) as (pilot, screen):
        save(file, SOURCE.replace("to: find-leak", "to: fnd-leak"))
        await until(pilot, lambda: not screen.preview.draft.kept)
        assert "fnd-leak" not in rows(screen)
        await until_pressed(pilot, screen, "w", "read-gauge")
        line = SOURCE[: SOURCE.index("to: find-leak")].count("\n") + 1
        assert f"line {line}:" in rows(screen)
        assert "fnd-leak" in rows(screen)


async def test_warnings_are_counted_apart_and_told_as_such(file: Path) -> None:
    """The head counts as `check` does; at a step problems come first, and a warning says that it is one."""
    broken = SOURCE.replace("to: find-leak", "to: fnd-leak")
    save(file, broken.replace("do: Read the gauge.", "do: Say here the last act."))
    async with shown(file, step="read-gauge") as (_, screen):
        counted = summary([(file.name, screen.preview.draft.found)]).rstrip(".")
        assert counted == "1 problem and 2 warnings"
        told = rows(screen).splitlines()
        assert told[0].split("  ") == [f"small.yaml: {counted}", "read-gauge"]
        assert told[1].startswith("! line ")
        assert told[2].startswith("▫ line ")
        assert ", a warning: Still to be written" in told[2]


async def until_pressed(pilot: Pilot[None], screen: Previewing, key: str, step: str) -> None:
    """Press a key until a step is shown; a few times at most."""
    for _ in range(4):
        await pilot.press(key)
        if screen.preview.step == step:
            return
    raise AssertionError(screen.preview.step)


async def test_a_disk_that_tells_nothing_is_looked_at(file: Path) -> None:
    """Without the system's word, a look at the file sees that it is another."""
    async with shown(file, step="turn-over") as (pilot, screen):
        screen.workers.cancel_all()
        save(file, SOURCE.replace("Turn the plate over.", "Longer than before."))
        screen._look()
        await until(pilot, lambda: screen.shown.act == "Longer than before.")


async def test_a_system_without_watches_is_lived_with(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no watch is to be had the preview opens all the same, and a look sees the save."""

    def none_left(*_: object, **__: object) -> AsyncIterator[object]:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("watchfiles.awatch", none_left)
    async with shown(file, step="turn-over") as (pilot, screen):
        await until(
            pilot, lambda: all(worker.is_finished for worker in screen.workers if worker.node is screen)
        )
        save(file, SOURCE.replace("Turn the plate over.", "Seen all the same."))
        screen._look()
        await until(pilot, lambda: screen.shown.act == "Seen all the same.")


@pytest.mark.parametrize(
    "procedure",
    [SMALL, pytest.param(places.procedures_dir() / "negative-plate-two-burns.yaml", marks=pytest.mark.long)],
    ids=["small", "two-burns"],
)
async def test_room_is_counted_as_the_screen_has_it(procedure: Path) -> None:
    """For every step, what is said to have no room at 80x24 is what has none on a screen of that size."""
    async with shown(procedure, (120, 60)) as (pilot, screen):
        await pilot.press("z")
        await pilot.pause()
        await pilot.pause()
        window = screen.query_one("#window")
        assert window.size == (room.COLUMNS, room.ROWS)
        assert screen.preview.plan is not None
        for name in screen.preview.plan.steps:
            screen.preview.go(name)
            screen.draw_now()
            await pilot.pause()
            view, sheet = screen.preview.view(), screen.query_one(Sheet)
            if view.hazard is None:
                assert sheet.size.height == room.rows_for(view), name
                assert bool(room.shortfalls(view)) == (not sheet.whole), name


async def test_the_narrow_view_is_80_by_24() -> None:
    """z draws as on 80x24, key points no longer beside the act; z again takes all the room."""
    async with shown(SMALL, (120, 50)) as (pilot, screen):
        await pilot.press("z")
        await until(pilot, lambda: screen.query_one(Place).size.width <= 80 and not screen.wide)
        await pilot.press("z")
        await until(pilot, lambda: screen.query_one(Place).size.width > 80 and screen.wide)


async def test_what_does_not_fit_is_said(file: Path) -> None:
    """Key points without room are told beside the step."""
    many = "".join(f"          - Point number {number} of many\n" for number in range(20))
    told = SOURCE.replace(
        "        key_points: [Slip sheet off only now, Coated side up]\n", f"        key_points:\n{many}"
    )
    save(file, told)
    async with shown(file) as (_, screen):
        assert "80x24: Key points and reason have no room" in rows(screen)


async def test_only_keys_that_open_something_are_named() -> None:
    """A question without key points and drawing names neither; an act that has both names both."""
    plate = places.procedures_dir() / "negative-plate-two-burns.yaml"
    for step, there in (("ask-cold-lamp", False), ("pour", True)):
        async with shown(plate, (120, 40), step=step) as (pilot, screen):
            await pilot.pause()
            row = screen.query_one(Keys).shown
            assert ("key points" in row, "picture" in row) == (there, there)
