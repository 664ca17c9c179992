"""Learning curves: how time and plates fall with practice, drawn where there are enough runs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.report.curve_chart import curve_chart
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, between, counted, duration, number, percent
from trainer.insight.results import CurveRow
from trainer.procedure.paper.tags import Html, Piece, tag

_MOST_PANELS = 24


def curves(material: Material, *, new_page: bool = True) -> Section:
    """The section: active time first, plates after it, a procedure after the other."""
    groups: dict[tuple[str, str], list[CurveRow]] = {}
    for row in material.review.curves:
        if row.slope is not None:
            groups.setdefault((row.procedure, row.what), []).append(row)
    lead = (
        "Every doubling of a trainee's runs leaves so much of the time; 80 % is a quick learner, 100 % is no "
        "change. Fitted where there are four runs or more; the interval says how far to trust it."
    )
    if not groups:
        return Section("curves", "Learning curves", (p("Nobody has four runs of one procedure yet."),))
    inside = [p(lead, class_="quiet")]
    for place, ((procedure, _), lines) in enumerate(sorted(groups.items(), key=_order)):
        inside += _group(material.names.procedure(procedure), lines, f"curve-{place}")
    return Section("curves", "Learning curves", tuple(inside), new_page=new_page)


def _order(group: tuple[tuple[str, str], list[CurveRow]]) -> tuple[str, int, str]:
    (procedure, what), lines = group
    return ("0" if what == "active time" else "1", -sum(len(row.points) for row in lines), procedure)


def _group(title: str, found: Sequence[CurveRow], name: str) -> Iterator[Html]:
    what = found[0].what
    heading = f"{title}: {what} by run"
    told = f"{heading}, for {counted(len(found), 'trainee')}. The table below has the figures."
    yield tag("h3", heading)
    if what == "active time":
        drawn = found[:_MOST_PANELS]
        yield tag("figure", tag("figcaption", told, class_="quiet"), curve_chart(drawn, heading, told, name))
    heads = (
        "Trainee",
        Cell("Runs", "n"),
        Cell("First", "n"),
        Cell("Latest", "n"),
        Cell("Left at each doubling", "n"),
        "Interval",
    )
    yield table(f"{heading}, in figures", heads, map(_line, found))


def _line(row: CurveRow) -> Sequence[Cell | Piece]:
    timed = row.what == "active time"
    ends = [row.points[0].value, row.points[-1].value] if row.points else []
    first, last = ([duration(end) if timed else number(end) for end in ends] + [NONE, NONE])[:2]
    return (
        row.trainee,
        right(f"{len(row.points)}"),
        right(first),
        right(last),
        right(NONE if row.rate is None else percent(row.rate)),
        NONE if row.rate_interval is None else between(row.rate_interval),
    )
