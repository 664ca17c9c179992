"""What plots are drawn on: cells with a sign and a style each, and axes with round numbers.

Pure: values in, lines of cells out. Drawn here and not by a plotting library: those give one string of colour
codes, and we need each cell's style by the theme's names, signs for terminals without line drawing, and every
point that is out of its limits told by its sign.
"""

from __future__ import annotations

import locale
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from rich.cells import cell_len
from textual.content import Content

QUIET = "$quiet"
INK = "$primary"
LOUD = "bold $error"
FIT = "$accent"


@dataclass(frozen=True, slots=True)
class Signs:
    """One cell each. box: between quartiles; seen: a share or a point; early: the axis under the baseline."""

    point: str
    out: str
    fit: str
    limit: str
    centre: str
    across: str
    early: str
    up: str
    tick: str
    corner: str
    bar: str
    half: str
    box: str
    median: str
    open_: str
    close: str
    between: str
    empty: str
    under: str


FINE = Signs("•", "X", "·", "╌", "─", "─", "═", "│", "┤", "└", "█", "▌", "▒", "█", "├", "┤", "─", "·", "▼")
PLAIN = Signs("o", "X", ".", "~", "-", "-", "=", "|", "+", "+", "#", "", "=", "#", "[", "]", "-", ".", "v")
"""For terminals that show nothing but ASCII."""


def signs_of(encoding: str) -> Signs:
    """The signs for a terminal that takes text in `encoding`."""
    return FINE if encoding.lower().replace("-", "").startswith("utf") else PLAIN


def signs_here() -> Signs:
    """The signs for the terminal that the program runs in, by the encoding of its locale."""
    return signs_of(locale.getencoding())


@dataclass(frozen=True, slots=True)
class Plot:
    """Lines of cells. words: a sentence or two that say the same; they stand with every plot."""

    lines: tuple[Content, ...]
    words: str

    @property
    def text(self) -> str:
        """The cells without their styles, for tests and for reading aloud."""
        return "\n".join(line.plain.rstrip() for line in self.lines)


class Canvas:
    """`width` by `height` cells, counted from the upper left; what falls outside is not drawn."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._cells = [[(" ", "")] * width for _ in range(height)]

    def put(self, x: int, y: int, sign: str, style: str = "") -> None:
        """One cell; a character that takes any other room than one cell is a `?`."""
        if 0 <= x < self.width and 0 <= y < self.height:
            self._cells[y][x] = (sign if cell_len(sign) == 1 else "?", style)

    def write(self, x: int, y: int, words: str, style: str = "") -> None:
        """Words from a cell on to the right."""
        for number, sign in enumerate(words):
            self.put(x + number, y, sign, style)

    def across(self, x: int, y: int, cells: int, sign: str, style: str = "") -> None:
        """The same sign `cells` times."""
        self.write(x, y, sign * cells, style)

    def lines(self) -> tuple[Content, ...]:
        """What was drawn."""
        return tuple(
            Content.assemble(
                *(
                    ("".join(sign for sign, _ in cells), style)
                    for style, cells in groupby(row, key=lambda cell: cell[1])
                )
            )
            for row in self._cells
        )


FLAT = 1e-9
"""Values that lie so near to one another are drawn as one."""


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """At most `most` (two or more) round numbers, 1, 2 or 5 times a power of ten apart, from at or under
    `low` to at or over `high`.
    """
    span = high - low
    if span <= FLAT * max(abs(low), abs(high), 1.0):
        span = abs(high) if abs(high) > FLAT else 1.0
    power = 10.0 ** math.floor(math.log10(span / max(1, most - 1)))
    for step in (power * times for times in (1, 2, 5, 10, 20, 50)):
        first, last = math.floor(low / step + 1e-9), math.ceil(max(high, low + span) / step - 1e-9)
        if last - first < most:
            return tuple(round(number * step, 12) for number in range(first, last + 1))
    return (low, low + span)


def log_ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Doublings (where they are too many, four-, eightfold and so on) from `low` to `high`, both over 0."""
    first, last = math.floor(math.log2(low) + 1e-9), math.ceil(math.log2(max(high, low)) - 1e-9)
    last = max(last, first + 1)
    step = max(1, math.ceil((last - first) / max(1, most - 1)))
    return tuple(2.0**power for power in range(first, last + step, step))


ROUND = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
"""Ends of a scale whose half is as round."""


def round_up(value: float) -> float:
    """The next round number at or over `value`, for the end of a scale; 0 of 0."""
    if value <= 0:
        return 0.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(times * power for times in ROUND if times * power >= value * (1 - 1e-9))


def number(value: float) -> str:
    """Three figures that count, without an exponent where it can be done."""
    if value and abs(value) < 100:
        return f"{value:.3g}" if abs(value) >= 0.001 else f"{value:.1e}"
    return f"{value:.0f}"


def level(value: float, span: float) -> str:
    """A value with the decimals that tell it from others within `span`: 2.005 of values from 2.00 to 2.03."""
    if span <= 0:
        return number(value)
    return f"{value:.{min(6, max(0, 1 - math.floor(math.log10(span))))}f}"


def cut(words: str, cells: int) -> Content:
    """Words in exactly so many cells, literal; an ellipsis where they are cut."""
    content = Content(words)
    if content.cell_length > cells:
        content = content.truncate(cells, ellipsis=True)
    return content.pad_right(max(0, cells - content.cell_length))


def listed(parts: Sequence[str]) -> str:
    """`a, b and c`."""
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)
