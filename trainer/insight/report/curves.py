"""Learning curves: how time and plates fall with practice, drawn where there are enough runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from trainer.insight.report.curve_chart import curve_chart
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, between, duration, number, number_of, percent
from trainer.insight.results import CurveRow
from trainer.procedure.paper.tags import Html, Piece, tag

_MOST_PANELS = 24


def curves(material: Material) -> Section:
    """The section, a procedure after the other, the one with most runs first."""
    times = [row for row in material.review.curves if row.slope is not None and row.what == "active time"]
    if not times:
        return Section("curves", "Learning curves", (p("Nobody has four runs of one procedure yet."),))
    lead = (
        "Every doubling of a trainee's runs leaves so much of the time: the lower, the quicker somebody "
        "learns; 100 % is no change. Fitted where there are four runs or more; the interval says how far to "
        "trust it."
    )
    plates = {
        (row.procedure, row.trainee): row for row in material.review.curves if row.what != "active time"
    }
    groups: dict[str, list[CurveRow]] = {}
    for row in times:
        groups.setdefault(row.procedure, []).append(row)
    inside = [p(lead, class_="quiet")]
    order = sorted(groups, key=lambda one: (-sum(len(row.points) for row in groups[one]), one))
    for place, procedure in enumerate(order):
        inside += _group(material.names.procedure(procedure), groups[procedure], plates, f"curve-{place}")
    return Section("curves", "Learning curves", tuple(inside))


def _group(
    title: str, found: Sequence[CurveRow], plates: Mapping[tuple[str, str], CurveRow], name: str
) -> Iterator[Html]:
    heading = f"{title}: active time by run"
    told = f"{heading}, for {number_of(len(found), 'trainee')}. The table below has the figures."
    drawn = found[:_MOST_PANELS]
    heads = (
        "Trainee",
        Cell("Runs", "n"),
        Cell("First", "n"),
        Cell("Latest", "n"),
        Cell("Left at each doubling", "n"),
        "Interval",
        Cell("Plates, first and latest", "n"),
    )
    yield tag("h3", heading)
    yield tag("figure", tag("figcaption", told, class_="quiet"), curve_chart(drawn, heading, told, name))
    lines = (_line(row, plates.get((row.procedure, row.trainee))) for row in found)
    yield table(f"{heading}, in figures", heads, lines)


def _line(row: CurveRow, plates: CurveRow | None) -> Sequence[Cell | Piece]:
    used = (
        f"{number(plates.points[0].value)}, {number(plates.points[-1].value)}"
        if plates and plates.points
        else NONE
    )
    return (
        row.trainee,
        right(f"{len(row.points)}"),
        right(duration(row.points[0].value)),
        right(duration(row.points[-1].value)),
        right(NONE if row.rate is None else percent(row.rate)),
        NONE if row.rate_interval is None else between(row.rate_interval),
        right(used),
    )
