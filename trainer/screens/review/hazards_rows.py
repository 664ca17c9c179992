"""Safety prompts: whether they were read, by whom not; all of a procedure, and one."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.insight.facts import ProcedureFacts
from trainer.insight.results import HazardRow, Review
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Heading, Item, Leaf, Opens, Size, Table, Words, rests
from trainer.screens.review.saying import number_of
from trainer.screens.review.step_rows import strip
from trainer.screens.review.steps_rows import WIDE, other_procedures, procedure_of, title_of
from trainer.screens.widgets.plot import round_up, signs_here
from trainer.screens.widgets.plot_strips import rate_strip, scale, spread_strip

ORDERS = ("accepted too fast", "passed by", "as in the procedure")
CAVEAT = (
    "Too fast: quicker than the quickest readers need for its words. It tells that a prompt was not read "
    "this time, not that its danger is not known: ask before you judge."
)


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page of all prompts; keys: the procedure, or none for the one with most of them."""
    review = desk.found
    found = [row.procedure for row in review.hazards]
    here = procedure_of(keys, found)
    rows = [row for row in review.hazards if row.procedure == here]
    if not rows:
        return Leaf("Safety prompts", (Words("No safety prompt was shown in what is looked at now."),))
    facts = desk.facts.get(here)
    order = ORDERS[desk.order("hazards") % len(ORDERS)]
    items: list[Item] = [
        Words(told(rows)),
        Words(CAVEAT, style="$quiet"),
        table(ordered(rows, order, facts), facts, size),
        *other_procedures("hazards", here, found, review),
    ]
    return Leaf(f"Safety prompts: {title_of(here, review)}", tuple(items), ORDERS)


def told(rows: Sequence[HazardRow]) -> str:
    """All of them in a sentence."""
    fast, shown = sum(row.fast.k for row in rows), sum(row.fast.n for row in rows)
    people = {code for row in rows for code in row.trainees_fast}
    missed = sum(row.missed for row in rows)
    said = f"Accepted too fast to be read: {fast} of {shown}"
    said += f", by {number_of(len(people), 'trainee')}." if people else "."
    return f"{said} Passed by without being accepted: {missed or 'none'}."


def ordered(rows: Sequence[HazardRow], order: str, facts: ProcedureFacts | None) -> list[HazardRow]:
    """The rows in an order; what is equal in it stays in the order of the procedure."""
    places = {step: place for place, step in enumerate(facts.steps)} if facts else {}
    known = sorted(rows, key=lambda row: places.get(row.step, len(places)))
    if order == "accepted too fast":
        return sorted(known, key=lambda row: -(row.fast.interval.low if row.fast.n else -1.0))
    if order == "passed by":
        return sorted(known, key=lambda row: -row.missed)
    return known


def harm(row: HazardRow, facts: ProcedureFacts | None) -> str:
    """What the prompt warns of, else the step's id."""
    known = facts.hazards.get(row.step) if facts else None
    return known.harm if known else row.step


def table(rows: Sequence[HazardRow], facts: ProcedureFacts | None, size: Size) -> Table:
    """A row for each prompt; the strip goes from 0 to 100 %."""
    cells = 24 if size.width >= WIDE else 13
    columns = (
        Column("warns of", 0),
        Column("too fast", 11, right=True),
        Column("0" + "100 %".rjust(cells - 1), cells),
        Column("seconds", 8, right=True),
        Column("needed", 7, right=True),
        Column("missed", 6, right=True),
    )
    return Table(columns, tuple(_row(row, facts, cells) for row in rows))


def _row(row: HazardRow, facts: ProcedureFacts | None, cells: int) -> tuple[Cell, ...]:
    return (
        Cell(harm(row, facts), opens=Opens("hazard", (row.procedure, row.step))),
        Cell(in_words.of(row.fast)),
        Cell(rate_strip(row.fast, cells, signs_here())),
        Cell(in_words.short_seconds(row.seconds.median)),
        Cell(in_words.short_seconds(row.needed)),
        Cell(str(row.missed or in_words.NONE), style="bold $error" if row.missed else "$quiet"),
    )


def one(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page of one prompt; keys: procedure and step."""
    review = desk.found
    row = next((row for row in review.hazards if (row.procedure, row.step) == keys), None)
    if row is None:
        return Leaf(f"Safety prompt: {keys[1]}", (Words("It was not shown in what is looked at now."),))
    facts = desk.facts.get(row.procedure)
    items = (
        Words(harm(row, facts), style="bold"),
        *_read(row, size),
        *_fast(row),
        *_covers(row, facts, review),
        Words(CAVEAT, style="$quiet", gap=1),
    )
    return Leaf(f"Safety prompt: {row.step}", items)


def _read(row: HazardRow, size: Size) -> list[Item]:
    width = min(60, size.width - 14)
    top = round_up(max(row.seconds.high or 0.0, row.needed))
    passed = number_of(row.missed, "time") if row.missed else "never"
    items: list[Item] = [
        Heading("Was it read?"),
        Words(
            f"Shown {number_of(row.shown, 'time')}; accepted too fast to be read: "
            f"{in_words.rate_words(row.fast)}; passed by without being accepted: {passed}.",
            opens=rests(f"Safety prompt {row.step}", row.runs),
        ),
        Words(strip("too fast", rate_strip(row.fast, width, signs_here()))),
        Words(strip("", scale(100, "%", width))),
        Words(strip("on screen", spread_strip(row.seconds, top, width, signs_here()))),
        Words(strip("", scale(top, "s", width))),
        Words(
            f"On the screen: {in_words.spread_words(row.seconds)}. "
            f"The quickest readers need {in_words.seconds(row.needed)} for its words."
        ),
    ]
    return items


def _fast(row: HazardRow) -> list[Item]:
    if not row.trainees_fast:
        return [Heading("Who accepted it too fast"), Words("Nobody.")]
    who = [Words(code, first="  ", opens=Opens("trainee", (code,))) for code in row.trainees_fast]
    return [Heading("Who accepted it too fast", "Enter: the trainee"), *who]


def _covers(row: HazardRow, facts: ProcedureFacts | None, review: Review) -> list[Item]:
    """The steps that the prompt protects, each to be opened where anybody worked on it."""
    known = facts.hazards.get(row.step) if facts else None
    if facts is None or known is None or not known.covers:
        return []
    worked = {step.step for step in review.steps if step.procedure == row.procedure}
    items: list[Item] = [Heading("Stands before")]
    for step in known.covers:
        opens = Opens("step", (row.procedure, step)) if step in worked else None
        items.append(Words(facts.step_words(step), first="  ", opens=opens))
    return items
