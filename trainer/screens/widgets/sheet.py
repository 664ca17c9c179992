"""The sheet in the middle: the act, large, and what the step asks."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.screens.page import Block, Page, lay_out
from trainer.screens.widgets.drawn import Drawn
from trainer.tongue import spoken


class Sheet(Drawn):
    """Shows blocks in the room there is; what is too long for it is moved by hand, a page at a time."""

    DEFAULT_CSS = """
    Sheet { width: 1fr; height: 1fr; padding: 1 1 0 1; background: $background; color: $foreground; }
    Sheet.low { padding: 0 1; }
    """

    class Picked(Message):
        """An option was clicked. number: its digit."""

        def __init__(self, number: int) -> None:
            super().__init__()
            self.number = number

    class Laid(Message):
        """The text was laid out for another room: other keys may work now."""

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the name the library gives it
        super().__init__(id)
        self._blocks: tuple[Block, ...] = ()
        self._page = Page((), {}, whole=True)
        self._top = 0

    def show(self, blocks: Sequence[Block]) -> None:
        """Draw `blocks` from their beginning."""
        self._blocks = tuple(blocks)
        self._top = 0
        self._draw()

    def move(self, rows: int) -> None:
        """Move the text by `rows`, as far as there is any."""
        last = max(0, len(self._page.lines) - self._room())
        self._top = min(max(0, self._top + rows), last)
        self._draw()

    @property
    def whole(self) -> bool:
        """Whether everything that was handed in can be seen."""
        return self._page.whole

    @property
    def moves(self) -> bool:
        """Whether there is more than the rows hold."""
        return len(self._page.lines) > self._room()

    def _room(self) -> int:
        return max(1, self.size.height)

    def _draw(self) -> None:
        if not self.size.height:
            return  # it has no place yet: a page laid out for no rows would flash up
        self._page = lay_out(self._blocks, max(8, self.size.width), self._room())
        lines = list(self._page.lines[self._top : self._top + self._room()])
        if self._top + self._room() < len(self._page.lines):
            lines[-1] = Content.styled("  " + spoken("Down  more of this text"), "bold reverse $primary")
        self.draw_lines(lines)

    def on_resize(self) -> None:
        """Another size, another page."""
        self._draw()
        self.post_message(self.Laid())

    def on_click(self, event: events.Click) -> None:
        """A click on an option picks it."""
        place = event.get_content_offset(self)
        if place and (number := self._page.picks.get(place.y + self._top)):
            self.post_message(self.Picked(number))
