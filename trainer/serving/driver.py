"""The library's driver for a browser, which ends the program when the browser, or the server, is gone."""

from __future__ import annotations

import os
import signal
from functools import partial

from textual.app import App
from textual.drivers.web_driver import WebDriver


class SeatDriver(WebDriver):
    """A lost server is a hang-up: the library would wait for ever for keys that nobody can send."""

    def __init__(
        self,
        app: App[object],
        *,
        debug: bool = False,
        mouse: bool = True,
        size: tuple[int, int] | None = None,
    ) -> None:
        super().__init__(app, debug=debug, mouse=mouse, size=size)
        self._gone = False
        self._write = partial(self._write_all)

    def _write_all(self, data: bytes) -> int:
        """All of a packet, or nothing more at all: half a packet would garble whatever follows."""
        left = memoryview(data)
        while left and not self._gone:
            try:
                left = left[os.write(self.fileno, left) :]
            except OSError:
                self._hang_up()
        return len(data)

    def run_input_thread(self) -> None:
        """Take keys in until the server closes its end."""
        super().run_input_thread()
        if not self.exit_event.is_set():
            self._hang_up()

    def _hang_up(self) -> None:
        """Say to this program that its terminal is gone, as the system does."""
        if not self._gone:
            self._gone = True
            os.kill(os.getpid(), signal.SIGHUP)
