"""After a rehearsal: the plate, its sheet, what made it so, and what to do next time."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message

from trainer.rehearsal.measure_words import label
from trainer.rehearsal.retold import held_against
from trainer.screens import bench_words
from trainer.screens.looking import Looking
from trainer.screens.page import Block
from trainer.screens.plate_reading import LOOK, PlateReading
from trainer.tongue import marked, spoken

if TYPE_CHECKING:
    from trainer.rehearsal.sight import Line, Sheet

KEYS = [("done", marked("Space"), marked("go on")), LOOK]
LABEL, VALUE = 20, 11
MARKS = {True: marked("good"), False: marked("NOT GOOD"), None: ""}
MARK = 10
"""What stands before a measure: held and met, held and missed, not held against anything."""
STYLES = {True: "$success", False: "bold $error", None: "$quiet"}


More = Callable[[Callable[[Sequence[Block]], object]], Sequence[Block]]
"""Finds out what made the plate so, in seconds, and gives the page anew; shows what it has meanwhile."""


class After(PlateReading[None]):
    """Space goes on. While `more` finds out what made the plate so, the plate can be looked at.

    What is found out goes into the record, and the summary tells of it: going on waits for that.
    """

    class Told(Message):
        """The page anew, while more is being found out."""

        def __init__(self, blocks: Sequence[Block]) -> None:
            super().__init__()
            self.blocks = blocks

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter,q,f10", "done", id="after.done", show=False),
    ]

    def __init__(self, blocks: Sequence[Block], looking: Looking, more: More | None = None) -> None:
        super().__init__(blocks, KEYS, looking)
        self._more = more
        self._shown = False
        self._leaving = False

    def on_mount(self) -> None:
        """Show the plate; then find out what made it so."""
        if self._more:
            self.call_after_refresh(self._find, self._more)

    @work
    async def _find(self, more: More) -> None:
        """In a thread, so that the keys work meanwhile. Only messages come back."""
        blocks = await asyncio.to_thread(more, lambda some: self.post_message(self.Told(some)))
        if not self.is_running:
            return  # left meanwhile: what it drew on is gone before its workers end
        self._more = None
        self.show(blocks)
        if self._leaving:
            self.dismiss(None)

    def on_after_told(self, message: Told) -> None:
        """A part is known."""
        message.stop()
        self._shown = True
        self.show(message.blocks)

    def clicked(self, action: str) -> None:
        """A click on a key."""
        if action == "done":
            self.action_done()
        else:
            super().clicked(action)

    def action_done(self) -> None:
        """Close the plate; then go on."""
        if self.opened:
            self.action_look()
        elif self._more is None:
            self.dismiss(None)
        elif not self._shown:
            self.app.notify(spoken("One moment: what made it so is being found out."), markup=False)
        elif not self._leaving:
            self._leaving = True
            said = spoken("It goes on as soon as all plates are looked into: a few seconds.")
            self.app.notify(said, markup=False)


def finding() -> list[tuple[str, Sequence[str]]]:
    """What stands where it is being found out what made the plate so."""
    return [(spoken("What made it so"), (spoken("Being found out. Look at the plate meanwhile."),))]


def page(sheet: Sheet | None, plate: int, found: Sequence[tuple[str, Sequence[str]]] = ()) -> list[Block]:
    """The whole page: verdict, what is not good, what was found out about it, then every other measure.

    sheet: None where nothing was made of this plate; what is found is then about the one given up before it.
    found: headings with sentences under each, as whoever looked into it says them.
    """
    if sheet is None:
        title = Content(
            spoken("Nothing was made of plate {number}. This is what the one before it showed.", number=plate)
        )
        return [Block(title, band="bold reverse $primary"), *_found(found)]
    told = (
        spoken("Plate {number} would be good to print from.", number=plate)
        if sheet.passes
        else spoken("Plate {number} would not be good to print from.", number=plate)
    )
    band = "bold reverse $success" if sheet.passes else "bold reverse $error"
    verdict = spoken("GOOD") if sheet.passes else spoken("NOT GOOD")
    blocks = [Block(Content.assemble((f"{verdict}  ", "bold"), told), band=band)]
    bad = [line for line in sheet.lines if line.ok is False]
    rest = [line for line in sheet.lines if line.ok is not False]
    blocks += _part(spoken("Not good"), [_line(line) for line in bad])
    blocks += _found(found)
    return blocks + _part(
        spoken("What else the plate shows") if bad else spoken("What it shows"),
        [_line(line) for line in rest],
    )


def _found(found: Sequence[tuple[str, Sequence[str]]]) -> list[Block]:
    return [
        block for heading, said in found for block in _part(heading, [_said(sentence) for sentence in said])
    ]


def _part(heading: str, lines: list[Block]) -> list[Block]:
    return [Block(Content.styled(heading, "bold $accent")), *lines] if lines else []


def _said(sentence: str) -> Block:
    return Block(Content(sentence), first=Content.styled("▸ ", "bold $primary"), gap=0)


def _line(line: Line) -> Block:
    first = Content.assemble(
        (spoken(MARKS[line.ok]).ljust(MARK), STYLES[line.ok]),
        label(line.name).ljust(LABEL),
        (bench_words.value_text(line.value, line.unit).rjust(VALUE), "bold"),
        "  ",
    )
    return Block(Content.styled(held_against(line.held_against), "$quiet"), first=first, gap=0)
