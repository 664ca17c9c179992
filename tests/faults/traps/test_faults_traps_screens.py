"""Thirty screens that were pushed and popped leave none alive."""

from __future__ import annotations

import gc
import importlib
import pkgutil
import weakref
from collections.abc import Callable, Iterable, Mapping
from itertools import chain, repeat
from pathlib import Path
from typing import Any, ClassVar

import pytest
from bench_stand_ins import HandRehearsal, HandSight, HandWork
from review_desk import StillDesk, hand_glance
from stage import Stage, settled, working
from stand_ins import BARE, VIEWS, ViewRun, ViewStation
from test_golden import OUTCOME, SKILLS, start
from test_practising import HandPractice
from textual.screen import Screen

from trainer import screens
from trainer.run.fakes import FakeSignOff
from trainer.screens import looking
from trainer.screens.after import After
from trainer.screens.ask import Ask
from trainer.screens.before import Before
from trainer.screens.draft import Preview
from trainer.screens.help import Help
from trainer.screens.practising import Practising
from trainer.screens.preview import Previewing
from trainer.screens.questions import asking_note
from trainer.screens.rehearsing import Rehearsing
from trainer.screens.review.reviewing import Reviewing
from trainer.screens.summary import Summary

Maker = Callable[[], Screen[Any]]


def rehearsing() -> Screen[Any]:
    """The screen of a rehearsal over a bench by hand."""
    return Rehearsing(ViewStation(FakeSignOff({})), HandRehearsal())  # type: ignore[arg-type] # as much as is asked


def after() -> Screen[Any]:
    """What comes after a rehearsal."""
    rehearsal = HandRehearsal()
    rehearsal.made = HandWork("#", "gummed")
    return After((), looking.Looking(rehearsal))  # type: ignore[arg-type] # as much of a plate as is looked at


SMALL = Path(__file__).resolve().parents[2] / "procedure" / "small.yaml"
SCREENS: Mapping[str, Maker] = {
    "start": start,
    "before": lambda: Before("Title", ["Words"], lambda: None),
    "working": lambda: working(ViewRun(VIEWS["countdown"]))[1],
    "reading": lambda: working(ViewRun(VIEWS["reading"]))[1],
    "hazard": lambda: working(ViewRun(VIEWS["hazard"]))[1],
    "rehearsing": rehearsing,
    "after": after,
    "practising": lambda: Practising(HandPractice()),  # type: ignore[arg-type] # as much as is asked
    "ask": lambda: Ask(asking_note()),
    "preview": lambda: Previewing(Preview(SMALL)),
    "help": lambda: Help(BARE),
    "review": lambda: Reviewing(StillDesk(hand_glance())),
    "summary": lambda: Summary(OUTCOME, "Title", SKILLS),
}
"""Our own screens."""
THIRTY = 30


@pytest.fixture(autouse=True)
def _sight(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plate drawn by hand."""
    monkeypatch.setattr(looking, "sight", HandSight())


async def alive(makers: Iterable[Maker]) -> list[str]:
    """Push and pop screens, and two empty ones, since the library holds on to the last. What is left."""
    stage = Stage(Screen())
    left: list[weakref.ref[Screen[Any]]] = []
    async with stage.run_test(size=(80, 24)) as pilot:
        for make in chain(makers, repeat(Screen, 2)):
            screen = make()
            if type(screen) is not Screen:
                left.append(weakref.ref(screen))
            await stage.push_screen(screen)
            del screen
            await stage.pop_screen()
        await settled(pilot)
        gc.collect()
        return [type(found).__name__ for ref in left if (found := ref()) is not None]


async def test_thirty_screens_leave_none_alive() -> None:
    """Of thirty screens of all kinds, pushed and popped in turn, none is in memory afterwards."""
    turns = [make for _ in range(THIRTY) for make in SCREENS.values()][:THIRTY]
    assert await alive(turns) == []


def kinds_of(kind: type[Screen[Any]]) -> set[type[Screen[Any]]]:
    """The kinds of screens of the program below a kind that no other is built on."""
    own = {one for one in kind.__subclasses__() if one.__module__.startswith("trainer.")}
    below = set().union(*(kinds_of(one) for one in kind.__subclasses__()))
    return below | {one for one in own if not kinds_of(one)}


def test_every_screen_has_a_row() -> None:
    """No screen of the program is left out of the table."""
    for module in pkgutil.walk_packages(screens.__path__, "trainer.screens."):
        importlib.import_module(module.name)
    found = kinds_of(Screen)
    assert {Before, Rehearsing, Summary} <= found
    assert found - {type(make()) for make in SCREENS.values()} == set()


@pytest.mark.long
@pytest.mark.parametrize("name", SCREENS)
async def test_thirty_of_each_leave_none_alive(name: str) -> None:
    """The same for thirty of each kind."""
    assert await alive([SCREENS[name]] * THIRTY) == []


class Watches(Help):
    """Watches something of the app: the library keeps whoever does (textual#6666)."""

    def on_mount(self) -> None:
        """Watch the theme."""
        super().on_mount()
        self.watch(self.app, "theme", self.look)

    def look(self) -> None:
        """Nothing comes of it."""


class Remembers(Help):
    """Keeps every one of its kind in a list."""

    all: ClassVar[list[Screen[None]]] = []

    def on_mount(self) -> None:
        """Come into the list."""
        super().on_mount()
        self.all.append(self)


class Ticks(Help):
    """Lets a timer of the app call it."""

    def on_mount(self) -> None:
        """Be called every hour."""
        super().on_mount()
        self.app.set_interval(3600, self.refresh)


@pytest.mark.parametrize("leaking", [Watches, Remembers, Ticks])
@pytest.mark.sweep(quick=1)
async def test_a_screen_that_leaks_is_found(leaking: type[Help]) -> None:
    """Screens that are held by the app, by a list or by a timer are found to be alive."""
    found = await alive([lambda: leaking(BARE)] * 4)
    assert found == [leaking.__name__] * 4
