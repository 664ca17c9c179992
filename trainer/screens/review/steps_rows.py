"""The steps of a procedure, by where trainees stall."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence

from trainer.insight.facts import ProcedureFacts
from trainer.insight.results import Review, StepRow
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Item, Leaf, Opens, Size, Table, Words
from trainer.screens.review.saying import number_of
from trainer.screens.widgets.plot import signs_here
from trainer.screens.widgets.plot_strips import rate_strip

ORDERS = ("misses", "hesitation", "time", "plates given up", "as in the procedure")
NAME = 44
"""Characters of a step's name in a sentence."""
WIDE = 100
"""Columns from which there is room for more."""


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; keys: the procedure, or none for the one with most to show."""
    review = desk.found
    here = procedure_of(keys, [row.procedure for row in review.steps])
    rows = [row for row in review.steps if row.procedure == here]
    if not rows:
        return Leaf("Steps", (Words("No step has been worked on in what is looked at now."),))
    order = ORDERS[desk.order("steps") % len(ORDERS)]
    facts = desk.facts.get(here)
    items: list[Item] = [Words(told(rows, order, facts)), table(ordered(rows, order, facts), facts, size)]
    items += other_procedures("steps", here, [row.procedure for row in review.steps], review)
    return Leaf(f"Steps: {title_of(here, review)}", tuple(items), ORDERS)


def procedure_of(keys: tuple[str, ...], found: Sequence[str]) -> str:
    """The procedure asked for; else the one with most rows (of equal ones the first by its id)."""
    if keys and keys[0]:
        return keys[0]
    counts = Counter(found)
    return min(counts, key=lambda name: (-counts[name], name), default="")


def title_of(procedure: str, review: Review) -> str:
    """What a procedure is called, else its id."""
    return review.titles.get(procedure, procedure)


def other_procedures(page: str, here: str, found: Sequence[str], review: Review) -> list[Item]:
    """The other procedures, each to be opened on the same page."""
    others = [name for name in dict.fromkeys(found) if name != here]
    return [
        Words(
            f"Also: {title_of(name, review)}",
            style="$quiet",
            gap=int(not place),
            opens=Opens(page, (name,)),
        )
        for place, name in enumerate(others)
    ]


def told(rows: Sequence[StepRow], order: str, facts: ProcedureFacts | None) -> str:
    """What the order shows first, in a sentence."""
    rule = {
        "misses": "Most missed first, by the lower end of the interval, so that few attempts do not lead.",
        "hesitation": "Longest hesitation first: the median of the seconds before the first act.",
        "time": "Longest first: the median of the time at work, pauses and waits taken out.",
        "plates given up": "Where most plates were given up first.",
        "as in the procedure": "In the order of the procedure.",
    }[order]
    first = ordered(rows, order, facts)[0]
    name = f"First: {short(step_name(first, facts))}"
    said = {
        "misses": f"{name} {in_words.rate_words(first.misses)}.",
        "hesitation": f"{name} {in_words.seconds(first.hesitation.median)}.",
        "time": f"{name} {in_words.seconds(first.active.median)}.",
        "plates given up": f"{name} {number_of(first.spoiled, 'plate')}.",
    }.get(order, "")
    return f"{rule} {said}".rstrip()


def ordered(rows: Sequence[StepRow], order: str, facts: ProcedureFacts | None) -> list[StepRow]:
    """The rows in an order; what is equal in it stays in the order of the procedure."""
    places = {step: place for place, step in enumerate(facts.steps)} if facts else {}
    known = sorted(rows, key=lambda row: places.get(row.step, len(places)))
    by: Mapping[str, Callable[[StepRow], float]] = {
        "misses": lambda row: row.misses.interval.low if row.misses.n else -1.0,
        "hesitation": lambda row: -1.0 if row.hesitation.median is None else row.hesitation.median,
        "time": lambda row: -1.0 if row.active.median is None else row.active.median,
        "plates given up": lambda row: row.spoiled,
    }
    return sorted(known, key=by[order], reverse=True) if order in by else known


def short(words: str) -> str:
    """Words that may be a whole question, cut for a sentence."""
    return words if len(words) <= NAME else words[: NAME - 1].rstrip() + "…"


def step_name(row: StepRow, facts: ProcedureFacts | None) -> str:
    """The act's own words, or what a safety prompt warns of, else the step's id."""
    if facts is None:
        return row.step
    hazard = facts.hazards.get(row.step)
    return hazard.harm if hazard is not None else facts.step_words(row.step)


def stage_name(stage: str, facts: ProcedureFacts | None) -> str:
    """The stage's title, else its id."""
    return facts.stages.get(stage, stage) if facts else stage


def table(rows: Sequence[StepRow], facts: ProcedureFacts | None, size: Size) -> Table:
    """A row for each step; the strip goes from 0 to 100 %."""
    wide = size.width >= WIDE
    strip = 19 if wide else 13
    columns = [
        Column("step", 0),
        Column("missed", 10, right=True),
        Column("0" + "100 %".rjust(strip - 1), strip),
        Column("hesitates", 9, right=True),
        Column("takes", 8, right=True),
        Column("plates", 6, right=True),
    ]
    if wide:
        columns[1:1] = [Column("stage", 12), Column("done by", 7, right=True)]
        columns.append(Column("hints", 5, right=True))
    return Table(tuple(columns), tuple(_row(row, facts, strip, wide=wide) for row in rows))


def _row(row: StepRow, facts: ProcedureFacts | None, strip: int, *, wide: bool) -> tuple[Cell, ...]:
    cells = [
        Cell(step_name(row, facts), opens=Opens("step", (row.procedure, row.step))),
        Cell(in_words.of(row.misses)),
        Cell(rate_strip(row.misses, strip, signs_here())),
        Cell(in_words.short_seconds(row.hesitation.median)),
        Cell(in_words.short_seconds(row.active.median)),
        Cell(str(row.spoiled or in_words.NONE), style="bold" if row.spoiled else "$quiet"),
    ]
    if wide:
        cells[1:1] = [Cell(stage_name(row.stage, facts), style="$quiet"), Cell(str(row.trainees))]
        cells.append(Cell(str(row.hints or in_words.NONE)))
    return tuple(cells)
