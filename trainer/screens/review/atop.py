"""The two rows over every page of the review: the pages with their digits, and what is looked at."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.screens.review.pages import TOP
from trainer.screens.widgets.drawn import Drawn

HERE = "bold reverse $primary"
QUIET = "$quiet"
INVENTED = " INVENTED RECORD "
SHORTER = " INVENTED "


class Atop(Drawn):
    """Drawn anew with every page."""

    DEFAULT_CSS = """
    Atop { height: 2; padding: 0 1; background: $surface; color: $foreground; }
    """

    class Picked(Message):
        """A page was clicked. digit: its own."""

        def __init__(self, digit: str) -> None:
            super().__init__()
            self.digit = digit

    _at: tuple[tuple[int, int, str], ...] = ()

    def show(self, page: str, looked_at: str, rows: str, *, invented: bool) -> None:
        """page: the id of the page, or of the one it was opened from. rows: which are in sight."""
        strip, self._at = pages_strip(page, self.size.width)
        self.draw_lines((strip, looked_line(looked_at, rows, self.size.width, invented=invented)))

    def on_click(self, event: events.Click) -> None:
        """A click on a page is its digit."""
        place = event.get_content_offset(self)
        for start, end, digit in self._at:
            if place and not place.y and start <= place.x < end:
                self.post_message(self.Picked(digit))


def pages_strip(page: str, width: int) -> tuple[Content, tuple[tuple[int, int, str], ...]]:
    """The pages that have a digit, the one at hand marked; and where each stands."""
    roomy = sum(len(one.title) + 4 for one in TOP) <= width
    gap = "  " if roomy else " "
    parts: list[Content] = []
    at: list[tuple[int, int, str]] = []
    left = 0
    for one in TOP:
        label = f"{one.digit} {one.title if roomy else one.short or one.title}"
        parts.append(Content.styled(label, HERE if one.id == page else QUIET))
        at.append((left, left + len(label), one.digit))
        left += len(label) + len(gap)
    return Content(gap).join(parts).truncate(max(1, width), ellipsis=True), tuple(at)


def looked_line(looked_at: str, rows: str, width: int, *, invented: bool) -> Content:
    """What is looked at; before it whether the record is invented, after it the rows in sight.

    Where there is little room, both are said in fewer words before what is looked at is cut.
    """
    few = rows.removeprefix("rows ").replace(" to ", "-")
    for words, said in ((INVENTED, rows), (INVENTED, few), (SHORTER, few)):
        mark = Content.styled(words, "bold reverse $warning") + " " if invented else Content("")
        right = Content.styled(said, QUIET)
        room = width - mark.cell_length - (right.cell_length + 2 if rows else 0)
        if Content(looked_at).cell_length <= room:
            break
    left = Content(looked_at).truncate(max(1, room), ellipsis=True)
    blank = " " * max(0, width - mark.cell_length - left.cell_length - right.cell_length)
    return Content.assemble(mark, left, blank, right)
