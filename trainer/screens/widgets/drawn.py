"""A widget that shows lines it was handed, and paints again only the lines that changed."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Region
from textual.strip import Strip
from textual.visual import Visual
from textual.widget import Widget


class Drawn(Widget):
    """Lines in a place of fixed size: a change lays nothing out."""

    ALLOW_SELECT = False

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the name the library gives it
        super().__init__(id=id, markup=False)
        self.auto_links = False
        self._lines: tuple[Content, ...] = ()

    def draw(self, content: Content) -> None:
        """Show `content`, a line for each of its lines."""
        self.draw_lines(content.split("\n", allow_blank=True))

    def draw_lines(self, lines: Sequence[Content]) -> None:
        """Show `lines`; those that stand there already cost nothing."""
        old, new = self._lines, tuple(lines)
        longest = max(len(old), len(new))
        changed = [
            row
            for row in range(longest)
            if row >= len(old) or row >= len(new) or not old[row].is_same(new[row])
        ]
        self._lines = new
        if changed:
            self.refresh(Region(0, changed[0], self.size.width, changed[-1] + 1 - changed[0]))

    def render_line(self, y: int) -> Strip:
        """One line, painted."""
        width = self.size.width
        if y >= len(self._lines):
            return Strip.blank(width, self.visual_style.rich_style)
        strips = Visual.to_strips(self, self._lines[y], width, 1, self.visual_style, pad=True)
        return strips[0] if strips else Strip.blank(width, self.visual_style.rich_style)

    @property
    def shown(self) -> str:
        """The characters that stand in the widget, without styles."""
        return "\n".join(line.plain for line in self._lines)
