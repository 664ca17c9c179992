"""The stations: is lamp or developer drifting at any of them?"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.insight.results import ChartRow, Review
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Item, Leaf, Opens, Size, Table, Words
from trainer.screens.review.saying import number_of
from trainer.screens.review.steps_rows import WIDE, title_of
from trainer.screens.widgets.plot_chart import figure

NO_NAME = "(no name)"
"""A station that its shop file does not name."""


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; it has no keys."""
    del keys
    review = desk.found
    if not review.charts:
        return Leaf(
            "Stations",
            (
                Words("No wet run with a wedge reading or a number_of exposure is in what is looked at now."),
                Words("A station has a name where its shop file says `station`.", style="$quiet"),
            ),
        )
    items: list[Item] = [
        Words(told(review.charts)),
        table(sorted(review.charts, key=_first), review, size),
        Words(
            "wedge: the reading, brought to the exposure in force, so that a changed setting shows no drift. "
            "seconds per unit: what a unit of the integrator took; it rises as a lamp ages.",
            style="$quiet",
            gap=1,
        ),
    ]
    return Leaf("Stations", tuple(items))


def name(row: ChartRow) -> str:
    """What a station is called."""
    return row.station or NO_NAME


def _first(row: ChartRow) -> tuple[bool, bool, bool, str, bool, str]:
    """What drifts first, then what has values out of its limits, then by name; what has too few last."""
    return (
        row.centre is None,
        not row.drifts,
        not any(point.out for point in row.points),
        row.station,
        row.what != "wedge",
        row.procedure,
    )


def told(rows: Sequence[ChartRow]) -> str:
    """Which drift, in a sentence."""
    drifting = [f"{name(row)} ({row.what})" for row in rows if row.drifts]
    if not drifting:
        return "Nothing drifts, as far as the values tell."
    return f"Drifting: {', '.join(drifting)}. Open it to see the chart and what to check."


def word(row: ChartRow) -> str:
    """How a chart stands, in a word or two; the mark says the same as the style."""
    if row.centre is None:
        return "too few yet"
    out = sum(point.out for point in row.points)
    if row.drifts:
        return "! DRIFTS"
    return f"{out} out" if out else "in control"


def table(rows: Sequence[ChartRow], review: Review, size: Size) -> Table:
    """A row for each chart."""
    wide = size.width >= WIDE
    columns = [
        Column("station", 10),
        Column("what", 16 if wide else 10),
        Column("procedure", 0),
        Column("values", 6, right=True),
        Column("last", 6, right=True),
        Column("limits", 12, right=True),
        Column("state", 13),
    ]
    if wide:
        columns[4:4] = [Column("centre", 7, right=True)]
    return Table(tuple(columns), tuple(_row(row, review, wide=wide) for row in rows))


def _row(row: ChartRow, review: Review, *, wide: bool) -> tuple[Cell, ...]:
    style = "bold $error" if row.drifts else "" if row.centre is not None else "$quiet"
    limits = in_words.NONE
    if row.low is not None and row.high is not None:
        limits = f"{figure(row, row.low)} to {figure(row, row.high)}"
    cells = [
        Cell(name(row), opens=Opens("station", (row.station, row.procedure, row.what))),
        Cell(row.what if wide or row.what == "wedge" else "s per unit"),
        Cell(title_of(row.procedure, review) if row.procedure else "all"),
        Cell(str(len(row.points))),
        Cell(figure(row, row.points[-1].value) if row.points else in_words.NONE),
        Cell(limits),
        Cell(word(row), style=style),
    ]
    if wide:
        cells[4:4] = [Cell(in_words.NONE if row.centre is None else figure(row, row.centre))]
    return tuple(cells)


def values(row: ChartRow) -> str:
    """`34 values`."""
    return number_of(len(row.points), "value")
