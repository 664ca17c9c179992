"""What a page of the review is made of: plain values, made by pure functions, laid out by `laying`.

A leaf is a title and items under one another. What can be opened says so by `Opens`: a page and what it is
about. All texts are shown as they stand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from textual.content import Content


@dataclass(frozen=True, slots=True)
class Opens:
    """What opens: a page by its id, what it is about, and for a page on what something rests on, the runs."""

    page: str
    keys: tuple[str, ...] = ()
    runs: Sequence[str] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class Size:
    """Cells that a leaf has for itself."""

    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table. A text that is drawn already (a strip) keeps its own styles."""

    text: str | Content
    style: str = ""
    opens: Opens | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A column. width: cells without the gap after it; 0 (for one of them): what is left of the width."""

    title: str
    width: int
    right: bool = False
    opens: Opens | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under a line of titles, which stays in sight while the rows are moved."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph, wrapped. first: what stands before its first line. gap: empty lines before it.

    short: cut to one line.
    """

    text: str | Content
    first: str = ""
    style: str = ""
    gap: int = 0
    opens: Opens | None = None
    short: bool = False


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading over what follows. more: quiet words after it."""

    text: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """Lines for a width, never wrapped: a plot."""

    draw: Callable[[int], Sequence[Content]]


Item = Table | Words | Heading | Drawing


@dataclass(frozen=True, slots=True)
class Leaf:
    """A page. orders: names of the orders of its rows. at: what the spot opens at which the bar begins."""

    title: str
    items: tuple[Item, ...]
    orders: tuple[str, ...] = ()
    at: Opens | None = None


def rests(title: str, runs: Sequence[str]) -> Opens | None:
    """The page on what something rests on, by runs; None where it rests on none."""
    return Opens("rests", (title,), runs) if len(runs) else None


def rests_on_acts(title: str, acts: Iterable[tuple[str, int]]) -> Opens | None:
    """The same by single acts: (run, number of the event in it) each."""
    told = tuple(f"{run}/{seq}" for run, seq in acts)
    return Opens("acts", (title,), told) if told else None
