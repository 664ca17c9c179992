"""What the bench of a rehearsal says in words, and where its pictures lie on one another. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.content import Content

from trainer.screens.page import Block
from trainer.screens.widgets.picture import Area
from trainer.tongue import marked, spoken

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView
    from trainer.rehearsal.sight import Sight
    from trainer.screens.loupe import Loupe

STAGES = {
    "film": marked("on the light table, under its mask"),
    "raw": marked("not exposed"),
    "exposed": marked("exposed"),
    "developed": marked("developed"),
    "gummed": marked("gummed"),
}
QUIET = "$quiet"


def time_words(bench: BenchView, *, paused: bool = False) -> str:
    """How fast simulated time runs now."""
    if paused:
        return spoken("time stands still")
    if bench.speed == 1 or bench.busy:
        return spoken("time {speed}x", speed=f"{bench.speed:g}")
    return spoken("time 1x, {speed}x in waits", speed=f"{bench.speed:g}")


def news(bench: BenchView) -> list[Block]:
    """What has just happened on the bench, and what is seen there."""
    mark = Content.styled("◆ ", "bold $accent")
    told = [Block(Content.styled(bench.notice, "bold"), first=mark)] if bench.notice else []
    if bench.idle:
        told.append(
            Block(Content.styled(bench.idle, "bold $warning"), first=Content.styled("! ", "bold $warning"))
        )
    return [*told, *(Block(Content(sign), first=mark, gap=int(not n)) for n, sign in enumerate(bench.signs))]


def caption(stage: str, loupe: Loupe, *, opened: bool, told: str = "") -> Content:
    """Two rows under the picture: what it is, or news; the loupe's place. stage: of the plate, or `film`."""
    size = f"{loupe.width:g} x {loupe.height:g} mm"
    if stage == "film":
        plate = Content.assemble((spoken("Film"), "bold"), "  " + spoken(STAGES[stage]))
    else:
        plate = Content.assemble(
            (spoken("Plate") + " ", "bold"), size, "  " + spoken(STAGES.get(stage, stage))
        )
    if not opened:
        return Content("\n").join([plate, Content.styled(spoken("i  look closer, with a loupe"), QUIET)])
    x, y = f"{loupe.x:.1f}", f"{loupe.y:.1f}"
    place = "  " + spoken("{x} mm from the left, {y} mm from the top", x=x, y=y)
    over = Content.assemble((spoken("Loupe {times}x", times=loupe.times), "bold"), place)
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


_SHOWN = {"um": "µm", "cm2": "cm²"}


def value_text(value: float | bool | None, unit: str) -> str:
    """A measured value as finely as anybody can see; a dash where it could not be measured."""
    if value is None:
        return "-"
    if isinstance(value, bool):
        return spoken("yes") if value else spoken("no")
    places = 0 if abs(value) >= 100 or value == int(value) else 1 if abs(value) >= 10 else 2
    number = f"{value:.{places}f}"
    return number if unit in {"each", "step", ""} else f"{number} {_SHOWN.get(unit, unit)}"
