"""A leaf laid out in a width: lines, and the spots in them that open something. Pure."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import singledispatchmethod

from textual.content import Content

from trainer.screens.review.leaf import Cell, Column, Drawing, Heading, Leaf, Opens, Table, Words

HEAD = "bold"
HEADING = "bold $accent"
QUIET = "$quiet"
LEAST = 8
"""Cells that a column for what is left has at least."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that opens something: characters `start` to `end` of a line, or whole lines to `last`."""

    line: int
    last: int
    start: int
    end: int
    opens: Opens


@dataclass(frozen=True, slots=True)
class Laid:
    """Lines, spots in reading order, headings' lines, and each table's head with the last line under it."""

    lines: tuple[Content, ...]
    spots: tuple[Spot, ...]
    headings: tuple[int, ...] = ()
    heads: tuple[tuple[int, int], ...] = ()


def lay(leaf: Leaf, width: int) -> Laid:
    """Lay `leaf` out in `width` cells."""
    layer = _Layer(max(LEAST, width))
    for item in leaf.items:
        layer.put(item)
    lines = tuple(line.truncate(layer.width) for line in layer.lines)  # a lead alone may be wider
    return Laid(lines, tuple(layer.spots), tuple(layer.headings), tuple(layer.heads))


def fitted(text: str | Content, width: int, *, right: bool = False, style: str = "") -> Content:
    """`text` in exactly `width` cells; what is too long ends in an ellipsis."""
    line = text if isinstance(text, Content) else Content.styled(text, style)
    line = line.truncate(width, ellipsis=True)
    blank = max(0, width - line.cell_length)
    return line.pad_left(blank) if right else line.pad_right(blank)


@dataclass(slots=True)
class _Layer:
    width: int
    lines: list[Content] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    headings: list[int] = field(default_factory=list)
    heads: list[tuple[int, int]] = field(default_factory=list)

    @singledispatchmethod
    def put(self, item: object) -> None:
        """Put one item under the others."""
        raise TypeError(f"a leaf has no {type(item).__name__}")

    @put.register
    def _(self, item: Heading) -> None:
        if self.lines:
            self.lines.append(Content(""))
        self.headings.append(len(self.lines))
        line = Content.assemble((item.text, HEADING), (f"   {item.more}" if item.more else "", QUIET))
        self.lines.append(line.truncate(self.width, ellipsis=True))

    @put.register
    def _(self, item: Words) -> None:
        self.lines += [Content("")] * item.gap
        text = item.text if isinstance(item.text, Content) else Content.styled(item.text, item.style)
        first = Content.styled(item.first, item.style)
        begin, lead = len(self.lines), first.cell_length
        room = max(LEAST, self.width - lead)
        lines = [text.truncate(room, ellipsis=True)] if item.short else text.wrap(room)
        for number, line in enumerate(lines):
            self.lines.append((Content(" " * lead) if number else first) + line)
        if item.opens:
            self.spots.append(Spot(begin, len(self.lines) - 1, 0, 0, item.opens))

    @put.register
    def _(self, item: Drawing) -> None:
        self.lines += [line.truncate(self.width) for line in item.draw(self.width)]

    @put.register
    def _(self, item: Table) -> None:
        widths = _widths(item.columns, self.width)
        head = len(self.lines)
        titles = tuple(Cell(column.title, HEAD, column.opens) for column in item.columns)
        for row in (titles, *item.rows):
            self._row(row, item.columns, widths)
        self.heads.append((head, len(self.lines) - 1))

    def _row(self, cells: tuple[Cell, ...], columns: tuple[Column, ...], widths: list[int]) -> None:
        number, line = len(self.lines), Content("")
        opening = [cell for cell in cells if cell.opens]
        for cell, column, width in zip(cells, columns, widths, strict=True):
            start = len(line.plain)
            line += fitted(cell.text, width, right=column.right, style=cell.style)
            if cell.opens:
                whole = len(opening) == 1
                span = (0, 0) if whole else (start, len(line.plain))
                self.spots.append(Spot(number, number, *span, cell.opens))
            line += Content(" ")
        self.lines.append(line.truncate(self.width))


def _widths(columns: tuple[Column, ...], width: int) -> list[int]:
    left = width - sum(column.width for column in columns) - (len(columns) - 1)
    return [column.width or max(LEAST, left) for column in columns]
