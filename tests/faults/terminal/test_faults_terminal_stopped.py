"""A program that is stopped in a countdown (SIGSTOP) says the truth when it goes on (SIGCONT)."""

from __future__ import annotations

import signal
import time
from pathlib import Path

import pytest
from sink import NotShown, Sink
from terminal_kit import PLATE, Sitting, arguments, at_work
from trainee import Trainee

from trainer.procedure.load import load
from trainer.record.journal import StationJournal
from trainer.run import clock
from trainer.run.waits import elapsed
from trainer.screens.figures import big
from trainer.screens.words import clock_text

COUNTDOWN = 90.0
"""Seconds of the first wait of the plate of the tests."""


def shows_figures(screen: str, seconds: float) -> bool:
    """Whether a time stands on the screen in large figures, rounded up as what remains is."""
    return all(row.rstrip() in screen for row in big(clock_text(seconds)))


def stopped_for(trainee: Sitting, seconds: float) -> None:
    """Stop the program, let time go by, and let it go on."""
    sink = trainee.sink
    sink.child.kill(signal.SIGSTOP)
    sink.until(lambda _: sink.by_ps("stat").startswith("T"), "the program stopped")
    sink.pass_time(seconds)
    sink.child.kill(signal.SIGCONT)


@pytest.mark.long
def test_a_countdown_counts_while_the_program_is_stopped(tmp_path: Path) -> None:
    """Stopped for 30 s of a countdown it shows 30 s less; stopped past its end it rings, and ends nothing."""
    with at_work(tmp_path) as trainee:
        trainee.work_to("waiting")
        trainee.sink.until(lambda screen: shows_figures(screen, COUNTDOWN), "the whole countdown")
        stopped_for(trainee, 30.0)
        trainee.sink.until(lambda screen: shows_figures(screen, COUNTDOWN - 30), "30 s less")
        stopped_for(trainee, COUNTDOWN)
        trainee.sink.until(lambda screen: "TIME" in screen and shows_figures(screen, 30), "30 s too long")
        assert trainee.asks() == "waiting"
        trainee.do_right()


@pytest.mark.long
def test_a_countdown_by_the_real_clock(tmp_path: Path) -> None:
    """Stopped for two real seconds, the program shows what the machine's clock leaves of the countdown."""
    sink = Sink(tmp_path, arguments(tmp_path / "record.db"))
    with StationJournal(tmp_path / "record.db", clock.SystemClock()) as journal:
        trainee = Trainee(sink, load(PLATE).require(), journal)
        sink.until(lambda _: len(trainee.events()) > 1, "the first step")
        trainee.work_until(lambda _: trainee.asks() == "waiting")
        wait = trainee.state().wait
        assert wait is not None

        def left() -> float:
            return COUNTDOWN - (elapsed(wait, trainee.now()) or 0.0)

        sink.until(lambda screen: shows_figures(screen, left()), "the countdown")
        sink.child.kill(signal.SIGSTOP)
        before, began = left(), time.monotonic()
        sink.until(lambda _: time.monotonic() > began + 2.0, "two seconds")
        sink.child.kill(signal.SIGCONT)
        sink.until(lambda screen: shows_figures(screen, left()), "what is left")
        assert left() <= before - 2.0
    sink.child.close(force=True)


@pytest.mark.long
def test_a_build_that_counts_ticks_is_caught(tmp_path: Path) -> None:
    """A build that takes the same off at each tick shows too much after a stop, and is reported."""
    with at_work(tmp_path, "counts ticks") as trainee:
        trainee.work_to("waiting")
        stopped_for(trainee, 30.0)
        with pytest.raises(NotShown, match="30 s less"):
            trainee.sink.until(lambda screen: shows_figures(screen, COUNTDOWN - 30), "30 s less", within=2.0)
