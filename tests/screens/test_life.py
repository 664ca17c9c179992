"""What is no longer shown is freed."""

from __future__ import annotations

import asyncio
import gc
import weakref
from typing import Any

import pytest
from stage import Stage, settled, working
from stand_ins import BARE, VIEWS, ViewRun
from textual.screen import Screen
from textual.timer import Timer

from trainer.screens.ask import Ask
from trainer.screens.before import Before
from trainer.screens.help import Help
from trainer.screens.questions import asking_note

MOST_LEFT = 2
"""Screens that the library may still hold: the one popped last, and what its last event touched."""


@pytest.mark.long
async def test_thirty_run_screens_are_freed() -> None:
    """Of 30 run screens that were pushed and left at most two are still in memory."""
    stage = Stage(Screen())
    left: list[weakref.ref[Screen[str]]] = []
    async with stage.run_test(size=(80, 24)) as pilot:
        for _ in range(30):
            _, screen = working(ViewRun(VIEWS["countdown"]))
            left.append(weakref.ref(screen))
            stage.push_screen(screen)
            del screen
            await settled(pilot)
            stage.pop_screen()
            await settled(pilot)
        gc.collect()
        assert sum(ref() is not None for ref in left) <= MOST_LEFT


@pytest.mark.long
async def test_thirty_prompts_are_freed() -> None:
    """Prompts, help and the words before the first act are freed once they are left."""
    stage, _ = working(ViewRun(BARE))
    left: list[weakref.ref[object]] = []
    async with stage.run_test(size=(80, 24)) as pilot:
        for _ in range(10):
            for prompt in (Ask(asking_note()), Help(BARE), Before("Title", ["Words"], lambda: None)):
                left.append(weakref.ref(prompt))
                stage.push_screen(prompt)
                await settled(pilot)
                stage.pop_screen()
            del prompt
            await settled(pilot)
        gc.collect()
        assert sum(ref() is not None for ref in left) <= MOST_LEFT


async def test_no_timer_outlives_its_screen() -> None:
    """After a run screen with a running wait has been left, no more timers run than before."""
    stage = Stage(Screen())
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        before = timers()
        for _ in range(5):
            _, screen = working(ViewRun(VIEWS["countdown"]))
            stage.push_screen(screen)
            await settled(pilot)
            assert timers() > before
            stage.pop_screen()
            del screen
            await settled(pilot)
        assert timers() <= before


def timers() -> int:
    """Tasks of timers that are still to run."""
    return sum(_of_timer(task) for task in asyncio.all_tasks())


def _of_timer(task: asyncio.Task[Any]) -> bool:
    """Whether the task is the loop of one of the library's timers."""
    frame = getattr(task.get_coro(), "cr_frame", None)
    return not task.done() and frame is not None and isinstance(frame.f_locals.get("self"), Timer)
