"""The same faults in lines of text: exit code, last line, the modes of the line, and the same act again."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest
from terminal_kit import PLAIN, Sitting, Watched, at_work, ends_well

from trainer.screens.leaving import FAULT

CODES = {signal.SIGTERM: 143, signal.SIGHUP: 129, signal.SIGINT: 130, signal.SIGQUIT: 131}
"""As in test_faults_terminal_signals.py."""

OPEN = "Left. The run stays open; go on with it: sinkside run --plain"


def hit(trainee: Sitting, number: signal.Signals) -> None:
    """Send a signal: the program ends well, and goes on at the same act when it is started again."""
    trainee.sink.settle()
    trainee.sink.child.kill(number)
    ends_well(trainee.sink, CODES[number], [OPEN], lines=True)
    trainee.starts_again()


def at_the_pin(trainee: Sitting) -> None:
    """Go on to where the instructor's PIN is asked for, and nothing that is typed is shown."""
    sink = trainee.sink
    trainee.work_to("sign_off")
    for typed, asked in (("s", "Instructor's code"), ("I-1", "Your word"), ("1", "Your PIN")):
        trainee.press(typed)
        sink.until(lambda screen, asked=asked: asked in screen, asked)  # type: ignore[misc]
    sink.until(lambda _: "the modes of the line" in sink.unrestored(), "the end of the echo")


def test_a_signal_while_a_line_is_waited_for(tmp_path: Path) -> None:
    """SIGTERM while a line is waited for ends with 143 and how to go on; the run does go on."""
    with at_work(tmp_path, "none", *PLAIN) as trainee:
        hit(trainee, signal.SIGTERM)


@pytest.mark.long
def test_a_signal_in_a_countdown_and_while_a_pin_is_asked_for(tmp_path: Path) -> None:
    """In a countdown the run goes on after a hang-up; with the echo off, each signal turns it on again."""
    with at_work(tmp_path, "none", *PLAIN) as trainee:
        trainee.work_to("waiting")
        hit(trainee, signal.SIGHUP)
        for number in CODES:
            at_the_pin(trainee)
            hit(trainee, number)


@pytest.mark.long
def test_ctrl_c_is_typed(tmp_path: Path) -> None:
    """Ctrl-C, typed at a reading, ends with 130 and says how to go on."""
    with at_work(tmp_path, "none", *PLAIN) as trainee:
        trainee.work_to("reading")
        trainee.sink.child.send("\x03")
        ends_well(trainee.sink, 130, [OPEN], lines=True)
        trainee.starts_again()


@pytest.mark.long
def test_ctrl_c_before_there_is_a_run(tmp_path: Path) -> None:
    """Where the trainee's code is asked for, no run is said to have been begun."""
    sink = Watched(tmp_path, ["--record", str(tmp_path / "record.db"), "run", *PLAIN])
    try:
        sink.until(lambda screen: "Trainee's code" in screen, "the first question")
        sink.child.send("\x03")
        said = "Left. A run that is open stays open; go on with it: sinkside run --plain"
        ends_well(sink, 130, [said], lines=True)
    finally:
        sink.finish()


@pytest.mark.long
@pytest.mark.parametrize("asked", ["reading", "waiting"])
def test_a_closed_terminal_ends_the_program(tmp_path: Path, asked: str) -> None:
    """When the terminal goes away the program ends with 129, and the run goes on elsewhere."""
    with at_work(tmp_path, "none", *PLAIN) as trainee:
        trainee.work_to(asked)
        trainee.sink.close_terminal()
        assert trainee.sink.ended() == 129
        trainee.starts_again()


@pytest.mark.long
def test_stopped_past_the_end_of_a_countdown(tmp_path: Path) -> None:
    """Stopped (SIGSTOP) past the end of a countdown it says so as soon as it goes on, and ends nothing."""
    with at_work(tmp_path, "none", *PLAIN) as trainee:
        trainee.work_to("waiting")
        trainee.sink.child.kill(signal.SIGSTOP)
        trainee.sink.pass_time(100.0)
        trainee.sink.child.kill(signal.SIGCONT)
        trainee.sink.until(lambda screen: "TIME" in screen, "the word that rings")
        assert trainee.asks() == "waiting"
        trainee.do_right()


@pytest.mark.long
def test_an_error_ends_in_a_sentence(tmp_path: Path) -> None:
    """An error that nobody foresaw ends with 1 and the sentence; the run goes on after."""
    with at_work(tmp_path, "raises in lines", *PLAIN) as trainee:
        trainee.press("h")
        assert trainee.sink.ended() == 1
        assert trainee.sink.last_words()[-2] == FAULT
        assert not any("Traceback" in line for line in trainee.sink.last_words())
        trainee.sink.finish()
        trainee.starts_again()


@pytest.mark.long
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("no signals", "did not end with 143"),
        ("exit code lost", "with 143"),
        ("echo lost", "modes of the line"),
    ],
)
def test_a_build_with_a_fault_in_its_leaving_is_caught(tmp_path: Path, change: str, said: str) -> None:
    """A build deaf to signals, one that ends with 0, and one that leaves the echo off, are reported."""
    with at_work(tmp_path, change, *PLAIN) as trainee:
        if change == "echo lost":
            at_the_pin(trainee)
        trainee.sink.child.kill(signal.SIGTERM)
        with pytest.raises(AssertionError, match=said):
            ends_well(trainee.sink, 143, [OPEN], lines=True)
