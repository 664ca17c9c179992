"""The library's driver of a terminal, for a terminal that may go away: a session drops, a window is closed.

The library's own writer stops at the first write that fails; whoever writes next then waits for ever, and the
program stays behind without a terminal. Here such a write goes nowhere, and counts as a hang-up.
"""

from __future__ import annotations

import os
import select
import signal
import threading
from collections.abc import Callable
from io import TextIOWrapper
from typing import TextIO, cast

from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.geometry import Size


class Lasting:
    """As much of a text stream as the library's writer uses; once the stream is gone, nothing is written."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._gone = False

    def write(self, text: str) -> None:
        """Write, or do nothing."""
        self._unless_gone(lambda: self._stream.write(text))

    def flush(self) -> None:
        """Flush, or do nothing."""
        self._unless_gone(self._stream.flush)

    def fileno(self) -> int:
        """The stream's own."""
        return self._stream.fileno()

    def isatty(self) -> bool:
        """The stream's own answer."""
        return self._stream.isatty()

    def _unless_gone(self, do: Callable[[], object]) -> None:
        if self._gone:
            return
        try:
            do()
        except OSError:
            self._gone = True
            hang_up()


def hang_up() -> None:
    """Say to this program that its terminal is gone, as the system does."""
    os.kill(os.getpid(), signal.SIGHUP)


class LastingDriver(LinuxDriver):
    """The library's driver, to which a terminal that is gone is a hang-up and nothing to wait for."""

    def __init__(
        self, app: App[object], *, debug: bool = False, mouse: bool = True, size: Size | None = None
    ) -> None:
        super().__init__(app, debug=debug, mouse=mouse, size=size)
        if self._file is not None:
            self._file = cast("TextIOWrapper", Lasting(self._file))

    def start_application_mode(self) -> None:
        """As the library does it, and hear of it when the terminal goes without a signal."""
        super().start_application_mode()  # type: ignore[no-untyped-call] # the library's has no types
        if hasattr(select, "poll"):  # not on every system
            threading.Thread(target=self._await_end, name="terminal-end", daemon=True).start()

    def _await_end(self) -> None:
        """Wait until the terminal has gone: the library would read its end again and again, without rest."""
        end = select.poll()
        end.register(self.fileno, 0)  # nothing but an end is told then
        told = end.poll()
        if told[0][1] & select.POLLHUP and self._app.is_running:
            hang_up()

    def _run_input_thread(self) -> None:
        """Take keys in, until there is no terminal that they could come from.

        Bytes that are no text (a bad line) are no keys; the library would take in nothing any more.
        """
        reading = True
        while reading:
            reading = False
            try:
                self.run_input_thread()
            except UnicodeDecodeError:
                reading = True
            except OSError:
                hang_up()
