"""Where in the work the trainee is: the step, and the strip of the stages."""

from __future__ import annotations

from textual.content import Content

from trainer.run.view import RunView
from trainer.screens import words
from trainer.screens.widgets.drawn import Drawn
from trainer.tongue import spoken

QUIET = "$quiet"
HERE = "bold reverse $primary"


class Place(Drawn):
    """Two rows at the top of the run screen."""

    DEFAULT_CSS = """
    Place { height: 2; padding: 0 1; background: $surface; color: $foreground; }
    """

    view: RunView | None = None
    looking_back: int = 0
    time: str = ""

    def show(self, view: RunView, looking_back: int = 0, time: str = "") -> None:
        """Draw where `view` is; looking_back: how many steps before the present one it lies.

        time: how fast it runs, in a rehearsal.
        """
        self.view, self.looking_back, self.time = view, looking_back, time
        self.draw(place(view, self.size.width, looking_back, time))

    def on_resize(self) -> None:
        """Another width, another strip."""
        if self.view:
            self.draw(place(self.view, self.size.width, self.looking_back, self.time))


def place(view: RunView, width: int, looking_back: int = 0, time: str = "") -> Content:
    """Both rows: the strip of stages, then step, plate, time, who and at what guidance."""
    return Content("\n").join((_strip(view, width), _details(view, width, looking_back, time)))


def _details(view: RunView, width: int, looking_back: int, time: str) -> Content:
    parts = words.place_words(view)
    if looking_back:
        back = " " + spoken("LOOKING BACK {number}", number=looking_back) + " "
        line = Content.assemble(
            (back, HERE), "  ", parts[0], ("   " + spoken("nothing changes; Space comes back"), QUIET)
        )
        return line.truncate(width, ellipsis=True)
    rehearsal = ("   " + spoken("REHEARSAL"), "bold") if view.rehearsal else ""
    left = Content.assemble((parts[0], "bold"), f"   {parts[1]}", rehearsal, f"  {time}" if time else "")
    right = Content.styled(f"{parts[2]}   {parts[3]}", QUIET)
    room = width - left.cell_length - right.cell_length
    if room < 2:
        return Content.assemble(left, "   ", right).truncate(width, ellipsis=True)
    return Content.assemble(left, " " * room, right)


def _strip(view: RunView, width: int) -> Content:
    """All stages by name where they fit; else what is over by number, what is to come as room allows."""
    last = len(view.stages)
    whole = _stages(view, first_named=1, last_named=last)
    if whole.cell_length <= width:
        return whole
    for last_named in range(last, view.stage_number, -1):
        strip = _stages(view, first_named=view.stage_number, last_named=last_named)
        if strip.cell_length <= width:
            return strip
    return _stages(view, view.stage_number, view.stage_number).truncate(width, ellipsis=True)


def _stages(view: RunView, first_named: int, last_named: int) -> Content:
    """The strip with names from one stage to another; what comes after is `…` and the number of the last."""
    parts: list[Content] = []
    for number, title in enumerate(view.stages[:last_named], 1):
        label = f"{number} {title}" if number >= first_named else str(number)
        here = number == view.stage_number
        parts.append(Content.styled(f" {label} " if here else label, HERE if here else QUIET))
    if last_named < len(view.stages):
        parts.append(Content.styled(f"… {len(view.stages)}", QUIET))
    return Content("  ").join(parts)
