"""An app of one screen, without a station: whether there is a terminal for it, and its running to the end."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from trainer.screens.leaving import hold_signals, let_signals_come, say_fault

if TYPE_CHECKING:
    from trainer.screens.terminal_app import TerminalApp


def has_terminal() -> bool:
    """Is there a terminal to draw on?"""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def run_to_its_end(app: TerminalApp) -> int:
    """Run it. 0: left; 1: an error, said; 128 and more: ended by a signal."""
    hold_signals()  # the app lets them come as soon as it listens for them
    app.run()
    let_signals_come()
    if app.fault is not None and not app.ended_by:
        return say_fault(app.fault)
    return app.ended_by or app.return_code or 0
