"""The way into the review at a station, and out of it: a PIN where there is one; no waiting at the end."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, closing
from datetime import UTC, datetime
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from review_desk import StillDesk, hand_glance, kept_record
from stage import Stage, press, settled, text
from textual import events
from textual.pilot import Pilot
from textual.screen import Screen

from trainer import tongue
from trainer.insight.dropped import Dropped
from trainer.insight.read import read
from trainer.insight.results import Wanted
from trainer.record.people import People
from trainer.run.fakes import FakeClock
from trainer.screens.ask import Ask
from trainer.screens.review import finding
from trainer.screens.review.desk import Found
from trainer.screens.review.finding import find
from trainer.screens.review.reviewing import Reviewing
from trainer.screens.sinkside import SinksideApp
from trainer.screens.start import Start
from trainer.screens.station import Station
from trainer.screens.terminal_app import OneScreenApp
from trainer.screens.ticket import Wanted as TicketWanted

PIN = "271828"
CLOCK = FakeClock("2026-04-01T12:00:00.000Z")
Shown = tuple[SinksideApp, Pilot[None], Path]


@asynccontextmanager
async def at_start(folder: Path, pin: str = "", language: str = "es") -> AsyncIterator[Shown]:
    """The start screen of a station with three runs, and an instructor where there is a PIN."""
    path = kept_record(folder)
    with Station.open(record=path, clock=CLOCK, language=language) as station:
        if pin:
            People(station.journal).add("I-9", instructor=True, pin=pin)
        app = SinksideApp(station, TicketWanted(), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await on_top(pilot, Start)
            yield app, pilot, path
    assert app.fault is None


async def on_top(pilot: Pilot[None], kind: type[Screen[Any]]) -> None:
    """Until a screen of that kind is on top. The app's own worker waits for screens, and is never done."""
    for _ in range(200):
        if isinstance(pilot.app.screen, kind):
            break
        await pilot.pause()
    await pilot.pause()
    assert isinstance(pilot.app.screen, kind)


async def type_in(pilot: Pilot[None], *lines: str) -> None:
    """Type lines into the prompt, each with Enter."""
    for line in lines:
        await on_top(pilot, Ask)
        for character in line:
            pilot.app.post_message(events.Key(character, character))
            await pilot.pause()
        await press(pilot, "enter")


def said(app: SinksideApp) -> str:
    """What was said over the page."""
    return " ".join(one.message for one in app._notifications)


def tries(path: Path) -> list[tuple[str, str]]:
    """Tries of a PIN as the record keeps them."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("SELECT instructor, found FROM pin_tries ORDER BY number").fetchall()


async def test_where_nobody_has_a_pin_it_is_open_and_says_so(tmp_path: Path) -> None:
    """F8 opens at once, the page says who can open it and how to change that; leaving comes back."""
    async with at_start(tmp_path) as (app, pilot, _):
        await press(pilot, "f8")
        await on_top(pilot, Reviewing)
        shown = " ".join(text(app).split())
        assert "3 runs of 2 trainees" in shown
        assert "Anybody at this station can open this page" in shown
        assert "record person add I-1 --instructor" in shown
        await press(pilot, "q")
        await on_top(pilot, Start)
        assert tongue.language() == "es"
        await press(pilot, "f10")


async def test_with_an_instructor_it_asks_for_code_and_pin(tmp_path: Path) -> None:
    """The right PIN opens it, the try is written down, and the page has no more to say about the door."""
    async with at_start(tmp_path, PIN) as (app, pilot, path):
        await press(pilot, "f8")
        await on_top(pilot, Ask)
        assert "es para instructores" in text(app)
        await type_in(pilot, "i-9", PIN)
        await on_top(pilot, Reviewing)
        assert "Anybody at this station" not in text(app)
        assert tries(path) == [("I-9", "right")]
        await press(pilot, "q")
        await on_top(pilot, Start)
        await press(pilot, "f8")
        await on_top(pilot, Ask)  # whoever comes after the instructor is asked again


@pytest.mark.parametrize(
    ("code", "pin", "words", "found"),
    [("I-9", "314159", "PIN", "wrong_pin"), ("T-01", PIN, "código", "unknown")],
)
async def test_a_wrong_one_is_said_and_written_down(
    tmp_path: Path, code: str, pin: str, words: str, found: str
) -> None:
    """A wrong PIN and a trainee's code: the start screen stays, with what was typed; said in Spanish."""
    async with at_start(tmp_path, PIN) as (app, pilot, path):
        await press(pilot, *"T-5", "f8")
        await type_in(pilot, code, pin)
        for _ in range(200):
            if tries(path) and "Looking" not in said(app) and words in said(app):
                break
            await asyncio.to_thread(lambda: None)
            await pilot.pause()
        assert words in said(app)
        assert isinstance(app.screen, Start)
        assert "T-5" in text(app)
        assert tries(path) == [(code, found)]


async def test_going_back_at_the_prompt_opens_nothing(tmp_path: Path) -> None:
    """Enter with nothing typed goes back to the form; no try is written down."""
    async with at_start(tmp_path, PIN) as (_, pilot, path):
        await press(pilot, "f8")
        await on_top(pilot, Ask)
        await press(pilot, "enter")
        await on_top(pilot, Start)
        assert tries(path) == []


async def test_a_record_that_cannot_tell_lets_nobody_in(tmp_path: Path) -> None:
    """The table of people gone: a sentence, and the start screen stays."""
    async with at_start(tmp_path, PIN) as (app, pilot, path):
        with closing(sqlite3.connect(path)) as connection:
            connection.execute("DROP TABLE people")
        await press(pilot, "f8")
        await pilot.pause()
        assert isinstance(app.screen, Start)
        assert said(app)


async def test_the_review_runs_without_a_station(monkeypatch: pytest.MonkeyPatch) -> None:
    """`sinkside review`: the same app on a record alone, from its first page to the end of the program."""

    def find(
        path: object, now: object, wanted: object, asked: int, record: object, *, dropped: Event
    ) -> Found:
        del path, now, wanted, record, dropped
        return Found(asked)

    monkeypatch.setattr(finding, "find", find)
    app = OneScreenApp(Reviewing(StillDesk(hand_glance())))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_top(pilot, Reviewing)
        assert "T-01" in text(app)
        await press(pilot, "q")
    assert (app.fault, app.return_code) == (None, 0)


async def test_leaving_does_not_wait_for_what_is_being_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """`q` while findings are worked out tells their thread; so does asking for something else."""
    flags: list[Event] = []
    ended: list[bool] = []

    def slow(
        path: object, now: object, wanted: object, asked: int, record: object, *, dropped: Event
    ) -> Found:
        del path, now, wanted, record
        flags.append(dropped)
        ended.append(dropped.wait(20))
        return Found(asked)

    monkeypatch.setattr(finding, "find", slow)
    stage = Stage(Reviewing(StillDesk(hand_glance())))
    async with stage.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: len(flags) == 1)
        await press(pilot, "r")
        await until(pilot, lambda: len(flags) == 2)
        await until(pilot, flags[0].is_set)
        assert not flags[1].is_set()
        await press(pilot, "q")
        await until(pilot, flags[1].is_set)
        await settled(pilot)
    assert ended == [True, True]


async def until(pilot: Pilot[None], done: Callable[[], bool]) -> None:
    """Until that is so."""
    for _ in range(500):
        if done():
            return
        await asyncio.to_thread(lambda: None)
        await pilot.pause()
    raise AssertionError("it never came")


def test_the_work_ends_at_its_next_piece(tmp_path: Path) -> None:
    """Told before it begins, it gives nothing; a look-up that raises ends a read at its next piece."""
    path, dropped = kept_record(tmp_path), Event()
    dropped.set()
    found = find(path, datetime(2026, 4, 1, tzinfo=UTC), Wanted(), 3, None, dropped=dropped)
    assert (found.asked, found.review, found.record, found.trouble) == (3, None, None, "")
    calls: list[int] = []

    def third() -> None:
        calls.append(1)
        if len(calls) == 3:
            raise Dropped

    with pytest.raises(Dropped):
        read(path, third)
    assert len(calls) == 3
