"""A stage for one screen: an app that shows it, and what stands on the terminal as text."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from rich.segment import Segment
from stand_ins import VIEWS, ViewRun, ViewStation
from textual import events
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen
from textual.worker import WorkerCancelled

from trainer.run.fakes import FakeSignOff
from trainer.run.view import RunView
from trainer.screens import themes
from trainer.screens.working import Working

GOLDEN = Path(__file__).parent / "golden"
PIN = "271828"
NAMED = {"space": " ", "minus": "-", "full_stop": ".", "comma": ",", "question_mark": "?"}
"""Characters of keys that are named by words."""


class Stage(App[None]):
    """Shows `first`; errors are raised to the test, since nothing here keeps them for a log."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self, first: Screen[Any], theme: str = themes.DARK, *, ansi: bool | None = None) -> None:
        super().__init__(ansi_color=ansi)
        self.first = first
        self.results: list[object] = []
        self.bells = 0
        for known in themes.THEMES:
            self.register_theme(known)
        self.theme = theme

    def on_mount(self) -> None:
        """Show the screen, and keep what it is dismissed with."""
        self.push_screen(self.first, self.results.append)

    def bell(self) -> None:
        """Count instead of ringing."""
        self.bells += 1


def working(run: ViewRun, theme: str = themes.DARK) -> tuple[Stage, Working]:
    """A run screen over a run by hand, and its stage."""
    station = ViewStation(FakeSignOff({"I-1": PIN}))
    screen = Working(station, run)  # type: ignore[arg-type] # as much of both as the screen asks for
    return Stage(screen, theme), screen


def showing(view: RunView, theme: str = themes.DARK) -> tuple[Stage, Working]:
    """The same over one view."""
    return working(ViewRun(view), theme)


def segments(app: App[Any]) -> list[list[Segment]]:
    """What the terminal shows, a list of styled pieces for each row.

    The library shows its painted rows nowhere in public but in an SVG, which holds no text by rows.
    """
    return [list(strip) for strip in app.screen._compositor.render_strips()]


def text(app: App[Any]) -> str:
    """The characters on the terminal, without blanks at the ends of rows."""
    rows = ("".join(piece.text for piece in row).rstrip() for row in segments(app))
    return "\n".join(rows) + "\n"


async def settled(pilot: Pilot[Any]) -> None:
    """Until everything that was posted is done and drawn; a screen that is left takes its workers with it."""
    await pilot.pause()
    for worker in list(pilot.app.workers):
        with suppress(WorkerCancelled):
            await worker.wait()
    await pilot.pause()


@asynccontextmanager
async def idle_space(name: str, said: str) -> AsyncIterator[tuple[Pilot[None], ViewRun]]:
    """A view on its screen after Space, which does nothing there: it says why, and nothing is done."""
    view = VIEWS[name]
    run = ViewRun(replace(view, acts=tuple(act for act in view.acts if act != "next")))
    stage, _ = working(run)
    async with stage.run_test(size=(80, 24)) as pilot:
        assert said not in text(stage)
        await press(pilot, "space")
        assert said in text(stage)
        assert run.did == []
        yield pilot, run


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Press keys, each done before the next, without the rests of a pilot's own press."""
    for key in keys:
        pilot.app.post_message(events.Key(key, key if len(key) == 1 else NAMED.get(key)))
        await pilot.pause()


def compare(name: str, shown: str, folder: Path = GOLDEN) -> None:
    """Hold what is shown to what was kept; write it where the environment says so."""
    kept = folder / f"{name}.txt"
    if os.environ.get("WRITE_GOLDEN"):
        kept.write_text(shown, encoding="utf-8")
    assert shown == kept.read_text(encoding="utf-8")
