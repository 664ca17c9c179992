"""A safety prompt: the whole screen, in a frame that nothing else in the program has.

The signal word stands large and spelled, the frame is striped like a barrier, and the one key that accepts it
accepts nothing else. It holds in sixteen colours and in none.
"""

from __future__ import annotations

from typing import NamedTuple

from textual.content import Content

from trainer.run.view import HazardView
from trainer.screens import figures, words
from trainer.screens.page import Block, Page, lay_out
from trainer.screens.widgets.drawn import Drawn
from trainer.tongue import spoken

STRIPE = "▞"
SIDE = 3
"""Cells of stripe at each side."""
COLOURS = {"danger": "$danger", "warning": "$warning", "caution": "$caution"}
MARGIN = 2
KEY = "a"
BETWEEN = "   "
"""What stands between the other keys."""
LEAST = 3
"""Rows of text that the signal word gives way to."""


class Framed(NamedTuple):
    """A frame: what is drawn, the first row of the text and how many it holds, and is its end there?"""

    content: Content
    top: int
    room: int
    ends: bool


class Hazard(Drawn):
    """Covers the run screen; it takes no focus, so nothing in it can be pressed by a held key."""

    DEFAULT_CSS = """
    Hazard { width: 100%; height: 100%; display: none; background: $background; color: $foreground; }
    """

    hazard: HazardView | None = None
    others: str = ""
    said: str = ""
    top: int = 0
    room: int = LEAST
    read: bool = False
    """Did the end of the text stand on the screen once? Before that nothing is accepted."""

    def show(self, hazard: HazardView, others: str, said: str = "") -> None:
        """Draw `hazard`; others: the few other keys that work, in words; said: what just went wrong."""
        if hazard != self.hazard:
            self.top, self.read = 0, False
        self.hazard, self.others, self.said = hazard, others, said
        self._draw()

    def move(self, rows: int) -> None:
        """Move a text that is longer than the screen; a text that is not stays."""
        step = max(1, min(abs(rows), self.room - 2))  # the row before the last is seen again
        self.top = max(0, self.top + (step if rows > 0 else -step))
        self._draw()

    def on_resize(self) -> None:
        """Another size, another frame."""
        self._draw()

    def _draw(self) -> None:
        if self.hazard and self.size.width:
            width, height = self.size
            frame = framed(self.hazard, (self.others, self.said), width, height, self.top)
            self.top, self.room, self.read = frame.top, frame.room, self.read or frame.ends
            self.draw(frame.content)


def framed(hazard: HazardView, below: tuple[str, str], width: int, height: int, top: int = 0) -> Framed:
    """The whole frame, `width` by `height` cells.

    below: the other keys, and what just went wrong. top: the row to begin with. The keys always stand.
    """
    colour = f"bold {COLOURS[hazard.signal]}"
    inner = width - 2 * (SIDE + MARGIN)
    keys = _keys(*below, inner)
    sign, text = _sign_and_text(hazard, width - 2 * SIDE, height - 2 - len(keys), colour)
    if height - 2 - len(sign) - len(keys) < LEAST:
        sign = []  # it is spelled in the edge too
    room = max(1, height - 2 - len(sign) - len(keys))
    top = min(top, max(0, len(text) - room))
    part = text[top : top + room]
    if top + room < len(text):
        part[-1] = Content.styled(spoken("Down  more of this text"), "bold reverse")
    margin = " " * MARGIN
    empty = [Content("")] * (room - len(part))
    body = [*sign, *(Content.assemble(margin, line) for line in part), *empty]
    body += [Content.assemble(margin, line) for line in keys]
    side = Content.styled(STRIPE * SIDE, colour)
    rows = [Content.assemble(side, _filled(line, width - 2 * SIDE), side) for line in body[: height - 2]]
    edges = _edge(hazard, width, colour), Content.styled(STRIPE * width, colour)
    return Framed(Content("\n").join([edges[0], *rows, edges[1]]), top, room, top + room >= len(text))


def _edge(hazard: HazardView, width: int, colour: str) -> Content:
    """The upper edge, with the signal word spelled in it."""
    word = f"  {words.signal_word(hazard.signal)}  "
    left = (width - len(word)) // 2
    right = width - left - len(word)
    return Content.assemble((STRIPE * left, colour), (word, "bold"), (STRIPE * right, colour))


def _sign_and_text(
    hazard: HazardView, width: int, height: int, colour: str
) -> tuple[list[Content], list[Content]]:
    """The signal word as large as the rows allow, cut out of a band; harm and what to do."""
    bullet = Content.styled("■ ", colour)
    blocks = [
        Block(Content.styled(hazard.harm, "bold"), gap=0),
        *(Block(Content.styled(act, "bold"), first=bullet) for act in hazard.avoid),
    ]
    signal = words.signal_word(hazard.signal)
    sign: list[Content] = []
    page = Page((), {}, whole=True)
    for letters in _sizes(signal, width):
        rows = ("", *letters, "")
        sign = [Content.styled(row.center(width), f"reverse {colour}") for row in rows]
        page = lay_out(blocks, width - 2 * MARGIN, height - len(sign))
        if len(page.lines) <= height - len(sign):
            break
    return sign, list(page.lines)


def _sizes(signal: str, width: int) -> list[tuple[str, ...]]:
    """The signal word large, lower, and in plain letters; the first two as far apart as there is room."""
    drawn: list[tuple[str, ...]] = []
    if figures.has_shapes(signal):
        for draw in (figures.big, figures.half):
            fitting = (rows for gap in (2, 1) if len((rows := draw(signal, gap=gap))[0]) < width)
            drawn += [*fitting][:1]
    return [*drawn, (signal,)]


def _filled(line: Content, width: int) -> Content:
    return line.pad_right(max(0, width - line.cell_length))


def _keys(others: str, said: str, width: int) -> list[Content]:
    """What went wrong, and the keys: beside the one that accepts as many as there is room for, none cut."""
    accept = Content.assemble(
        (f" {KEY} ", "bold reverse"), ("  " + spoken("I have read it, and I do it so."), "bold")
    )
    while others and accept.cell_length + 2 + Content(others).cell_length > width:
        others = others.rpartition(BETWEEN)[0]
    line = Content.assemble(
        accept, " " * max(2, width - accept.cell_length - len(others)), (others, "$quiet")
    )
    told = Content.styled(f"! {said}", "bold").wrap(width) if said else [Content("")]
    return [*told, line.truncate(width)]
