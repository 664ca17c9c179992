"""After a rehearsal: the plate, its sheet, what made it so, and what to do next time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

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


class After(PlateReading[None]):
    """Space goes on. more: finds out what made the plate so, in a moment, and gives the page anew."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter,q,f10", "done", id="after.done", show=False),
    ]

    def __init__(
        self, blocks: Sequence[Block], looking: Looking, more: Callable[[], Sequence[Block]] | None = None
    ) -> None:
        super().__init__(blocks, KEYS, looking)
        self._more = more

    def on_mount(self) -> None:
        """Show the plate; then find out what made it so."""
        if self._more:
            self.call_after_refresh(self._find, self._more)

    def _find(self, more: Callable[[], Sequence[Block]]) -> None:
        self.show(more())

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
        else:
            self.dismiss(None)


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
