"""Troubles with the record as a trainee meets them: told on the screen and in lines, gone once mended."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from contextlib import suppress
from itertools import count
from pathlib import Path
from typing import Any, cast

import pytest
from click.testing import CliRunner
from faulty_disk import Disk, Fault, faulty
from plate_station import plate_station
from run_kit import Sink
from small_disk import layered
from textual.app import App
from textual.events import Key
from textual.pilot import Pilot
from textual.screen import Screen
from textual.worker import WorkerCancelled

from trainer.cli import main
from trainer.record import pins, reserve
from trainer.record.people import People
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import JournalTrouble
from trainer.run.session import Run
from trainer.screens import themes
from trainer.screens.plain import PlainRun
from trainer.screens.start import Start
from trainer.screens.station import Station
from trainer.screens.ticket import Wanted
from trainer.screens.working import Working

NEARLY_FULL = "is nearly full"


class Stage(App[None]):
    """Shows one screen. said: what it was left with."""

    def __init__(self, first: Screen[Any]) -> None:
        super().__init__()
        self._first = first
        self.said: object = None
        for known in themes.THEMES:
            self.register_theme(known)
        self.theme = themes.DARK

    def on_mount(self) -> None:
        """Show it."""
        self.push_screen(self._first, self._left)

    def _left(self, said: object) -> None:
        self.said = said


def _text(app: App[Any]) -> str:
    """What the terminal shows, its lines joined: a sentence may go over several.

    The library shows its painted rows nowhere in public but in an SVG, which holds no text by rows.
    """
    strips = app.screen._compositor.render_strips()
    rows = ("".join(piece.text for piece in strip) for strip in strips)
    return " ".join(" ".join(rows).split())


async def _shown(pilot: Pilot[Any], clock: FakeClock, *keys: str) -> str:
    """Press keys, each a second after the one before; what the terminal shows then."""
    for key in keys:
        clock.pass_time(1.0)
        pilot.app.post_message(Key(key, key if len(key) == 1 else {"space": " "}.get(key)))
        await pilot.pause()
    await pilot.pause()
    await pilot.pause()
    return _text(pilot.app)


class Script:
    """Lines to type, with what happens before each; whatever is said is kept."""

    def __init__(self, clock: FakeClock, *lines: tuple[Callable[[], object], str]) -> None:
        self._clock, self._lines = clock, list(lines)
        self.said: list[str] = []

    def read(self, timeout: float | None) -> str:
        """The next line, a second after the one before."""
        del timeout
        if not self._lines:
            raise EOFError
        self._clock.pass_time(1.0)
        happens, line = self._lines.pop(0)
        self.said.append(f"> {line}")
        happens()
        return line

    def secret(self, ask: str) -> str:
        """Nobody asks for a PIN here."""
        raise AssertionError(ask)

    def say(self, text: str) -> None:
        """Keep it."""
        self.said.append(text)


def _nothing() -> None:
    """Nothing happens."""


def _in_lines(station: Station, run: Run, script: Script) -> list[str]:
    with pytest.raises(EOFError):
        PlainRun(station, run, script).go()
    return script.said


FAILING = pytest.mark.parametrize(
    ("fault", "call", "told"),
    [
        (Fault("full", lasting=True), 1, "Free some space, then try again."),
        (Fault("io", lasting=True), 2, "See that it is not full and still attached, then try again."),
        (Fault("busy", lasting=True), 1, "close whatever has the record open."),
    ],
    ids=["full", "io", "busy"],
)


@FAILING
async def test_a_failing_disk_is_told_on_the_run_screen_and_mended_the_same_key_is_taken(
    tmp_path: Path, fault: Fault, call: int, told: str
) -> None:
    """A key on a disk that fails: the act stays, and a sentence says what to do; mended, it moves on."""
    clock, disk = FakeClock(), Disk()
    with faulty(disk), plate_station(tmp_path, clock) as station:
        run = station.open_run("plate", "T-01")
        app = Stage(Working(station, run))
        async with app.run_test(size=(80, 24)) as pilot:
            await _shown(pilot, clock)
            state = run.state
            disk.break_at(fault, call)
            assert told in await _shown(pilot, clock, "space")
            assert run.state is state
            disk.mend()
            assert told not in await _shown(pilot, clock, "space")
            assert run.state is not state


@FAILING
def test_a_failing_disk_is_told_in_lines_and_mended_the_same_line_is_taken(
    tmp_path: Path, fault: Fault, call: int, told: str
) -> None:
    """The same in lines of text: refused in a line, then taken."""
    clock, disk = FakeClock(), Disk()
    with faulty(disk), plate_station(tmp_path, clock) as station:
        run = station.open_run("plate", "T-01")
        state = run.state
        script = Script(clock, (lambda: disk.break_at(fault, call), ""), (disk.mend, ""))
        said = _in_lines(station, run, script)
        assert [line for line in said if line.endswith(told)] == [said[said.index("> ") + 1]]
        assert run.state is not state


async def test_a_nearly_full_disk_stays_told_on_the_run_screen_until_there_is_room(tmp_path: Path) -> None:
    """The act in hand is taken and the warning shows; at each act anew; freed, the next act takes it away."""
    clock = FakeClock()
    with layered(tmp_path, "full") as small, plate_station(small.folder, clock) as station:
        run = station.open_run("plate", "T-01")
        app = Stage(Working(station, run))
        async with app.run_test(size=(80, 24)) as pilot:
            assert NEARLY_FULL not in await _shown(pilot, clock)
            small.fill()
            state = run.state
            assert NEARLY_FULL in await _shown(pilot, clock, "space")
            assert run.state is not state
            assert NEARLY_FULL in await _shown(pilot, clock, "1")
            small.free()
            assert NEARLY_FULL not in await _shown(pilot, clock, "p")


def test_a_nearly_full_disk_is_told_once_in_lines(tmp_path: Path) -> None:
    """In lines of text the warning comes with the act that found it out, and not again while it stays."""
    clock = FakeClock()
    with layered(tmp_path, "full") as small, plate_station(small.folder, clock) as station:
        run = station.open_run("plate", "T-01")
        said = _in_lines(station, run, Script(clock, (small.fill, ""), (_nothing, "1"), (_nothing, "p")))
    warned = [number for number, line in enumerate(said) if NEARLY_FULL in line]
    assert warned == [said.index("> ") + 1]


async def test_a_nearly_full_disk_is_told_on_the_start_screen(tmp_path: Path) -> None:
    """A record without its reserve on a full disk opens, and the start screen says what to do."""
    clock = FakeClock()
    with layered(tmp_path, "full") as small:
        with plate_station(small.folder, clock) as station:
            reserve.give_up(station.journal.path)
        small.fill()
        with plate_station(small.folder, clock) as station:
            app = Stage(Start(station, Wanted()))
            async with app.run_test(size=(80, 24)) as pilot:
                assert NEARLY_FULL in await _shown(pilot, clock)
                assert "Free some space, at least a megabyte." in _text(app)


async def test_a_station_that_hides_its_trouble_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: with a station that keeps its notice to itself, the same look at the screen fails."""
    monkeypatch.setattr(Station, "notice", "")
    with pytest.raises(AssertionError, match=NEARLY_FULL):
        await test_a_nearly_full_disk_is_told_on_the_start_screen(tmp_path)


async def test_the_screen_of_a_run_taken_up_elsewhere_is_left_with_a_sentence(tmp_path: Path) -> None:
    """The next key at the first terminal ends its screen and says where the run is now; nothing is kept."""
    clock = FakeClock()
    with plate_station(tmp_path, clock) as first, plate_station(tmp_path, clock) as second:
        run = first.open_run("plate", "T-01")
        app = Stage(Working(first, run))
        async with app.run_test(size=(80, 24)) as pilot:
            await _shown(pilot, clock)
            there = second.take_up(run.state.run)
            kept = first.journal.events(run.state.run)
            await _shown(pilot, clock, "space")
        assert "taken up at another terminal" in str(app.said)
        assert first.journal.events(run.state.run) == kept
        clock.pass_time(1.0)
        there.next()


async def test_an_act_that_was_kept_after_all_ends_the_screen_with_a_sentence(tmp_path: Path) -> None:
    """The disk says that it failed, and kept the act: the screen is left with what to do, and that works."""
    clock, disk = FakeClock(), Disk()
    with faulty(disk), plate_station(tmp_path, clock) as station:
        run = station.open_run("plate", "T-01")
        before = len(station.journal.events(run.state.run))
        for call in count(1):
            disk.break_at(Fault("io", lasting=True, late=True), call)
            clock.pass_time(1.0)
            with suppress(JournalTrouble):
                run.next()
            disk.mend()
            if len(station.journal.events(run.state.run)) > before:
                break
        app = Stage(Working(station, run))
        async with app.run_test(size=(80, 24)) as pilot:
            await _shown(pilot, clock, "space")
        assert "take the run up again, it goes on behind that act" in str(app.said)
        assert station.take_up(run.state.run).state.step == "film-clean"


async def test_a_pin_is_looked_at_beside_the_screens_loop(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While a PIN is looked at, in a thread of its own, keys are answered; then the word is kept."""
    clock, looking, go_on = FakeClock(), threading.Event(), threading.Event()
    looked_in: list[threading.Thread] = []

    def slow(_kept: str, pin: str) -> bool:
        looked_in.append(threading.current_thread())
        looking.set()
        return go_on.wait(30) and pin == "804215"

    monkeypatch.setattr(pins, "_fits", slow)
    with plate_station(tmp_path, clock) as station:
        People(station.journal).add("I-1", instructor=True, pin="804215")
        run = station.open_run("plate", "T-01")
        Sink(run.plan, run, clock, cast("FakeJournal", station.journal)).until("sign")
        app = Stage(Working(station, run))
        async with app.run_test(size=(80, 24)) as pilot:
            await _shown(pilot, clock, "s", *"i-1", "enter", "1", *"804215", "enter")
            assert await asyncio.to_thread(looking.wait, 30)
            assert "LOOKING BACK" in (await _shown(pilot, clock, "b")).upper()
            assert station.open_runs() != []
            go_on.set()
            with suppress(WorkerCancelled):  # its message may close the run, and the screen, before it ends
                await app.workers.wait_for_complete()
            await _shown(pilot, clock)
        assert looked_in != [threading.main_thread()]
        assert run.state.closed == "done"


@pytest.mark.parametrize("command", [["run", "--plain"], ["run"], []])
def test_a_record_that_cannot_be_opened_is_told_before_there_is_a_screen(
    tmp_path: Path, command: list[str]
) -> None:
    """With a file that is no record, each command ends with 1 and one sentence that says what to do."""
    record = tmp_path / "record.db"
    record.write_text("format: 1\n" * 99, encoding="utf-8")
    done = CliRunner().invoke(main, [*command, "--record", str(record)])
    assert (done.exit_code, done.stdout) == (1, "")
    assert "is not a Sinkside record. Name the right file with --record" in done.stderr
