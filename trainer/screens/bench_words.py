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
    "raw": "not exposed",
    "exposed": "exposed",
    "developed": "developed",
    "gummed": "gummed",
}
QUIET = "$quiet"


def time_words(bench: BenchView) -> str:
    """How fast simulated time runs now."""
    if bench.speed == 1 or bench.busy:
        return f"time {bench.speed:g}x"
    return f"time 1x, {bench.speed:g}x in waits"


def news(bench: BenchView) -> list[Block]:
    """What has just happened on the bench."""
    if not bench.notice:
        return []
    return [Block(Content.styled(bench.notice, "bold"), first=Content.styled("◆ ", "bold $accent"))]


def caption(bench: BenchView, loupe: Loupe, *, opened: bool) -> Content:
    """Two rows under the plate: what it is, then the loupe's place or the news."""
    size = f"{loupe.width:g} x {loupe.height:g} mm"
    first = Content.assemble(("Plate ", "bold"), size, f"  {STAGES.get(bench.stage, bench.stage)}")
    if not opened:
        return Content("\n").join([first, Content.styled("i  look closer, with a loupe", QUIET)])
    place = Content.assemble(
        (f"Loupe {loupe.times}x", "bold"),
        f"  {loupe.x:.1f} mm from the left, {loupe.y:.1f} mm from the top",
    )
    told = Content.styled(f"◆ {bench.notice}", "bold") if bench.notice else first
    return Content("\n").join([place, told])


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
