"""A safety prompt: the whole screen, in a frame that nothing else in the program has.

The signal word stands large and spelled, the frame is striped like a barrier, and the one key that accepts it
accepts nothing else. It holds in sixteen colours and in none.
"""

from __future__ import annotations

from textual.content import Content

from trainer.run.view import HazardView
from trainer.screens import figures, words
from trainer.screens.page import Block, lay_out
from trainer.screens.widgets.drawn import Drawn

STRIPE = "▞"
SIDE = 3
"""Cells of stripe at each side."""
COLOURS = {"danger": "$danger", "warning": "$warning", "caution": "$caution"}
KEY = "a"


class Hazard(Drawn):
    """Covers the run screen; it takes no focus, so nothing in it can be pressed by a held key."""

    DEFAULT_CSS = """
    Hazard { width: 100%; height: 100%; display: none; background: $background; color: $foreground; }
    """

    hazard: HazardView | None = None
    others: str = ""
    said: str = ""

    def show(self, hazard: HazardView, others: str, said: str = "") -> None:
        """Draw `hazard`; others: the few other keys that work, in words; said: what just went wrong."""
        self.hazard, self.others, self.said = hazard, others, said
        self._draw()

    def on_resize(self) -> None:
        """Another size, another frame."""
        self._draw()

    def _draw(self) -> None:
        if self.hazard and self.size.width:
            self.draw(framed(self.hazard, (self.others, self.said), self.size.width, self.size.height))


def framed(hazard: HazardView, below: tuple[str, str], width: int, height: int) -> Content:
    """The whole frame, `width` by `height` cells. below: the other keys, and what just went wrong."""
    colour = COLOURS[hazard.signal]
    inner = width - 2 * SIDE - 2
    middle = _middle(hazard, inner, height - 2, colour)
    keys = _keys(*below, inner)
    empty = height - 2 - len(middle) - len(keys)
    body = [*middle, *([Content("")] * max(0, empty)), *keys][: height - 2]
    edge = Content.styled(STRIPE * width, f"bold {colour}")
    side = Content.styled(STRIPE * SIDE, f"bold {colour}")
    rows = [
        Content.assemble(side, " ", line, " " * max(0, inner - line.cell_length), " ", side) for line in body
    ]
    return Content("\n").join([edge, *rows, edge])


def _middle(hazard: HazardView, width: int, height: int, colour: str) -> list[Content]:
    """Signal word, harm and what to do, with as large a word as the rows allow."""
    blocks = [
        Block(Content.styled(hazard.harm, "bold")),
        *(
            Block(Content.styled(act, "bold"), first=Content.styled("■ ", f"bold {colour}"), gap=int(number == 0))
            for number, act in enumerate(hazard.avoid)
        ),
    ]
    signal = words.SIGNALS[hazard.signal]
    room = height - 2
    for letters in (figures.big(signal, gap=2), figures.half(signal, gap=2)):
        page = lay_out(blocks, width, room - len(letters) - 2)
        if len(page.lines) <= room - len(letters) - 2:
            break
    word = [Content.styled(row.center(width).rstrip(), f"bold {colour}") for row in letters]
    title = Content.styled(f" {signal} ".center(width), f"bold reverse {colour}")
    return [title, *word, Content(""), *page.lines]


def _keys(others: str, said: str, width: int) -> list[Content]:
    accept = Content.assemble((f" {KEY} ", "bold reverse"), ("  I have read it, and I do it so.", "bold"))
    line = Content.assemble(accept, " " * max(2, width - accept.cell_length - len(others)), (others, "$quiet"))
    told = Content.styled(f"! {said}", "bold").wrap(width) if said else [Content("")]
    return [*told, line.truncate(width)]
