"""What the sheet of fault practice says: question and answers, or measures. Frozen view in, blocks out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.content import Content

from trainer.rehearsal.measure_words import label
from trainer.screens.page import Block
from trainer.tongue import spoken

if TYPE_CHECKING:
    from trainer.rehearsal.practice_view import Measured, PracticeView

AT_ONCE = 9
"""Measures on a page: as many as there are digits."""
LABEL, VALUE = 22, 11
QUIET = "$quiet"


def head(view: PracticeView) -> Content:
    """One row: how many plates, how many right, what is on this one."""
    score = spoken("nothing answered yet")
    if view.asked:
        score = spoken("{right} of {all} right", right=view.right, all=view.asked)
    return Content.assemble(
        (spoken("Fault practice"), "bold $primary"),
        ("   " + spoken("plate {number}", number=view.plate), "bold"),
        ("   ", QUIET),
        (score, "bold"),
        (f"   {view.job}", QUIET),
    )


def page(view: PracticeView, said: str = "") -> list[Block]:
    """What came of the last answer, the question, the measures taken so far. said: what just went wrong."""
    blocks = [Block(Content.styled(said, "bold $warning"), first=_mark("! "))] if said else []
    for number, told in enumerate(view.told):
        blocks.append(
            Block(Content.styled(told, "" if number else "bold"), band="" if number else "on $panel", gap=1)
        )
    if view.ask:
        blocks.append(Block(Content.styled(view.ask, "bold"), band="bold on $panel"))
    if view.asks == "cause":
        should = spoken('The folder says "{label}". v lays its film on the light table.', label=view.film)
        blocks.append(Block(Content(should), first=Content.styled("◆ ", "bold $accent")))
        hint = spoken("i looks closer, r takes measures. A digit answers.")
        blocks.append(Block(Content.styled(hint, QUIET), spare=True, gap=0))
    for number, option in enumerate(view.options, 1):
        first = Content.assemble("  ", (f" {number} ", "bold reverse"), "  ")
        blocks.append(Block(Content(option.label), first=first, pick=number, gap=int(number == 1)))
    if view.asks == "next":
        blocks.append(
            Block(
                Content.styled(spoken("Space brings another plate, with faults that you find hard."), QUIET)
            )
        )
    if view.measured:
        blocks.append(Block(Content.styled(spoken("Measured so far"), "bold $accent"), spare=True))
        blocks += [_measured(measured, spare=True) for measured in view.measured]
    return blocks


def measures(view: PracticeView, names: Sequence[str], first: int, said: str = "") -> list[Block]:
    """The measures from the one numbered `first` on, with their digits; those taken with what they are."""
    taken = {measured.name: measured for measured in view.measured}
    last = min(first + AT_ONCE, len(names))
    more = "   " + spoken("{first} to {last} of {all}", first=first + 1, last=last, all=len(names))
    blocks = [Block(Content.styled(said, "bold $warning"), first=_mark("! "))] if said else []
    blocks.append(
        Block(Content.assemble((spoken("Take a measure"), "bold"), (more, QUIET)), band="bold on $panel")
    )
    for number, name in enumerate(names[first : first + AT_ONCE], 1):
        if name in taken:
            blocks.append(_measured(taken[name]))
            continue
        digit = Content.assemble("  ", (f" {number} ", "bold reverse"), "  ")
        blocks.append(Block(Content(label(name)), first=digit, pick=number, gap=0))
    return blocks


def _measured(measured: Measured, *, spare: bool = False) -> Block:
    first = Content.assemble(
        "       ", label(measured.name).ljust(LABEL), (measured.shown.rjust(VALUE), "bold"), "   "
    )
    return Block(Content.styled(measured.wanted, QUIET), first=first, gap=0, spare=spare)


def _mark(sign: str) -> Content:
    return Content.styled(sign, "bold $warning")
