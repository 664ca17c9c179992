"""The summary of a run: what went well by skill, plates, time, and the head of its chain."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

from trainer.screens.outcome import Outcome, SkillLine
from trainer.screens.page import Block
from trainer.screens.reading import Reading

KEYS = [("done", "Space", "done")]
BAD = Content.styled("              ! ", "bold $warning")
HINT = Content.styled("              ? ", "$quiet")
MARKS = 10
"""Cells of a row of marks."""


class Summary(Reading[None]):
    """Space goes on."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter,q,f10", "done", id="summary.done", show=False),
    ]

    def __init__(self, outcome: Outcome, title: str, skills: dict[str, str]) -> None:
        super().__init__(page(outcome, title, skills), KEYS)

    def clicked(self, action: str) -> None:
        """A click on a key."""
        del action
        self.action_done()

    def action_done(self) -> None:
        """Go on."""
        self.dismiss(None)


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
    return Content.assemble(
        (outcome.trainee, "bold"), f"   guidance {outcome.guidance}   {plates}   {outcome.took}"
    )


def _skill(line: SkillLine, name: str) -> list[Block]:
    filled = round(MARKS * line.hits / line.attempts) if line.attempts else 0
    bar = "█" * filled + "·" * (MARKS - filled)
    said = Content.assemble((bar, "$primary"), (f"  {line.hits} of {line.attempts}  ", "bold"), name)
    below = [Block(Content(words), first=BAD, gap=0) for words in line.missed]
    if line.hints:
        often = "once" if line.hints == 1 else f"{line.hints} times"
        below.append(Block(Content.styled(f"key points asked for {often}", "$quiet"), first=HINT, gap=0))
    return [Block(said, gap=0), *below]
