"""The summary of a run: what went well by skill, plates, time, and the head of its chain."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen

from trainer.screens.outcome import Outcome, SkillLine
from trainer.screens.page import Block
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.sheet import Sheet
from trainer.screens.words import span_text

KEYS = [("next", "Space", "done"), ("down", "Down", "more")]
MARKS = 10
"""Cells of a row of marks."""


class Summary(Screen[None]):
    """Space goes on."""

    DEFAULT_CSS = """
    Summary { background: $background; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter,q,f10", "done", id="summary.done", show=False),
        Binding("down,pagedown", "move(8)", id="summary.down", show=False),
        Binding("up,pageup", "move(-8)", id="summary.up", show=False),
    ]

    def __init__(self, outcome: Outcome, title: str, skills: dict[str, str]) -> None:
        super().__init__()
        self._blocks = page(outcome, title, skills)

    def compose(self) -> ComposeResult:
        """The page, the row of keys."""
        yield Sheet()
        yield Keys()

    def on_mount(self) -> None:
        """Draw the page."""
        self.query_one(Sheet).show(self._blocks)

    def on_resize(self) -> None:
        """The keys, as many as there is room for."""
        self.query_one(Keys).show(KEYS)

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key."""
        if message.action == "next":
            self.action_done()
        else:
            self.action_move(8)

    def action_done(self) -> None:
        """Go on."""
        self.dismiss(None)

    def action_move(self, rows: int) -> None:
        """Move the text."""
        self.query_one(Sheet).move(rows)


def page(outcome: Outcome, title: str, skills: dict[str, str]) -> list[Block]:
    """The whole page. skills: what each skill is called."""
    band = "DONE" if outcome.how == "done" else "STOPPED" if outcome.how == "stopped" else "STILL OPEN"
    blocks = [
        Block(Content.assemble((f"{band}  ", "bold"), title), band="bold reverse $primary"),
        Block(_facts(outcome)),
    ]
    if outcome.reason:
        blocks.append(Block(Content.assemble(("Reason     ", "$quiet"), outcome.reason), gap=0))
    blocks.append(Block(Content.styled("By skill", "bold $accent")))
    if not outcome.skills:
        blocks.append(Block(Content("Nothing was marked in this run."), gap=0))
    for line in outcome.skills:
        blocks += _skill(line, skills.get(line.skill, line.skill) or "Other work")
    blocks += [
        Block(Content(signed), first=Content.styled("Signed     ", "$quiet")) for signed in outcome.signed
    ]
    kept = f"{outcome.events} events, head {outcome.head}"
    blocks.append(Block(Content(kept), first=Content.styled("Kept       ", "$quiet")))
    if outcome.trouble:
        blocks.append(Block(Content(outcome.trouble), first=Content.styled("! ", "bold $warning")))
    return blocks


def _facts(outcome: Outcome) -> Content:
    spoiled = f", {outcome.spoiled} of them spoiled" if outcome.spoiled else ""
    plates = f"{outcome.plates} plate{'s' if outcome.plates != 1 else ''}{spoiled}"
    took = span_text(outcome.minutes * 60)
    return Content.assemble((outcome.trainee, "bold"), f"   guidance {outcome.guidance}   {plates}   {took}")


def _skill(line: SkillLine, name: str) -> list[Block]:
    filled = round(MARKS * line.hits / line.attempts) if line.attempts else 0
    bar = "█" * filled + "·" * (MARKS - filled)
    hints = f"   asked for key points {line.hints} times" if line.hints > 1 else ""
    hints = "   asked for key points once" if line.hints == 1 else hints
    said = Content.assemble(
        (bar, "$primary"), (f"  {line.hits} of {line.attempts}  ", "bold"), name, (hints, "$quiet")
    )
    missed = [
        Block(Content(words), first=Content.styled("              ! ", "bold $warning"), gap=0)
        for words in line.missed
    ]
    return [Block(said, gap=0), *missed]
