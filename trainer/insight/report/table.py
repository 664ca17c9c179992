"""Tables whose heads are heads: a caption, columns with scope, rows with scope, numbers at the right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer.procedure.paper.tags import Html, Piece, tag

_KEPT = 7
"""A table of so many lines at most is not broken over pages."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell. class_: how it looks; a word in it says the same."""

    inside: Piece
    class_: str = ""


def table(
    caption: str, heads: Sequence[Cell | str], lines: Iterable[Sequence[Cell | Piece]], class_: str = ""
) -> Html:
    """A table; the first cell of each line is the line's head. Nothing where there are no lines."""
    body = [_line(line) for line in lines]
    if len(body) <= _KEPT and class_ != "loose":
        class_ = f"{class_} keep".lstrip()
    if not body:
        return Html("")
    top = tag("tr", *(_cell("th", head, scope="col") for head in heads))
    more = {"class_": class_} if class_ else {}
    return tag("table", tag("caption", caption), tag("thead", top), tag("tbody", *body), **more)


def right(inside: Piece) -> Cell:
    """A number."""
    return Cell(inside, "n")


def _line(cells: Sequence[Cell | Piece]) -> Html:
    first, *rest = cells
    return tag("tr", _cell("th", first, scope="row"), *(_cell("td", cell) for cell in rest))


def _cell(name: str, cell: Cell | Piece, **more: str) -> Html:
    if isinstance(cell, Cell):
        if cell.class_:
            more["class_"] = cell.class_
        return tag(name, cell.inside, **more)
    return tag(name, cell, **more)
