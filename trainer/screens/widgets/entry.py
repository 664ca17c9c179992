"""A number being typed: a line of our own that claims digits, sign, point, comma and Backspace, nothing else.

So Space, `?`, `u` and every other key go on doing what the row of keys says while a number stands half typed.
"""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.run.measured import unit_words
from trainer.screens import figures
from trainer.screens.widgets.drawn import Drawn
from trainer.tongue import spoken

CLAIMED = frozenset("0123456789.,-+")
LONGEST = 12
"""Characters in a typed number."""


class NumberEntry(Drawn, can_focus=True):
    """What is typed, and its unit."""

    DEFAULT_CSS = """
    NumberEntry {
        height: 8; padding: 0 1; display: none;
        background: $surface; color: $foreground; border: heavy $primary;
    }
    """

    class Typed(Message):
        """What is typed has changed."""

    def __init__(self, id: str | None = None) -> None:  # noqa: A002 - the name the library gives it
        super().__init__(id)
        self.text = ""
        self.units: tuple[str, ...] = ()
        self._unit = 0
        self._what = ""

    @property
    def unit(self) -> str:
        """The unit that the typed number is in."""
        return self.units[self._unit] if self.units else ""

    def ask(self, units: tuple[str, ...], what: str = "") -> None:
        """Ask for a number in one of `units`, empty; the unit last used stays where it can.

        what: the number's name, where two could be meant.
        """
        self._what = what
        kept = self.unit
        self._unit = units.index(kept) if kept in units and units == self.units else 0
        self.units, self.text = units, ""
        self._show()

    def clear(self) -> None:
        """Forget what is typed."""
        self.text = ""
        self._show()

    def next_unit(self) -> None:
        """Change to the next unit; what is typed stays."""
        if self.units:
            self._unit = (self._unit + 1) % len(self.units)
            self._show()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Claim what makes up a number; every other key goes its way."""
        return key == "backspace" or (character is not None and character in CLAIMED)

    def on_key(self, event: events.Key) -> None:
        """Take a claimed key."""
        if event.key == "backspace":
            self.text = self.text[:-1]
        elif event.character and event.character in CLAIMED:
            self.text = (self.text + event.character)[:LONGEST]
        else:
            return
        event.stop()
        self._show()
        self.post_message(self.Typed())

    def on_paste(self, event: events.Paste) -> None:
        """Take what of a pasted text makes up a number."""
        event.stop()
        taken = "".join(character for character in event.text if character in CLAIMED)
        self.text = (self.text + taken)[:LONGEST]
        self._show()

    def _show(self) -> None:
        width = self.size.width or self.app.size.width - 4
        self.draw(entry(self.text, self.units, self._unit, width, self._what))


def entry(text: str, units: tuple[str, ...], chosen: int, width: int, what: str = "") -> Content:
    """Six rows: what to do, the number with its unit in large figures, the units there are."""
    kinds = [
        Content.styled(f" {unit_words(unit)} ", "bold reverse" if number == chosen else "$quiet")
        for number, unit in enumerate(units)
    ]
    head = Content.assemble(
        (f"{what}   " if what else "", "bold"), (spoken("Type the number, then press Space"), "$quiet")
    )
    others = Content.assemble(Content(" ").join(kinds), ("   u  " + spoken("another unit"), "$quiet"))
    rows = _large(text, unit_words(units[chosen]) if units else "", width)
    return Content("\n").join([head, *rows, others if len(units) > 1 else Content("")])


def _large(text: str, unit: str, width: int) -> list[Content]:
    """The number in figures of 4 rows, a cursor and the unit after it; small where that is too wide."""
    shapes = figures.half(text, gap=2) if text else ("",) * 4
    if len(shapes[0]) + len(unit) + 4 > width:
        return [
            Content(""),
            Content(""),
            Content.assemble((text, "bold"), ("_", "bold $primary"), f" {unit}"),
            Content(""),
        ]
    rows = [Content.styled(row, "bold $primary") for row in shapes]
    gap = "  " if text else ""
    rows[3] = Content.assemble(rows[3], gap, ("▀▀▀▀", "$primary"), ("  " + unit, "bold"))
    return rows
