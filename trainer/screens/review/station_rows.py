"""One chart of a station: the values, their limits, and what to do when they drift."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.insight.results import ChartPoint, ChartRow, Review
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import (
    Cell,
    Column,
    Drawing,
    Heading,
    Item,
    Leaf,
    Opens,
    Size,
    Table,
    Words,
    rests,
)
from trainer.screens.review.saying import date, number_of
from trainer.screens.review.stations_rows import name, word
from trainer.screens.review.steps_rows import title_of
from trainer.screens.widgets.plot import number, signs_here
from trainer.screens.widgets.plot_chart import control_chart, words

ROWS = (12, 20)
"""Rows of the chart, at least and at most."""
SHIFTS: Mapping[str, Mapping[str, str]] = {
    "wedge": {
        "down": "It reads fewer steps than at the start. A slow slide points to the lamp or a developer "
        "that tires; a jump on one day to a new bottle, another lot of plates, or another pair of eyes.",
        "up": "It reads more steps than at the start. A jump on one day points to a new lamp, a new bottle, "
        "another lot of plates, or another pair of eyes; a slow rise to developer or its temperature.",
    },
    "seconds per unit": {
        "up": "A unit takes longer: the lamp gives less light. The integrator still gives the dose; a plain "
        "timer would not.",
        "down": "A unit takes less time: a new lamp, cleaned glass, or a sensor that sits elsewhere.",
    },
}
"""What a shift points to, by what is charted and which way it goes."""
CHECKS: Mapping[str, tuple[str, ...]] = {
    "wedge": (
        "Lamp: do its seconds per unit rise too? Is it warm before the first plate? Is its glass clean?",
        "Developer: temperature, age, strength. Take a fresh measure for the next wedge.",
    ),
    "seconds per unit": (
        "Is the lamp warm before the first plate? Are glass, reflector and sensor clean? Its hours?",
        "Near the end of its hours: tell whoever keeps the lamp, before burns get too long to be even.",
    ),
}
"""What to look at. Common practice, no source."""
SINGLE = (
    "A single value that is out points to that one plate: open its run below, and see how it was exposed "
    "and read before anything at the station is changed."
)
TEST = (
    "Then run the exposure test at this station before class, and change the shop's exposure by its result, "
    "not by this chart."
)
CAUTION = (
    "Lamp, reflector and glass are looked at cold, with the mains off, by whoever is allowed to; a lamp is "
    "changed as its maker says. Developer: gloves, eye protection and waste as its safety data sheet "
    "says."
)


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; keys: station, procedure (empty: all of them), and what is charted."""
    review = desk.found
    row = next((row for row in review.charts if (row.station, row.procedure, row.what) == keys), None)
    if row is None:
        return Leaf(f"Station: {keys[0]}", (Words("Nothing was read there in what is looked at now."),))
    height = min(ROWS[1], max(ROWS[0], size.height - 8))
    title = f"{name(row)}, {row.what}"
    title += f", {title_of(row.procedure, review)}" if row.procedure else ""
    items: list[Item] = [
        Words(title, style="bold"),
        Words(verdict(row), style="bold" if row.drifts else ""),
        Drawing(lambda width: control_chart(row, min(width, 110), height, signs_here()).lines),
        Words(words(row), opens=rests(f"{name(row)}, {row.what}", [point.run for point in row.points])),
    ]
    if row.drifts:
        items += what_to_do(row)
    elif any(point.out for point in row.points):
        items.append(Words(SINGLE, gap=1))
    items += _out(row)
    items += _other(row, review)
    items += [
        Heading("How the limits are made"),
        Words(
            "Individuals and moving range, 3 sigma: sigma is the mean of the moving ranges over 1.128. By "
            "chance alone about one value in 370 is out. The warning of a drift comes from a slowly moving "
            "average, which sees a small shift that lasts before single values leave the limits."
        ),
    ]
    return Leaf(f"Station: {title}", tuple(items))


def verdict(row: ChartRow) -> str:
    """How it stands, in a sentence."""
    if row.centre is None:
        return "Too few values to say whether anything drifts."
    if not row.drifts:
        out = sum(point.out for point in row.points)
        return (
            f"{number_of(out, 'value')} out of the limits, but no drift." if out else "In control: no drift."
        )
    way = direction(row)
    return f"! It drifts {way}." if way else "! It drifts."


def direction(row: ChartRow) -> str:
    """Where the last values lie against the centre: `down`, `up`, or empty where they cannot be told."""
    if row.centre is None or not row.points:
        return ""
    last = row.points[-5:]
    mean = sum(point.value for point in last) / len(last)
    return "down" if mean < row.centre else "up" if mean > row.centre else ""


def what_to_do(row: ChartRow) -> list[Item]:
    """What to check, the likeliest first, and the test that settles it."""
    shift = SHIFTS[row.what].get(direction(row), "")
    acts = [*([shift] if shift else []), *CHECKS[row.what], TEST]
    return [
        Heading("What to do"),
        *(Words(act, first=f"{place}  ") for place, act in enumerate(acts, 1)),
        Words(CAUTION, first="!  ", gap=1),
    ]


def _out(row: ChartRow) -> list[Item]:
    """The values that are out, newest first, each opening its run."""
    out = [point for point in reversed(row.points) if point.out]
    if not out:
        return []
    columns = (
        Column("day", 12),
        Column("value", 8, right=True),
        Column("from the one before", 20, right=True),
        Column("", 0),
    )
    rows = tuple(_point(row, point) for point in out)
    return [Heading("Out of the limits", "newest first; Enter: the run"), Table(columns, rows)]


def _point(row: ChartRow, point: ChartPoint) -> tuple[Cell, ...]:
    side = "above" if row.high is not None and point.value > row.high else "below"
    moved = in_words.NONE if point.moving_range is None else number(point.moving_range)
    return (
        Cell(date(point.at), opens=Opens("run", (point.run,))),
        Cell(number(point.value)),
        Cell(moved),
        Cell(side),
    )


def _other(row: ChartRow, review: Review) -> list[Item]:
    """The station's other charts."""
    others = [one for one in review.charts if one.station == row.station and one is not row]
    if not others:
        return []
    items: list[Item] = [Heading("At the same station")]
    for one in others:
        title = f", {title_of(one.procedure, review)}" if one.procedure else ""
        items.append(
            Words(
                f"{one.what}{title}: {word(one)}",
                opens=Opens("station", (one.station, one.procedure, one.what)),
            )
        )
    return items
