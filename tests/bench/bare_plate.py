"""The baseline of a control moved: a terminal full of strips, ready before, swapped for others on a key."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static

WIDTH, ROWS = 120, 38
"""Nearly all cells of a terminal of 120 by 40."""


def painted(turn: int) -> list[Strip]:
    """A plate's strips: every third cell has a colour of its own."""
    strips = []
    for row in range(ROWS):
        shades = [(col // 3 + row + 7 * turn) % 24 for col in range(0, WIDTH, 3)]
        pieces = [
            Segment(
                "▀▀▀", Style(color=f"rgb({90 + 5 * shade},120,{200 - 5 * shade})", bgcolor="rgb(200,190,170)")
            )
            for shade in shades
        ]
        strips.append(Strip(pieces).adjust_cell_length(WIDTH))
    return strips


class Plate(Widget):
    """Strips that are there already."""

    DEFAULT_CSS = f"Plate {{ width: {WIDTH}; height: {ROWS}; }}"

    def __init__(self) -> None:
        super().__init__()
        self.turn = 0
        self.plates = [painted(0), painted(1)]

    def swap(self) -> None:
        """The other plate."""
        self.turn = 1 - self.turn
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line."""
        return self.plates[self.turn][y]


class Swap(App[None]):
    """A plate and a word."""

    BINDINGS: ClassVar[list[BindingType]] = [("d", "swap", "On")]

    def __init__(self) -> None:
        super().__init__()
        self.count = 1

    def compose(self) -> ComposeResult:
        """Both."""
        yield Plate()
        yield Static("plate001x")

    def action_swap(self) -> None:
        """Redraw, nothing else."""
        self.count += 1
        self.query_one(Plate).swap()
        self.query_one(Static).update(f"plate{self.count:03}x")


if __name__ == "__main__":
    Swap().run()
