"""The main job on a real terminal of 80x24, as a trainee does it."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sink import Sink
from trainee import INSTRUCTOR, PIN, Trainee, plan_of

from trainer.record.journal import StationJournal
from trainer.record.verify import verify
from trainer.run import clock
from trainer.run import events as ev
from trainer.run.fold import fold

TWO_BURNS = "negative-plate-two-burns"


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """A record that knows one instructor."""
    path = tmp_path / "record.db"
    adding = f"person add {INSTRUCTOR} --instructor"
    subprocess.run(
        [sys.executable, "-m", "trainer.cli", *f"record --record {path} {adding}".split()],
        input=PIN + "\n",
        text=True,
        check=True,
        capture_output=True,
    )
    return path


@contextmanager
def at_the_sink(
    tmp_path: Path, record: Path, guidance: str = "full", procedure: str = TWO_BURNS
) -> Iterator[Trainee]:
    """A trainee who has started a run and read the cautions."""
    arguments = f"--record {record} run {procedure} --trainee T-01 --guidance {guidance}".split()
    sink = Sink(tmp_path, arguments)
    sink.until(lambda screen: "Before the first act" in screen, "the cautions")
    sink.press(" ")
    with StationJournal(record, clock.SystemClock()) as journal:
        trainee = Trainee(sink, plan_of(procedure), journal)
        sink.until(lambda _: len(trainee.events()) > 1, "the first step")
        yield trainee


@pytest.mark.long(seconds=15)
@pytest.mark.parametrize("guidance", ["full", "solo"])
def test_a_whole_plate_at_80x24(tmp_path: Path, record: Path, guidance: str) -> None:
    """Keys, digits and letters alone lead from the first film to the gummed plate, and all of it is kept."""
    with at_the_sink(tmp_path, record, guidance) as trainee:
        trainee.work_until(lambda state: bool(state.closed))
        trainee.sink.until(lambda screen: "T-01" in screen, "the summary")
        trainee.sink.press("q")
        assert trainee.sink.ended() == 0

        events = trainee.events()
        state = fold(trainee.plan, events)
        assert (state.closed, state.plate) == ("done", 1)
        assert [event.seq for event in events] == list(range(1, len(events) + 1))
        accepted = {event.step for event in events if isinstance(event.body, ev.HazardAccepted)}
        assert accepted == {step.id for step in trainee.plan.steps.values() if step.hazard and not step.aside}
        answered = [event.body for event in events if isinstance(event.body, ev.QuizAnswered)]
        assert len(answered) >= 12
        assert all(answer.right for answer in answered)
        assert any(isinstance(event.body, ev.SignedOff) for event in events)
        assert verify(record).ok


@pytest.mark.long(seconds=10)
def test_a_whole_plate_in_lines_of_text(tmp_path: Path, record: Path) -> None:
    """`--plain` asks and answers the same work in lines of text, and keeps the same events."""
    arguments = f"--record {record} run {TWO_BURNS} --plain --trainee T-01 --guidance full".split()
    sink = Sink(tmp_path, arguments, rows=60, columns=160)
    sink.until(lambda screen: "Before the first act" in screen, "the cautions")
    sink.press("\r")
    with StationJournal(record, clock.SystemClock()) as journal:
        trainee = Trainee(sink, plan_of(TWO_BURNS), journal, primary="", after="\r", typing="number")
        sink.until(lambda _: len(trainee.events()) > 1, "the first step")
        trainee.work_until(lambda state: bool(state.closed))
        assert trainee.sink.ended() == 0
        assert trainee.state().closed == "done"
    assert verify(record).ok


@pytest.mark.long
def test_a_whole_exposure_test_at_80x24(tmp_path: Path, record: Path) -> None:
    """The exposure test is done with the same keys."""
    with at_the_sink(tmp_path, record, procedure="exposure-test") as trainee:
        trainee.work_until(lambda state: bool(state.closed))
        assert trainee.state().closed == "done"


@pytest.mark.long
def test_a_killed_run_goes_on_at_the_same_act(tmp_path: Path, record: Path) -> None:
    """After `kill -9` nothing acknowledged is lost, and `sinkside run` goes on at the same act."""
    with at_the_sink(tmp_path, record) as trainee:
        trainee.work_until(lambda state: state.step == "draw-down")
        before = trainee.events()
        trainee.sink.child.kill(signal.SIGKILL)
        trainee.sink.ended()

        trainee.sink.arguments = ["--record", str(record), "run"]
        trainee.sink.start()
        trainee.sink.until(lambda _: len(trainee.events()) > len(before), "the run taken up again")
        after = trainee.events()
        assert after[: len(before)] == before
        assert after[len(before)].body == ev.Resumed("restart")
        assert trainee.state().step == "draw-down"
        trainee.see_step()


def test_a_countdown_goes_on_while_the_program_is_dead(tmp_path: Path, record: Path) -> None:
    """A wait found half-way goes on from the time that really went by, and says how long nobody watched."""
    with at_the_sink(tmp_path, record) as trainee:

        def counting_down() -> bool:
            wait = trainee.state().wait
            return wait is not None and wait.amounts.form == "countdown"

        trainee.work_until(lambda _: counting_down())
        wait = trainee.state().wait
        assert wait is not None
        assert wait.amounts.seconds is not None
        trainee.sink.child.kill(signal.SIGKILL)
        trainee.sink.ended()
        trainee.sink.pass_time(wait.amounts.seconds)
        trainee.sink.arguments = ["--record", str(record), "run"]
        trainee.sink.start()
        trainee.sink.until(lambda screen: "TIME" in screen, "the word that rings")
        trainee.sink.until(lambda screen: "watching" in screen, "how long nobody was watching")
        assert counting_down(), "the wait ended by itself"
