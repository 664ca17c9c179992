"""One question: how hard it is, what was answered, what to do about it."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.insight.results import Option, QuestionRow
from trainer.screens.review import question_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Drawing, Heading, Item, Leaf, Opens, Size, Words, rests
from trainer.screens.review.step_rows import strip
from trainer.screens.widgets.plot import signs_here
from trainer.screens.widgets.plot_strips import LABEL_AT_MOST, Bar, bars, rate_strip, scale

RIGHT_MARK = ">"
WIDEST = 76
"""Cells of bars at most."""


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; keys: procedure and the question's name."""
    review = desk.found
    row = next((row for row in review.questions if (row.procedure, row.name) == keys), None)
    if row is None:
        return Leaf(f"Question: {keys[1]}", (Words("Nobody answered it in what is looked at now."),))
    width = min(60, size.width - 14)
    items: list[Item] = [
        Words(row.ask, style="bold"),
        Heading("How hard it is"),
        Words(question_words.difficulty(row), opens=rests(f"Answers to {row.name}", row.runs)),
        Words(strip("right", rate_strip(row.first_right, width, signs_here()))),
        Words(strip("", scale(100, "%", width))),
        *_options(row),
        Heading("Does it tell apart?"),
        Words(question_words.discrimination(row)),
    ]
    said = question_words.remarks(row)
    if said:
        items.append(Heading("What to do"))
        items += [Words(one, first="> ") for one in said]
    items.append(
        Words(
            f"Every answer, and who gave it: step {row.step}",
            gap=1,
            opens=Opens("step", (row.procedure, row.step)),
        )
    )
    return Leaf(f"Question: {row.name}", tuple(items))


def _options(row: QuestionRow) -> list[Item]:
    if not row.options:
        return []
    return [
        Heading("What was answered", "first answers; > is right"),
        Drawing(lambda width: drawn(row, width)),
    ]


def drawn(row: QuestionRow, width: int) -> Sequence[Content]:
    """A bar for each answer, in the order of the file; under its words where they are long."""
    wide = min(width, WIDEST)
    long = any(len(_called(option)) > wide * LABEL_AT_MOST for option in row.options)
    room = wide - 2 if long else wide
    plot = bars([_bar(row, option, named=not long) for option in row.options], room, signs=signs_here())
    if not long:
        return plot.lines
    lines: list[Content] = []
    for option, line in zip(row.options, plot.lines, strict=True):
        words = Content(_called(option)).wrap(max(8, wide - 2))
        lead = Content.styled(RIGHT_MARK if option.right else " ", "bold")
        lines += [(Content("  ") if place else lead + " ") + said for place, said in enumerate(words)]
        lines.append(Content("  ") + line)
    return lines


def _called(option: Option) -> str:
    return option.words or option.key


def _bar(row: QuestionRow, option: Option, *, named: bool) -> Bar:
    share = f"of {row.first_right.n}" if row.first_right.n else ""
    note = f"{share}  right" if option.right else share
    style = "$success" if option.right else "$primary"
    mark = RIGHT_MARK if option.right and named else ""
    return Bar(_called(option) if named else "", option.taken, note.strip(), mark, style)
