"""The summary of a run: what went well by skill, plates, time, and the head of its chain."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

from trainer.screens.outcome import Outcome, SkillLine
from trainer.screens.page import Block
from trainer.screens.reading import Reading
from trainer.screens.words import LEVELS
from trainer.tongue import counted, marked, spoken

KEYS = [("done", marked("Space"), marked("done"))]
BAD = Content.styled("              ! ", "bold $warning")
HINT = Content.styled("              ? ", "$quiet")
LEAD = 9
"""Cells for the words before a line."""
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
    bands = {"done": spoken("DONE"), "stopped": spoken("STOPPED")}
    band = bands.get(outcome.how, spoken("STILL OPEN"))
    blocks = [
        Block(Content.assemble((f"{band}  ", "bold"), title), band="bold reverse $primary"),
        Block(_facts(outcome)),
    ]
    if outcome.reason:
        blocks.append(
            Block(Content.assemble((_lead(spoken("Reason")), "$quiet"), spoken(outcome.reason)), gap=0)
        )
    blocks.append(Block(Content.styled(spoken("By skill"), "bold $accent")))
    if not outcome.skills:
        blocks.append(Block(Content(spoken("Nothing was marked in this run.")), gap=0))
    for line in outcome.skills:
        blocks += _skill(line, skills.get(line.skill, line.skill) or spoken("Other work"))
    blocks += [
        Block(Content(signed), first=Content.styled(_lead(spoken("Signed")), "$quiet"))
        for signed in outcome.signed
    ]
    kept = counted(
        "{number} event, head {head}", "{number} events, head {head}", outcome.events, head=outcome.head
    )
    blocks.append(Block(Content(kept), first=Content.styled(_lead(spoken("Kept")), "$quiet")))
    if outcome.trouble:
        blocks.append(Block(Content(outcome.trouble), first=Content.styled("! ", "bold $warning")))
    return blocks


def _facts(outcome: Outcome) -> Content:
    plates = counted("{number} plate", "{number} plates", outcome.plates)
    if outcome.spoiled:
        plates += counted(", {number} of them spoiled", ", {number} of them spoiled", outcome.spoiled)
    level = spoken(LEVELS.get(outcome.guidance, outcome.guidance))
    guidance = spoken("guidance {level}", level=level)
    return Content.assemble((outcome.trainee, "bold"), f"   {guidance}   {plates}   {outcome.took}")


def _lead(said: str) -> str:
    return said.ljust(LEAD) + "  "


def _of(line: SkillLine) -> str:
    return spoken("{hits} of {all}", hits=line.hits, all=line.attempts)


def _skill(line: SkillLine, name: str) -> list[Block]:
    filled = round(MARKS * line.hits / line.attempts) if line.attempts else 0
    bar = "█" * filled + "·" * (MARKS - filled)
    said = Content.assemble((bar, "$primary"), (f"  {_of(line)}  ", "bold"), name)
    below = [Block(Content(words), first=BAD, gap=0) for words in line.missed]
    if line.hints:
        asked = counted("key points asked for once", "key points asked for {number} times", line.hints)
        below.append(Block(Content.styled(asked, "$quiet"), first=HINT, gap=0))
    return [Block(said, gap=0), *below]
