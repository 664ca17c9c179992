"""The section about material: plates and developer used and wasted, and plates given up, where and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.insight.report.bars import part_bar
from trainer.insight.report.material import Material
from trainer.insight.report.parts import Section, codes, p
from trainer.insight.report.table import Cell, right, table
from trainer.insight.report.words import NONE, number, number_of
from trainer.insight.results import SpoiledRow, WasteRow
from trainer.procedure.paper.tags import Html, Piece, tag, together

_MOST = 10


def supplies(material: Material) -> Section:
    """The section."""
    review = material.review
    told = "Wasted: on plates that were given up, not passed, or left when a run was stopped. Wet runs only."
    inside = [p(told, class_="quiet"), *_waste(review.waste, material)]
    if not review.waste:
        inside.append(p("Nothing was used in a wet run."))
    for rehearsal, caption in (
        (False, "Plates given up in wet runs"),
        (True, "Plates given up in rehearsals, which cost nothing"),
    ):
        found = [row for row in review.spoiled if row.rehearsal is rehearsal]
        inside += _spoiled(found, caption, material)
    return Section("material", "Plates and developer", tuple(inside))


def _waste(found: Sequence[WasteRow], material: Material) -> Iterator[Html]:
    heads = (
        "Procedure",
        "What",
        Cell("Used", "n"),
        Cell("Wasted", "n"),
        Cell("Wasted of used", "bar"),
    )
    order = sorted(found, key=lambda row: (-row.plates, row.procedure, row.item))
    yield table("Used and wasted", heads, (_waste_line(row, material) for row in order if row.used))


def _waste_line(row: WasteRow, material: Material) -> Sequence[Cell | Piece]:
    unit = "" if row.unit == "each" else f" {row.unit}"
    return (
        material.names.procedure(row.procedure),
        row.item,
        right(f"{number(row.used)}{unit}"),
        right(f"{number(row.wasted)}{unit}"),
        Cell(part_bar(row.wasted, row.used, row.used), "bar"),
    )


def _spoiled(found: Sequence[SpoiledRow], caption: str, material: Material) -> Iterator[Html]:
    if not found:
        return
    plates = sum(row.plates for row in found)
    order = sorted(found, key=lambda row: (-row.plates, row.procedure, row.stage, row.step, row.reason))
    most = order[0].plates
    heads = ("Where", "Why", Cell("Plates", "n"), Cell("How many", "bar"), "By")
    yield table(
        f"{caption}: {plates:,}", heads, (_spoiled_line(row, most, material) for row in order[:_MOST])
    )
    if rest := order[_MOST:]:
        left = number_of(sum(row.plates for row in rest), "other plate")
        yield p(f"{left} at other places or for other reasons.", class_="quiet")


def _spoiled_line(row: SpoiledRow, most: int, material: Material) -> Sequence[Cell | Piece]:
    place = f"{material.names.procedure(row.procedure)}, {material.names.stage(row.procedure, row.stage)}"
    return (
        together((material.names.step(row.procedure, row.step), tag("div", place, class_="quiet"))),
        tag("bdi", row.reason) if row.reason else NONE,
        right(f"{row.plates:,}"),
        Cell(part_bar(row.plates, row.plates, most), "bar"),
        codes(row.trainees),
    )
