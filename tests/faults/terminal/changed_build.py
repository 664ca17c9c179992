"""The real program, its clock stopped, one thing changed: `changed_build.py CLOCK CHANGE ARGUMENT...`.

The file CLOCK holds the seconds since the clock's beginning; only a test moves it. CHANGE names one entry of
`CHANGES`: `none` is the program as it ships; the others are builds with one fault, which the harness beside
this file must catch, or builds that raise an error somewhere when the key `t` is pressed.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message
from textual.widget import Widget

from trainer import places
from trainer.cli import main
from trainer.run import clock
from trainer.run.events import Stamp
from trainer.screens import app, drawing, sinkside, working
from trainer.screens.widgets import sheet

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


def no_signals() -> None:
    """A build that listens for no signal."""
    asyncio.SelectorEventLoop.add_signal_handler = lambda *_: None  # type: ignore[method-assign]


def no_restore() -> None:
    """A build that leaves the terminal as the screens had it."""
    LinuxDriver.stop_application_mode = LinuxDriver.disable_input  # type: ignore[method-assign]


def no_drawing_anew() -> None:
    """A build whose run screen does not draw again at another size."""
    drawing.RunDrawing.on_resize = lambda *_: None  # type: ignore[method-assign]
    for widget in (sheet.Sheet, *Widget.__subclasses__()):
        if "on_resize" in vars(widget):
            widget.on_resize = lambda *_: None  # type: ignore[attr-defined]


def resize_recorded() -> None:
    """A build in which another size leaves something in the record."""
    real = drawing.RunDrawing.on_resize

    def on_resize(self: drawing.RunDrawing, event: object) -> None:
        real(self, event)  # type: ignore[arg-type]
        self.run.note("another size")

    drawing.RunDrawing.on_resize = on_resize  # type: ignore[method-assign]


def error_swallowed() -> None:
    """A build that goes on as if nothing had happened."""
    raising(ERRORS["raises in a worker"])()
    sinkside.SinksideApp._handle_exception = lambda *_: None  # type: ignore[method-assign]


def log_readable_by_all() -> None:
    """A build whose log others may read, and that writes it as it comes."""
    raising(ERRORS["raises in a worker"])()

    def say(fault: BaseException) -> int:
        import traceback

        path = places.log_path()
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("".join(traceback.format_exception(fault)), encoding="utf-8")
        path.chmod(0o644)
        sys.stderr.write(f"Something went wrong. The details are in {path}.\n")
        return 1

    patch.object(app, "say_fault", say).start()


def exit_code_lost() -> None:
    """A build that always ends with 0."""
    real = app.run_app

    def run_app(*given: object, **named: object) -> int:
        real(*given, **named)  # type: ignore[arg-type]
        return 0

    app.run_app = run_app


CHANGES: dict[str, Callable[[], None]] = {
    "none": lambda: None,
    "no signals": no_signals,
    "no restore": no_restore,
    "no drawing anew": no_drawing_anew,
    "resize recorded": resize_recorded,
    "error swallowed": error_swallowed,
    "log readable by all": log_readable_by_all,
    "exit code lost": exit_code_lost,
    **{name: raising(where) for name, where in ERRORS.items()},
}


if __name__ == "__main__":
    StandingClock.file = Path(sys.argv[1])
    CHANGES[sys.argv[2]]()
    with patch.object(clock, "SystemClock", StandingClock):
        main(sys.argv[3:], prog_name="sinkside")
