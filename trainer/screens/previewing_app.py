"""The way into the author's preview: looks whether there is a terminal, and runs the app."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

from textual import work

from trainer import tongue
from trainer.screens.alone import has_terminal, run_to_its_end
from trainer.screens.draft import Preview
from trainer.screens.leaving import tell
from trainer.screens.preview import Previewing
from trainer.screens.sinkside import SinksideApp
from trainer.screens.ticket import Wanted

if TYPE_CHECKING:
    from trainer.run.events import Guidance
    from trainer.screens.station import Station

NO_TERMINAL = "There is no terminal here to draw on. `sinkside check FILE` and `sinkside map FILE` need none."


class PreviewApp(SinksideApp):
    """The same app, on a screen that knows no station and no record."""

    def __init__(self, preview: Preview) -> None:
        super().__init__(cast("Station", None), Wanted(), None)
        self.preview = preview

    @work
    async def _go(self) -> None:
        """The one screen, until the author leaves."""
        await self.push_screen_wait(Previewing(self.preview))
        self.exit()


def run_preview(file: Path, guidance: Guidance) -> int:
    """Show a procedure file until the author leaves.

    0: left; 1: an error, said; 2: no terminal; 128 and more: ended by a signal.
    """
    if not has_terminal():
        tell(NO_TERMINAL)
        return 2
    app = PreviewApp(Preview(file, guidance, tongue.language()))
    return run_to_its_end(app)
