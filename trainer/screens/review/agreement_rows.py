"""Do the instructors' sign-offs and the marks of the record say the same of a plate?"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.insight.results import AgreementRow
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Heading, Item, Leaf, Size, Table, Words, rests
from trainer.screens.review.saying import number_of

EVERYBODY = "All instructors"
LEAST = 50
"""Sign-offs under which a kappa is provisional."""


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; it has no keys."""
    del keys, size
    review = desk.found
    rows = [row for row in review.agreement if row.n]
    if not rows:
        return Leaf("Sign-offs", (Words("No plate was signed off in what is looked at now."),))
    items: list[Item] = [
        Words(
            "A plate is clean where every attempt on it was a hit. A passed plate with a miss is no "
            "mistake by itself: somebody who misses a reading and then gets it right has made a good "
            "plate. Look at how many, and talk about them.",
            style="$quiet",
        )
    ]
    whole = next((row for row in rows if not row.by), None)
    if whole is not None:
        items += square(whole)
    single = sorted((row for row in rows if row.by), key=lambda row: row.by)
    if single:
        items += [Heading("By instructor", "Enter: the runs"), table(single)]
    return Leaf("Sign-offs", tuple(items))


def square(row: AgreementRow) -> list[Item]:
    """The table of two by two, then what it comes to."""
    columns = (
        Column("the instructor said", 20),
        Column("clean", 10, right=True),
        Column("with a miss", 12, right=True),
        Column("together", 10, right=True),
        Column("", 0),
    )
    lines = (
        ("passed", row.passed_clean, row.passed_missed),
        ("not yet", row.not_yet_clean, row.not_yet_missed),
        ("together", row.passed_clean + row.not_yet_clean, row.passed_missed + row.not_yet_missed),
    )
    opens = rests(f"Sign-offs: {row.by or EVERYBODY}", row.runs)
    rows = tuple(
        (
            Cell(name, opens=opens if name == "together" else None),
            Cell(str(clean)),
            Cell(str(missed)),
            Cell(str(clean + missed)),
            Cell(""),
        )
        for name, clean, missed in lines
    )
    return [
        Heading(row.by or EVERYBODY, number_of(row.n, "sign-off")),
        Table(columns, rows),
        *(Words(said, gap=int(not place)) for place, said in enumerate(told(row))),
    ]


def told(row: AgreementRow) -> list[str]:
    """What the table comes to, with its caveat."""
    same = row.passed_clean + row.not_yet_missed
    said = [f"Both say the same of {same} of {row.n}."]
    if row.kappa is None:
        said.append("How far that is beyond chance cannot be told: all are on one side of the table.")
        return said
    beyond = f"Beyond chance (Cohen's kappa): {row.kappa:.2f}"
    if row.interval is not None:
        beyond += f", interval {row.interval.low:.2f} to {row.interval.high:.2f}"
    said.append(f"{beyond}; 1 is always the same, 0 what chance alone gives.")
    if row.provisional:
        said.append(f"! Under {LEAST} sign-offs: provisional. Read the table, not the one figure.")
    return said


def table(rows: Sequence[AgreementRow]) -> Table:
    """A row for each instructor."""
    columns = (
        Column("who", 0),
        Column("passed clean", 12, right=True),
        Column("with a miss", 11, right=True),
        Column("not yet clean", 13, right=True),
        Column("with a miss", 11, right=True),
        Column("kappa", 16, right=True),
    )
    return Table(columns, tuple(_row(row) for row in rows))


def _row(row: AgreementRow) -> tuple[Cell, ...]:
    return (
        Cell(row.by, opens=rests(f"Sign-offs: {row.by}", row.runs)),
        Cell(str(row.passed_clean)),
        Cell(str(row.passed_missed)),
        Cell(str(row.not_yet_clean)),
        Cell(str(row.not_yet_missed)),
        Cell(_kappa(row), style="$quiet" if row.provisional else ""),
    )


def _kappa(row: AgreementRow) -> str:
    if row.kappa is None:
        return in_words.NONE
    return f"{row.kappa:.2f}" + (" provisional" if row.provisional else "")
