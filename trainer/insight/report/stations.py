"""The stations' control charts, and how far the instructors' words agree with the marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from trainer.insight.report.control_chart import SMALL, WHOLE, Frame, control_chart, title_of, told
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, p, tagged
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, minute, number, short
from trainer.insight.results import AgreementRow, ChartRow
from trainer.procedure.paper.tags import Html, Piece, tag

MOST_POINTS = 150
_BENCH = "The bench, in rehearsals"


def stations(material: Material) -> Section:
    """The section. Charts that warn stand first; those with too few values are named in one sentence."""
    order = sorted(
        material.review.charts, key=lambda row: (not row.drifts, row.station, row.procedure, row.what)
    )
    drawn = [row for row in order if row.centre is not None]
    few = [row for row in order if row.centre is None]
    lead = (
        "Individuals and moving range, limits at three sigma from the first values of each station. An open "
        "lozenge is a value outside its limits. When a chart warns: look at the lamp and the developer, and "
        "do the exposure test before the next plate."
    )
    inside: list[Html] = [p(lead)] if drawn else [p("No station has enough readings for a control chart.")]
    warning = [row for row in drawn if row.drifts]
    calm = [row for row in drawn if not row.drifts]
    for place, row in enumerate(warning):
        inside.append(_chart(row, f"chart-{place}", material, WHOLE))
    if calm:
        small = (_chart(row, f"calm-{place}", material, SMALL) for place, row in enumerate(calm))
        inside += [tag("h3", "No drift shows"), tag("div", *small, class_="pair")]
    inside += [_values(latest(row), material) for row in (*warning, *calm)]
    if few:
        said = "; ".join(_few(row, material) for row in few)
        inside.append(p(f"Too few values for limits: {said}.", class_="quiet"))
    return Section("stations", "Stations: lamp and developer", tuple(inside))


def _chart(row: ChartRow, name: str, material: Material, frame: Frame) -> Html:
    state = tagged("drifts", "act") if row.drifts else tagged("no drift")
    title = tag("b", f"{title_of(row)}. ")
    place = f"{material.names.procedure(row.procedure)}. " if row.procedure else ""
    drawn = latest(row)
    said = told(row, material.zone)
    if drawn is not row:
        said += f" The last {MOST_POINTS} are drawn."
    caption = tag("figcaption", title, state, " ", place, said)
    return tag("figure", caption, control_chart(drawn, name, said, material.zone, frame))


def latest(row: ChartRow) -> ChartRow:
    """The chart with as many of its last values as can be told apart on paper."""
    if len(row.points) <= MOST_POINTS:
        return row
    left_out = len(row.points) - MOST_POINTS
    return replace(row, points=row.points[-MOST_POINTS:], baseline=max(row.baseline - left_out, 0))


def _few(row: ChartRow, material: Material) -> str:
    place = f", {material.names.procedure(row.procedure)}" if row.procedure else ""
    return f"{title_of(row)}{place} ({len(row.points)})"


def _values(row: ChartRow, material: Material) -> Html:
    """Every value, for who cannot see the chart; on paper the sentence stands for it."""
    lines: list[Sequence[Cell | Piece]] = [
        (
            str(place),
            minute(point.at, material.zone),
            right(number(point.value, 3)),
            right(NONE if point.moving_range is None else number(point.moving_range, 3)),
            "outside" if point.out else "",
            short(point.run),
        )
        for place, point in enumerate(row.points, 1)
    ]
    heads = (
        "No.",
        "When",
        Cell(f"Value, {row.unit}" if row.unit else "Value", "n"),
        Cell("Change", "n"),
        "Limits",
        "Run",
    )
    return tag(
        "details",
        tag("summary", f"The values of this chart: {title_of(row)}"),
        table(title_of(row), heads, lines),
    )


def agreement(material: Material) -> Section:
    """The instructors' words at sign-off against the marks of the same plates."""
    found = [row for row in material.review.agreement if row.n]
    if not found:
        return Section("agreement", "Sign-offs against the marks", (p("No sign-off is in the record yet."),))
    lead = (
        "A plate is without a miss when every attempt on it was right by the record's own marks. The "
        "instructor sees the plate and knows more than the marks: where the two differ, talk about it. Kappa "
        "is agreement beyond chance, from minus 1 to 1."
    )
    heads = (
        "Instructor",
        Cell("Passed, no miss", "n"),
        Cell("Passed, with misses", "n"),
        Cell("Not yet, no miss", "n"),
        Cell("Not yet, with misses", "n"),
        Cell("Kappa", "n"),
        "How sure",
    )
    made = table("Sign-offs, counted", heads, map(_agreed, found))
    return Section("agreement", "Sign-offs against the marks", (p(lead, class_="quiet"), made))


def _agreed(row: AgreementRow) -> Sequence[Cell | Piece]:
    kappa = NONE if row.kappa is None else number(row.kappa, 2)
    sure = "not defined: one side is empty" if row.kappa is None else ""
    if row.interval is not None:
        sure = f"{number(row.interval.low, 2)} to {number(row.interval.high, 2)}"
    if row.provisional:
        sure = f"{sure}; provisional, under 50 sign-offs".lstrip("; ")
    return (
        _BENCH if row.by == "bench" else row.by or "All together",
        right(f"{row.passed_clean:,}"),
        right(f"{row.passed_missed:,}"),
        right(f"{row.not_yet_clean:,}"),
        right(f"{row.not_yet_missed:,}"),
        right(kappa),
        sure,
    )
