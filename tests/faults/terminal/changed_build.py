"""The real program, its clock stopped, one thing changed: `changed_build.py CLOCK CHANGE ARGUMENT...`.

The file CLOCK holds the seconds since the clock's beginning; only a test moves it. CHANGE names one entry of
`CHANGES`, or several with `+` between: `none` is the program as it ships; the others are faults, which the
harness beside this file must catch, or errors that are raised somewhere when the key `t` is pressed.
"""

from __future__ import annotations

import getpass
import os
import signal
import sys
import termios
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TextIO
from unittest.mock import patch

from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.events import Resize
from textual.message import Message

from trainer.cli import main
from trainer.run import clock
from trainer.run.events import Stamp
from trainer.run.view import WaitView
from trainer.screens import app, drawing, leaving, plain, plain_words, sinkside, terminal_app, working
from trainer.screens.widgets import countdown, sheet

BEGINNING_MS = 1_900_000_000_000
"""When the clock that stands still begins, in 2030: no test depends on the date."""


class StandingClock(clock.SystemClock):
    """What the file says, and nothing else."""

    file = Path()

    def now(self) -> Stamp:
        """The beginning and the seconds of the file."""
        ms = round(float(self.file.read_text(encoding="ascii")) * 1000)
        return Stamp(clock.from_ms(BEGINNING_MS + ms), "the only boot", 1_000_000 + ms)


class Poked(Message):
    """A message whose handler raises."""


def fail() -> None:
    """An error that nobody foresaw, with a text that a terminal would obey."""
    raise ZeroDivisionError("on purpose \x1b]0;taken\x07 [CAUTION]")


async def fail_later() -> None:
    """The same in a coroutine."""
    fail()


def fail_in_render(screen: working.Working) -> None:
    """The same while the screen is painted."""
    widget = screen.query_one(sheet.Sheet)
    widget.render_line = lambda _: fail()  # type: ignore[assignment,method-assign,return-value]
    widget.refresh()


ERRORS: dict[str, Callable[[working.Working], object]] = {
    "raises in a key handler": lambda _: fail(),
    "raises in a worker": lambda screen: screen.run_worker(fail_later()),
    "raises in a thread worker": lambda screen: screen.run_worker(fail, thread=True),
    "raises in a timer": lambda screen: screen.set_timer(0.01, fail),
    "raises in an interval": lambda screen: screen.set_interval(0.01, fail),
    "raises in a message handler": lambda screen: screen.query_one(sheet.Sheet).post_message(Poked()),
    "raises in a call_later": lambda screen: screen.call_later(fail),
    "raises in a call_after_refresh": lambda screen: screen.call_after_refresh(fail),
    "raises while painting": fail_in_render,
}
"""Where an error is raised when `t` is pressed."""


def raising(where: Callable[[working.Working], object]) -> Callable[[], None]:
    """A build whose key `t` raises there."""

    def change() -> None:
        working.Working._change_light = where  # type: ignore[assignment]
        sheet.Sheet.on_poked = lambda *_: fail()  # type: ignore[attr-defined]

    return change


def never_writes(sequence: str) -> Callable[[], None]:
    """A build that never writes this control sequence."""

    def change() -> None:
        real = LinuxDriver.write

        def write(self: LinuxDriver, data: str) -> None:
            real(self, data.replace(sequence, ""))

        LinuxDriver.write = write  # type: ignore[method-assign]

    return change


def keeps_line_modes() -> None:
    """A build that leaves the line's modes as the screens had them."""
    real = LinuxDriver.stop_application_mode

    def stop(self: LinuxDriver) -> None:
        self.attrs_before = None
        real(self)

    LinuxDriver.stop_application_mode = stop  # type: ignore[method-assign]


KEEPS: dict[str, Callable[[], None]] = {
    "the alternate screen": never_writes("\x1b[?1049l"),
    "the mouse": never_writes("\x1b[?1000l"),
    "bracketed paste": never_writes("\x1b[?2004l"),
    "the cursor": never_writes("\x1b[?25h"),
    "the wrapping of lines": never_writes("\x1b[?7h"),
    "the keyboard protocol": never_writes("\x1b[<u"),
    "the modes of the line": keeps_line_modes,
}
"""What a build does not give back."""


def no_signals() -> None:
    """A build that listens for no signal."""
    leaving.ENDING = terminal_app.ENDING = ()  # type: ignore[attr-defined]


def forgets_the_run() -> None:
    """A build that does not say that a run stays open."""
    app._tell_open = lambda trainee: None  # noqa: ARG005 - the name it is called with


def exit_code_lost() -> None:
    """A build that always ends with 0."""

    def losing(real: Callable[..., int]) -> Callable[..., int]:
        def lost(*given: object, **named: object) -> int:
            real(*given, **named)
            return 0

        return lost

    app.run_app, plain.run_plain = losing(app.run_app), losing(plain.run_plain)


def library_driver() -> None:
    """A build with the library's own driver, which waits for a terminal that has gone."""
    sinkside.SinksideApp.get_driver_class = App.get_driver_class  # type: ignore[method-assign]


def no_drawing_anew() -> None:
    """A build that does not hear of another size."""
    real: Callable[[LinuxDriver], None] = LinuxDriver.start_application_mode

    def start(self: LinuxDriver) -> None:
        real(self)
        signal.signal(signal.SIGWINCH, signal.SIG_IGN)

    LinuxDriver.start_application_mode = start  # type: ignore[method-assign]


def resize_recorded() -> None:
    """A build in which another size leaves something in the record."""
    real = drawing.RunDrawing.on_resize

    def on_resize(self: drawing.RunDrawing, event: Resize) -> None:
        real(self, event)
        if isinstance(self, working.Working):
            self.run.note("another size")

    drawing.RunDrawing.on_resize = on_resize  # type: ignore[method-assign]


def error_swallowed() -> None:
    """A build that goes on as if nothing had happened."""
    sinkside.SinksideApp._handle_exception = lambda *_: None  # type: ignore[method-assign]


def log_not_named() -> None:
    """A build that does not say where the details of an error are."""
    real = leaving.keep_fault

    def keep(fault: BaseException) -> str:
        real(fault)
        return "The details are in the log."

    leaving.keep_fault = keep


def log_as_it_comes() -> None:
    """A build that writes down what a terminal would obey."""
    leaving.clean = lambda text: text  # type: ignore[attr-defined]


def log_for_all() -> None:
    """A build whose log anybody may read."""
    Path.chmod = lambda *_: None  # type: ignore[method-assign]
    leaving._for_its_owner = lambda path, flags: os.open(path, flags, 0o644)


def counts_ticks() -> None:
    """A build whose countdown takes a quarter of a second off at each tick, whatever the clock says."""
    real, left = countdown.Countdown.show, [90.0]

    def show(self: countdown.Countdown, wait: WaitView | None) -> None:
        left[0] -= 1 / countdown.TICKS
        real(self, replace(wait, remaining=left[0]) if wait else None)

    countdown.Countdown.show = show  # type: ignore[method-assign]


def raises_in_lines() -> None:
    """Lines of text that raise when help is asked for."""
    plain_words.help_lines = fail  # type: ignore[assignment]


def echo_lost() -> None:
    """A build whose lines of text leave the terminal silent after a secret that was never typed."""

    def ask(prompt: str = "", stream: TextIO | None = None) -> str:  # noqa: ARG001 - as the library has it
        modes = termios.tcgetattr(0)
        modes[3] &= ~termios.ECHO
        termios.tcsetattr(0, termios.TCSANOW, modes)
        return sys.stdin.readline()

    getpass.getpass = ask


CHANGES: dict[str, Callable[[], None]] = {
    "none": lambda: None,
    "no signals": no_signals,
    "forgets the run": forgets_the_run,
    "exit code lost": exit_code_lost,
    "library driver": library_driver,
    "no drawing anew": no_drawing_anew,
    "resize recorded": resize_recorded,
    "error swallowed": error_swallowed,
    "log not named": log_not_named,
    "log as it comes": log_as_it_comes,
    "log for all": log_for_all,
    "counts ticks": counts_ticks,
    "raises in lines": raises_in_lines,
    "echo lost": echo_lost,
    **{f"keeps {what}": change for what, change in KEEPS.items()},
    **{name: raising(where) for name, where in ERRORS.items()},
}


if __name__ == "__main__":
    StandingClock.file = Path(sys.argv[1])
    for change in sys.argv[2].split("+"):
        CHANGES[change]()
    with patch.object(clock, "SystemClock", StandingClock):
        main(sys.argv[3:], prog_name="sinkside")
