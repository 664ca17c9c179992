"""A leaf on the screen: its lines, the bar on what would open, the head of a table kept in sight."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.screens.review.laying import Laid, Spot, lay
from trainer.screens.review.leaf import Leaf, Opens, Size
from trainer.screens.review.moving import Place, begun, kept, moved
from trainer.screens.widgets.drawn import Drawn

BAR = "bold reverse $primary"


class Ledger(Drawn):
    """Shows one leaf at a time."""

    DEFAULT_CSS = """
    Ledger { height: 1fr; padding: 0 1; background: $background; color: $foreground; }
    """

    class Opened(Message):
        """Something was clicked that opens."""

        def __init__(self, opens: Opens) -> None:
            super().__init__()
            self.opens = opens

    def __init__(self) -> None:
        super().__init__()
        self.laid = Laid((), ())
        self.place = Place()
        self._leaf = Leaf("", ())

    @property
    def room(self) -> Size:
        """The cells there are."""
        return Size(max(8, self.size.width), max(1, self.size.height))

    @property
    def opens(self) -> Opens | None:
        """What is under the bar."""
        spots = self.laid.spots
        return spots[self.place.spot].opens if 0 <= self.place.spot < len(spots) else None

    def show(self, leaf: Leaf, place: Place | None = None) -> None:
        """Draw a leaf, at a place where somebody was on it before."""
        self._leaf, self.laid = leaf, lay(leaf, self.room.width)
        height = self.room.height
        self.place = begun(self.laid, height, leaf.at) if place is None else kept(self.laid, height, place)
        self._draw()

    def show_again(self, leaf: Leaf) -> None:
        """Draw what became of the same leaf: the bar stays on what it was on."""
        if not self.laid.lines:
            self.show(leaf)
            return
        under, place = self.opens, self.place
        laid = lay(leaf, self.room.width)
        same = [number for number, spot in enumerate(laid.spots) if spot.opens == under]
        if same and under is not None:
            spot = min(same, key=lambda number: abs(number - place.spot))
            place = Place(spot, place.top)
        self.show(leaf, place)

    def move(self, key: str) -> None:
        """Move by one of the keys that move."""
        self.place = moved(self.laid, self.room.height, self.place, key)
        self._draw()

    @property
    def rows(self) -> str:
        """Which rows are in sight, where not all are."""
        height, all_rows = self.room.height, len(self.laid.lines)
        if all_rows <= height:
            return ""
        return f"rows {self.place.top + 1} to {min(all_rows, self.place.top + height)} of {all_rows}"

    def _draw(self) -> None:
        lines, top = list(self.laid.lines), self.place.top
        spots = self.laid.spots
        if 0 <= self.place.spot < len(spots):
            _mark(lines, spots[self.place.spot], self.room.width)
        shown = lines[top : top + self.room.height]
        head = next((head for head, end in self.laid.heads if head < top <= end), None)
        if head is not None and shown:
            shown[0] = lines[head]
        self.draw_lines(shown)

    def on_click(self, event: events.Click) -> None:
        """A click puts the bar there; on the bar, it opens."""
        place = event.get_content_offset(self)
        number = None if place is None else self._spot_at(place.x, place.y + self.place.top)
        if number is None:
            return
        if number == self.place.spot:
            self.post_message(self.Opened(self.laid.spots[number].opens))
            return
        self.place = Place(number, self.place.top)
        self._draw()

    def _spot_at(self, x: int, line: int) -> int | None:
        for number, spot in enumerate(self.laid.spots):
            if spot.line <= line <= spot.last and (
                not spot.end or _start(self, spot) <= x < _end(self, spot)
            ):
                return number
        return None

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves as Down does."""
        self.move("down")

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves as Up does."""
        self.move("up")


def _mark(lines: list[Content], spot: Spot, width: int) -> None:
    """Put the bar on a spot: on its cell, or on whole lines."""
    for number in range(spot.line, spot.last + 1):
        line = lines[number]
        if spot.end:
            lines[number] = line.stylize(BAR, spot.start, spot.end)
        else:
            lines[number] = line.pad_right(max(0, width - line.cell_length)).stylize(BAR)


def _start(ledger: Ledger, spot: Spot) -> int:
    return Content(ledger.laid.lines[spot.line].plain[: spot.start]).cell_length


def _end(ledger: Ledger, spot: Spot) -> int:
    return Content(ledger.laid.lines[spot.line].plain[: spot.end]).cell_length
