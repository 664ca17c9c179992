"""Signals, Ctrl-C, a stopped program, a closed terminal: the terminal comes back, and so does the act."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import pytest
from changed_build import KEEPS
from terminal_kit import OPEN, Sitting, Watched, arguments, at_work, ends_well

CODES = {signal.SIGTERM: 143, signal.SIGHUP: 129, signal.SIGINT: 130, signal.SIGQUIT: 131}
"""128 and the signal's number, as shells count (POSIX, Shell Command Language, 2.8.2: more than 128)."""


def hit(trainee: Sitting, number: signal.Signals) -> None:
    """Send a signal: the program ends well, and goes on at the same act when it is started again."""
    trainee.sink.settle()
    trainee.sink.child.kill(number)
    ends_well(trainee.sink, CODES[number], [OPEN])
    trainee.starts_again()


def test_a_hang_up_in_a_wait_gives_the_terminal_back(tmp_path: Path) -> None:
    """SIGHUP in a countdown ends with 129 and a sentence, the terminal is back, and the countdown goes on."""
    with at_work(tmp_path) as trainee:
        trainee.work_to("waiting")
        hit(trainee, signal.SIGHUP)
        trainee.do_right()


@pytest.mark.long
def test_every_signal_at_every_kind_of_act(tmp_path: Path) -> None:
    """Signals in turn at each kind of act: exit code, sentence, terminal, and the same act again."""
    acts = ("judge", "reading", "hazard", "waiting", "quiz_one", "quiz_several", "worked", "sign_off")
    numbers = list(CODES) * 2
    with at_work(tmp_path) as trainee:
        for act, number in zip(acts, numbers, strict=True):
            trainee.work_to(act)
            hit(trainee, number)


@pytest.mark.long
def test_a_signal_over_help_and_over_a_prompt(tmp_path: Path) -> None:
    """With the help page open, and with a code half typed, a signal ends well and nothing is recorded."""
    with at_work(tmp_path) as trainee:
        trainee.work_to("sign_off")
        trainee.sink.press("h")
        trainee.sink.until(lambda screen: "Keys that work now" in screen, "the help page")
        hit(trainee, signal.SIGTERM)
        trainee.sink.press("s")
        trainee.sink.until(lambda screen: "Instructor's code" in screen, "the prompt")
        trainee.sink.press("I-1")
        hit(trainee, signal.SIGHUP)


@pytest.mark.long
def test_ctrl_c_leaves_and_the_run_stays_open(tmp_path: Path) -> None:
    """Ctrl-C at an act ends with 0, says whose run stays open, and the run goes on at the same act."""
    with at_work(tmp_path) as trainee:
        trainee.sink.press("\x03")
        ends_well(trainee.sink, 0, [OPEN])
        trainee.starts_again()


@pytest.mark.long
def test_a_closed_terminal_ends_the_program(tmp_path: Path) -> None:
    """When the terminal goes away in a wait the program ends with 129, and the run goes on elsewhere."""
    with at_work(tmp_path) as trainee:
        trainee.work_to("waiting")
        trainee.sink.close_terminal()
        assert trainee.sink.ended() == 129
        trainee.starts_again()


def taking_up(folder: Path) -> Watched:
    """A program that has just been started, to go on with the open run."""
    return Watched(folder, arguments(folder / "record.db")[:3])


@pytest.mark.long
def test_a_signal_at_any_moment_of_a_start(tmp_path: Path) -> None:
    """At 15 moments of a start SIGTERM gives the terminal back and says that the run stays open.

    Before the program's own first line the interpreter ends by the signal, and has nothing to say. Where none
    of the moments was between that line and the screen, more are tried between the two that were nearest.
    """
    with at_work(tmp_path) as trainee:
        trainee.sink.child.kill(signal.SIGKILL)
        began, sink = time.monotonic(), taking_up(tmp_path)
        sink.until(lambda screen: "Lay the film" in screen, "the first step")
        whole = time.monotonic() - began
        sink.finish()
        seen = {part: signalled(tmp_path, whole * part) for part in (moment / 12 for moment in range(15))}
        early = max(part for part, said in seen.items() if said == NOT_YET_OURS)
        drawn = min((part for part, said in seen.items() if said == (143, True)), default=1.25)
        for tried in range(1, 25):
            if (143, False) in seen.values():
                break
            part = early + (drawn - early) * tried / 24
            seen[part] = signalled(tmp_path, whole * part)
        assert (143, False) in seen.values(), "No moment was after the first line and before the screen."


NOT_YET_OURS = (-signal.SIGTERM, False)
"""How the interpreter ends before the program's own first line."""


def signalled(folder: Path, seconds: float) -> tuple[int | None, bool]:
    """A start that gets SIGTERM after so long: its exit code, and whether its screen stood."""
    sink = taking_up(folder)
    after(seconds, sink)
    sink.child.kill(signal.SIGTERM)
    code = sink.ended()
    assert (code, sink.last_words()) in ((143, [OPEN]), (-signal.SIGTERM, []))
    assert sink.unrestored() == []
    sink.finish()
    return code, b"\x1b[?1049h" in sink.raw


@pytest.mark.long
def test_a_terminal_closed_at_any_moment_of_a_start(tmp_path: Path) -> None:
    """Closed at 12 moments of a start, the program is gone soon after: none is left behind."""
    with at_work(tmp_path) as trainee:
        trainee.sink.child.kill(signal.SIGKILL)
        for moment in range(12):
            sink = taking_up(tmp_path)
            after(moment * 0.04, sink)
            sink.close_terminal()
            assert sink.ended() is not None, f"Closed {moment * 40} ms after its start, it is still there."


def after(seconds: float, sink: Watched) -> None:
    """Take in what comes for so long: the moment is what is varied, nothing is waited for."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        sink.read(0.005)


@pytest.mark.long
def test_a_stopped_program_gives_the_terminal_back_and_goes_on(tmp_path: Path) -> None:
    """Stopped (SIGTSTP) it leaves the terminal usable; let go on (SIGCONT) it draws the same screen again."""
    with at_work(tmp_path) as trainee:
        sink = trainee.sink
        before = sink.settle()
        sink.child.kill(signal.SIGTSTP)
        sink.until(lambda _: sink.by_ps("stat").startswith("T"), "the program stopped")
        sink.settle()
        assert sink.unrestored() == []
        sink.child.kill(signal.SIGCONT)
        sink.until(lambda screen: screen == before, "the screen as before")
        trainee.do_right()


@pytest.mark.long
def test_a_terminal_that_nobody_reads_for_a_while(tmp_path: Path) -> None:
    """Nobody takes the screen in, as on a line that hangs; taken in again, it is right at its new size."""
    with at_work(tmp_path) as trainee:
        for _ in range(60):  # each draws the whole screen: much more than a terminal holds back
            os.write(trainee.sink.child.child_fd, b"t")
        trainee.sink.resize(100, 30)
        trainee.sink.settle()
        trainee.sink.resize(80, 24)
        trainee.see_step()
        trainee.do_right()


@pytest.mark.long
def test_bytes_that_are_no_text_are_no_keys(tmp_path: Path) -> None:
    """Bytes that no keyboard sends (a bad line, a pasted picture) do nothing, and the next key works."""
    with at_work(tmp_path) as trainee:
        kept = trainee.events()
        trainee.sink.child.send(b"\xff\xc3(\x80\xf5")
        trainee.sink.settle()
        assert trainee.events() == kept
        trainee.do_right()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param("no signals", "did not end with 143", marks=pytest.mark.long),
        pytest.param("exit code lost", "did not end with 143"),
        pytest.param("forgets the run", "stays open", marks=pytest.mark.long),
        *(pytest.param(f"keeps {what}", what, marks=pytest.mark.long) for what in KEEPS),
    ],
)
def test_a_build_with_a_fault_in_its_leaving_is_caught(tmp_path: Path, change: str, said: str) -> None:
    """A build deaf to signals, with another exit code, or that keeps a mode, is reported."""
    with at_work(tmp_path, change) as trainee:
        trainee.see_step()  # before its screen stands, a program ends by what it was started with
        trainee.sink.child.kill(signal.SIGTERM)
        with pytest.raises(AssertionError, match=said):
            ends_well(trainee.sink, 143, [OPEN], within=5.0)
