"""A widget that shows what it was handed, and is painted again only when that changes."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget


class Drawn(Widget):
    """Content in a place of fixed size: a change repaints this widget and lays nothing out."""

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the name the library gives it
        super().__init__(id=id, markup=False)
        self._content = Content("")

    def render(self) -> Content:
        """What is shown."""
        return self._content

    def draw(self, content: Content) -> None:
        """Show `content`; the same again costs nothing."""
        if content.is_same(self._content):
            return
        self._content = content
        self.refresh()

    @property
    def shown(self) -> str:
        """The characters that stand in the widget, without styles."""
        return self._content.plain
