"""What the bench of a rehearsal says in words, and where its pictures lie on one another. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.content import Content

from trainer.screens.page import Block
from trainer.screens.widgets.picture import Area

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView
    from trainer.rehearsal.sight import Sight
    from trainer.screens.loupe import Loupe

STAGES = {
    "film": "on the light table, under its mask",
    "raw": "not exposed",
    "exposed": "exposed",
    "developed": "developed",
    "gummed": "gummed",
}
QUIET = "$quiet"


def time_words(bench: BenchView, *, paused: bool = False) -> str:
    """How fast simulated time runs now."""
    if paused:
        return "time stands still"
    if bench.speed == 1 or bench.busy:
        return f"time {bench.speed:g}x"
    return f"time 1x, {bench.speed:g}x in waits"


def news(bench: BenchView) -> list[Block]:
    """What has just happened on the bench, and what is seen there."""
    mark = Content.styled("◆ ", "bold $accent")
    told = [Block(Content.styled(bench.notice, "bold"), first=mark)] if bench.notice else []
    return [*told, *(Block(Content(sign), first=mark, gap=int(not n)) for n, sign in enumerate(bench.signs))]


def caption(stage: str, loupe: Loupe, *, opened: bool, told: str = "") -> Content:
    """Two rows under the picture: what it is, or news; the loupe's place. stage: of the plate, or `film`."""
    size = f"{loupe.width:g} x {loupe.height:g} mm"
    if stage == "film":
        plate = Content.assemble(("Film", "bold"), f"  {STAGES[stage]}")
    else:
        plate = Content.assemble(("Plate ", "bold"), size, f"  {STAGES.get(stage, stage)}")
    if not opened:
        return Content("\n").join([plate, Content.styled("i  look closer, with a loupe", QUIET)])
    place = f"  {loupe.x:.1f} mm from the left, {loupe.y:.1f} mm from the top"
    over = Content.assemble((f"Loupe {loupe.times}x", "bold"), place)
    return Content("\n").join([over, Content.styled(f"◆ {told}", "bold") if told else plate])


def area_of(part: Sight, whole: Sight) -> Area:
    """The cells of the whole plate's picture that a part of it covers."""
    left = (part.left - whole.left) / whole.pixel
    top = (part.top - whole.top) / whole.pixel / 2
    right = left + part.across / whole.pixel
    bottom = top + part.down / whole.pixel / 2
    first_col, first_row = int(left // 1), int(top // 1)
    return Area(first_col, first_row, max(1, round(right) - first_col), max(1, round(bottom) - first_row))


def same_but_figures(bench: BenchView, other: BenchView) -> bool:
    """Whether nothing differs but what the gauges show and the time."""
    return _standing(bench) == _standing(other)


def _standing(bench: BenchView) -> tuple[BenchView, tuple[tuple[str, bool], ...]]:
    lit = tuple((gauge.name, gauge.lit) for gauge in bench.gauges)
    return replace(bench, gauges=(), seconds=0.0), lit


MEASURES = {
    "solid_step": "Solid wedge step",
    "background": "Coating on metal",
    "uneven": "Uneven metal",
    "tone_50": "A 50 % tint",
    "smallest_dot": "Smallest dot held",
    "growth": "Growth of edges",
    "position": "Place on the plate",
    "register_error": "Film on film",
    "right_reading": "Reads right",
    "marks": "Marks there",
    "image_missing": "Image missing",
    "image_missing_worst": "Missing, worst place",
    "ghost_steps": "Grey wedge steps",
    "strength": "Strength of image",
    "unwanted": "Unwanted coating",
    "oxidised": "Oxidised metal",
    "blind": "Blind image",
    "gum": "Metal under gum",
}
"""Measures whose name alone would not say what they are."""


def measure_text(name: str) -> str:
    """A measure in two or three words."""
    return MEASURES.get(name, name.replace("_", " ").capitalize())


def value_text(value: float | bool | None, unit: str) -> str:
    """A measured value as finely as anybody can see; a dash where it could not be measured."""
    if value is None:
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    places = 0 if abs(value) >= 100 or value == int(value) else 1 if abs(value) >= 10 else 2
    number = f"{value:.{places}f}"
    return number if unit in {"each", "step", ""} else f"{number} {unit.replace('um', 'µm')}"
