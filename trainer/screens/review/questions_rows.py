"""Questions of a procedure: how hard they are, whether they tell apart, what to look at."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.insight.results import QuestionRow, Reliability
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Heading, Item, Leaf, Opens, Size, Table, Words, rests
from trainer.screens.review.question_words import apart_words, heed, short
from trainer.screens.review.saying import number_of
from trainer.screens.review.steps_rows import WIDE, other_procedures, procedure_of, title_of
from trainer.screens.widgets.plot import signs_here
from trainer.screens.widgets.plot_strips import rate_strip

FIRST = "First answers only, one of each trainee: later ones tell who listened, not who knew."
MORE = " +1: one more thing to look at, on the question's own page."
ORDERS = ("what to look at", "hardest", "as in the procedure")


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; keys: the procedure, or none for the one with most questions."""
    review = desk.found
    found = [row.procedure for row in review.questions]
    here = procedure_of(keys, found)
    rows = [row for row in review.questions if row.procedure == here]
    if not rows:
        return Leaf("Questions", (Words("No question was answered in what is looked at now."),))
    order = ORDERS[desk.order("questions") % len(ORDERS)]
    items: list[Item] = [
        Words(FIRST + MORE if any(len(row.remarks) > 1 for row in rows) else FIRST),
        table(ordered(rows, order), size),
    ]
    for whole in review.reliability:
        if whole.procedure == here:
            items += reliability(whole, rows)
    items += other_procedures("questions", here, found, review)
    return Leaf(f"Questions: {title_of(here, review)}", tuple(items), ORDERS)


def ordered(rows: Sequence[QuestionRow], order: str) -> list[QuestionRow]:
    """The rows in an order; what is equal in it stays as it was."""
    if order == "what to look at":
        return sorted(
            rows, key=lambda row: (-heed(row) if heed(row) > 1 else 0, row.first_right.interval.high)
        )
    if order == "hardest":
        return sorted(rows, key=lambda row: row.first_right.interval.high if row.first_right.n else 2.0)
    return list(rows)


def table(rows: Sequence[QuestionRow], size: Size) -> Table:
    """A row for each question; the strip goes from 0 to 100 %."""
    wide = size.width >= WIDE
    cells = 24 if wide else 13
    columns = (
        Column("question", 0),
        Column("right", 8, right=True),
        Column("0" + "100 %".rjust(cells - 1), cells),
        Column("tells apart", 22 if wide else 11, right=True),
        Column("look at", 20),
    )
    return Table(columns, tuple(_row(row, cells, wide=wide) for row in rows))


def _row(row: QuestionRow, cells: int, *, wide: bool) -> tuple[Cell, ...]:
    return (
        Cell(row.ask, opens=Opens("question", (row.procedure, row.name))),
        Cell(in_words.of(row.first_right)),
        Cell(rate_strip(row.first_right, cells, signs_here())),
        Cell(apart_words(row, wide=wide)),
        Cell(short(row), style="bold $warning" if heed(row) > 1 else "$quiet"),
    )


def reliability(whole: Reliability, rows: Sequence[QuestionRow]) -> list[Item]:
    """All questions together, as far as they can be trusted as one measure."""
    head = Heading("All questions together")
    basis = f"{number_of(whole.questions, 'question')}, {number_of(whole.trainees, 'trainee')}"
    if whole.alpha is None:
        return [head, Words(f"How far they measure one thing cannot be told from {basis}.")]
    said = f"Reliability (KR-20) {whole.alpha:.2f}"
    if whole.interval is not None:
        said += f", interval {whole.interval.low:.2f} to {whole.interval.high:.2f}"
    said += f", from {basis}."
    if whole.sem is not None:
        said += f" A trainee's number of right answers is sure to about {whole.sem:.1f} up or down."
    runs = sorted({run for row in rows for run in row.runs})
    items: list[Item] = [head, Words(said, opens=rests("All questions together", runs))]
    if whole.provisional:
        items.append(
            Words("Under 30 trainees: provisional. Use it to mend questions, not to rank people.", first="! ")
        )
    return items
