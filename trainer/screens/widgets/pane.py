"""The plate and the loupe side by side, and a line of words under them."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content

from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.picture import Picture


class Caption(Drawn):
    """Two rows of words."""

    DEFAULT_CSS = """
    Caption { height: 2; padding: 0 1; background: $surface; color: $foreground; }
    """


class Pane(Vertical):
    """Beside the act it shows the whole plate; opened, plate and loupe. What they show is handed in."""

    DEFAULT_CSS = """
    Pane { width: 44; height: 1fr; display: none; background: $surface; }
    Pane Picture { background: $surface; }
    Pane #whole { display: block; }
    Pane.opened { width: 1fr; }
    Pane.opened #whole { width: 2fr; }
    Pane.opened #loupe { display: block; width: 3fr; }
    """

    def compose(self) -> ComposeResult:
        """The whole, the loupe, the words."""
        with Horizontal():
            yield Picture("whole")
            yield Picture("loupe")
        yield Caption()

    @property
    def whole(self) -> Picture:
        """The picture of the whole plate."""
        return self.query_one("#whole", Picture)

    @property
    def loupe(self) -> Picture:
        """What the loupe shows."""
        return self.query_one("#loupe", Picture)

    def tell(self, lines: Content) -> None:
        """Words under the pictures."""
        self.query_one(Caption).draw(lines)
