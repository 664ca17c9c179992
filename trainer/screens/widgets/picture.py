"""The plate, drawn line by line from runs of cells that somebody else computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App
from textual.filter import ANSIToTruecolor
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

FRAME = Style(bold=True, reverse=True)
"""What the loupe covers is framed so; it is a frame without colours too."""


class Piece(Protocol):
    """Cells of one style. fg, bg: words for colours that the terminal library takes; empty: its own."""

    @property
    def text(self) -> str:
        """The cells."""
        ...

    @property
    def fg(self) -> str:
        """Colour of the upper half."""
        ...

    @property
    def bg(self) -> str:
        """Colour of the lower half."""
        ...


Colours = Literal["full", "256", "16", "none"]
Rows = Sequence[Sequence[Piece]]


@dataclass(frozen=True, slots=True)
class Area:
    """Cells of a picture: left, top, columns, rows. They may lie partly outside it."""

    left: int
    top: int
    cols: int
    rows: int


class Picture(Widget):
    """Shows rows that it was handed, in the middle of its room; paints again only those that changed."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    Picture { width: 1fr; height: 1fr; display: none; background: $background; color: $foreground; }
    """

    class Room(Message):
        """The room for the picture has another size: somebody who can draw it should."""

    class Pointed(Message):
        """A cell of the picture was clicked. col, row: counted from its upper left corner."""

        def __init__(self, picture: Picture, col: int, row: int) -> None:
            super().__init__()
            self.picture, self.col, self.row = picture, col, row

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the name the library gives it
        super().__init__(id=id, markup=False)
        self._rows: tuple[tuple[Piece, ...], ...] = ()
        self._strips: list[Strip | None] = []
        self._area: Area | None = None
        self._ground: Style | None = None
        self._inks: dict[tuple[str, str], Style] = {}

    def show(self, rows: Rows, area: Area | None = None) -> None:
        """Draw `rows`; frame `area`, where it is given. Rows that stand there already cost nothing."""
        new = tuple(tuple(row) for row in rows)
        moved = len(new) != len(self._rows) or _width(new) != _width(self._rows) or area != self._area
        changed = [
            number
            for number, row in enumerate(new)
            if moved or row != self._rows[number] or self._strips[number] is None
        ]
        kept = self._strips
        self._rows, self._area = new, area
        self._strips = [None if moved else kept[number] for number in range(len(new))]
        for number in changed:
            self._strips[number] = None
        if moved:
            self.refresh()
        elif changed:
            top = self._top
            self.refresh(Region(0, top + changed[0], self.size.width, changed[-1] + 1 - changed[0]))

    @property
    def _top(self) -> int:
        return max(0, (self.size.height - len(self._rows)) // 2)

    @property
    def _left(self) -> int:
        return max(0, (self.size.width - _width(self._rows)) // 2)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Lines, in the widget's present colours.

        It has no border, no padding and no links, so the library's way through those is left out; nor are the
        terminal's own colours made into others, which would only be made back.
        """
        ground = self.rich_style  # takes long to ask for: once for all lines
        if ground != self._ground:
            self._ground, self._inks, self._strips = ground, {}, [None] * len(self._rows)
        room, top, count = self.size.width, self._top, len(self._rows)
        blank = Strip.blank(room, ground)
        strips = [
            self._strip(y - top, room) if top <= y < top + count else blank
            for y in range(crop.y, crop.bottom)
        ]
        for filtered in self.get_line_filters():
            if not isinstance(filtered, ANSIToTruecolor):
                strips = [strip.apply_filter(filtered, self.background_colors[1]) for strip in strips]
        if crop.x or crop.width < room:
            return [strip.crop(crop.x, crop.right) for strip in strips]
        return strips

    def _strip(self, number: int, room: int) -> Strip:
        """One row, from the strips that are kept."""
        strip = self._strips[number]
        if strip is None or strip.cell_length != room:
            strip = self._strips[number] = self._painted(number, room)
        return strip

    def _painted(self, number: int, room: int) -> Strip:
        width = _width(self._rows)
        pieces = [Segment(piece.text, self._ink(piece.fg, piece.bg)) for piece in self._rows[number]]
        if self._area:
            pieces = [*_framed(Strip(pieces, width), self._area, number, self._ink("", "") + FRAME)]
        before = max(0, (room - width) // 2)
        after = max(0, room - before - width)
        left = [Segment(" " * before, self._ground)] if before else []
        right = [Segment(" " * after, self._ground)] if after else []
        return Strip([*left, *pieces, *right], before + width + after)

    def _ink(self, fg: str, bg: str) -> Style:
        """The style of a piece; what it leaves open is the widget's own."""
        ink = self._inks.get((fg, bg))
        if ink is None:
            own = self._ground
            ink = self._inks[fg, bg] = Style(
                color=fg or (own.color if own else None), bgcolor=bg or (own.bgcolor if own else None)
            )
        return ink

    def on_resize(self) -> None:
        """Another size, another picture."""
        self._strips = [None] * len(self._rows)
        self.post_message(self.Room())

    def on_click(self, event: events.Click) -> None:
        """A click points at a place of the picture."""
        place = event.get_content_offset(self)
        if place is None:
            return
        col, row = place.x - self._left, place.y - self._top
        if 0 <= row < len(self._rows) and 0 <= col < _width(self._rows):
            self.post_message(self.Pointed(self, col, row))

    @property
    def shown(self) -> str:
        """The characters of the picture, without colours."""
        return "\n".join("".join(piece.text for piece in row) for row in self._rows)


def colours(app: App[Any]) -> Colours:  # whatever the app ends with
    """What the terminal can show: `full`, `256`, `16`, or `none` where NO_COLOR asks for none."""
    if getattr(app, "no_colour_wanted", False) or app.no_color:
        return "none"
    known: dict[str, Colours] = {"truecolor": "full", "256": "256", "standard": "16"}
    return known.get(app.console.color_system or "", "none")


def _width(rows: tuple[tuple[Piece, ...], ...]) -> int:
    return sum(len(piece.text) for piece in rows[0]) if rows else 0


def _framed(strip: Strip, area: Area, row: int, ink: Style) -> Strip:
    """The strip with its part of the frame: corners and sides, never over what lies inside."""
    if not area.top <= row < area.top + area.rows:
        return strip
    width = strip.cell_length
    left, right = max(0, area.left), min(width, area.left + area.cols)
    if right <= left:
        return strip
    if area.rows == 1:
        return _over(strip, left, right, _line("[", "]", right - left), ink)
    if row in (area.top, area.top + area.rows - 1):
        first, last = ("┌", "┐") if row == area.top else ("└", "┘")
        return _over(strip, left, right, _line(first, last, right - left), ink)
    return _over(_over(strip, left, left + 1, "│", ink), right - 1, right, "│", ink)


def _line(first: str, last: str, cells: int) -> str:
    return first + "─" * (cells - 2) + last if cells > 1 else "□"


def _over(strip: Strip, left: int, right: int, text: str, ink: Style) -> Strip:
    """The strip with `text` laid over some of its cells."""
    return Strip.join([strip.crop(0, left), Strip([Segment(text[: right - left], ink)]), strip.crop(right)])
