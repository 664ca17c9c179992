"""The way into the author's preview: looks whether there is a terminal, and runs the app."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from trainer import tongue
from trainer.screens.alone import has_terminal, run_to_its_end
from trainer.screens.draft import Preview
from trainer.screens.leaving import tell
from trainer.screens.preview import Previewing
from trainer.screens.terminal_app import OneScreenApp

if TYPE_CHECKING:
    from trainer.run.events import Guidance

NO_TERMINAL = "There is no terminal here to draw on. `sinkside check FILE` and `sinkside map FILE` need none."


def run_preview(file: Path, guidance: Guidance) -> int:
    """Show a procedure file until the author leaves.

    0: left; 1: an error, said; 2: no terminal; 128 and more: ended by a signal.
    """
    if not has_terminal():
        tell(NO_TERMINAL)
        return 2
    return run_to_its_end(OneScreenApp(Previewing(Preview(file, guidance, tongue.language()))))
