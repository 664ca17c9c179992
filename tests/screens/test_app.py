"""The program around the screens: exit codes, signals, errors that nobody foresaw."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pexpect
import pytest
from stage import press, text
from test_ticket import station

from trainer import places
from trainer.screens.opening import Opened
from trainer.screens.sinkside import SinksideApp
from trainer.screens.start import Start
from trainer.screens.station import Station
from trainer.screens.ticket import Wanted
from trainer.screens.widgets.countdown import Countdown
from trainer.screens.working import Working

PLATE = Path(__file__).parents[1] / "run" / "plate.yaml"
SMALL = """
format: 1
id: small
title: Small work
revision: 1
summary: Two acts.
cautions: [Local codes come first.]
stages:
  - id: only
    title: Only
    steps:
      - {id: first, do: Take the brush., key_points: [Dry], why: It wets.}
      - {id: second, do: Put it down.}
"""


def small(folder: Path) -> Path:
    """A procedure of two acts with a caution."""
    path = folder / "small.yaml"
    path.write_text(SMALL, encoding="utf-8")
    return path


async def until(app: SinksideApp, pilot: object, kind: type) -> None:
    """Until a screen of that kind stands."""
    for _ in range(200):
        await settled_screen(pilot)
        if isinstance(app.screen, kind):
            return
    raise AssertionError(f"{app.screen} stands, and {app.fault}")


async def settled_screen(pilot: object) -> None:
    """Until what was posted is drawn; the app's own way from screen to screen goes on for ever."""
    await pilot.pause()  # type: ignore[attr-defined] # a pilot of the app


async def test_from_the_start_screen_through_a_run_to_its_summary_and_back(tmp_path: Path) -> None:
    """Start, words before the first act, run, summary, start again; leaving ends with nothing open."""
    small(tmp_path)
    with Station.open(record=tmp_path / "r.db", procedures=tmp_path, shop=tmp_path / "s.yaml") as here:
        app = SinksideApp(here, Wanted(trainee="T-01"), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Start)
            await settled_screen(pilot)
            await press(pilot, "enter")
            assert "Local codes come first." in text(app)
            await press(pilot, "space")
            await until(app, pilot, Working)
            screen = app.screen
            assert isinstance(screen, Working)
            assert screen.shown.act == "Take the brush."
            screen.run.guard_ms = 0
            await press(pilot, "space", "space")
            await settled_screen(pilot)
            assert "DONE" in text(app)
            assert "Nothing was marked" in text(app)
            await press(pilot, "space")
            await until(app, pilot, Start)
            await press(pilot, "f10")
            await settled_screen(pilot)
        assert app.fault is None
        assert app.left_open == ""
        assert here.open_runs() == []


async def test_going_back_at_the_cautions_keeps_what_was_filled_in(tmp_path: Path) -> None:
    """Whoever picked the wrong work goes back to the form as it was left, and no run is opened."""
    small(tmp_path)
    with Station.open(record=tmp_path / "r.db", procedures=tmp_path, shop=tmp_path / "s.yaml") as here:
        app = SinksideApp(here, Wanted(), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Start)
            await settled_screen(pilot)
            await press(
                pilot, *"t-03", "enter", "enter", "enter", "right", "enter", *"tide", "enter", "enter"
            )
            await press(pilot, "enter")
            assert "Local codes come first." in text(app)
            await press(pilot, "q")
            await until(app, pilot, Start)
            await settled_screen(pilot)
            shown = text(app)
            assert all(kept in shown for kept in ("t-03", "cued", "tide"))
            assert here.open_runs() == []
            await press(pilot, "f10")


async def test_leaving_a_run_says_whose_stays_open(tmp_path: Path) -> None:
    """`q` in a run ends the program with the trainee's code to be said."""
    path = small(tmp_path)
    with Station.open(record=tmp_path / "r.db", procedures=tmp_path, shop=tmp_path / "s.yaml") as here:
        app = SinksideApp(here, Wanted(trainee="t-02", procedure=str(path)), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled_screen(pilot)
            await press(pilot, "space")
            await until(app, pilot, Working)
            await press(pilot, "q")
            await settled_screen(pilot)
        assert app.left_open == "T-02"
        assert len(here.open_runs()) == 1


async def test_a_run_lost_to_another_terminal_says_so(tmp_path: Path) -> None:
    """When another terminal has taken the run up, the next act ends the screen with the sentence."""
    with station(tmp_path) as here:
        run = here.open_run("plate", "T-01")
        app = SinksideApp(here, Wanted(run=run.view().run), Opened(run))
        run.guard_ms = 0
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Working)
            with Station.open(record=tmp_path / "record.db", procedures=tmp_path / "procedures") as other:
                other.take_up(run.view().run)
            await press(pilot, "space")
            await settled_screen(pilot)
        assert app.said
        assert app.fault is None


def corners() -> dict[str, Callable[[SinksideApp], None]]:
    """Ways to make something fail in each corner of the app."""

    def fail(*_: object) -> None:
        raise RuntimeError("a bug")

    async def fail_later() -> None:
        raise RuntimeError("a bug")

    return {
        "timer": lambda app: app.screen.query_one(Countdown).set_interval(0.01, fail) and None,
        "worker": lambda app: app.run_worker(fail_later()) and None,
        "thread": lambda app: app.run_worker(fail, thread=True) and None,
        "callback": lambda app: app.screen.call_after_refresh(fail) and None,
    }


@pytest.mark.parametrize("corner", corners())
async def test_an_error_anywhere_ends_the_app_and_is_kept_for_the_log(corner: str, tmp_path: Path) -> None:
    """An error in a timer, worker, thread or callback ends the app with code 1, not on the screen."""
    with station(tmp_path) as here:
        run = here.open_run("plate", "T-01")
        app = SinksideApp(here, Wanted(run=run.view().run), Opened(run))
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Working)
            corners()[corner](app)
            for _ in range(100):
                if app.fault is not None:
                    break
                await settled_screen(pilot)
        assert "a bug" in str(app.fault)
        assert app.return_code == 1


def environment(folder: Path) -> dict[str, str]:
    """The environment of a program with a data folder of its own."""
    kept = {"PATH": os.environ["PATH"], "HOME": str(folder), "TERM": "xterm-256color", "LANG": "C.UTF-8"}
    return kept | {"SINKSIDE_HOME": str(folder / "sinkside")}


def program(*argv: str) -> list[str]:
    """The command line of the program, as this interpreter runs it."""
    return ["-c", "from trainer.cli import main; main()", *argv]


def started(folder: Path, *argv: str) -> pexpect.spawn[bytes]:
    """The program in a terminal of 80 by 24."""
    env = environment(folder)
    return pexpect.spawn(sys.executable, program(*argv), env=env, dimensions=(24, 80), timeout=30)


@pytest.mark.parametrize(
    ("number", "code"),
    [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130), (signal.SIGQUIT, 131)],
)
@pytest.mark.sweep(quick=2)
def test_a_signal_restores_the_terminal(number: int, code: int, tmp_path: Path) -> None:
    """A signal to end restores the terminal, and 128 and its number is the exit code."""
    child = started(tmp_path, "run", str(small(tmp_path)), "--trainee", "T-01")
    child.expect(rb"Local codes")
    child.kill(number)
    child.expect(rb"\x1b\[\?1049l")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == code


def test_without_a_terminal_a_sentence_and_two(tmp_path: Path) -> None:
    """Without a terminal the app says so in one line on stderr and ends with 2."""
    done = subprocess.run(
        [sys.executable, *program()], env=environment(tmp_path), capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "--plain" in done.stderr


def test_a_procedure_that_cannot_be_used_is_said_before_any_screen(tmp_path: Path) -> None:
    """A broken file named on the command line ends with 1 and a sentence that names it."""
    path = small(tmp_path)
    path.write_text(SMALL.replace("do: Put", "du: Put"), encoding="utf-8")
    child = started(tmp_path, "run", str(path), "--trainee", "T-01")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1
    assert b"small.yaml" in (child.before or b"")
    assert b"Traceback" not in (child.before or b"")


@pytest.mark.parametrize(
    "corner",
    [
        "trainer.screens.widgets.sheet:Sheet.show",
        "trainer.screens.widgets.keys:Keys.render_line",
        "trainer.screens.before:Before.compose",
        "trainer.screens.sinkside:SinksideApp.on_mount",
    ],
)
@pytest.mark.sweep(quick=2)
def test_an_unforeseen_error_leaves_a_sentence_and_a_log(corner: str, tmp_path: Path) -> None:
    """An error that nobody foresaw: the terminal is restored, a sentence, exit 1, the details in the log."""
    module, name = corner.split(":")
    code = (
        f"import {module}\n"
        "def fail(*args): raise RuntimeError('a bug of ours')\n"
        f"{module}.{name} = fail\n"
        "from trainer.cli import main; main()"
    )
    argv = ["-c", code, "run", str(small(tmp_path)), "--trainee", "T-01"]
    child = pexpect.spawn(sys.executable, argv, env=environment(tmp_path), dimensions=(24, 80), timeout=30)
    child.expect(rb"Something went wrong that was not foreseen")
    assert b"Traceback" not in (child.before or b"")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1
    log = tmp_path / "sinkside" / places.log_path().name
    assert "RuntimeError: a bug of ours" in log.read_text(encoding="utf-8")
