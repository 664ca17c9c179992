"""The start screen's form, drawn: one widget, so that it stands at once."""

from __future__ import annotations

from collections.abc import Mapping

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.screens.ticket import Row, Ticket, Wanted
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.words import GUIDANCE
from trainer.tongue import counted, spoken

LABEL = 11
MOST_OPEN = 4
"""Open runs shown at a time; the list moves with the row."""
HERE = "bold reverse $primary"
QUIET = "$quiet"


class Form(Drawn, can_focus=True):
    """Takes every key that makes up a line; what is asked for goes out as a message."""

    DEFAULT_CSS = """
    Form { height: 1fr; padding: 1 2; background: $background; color: $foreground; }
    """

    class Asked(Message):
        """Enter asked for something."""

        def __init__(self, wanted: Wanted) -> None:
            super().__init__()
            self.wanted = wanted

    class Spoken(Message):
        """Another language was picked."""

        def __init__(self, language: str) -> None:
            super().__init__()
            self.language = language

    def __init__(self, ticket: Ticket, summaries: Mapping[str, str]) -> None:
        super().__init__()
        self.fill(ticket, summaries)
        self._rows_at: dict[int, int] = {}

    def fill(self, ticket: Ticket, summaries: Mapping[str, str]) -> None:
        """Take another form; it is drawn by `show`."""
        self.ticket = ticket
        self._summaries = summaries

    def on_mount(self) -> None:
        """Draw the form, and take the keys."""
        self.show()
        self.screen.set_focus(self)

    def show(self) -> None:
        """Draw the form as it stands."""
        width = (self.size.width or self.app.size.width) - 1
        lines = form(self.ticket, self._summaries, max(40, width))
        self._rows_at = {number: row for number, (_, row) in enumerate(lines) if row is not None}
        self.draw(Content("\n").join(line for line, _ in lines))

    def on_resize(self) -> None:
        """Another width."""
        self.show()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Claim what can stand in a line, while a line is being filled."""
        del key
        return character is not None and character.isprintable() and self.ticket.types(character)

    def on_key(self, event: events.Key) -> None:
        """Move, change, type or go on."""
        ticket, key = self.ticket, event.key
        steps = {"up": -1, "shift+tab": -1, "down": 1, "tab": 1}
        if key in steps:
            ticket.move(steps[key])
        elif key in ("left", "right"):
            self._turn(1 if key == "right" else -1)
        elif key == "backspace":
            ticket.rub_out()
        elif key == "enter" or (key == "space" and ticket.row.kind in ("open", "begin")):
            self._enter()
        elif key == "space" and ticket.row.kind == "choice":
            self._turn(1)
        elif event.character and event.character.isprintable() and ticket.types(event.character):
            ticket.type(event.character)
        else:
            return
        event.stop()
        event.prevent_default()
        self.show()

    def on_paste(self, event: events.Paste) -> None:
        """Type what was pasted."""
        event.stop()
        self.ticket.type(event.text)
        self.show()

    def on_click(self, event: events.Click) -> None:
        """A click goes to a row; on the row where one is, it goes on."""
        place = event.get_content_offset(self)
        row = self._rows_at.get(place.y) if place else None
        if row is None:
            return
        if row == self.ticket.at and self.ticket.row.kind in ("open", "begin"):
            self._enter()
        elif row == self.ticket.at:
            self._turn(1)
        self.ticket.at = row
        self.show()

    def _turn(self, steps: int) -> None:
        self.ticket.turn(steps)
        if self.ticket.row.id == "language":
            self.post_message(self.Spoken(self.ticket.row.value))

    def _enter(self) -> None:
        wanted = self.ticket.enter()
        if wanted:
            self.post_message(self.Asked(wanted))


Lines = list[tuple[Content, int | None]]
"""Each line, and the row of the form it belongs to."""


def form(ticket: Ticket, summaries: Mapping[str, str], width: int) -> Lines:
    """The whole form in `width` cells."""
    lines = _open_runs(ticket, width)
    lines.append((Content.styled(spoken("Begin a run"), "bold $accent"), None))
    for number in range(ticket.open_runs, len(ticket.rows)):
        row = ticket.rows[number]
        if row.kind == "begin":
            lines.append((Content(""), None))
        hint = ticket.hint if row.id == "trainee" else ""
        lines.append((_row(row, width, hint, here=number == ticket.at), number))
        lines += [(line, None) for line in _below(row, summaries, width)]
    if ticket.said:
        said = Content.styled(f"! {ticket.said}", "bold $warning").wrap(width)
        lines += [(Content(""), None), *((line, None) for line in said)]
    return lines


def _open_runs(ticket: Ticket, width: int) -> Lines:
    if not ticket.open_runs:
        return []
    first = min(max(0, ticket.at - MOST_OPEN + 1), max(0, ticket.open_runs - MOST_OPEN))
    shown = range(first, min(first + MOST_OPEN, ticket.open_runs))
    left = ticket.open_runs - len(shown)
    more = "   " + counted("{number} more: Up and Down", "{number} more: Up and Down", left) if left else ""
    lines: Lines = [
        (Content.assemble((spoken("Go on with an open run"), "bold $accent"), (more, QUIET)), None)
    ]
    lines += [(_line(ticket.rows[number].label, width, here=number == ticket.at), number) for number in shown]
    return [*lines, (Content(""), None)]


def _line(said: str, width: int, *, here: bool) -> Content:
    mark = "▸ " if here else "  "
    line = Content(mark + said).truncate(width, ellipsis=True)
    return line.pad_right(max(0, width - line.cell_length)).stylize(HERE) if here else line


def _row(row: Row, width: int, hint: str, *, here: bool) -> Content:
    if row.kind == "begin":
        return Content.styled(f"▸ {row.label} " if here else f"  {row.label} ", HERE if here else "bold")
    label = Content.styled(("▸ " if here else "  ") + row.label.ljust(LABEL), "bold" if here else "")
    if row.kind == "line":
        typed = Content.assemble((row.value, "bold"), ("_", "bold $primary") if here else "")
        said = hint if row.value else row.more
        return Content.assemble(label, typed, (f"  {said}", QUIET)).truncate(width, ellipsis=True)
    several, nothing = len(row.options) > 1, spoken("nothing here")
    value = Content.styled(f" {row.words or nothing} ", HERE if here else "bold")
    arrows = ""
    if several:
        of = spoken("{number} of {all}", number=row.place + 1, all=len(row.options))
        arrows = "  " + (spoken("Left, Right change it") if here else of)
    return Content.assemble(label, value, (arrows, QUIET)).truncate(width, ellipsis=True)


def _below(row: Row, summaries: Mapping[str, str], width: int) -> list[Content]:
    """What stands under a choice: what the chosen one is."""
    said = ""
    if row.id == "procedure":
        said = summaries.get(row.value, "")
    elif row.id == "guidance":
        said = spoken(GUIDANCE[row.value])
    elif row.id == "kind":
        said = row.more
    if not said:
        return []
    margin = Content(" " * (LABEL + 3))
    return [margin + line for line in Content.styled(said, QUIET).wrap(max(20, width - LABEL - 3))]
