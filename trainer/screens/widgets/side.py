"""Beside the act, where the terminal is wide: key points, the reason, the drawing."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.screens.page import Block, lay_out
from trainer.screens.widgets.drawn import Drawn


class Side(Drawn):
    """A column of 40 cells; a drawing has at most 36."""

    DEFAULT_CSS = """
    Side {
        width: 42; height: 1fr; padding: 1 2 0 2; display: none;
        background: $surface; color: $foreground;
    }
    """

    _blocks: tuple[Block, ...] = ()

    def show(self, blocks: Sequence[Block]) -> None:
        """Draw `blocks`; what has no room is cut off at the bottom."""
        self._blocks = tuple(blocks)
        self._draw()

    def _draw(self) -> None:
        page = lay_out(self._blocks, max(8, self.size.width), max(1, self.size.height))
        self.draw(Content("\n").join(page.lines[: max(1, self.size.height)]))

    def on_resize(self) -> None:
        """Another height, another page."""
        self._draw()
