"""Where in the work the trainee is: the step, and the strip of the stages."""

from __future__ import annotations

from textual.content import Content

from trainer.run.view import RunView
from trainer.screens import words
from trainer.screens.widgets.drawn import Drawn

QUIET = "$quiet"
HERE = "bold reverse $primary"


class Place(Drawn):
    """Two rows at the top of the run screen."""

    DEFAULT_CSS = """
    Place { height: 2; padding: 0 1; background: $surface; color: $foreground; }
    """

    view: RunView | None = None
    looking_back: int = 0

    def show(self, view: RunView, looking_back: int = 0) -> None:
        """Draw where `view` is; looking_back: how many steps before the present one it lies."""
        self.view, self.looking_back = view, looking_back
        self.draw(place(view, self.size.width, looking_back))

    def on_resize(self) -> None:
        """Another width, another strip."""
        if self.view:
            self.draw(place(self.view, self.size.width, self.looking_back))


def place(view: RunView, width: int, looking_back: int = 0) -> Content:
    """Both rows: the strip of stages, then step, plate, who and at what guidance."""
    return Content("\n").join((_strip(view, width), _details(view, width, looking_back)))


def _details(view: RunView, width: int, looking_back: int) -> Content:
    parts = words.place_words(view)
    if looking_back:
        back = f" LOOKING BACK {looking_back} "
        line = Content.assemble((back, HERE), "  ", parts[0], ("   nothing changes; Space comes back", QUIET))
        return line.truncate(width, ellipsis=True)
    rehearsal = "   rehearsal" if view.rehearsal else ""
    left = Content.assemble((parts[0], "bold"), f"   {parts[1]}{rehearsal}")
    right = Content.styled(f"{parts[2]}   {parts[3]}", QUIET)
    room = width - left.cell_length - right.cell_length
    if room < 2:
        return Content.assemble(left, "   ", right).truncate(width, ellipsis=True)
    return Content.assemble(left, " " * room, right)


def _strip(view: RunView, width: int) -> Content:
    """The stages by number, with as many names as fit: this one, those to come, those that are over."""
    here = view.stage_number
    order = [*range(here + 1, len(view.stages) + 1), *range(here - 1, 0, -1)]
    named = {here}
    strip = _stages(view, named)
    for number in order:
        longer = _stages(view, named | {number})
        if longer.cell_length > width:
            break
        named, strip = named | {number}, longer
    return strip.truncate(width, ellipsis=True)


def _stages(view: RunView, named: set[int]) -> Content:
    parts: list[Content] = []
    for number, title in enumerate(view.stages, 1):
        label = f"{number} {title}" if number in named else str(number)
        if number == view.stage_number:
            parts.append(Content.styled(f" {label} ", HERE))
        else:
            parts.append(Content.styled(f" {label}", QUIET))
    return Content(" ").join(parts)
