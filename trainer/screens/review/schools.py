"""Several schools on one page: `T-03 (Copper Lane)` is `T-03 CL` in a table, told below it. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from trainer.screens.review.leaf import Cell, Column, Item, Leaf, Table, Words

MOST_WIDE = 16
"""Cells that a column grows to for the sake of a mark."""
MOST_TOLD = 12
"""Marks that are told below a table; with more schools, choose some (f)."""


def marks(schools: Sequence[str]) -> dict[str, str]:
    """A short mark for each school, no two alike: first letters of its words, more where those are alike.

    One school needs none.
    """
    if len(schools) < 2:
        return {}
    letters = dict.fromkeys(schools, 1)
    while True:
        made = {school: _mark(school, letters[school]) for school in schools}
        alike = [school for school, mark in made.items() if list(made.values()).count(mark) > 1]
        grows = [school for school in alike if _mark(school, letters[school] + 1) != made[school]]
        if not grows:
            return {
                school: f"{mark}{number}" if school in alike else mark
                for number, (school, mark) in enumerate(made.items(), start=1)
            }
        for school in grows:
            letters[school] += 1


def _mark(school: str, letters: int) -> str:
    """So many letters of each word, the first of them large."""
    return "".join(word[:1].upper() + word[1:letters] for word in school.split() or [school])


def shortened(text: str, known: Mapping[str, str]) -> str:
    """A text with the mark in the place of each school in brackets."""
    for school, mark in known.items():
        text = text.replace(f" ({school})", f" {mark}")
    return text


def place_of(code: str, known: Mapping[str, str]) -> tuple[int, str]:
    """Where a code stands in a list that goes school by school."""
    for number, school in enumerate(known):
        if code.endswith(f" ({school})"):
            return number, code
    return len(known), code


def with_marks(leaf: Leaf, known: Mapping[str, str]) -> Leaf:
    """The same page with marks in its tables, and below them what they stand for."""
    if not known:
        return leaf
    items = [_marked(item, known) if isinstance(item, Table) else item for item in leaf.items]
    if items == list(leaf.items):
        return leaf
    told = [f"{mark} {school}" for school, mark in list(known.items())[:MOST_TOLD]]
    more = f", and {len(known) - MOST_TOLD} more" if len(known) > MOST_TOLD else ""
    legend = Words(f"{',  '.join(told)}{more}.  f: look at one school.", style="$quiet", gap=1)
    return replace(leaf, items=(*items, legend))


def _marked(table: Table, known: Mapping[str, str]) -> Item:
    rows = tuple(tuple(_cell(cell, known) for cell in row) for row in table.rows)
    changed: list[list[str]] = [[] for _ in table.columns]
    for before, after in zip(table.rows, rows, strict=True):
        for number, (was, now) in enumerate(zip(before, after, strict=True)):
            if was is not now:
                changed[number].append(str(now.text))
    columns = tuple(map(_grown, table.columns, changed))
    return replace(table, columns=columns, rows=rows)


def _cell(cell: Cell, known: Mapping[str, str]) -> Cell:
    if not isinstance(cell.text, str):
        return cell
    text = shortened(cell.text, known)
    return cell if text == cell.text else replace(cell, text=text)


def _grown(column: Column, changed: Sequence[str]) -> Column:
    longest = max(map(len, changed), default=0)
    if not column.width or longest <= column.width:
        return column
    return replace(column, width=min(MOST_WIDE, longest))
