"""What every app of the program does in its terminal: themes, signals, and how it ends."""

from __future__ import annotations

import asyncio
import contextlib
import os
from abc import abstractmethod
from typing import TYPE_CHECKING, ClassVar

from textual import constants, work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.worker import WorkerFailed

from trainer import garbage
from trainer.screens import themes
from trainer.screens.leaving import ENDING, let_signals_come

if TYPE_CHECKING:
    from textual.driver import Driver
    from textual.screen import Screen


class TerminalApp(App[None]):
    """An app that leaves the terminal as it was, however it ends.

    fault: the error that ended it, if one did. ended_by: the exit code of the signal that ended it, or 0.
    """

    ENABLE_COMMAND_PALETTE = False
    TITLE = "Sinkside"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c,ctrl+q", "leave", id="app.leave", show=False, priority=True),
    ]

    def __init__(self) -> None:
        self.no_colour_wanted = "NO_COLOR" in os.environ  # the library takes it out of the environment
        super().__init__(ansi_color=True if self.no_colour_wanted else None)
        self.fault: BaseException | None = None
        self.ended_by = 0
        for theme in themes.THEMES:
            self.register_theme(theme)
        self.theme = self._first_theme()

    def _first_theme(self) -> str:
        """Sixteen colours where there are no more, or none are wanted; a theme named outside; else dark."""
        if self.no_colour_wanted or self.console.color_system in (None, "standard"):
            return themes.SIXTEEN
        named = constants.DEFAULT_THEME.split(",")[0]
        return named if named in self.available_themes and named != "textual-dark" else themes.DARK

    def get_driver_class(self) -> type[Driver]:
        """The library's choice, except where a terminal is drawn on that may go away."""
        chosen = super().get_driver_class()
        if chosen.__name__ != "LinuxDriver":  # a browser, another system
            return chosen
        from trainer.screens.terminal import LastingDriver  # not on every system

        return LastingDriver

    def on_load(self) -> None:
        """Listen for signals before anything is changed on the terminal."""
        loop = asyncio.get_running_loop()
        for number in ENDING:
            with contextlib.suppress(NotImplementedError):  # not on every system
                loop.add_signal_handler(number, self._signalled, 128 + number)
        let_signals_come()

    def on_mount(self) -> None:
        """Go."""
        self.set_timer(garbage.STANDS_AFTER, garbage.begin)
        self._go()

    @work
    async def _go(self) -> None:
        await self.go()
        self.exit()

    @abstractmethod
    async def go(self) -> None:
        """From the first screen to the last; the app ends when it returns."""

    def before_leaving(self) -> None:
        """What is to be noted before the app ends with something open."""

    def _signalled(self, code: int) -> None:
        """Leave with the terminal as it was; what was done is kept up to the last act."""
        self.before_leaving()
        self.ended_by = code
        self.exit(return_code=code)

    def action_leave(self) -> None:
        """Leave from anywhere; an open run stays open."""
        self.before_leaving()
        self.exit()

    def _handle_exception(self, error: Exception) -> None:
        """Keep an unforeseen error for the log instead of printing it over the screen.

        The library has no public place for this; a test raises in every corner and sees that it comes here.
        """
        cause = error.error if isinstance(error, WorkerFailed) else error  # what the worker met, and where
        self.fault = self.fault or cause
        self.exit(return_code=self.ended_by or 1)


class OneScreenApp(TerminalApp):
    """An app of one screen, on no station."""

    def __init__(self, screen: Screen[str] | Screen[None]) -> None:
        super().__init__()
        self._only = screen

    async def go(self) -> None:
        """The one screen, until it is left."""
        await self.push_screen_wait(self._only)
