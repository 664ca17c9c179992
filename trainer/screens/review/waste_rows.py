"""Plates and developer, used and wasted; where and why plates were given up."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.insight.results import Review, SpoiledRow, WasteRow
from trainer.screens.review import in_words
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Cell, Column, Heading, Item, Leaf, Opens, Size, Table, Words, rests
from trainer.screens.review.saying import number_of
from trainer.screens.review.steps_rows import stage_name, title_of
from trainer.screens.widgets.plot import signs_here
from trainer.screens.widgets.plot_strips import bar

ORDERS = ("most plates", "by step")


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """The page; it has no keys."""
    del keys
    review = desk.found
    order = ORDERS[desk.order("waste") % len(ORDERS)]
    wet = [row for row in review.spoiled if not row.rehearsal]
    bench = [row for row in review.spoiled if row.rehearsal]
    items: list[Item] = [Words(told(review.waste)), *by_stage(wet, desk, size)]
    for procedure in dict.fromkeys(row.procedure for row in review.waste):
        rows = [row for row in review.waste if row.procedure == procedure]
        items += [Heading(title_of(procedure, review)), used(rows, size)]
    items += given_up(wet, "Plates given up, by reason", order, desk, size)
    items += given_up(bench, "In rehearsals, which cost nothing", order, desk, size)
    return Leaf("Waste", tuple(items), ORDERS)


def told(rows: Sequence[WasteRow]) -> str:
    """What it comes to, in a sentence. Plates are counted once a procedure, however many supplies it has."""
    plates = {row.procedure: (row.plates_wasted, row.plates) for row in rows}
    lost, used_up = (sum(both[place] for both in plates.values()) for place in (0, 1))
    if not used_up:
        return "No plate was used in a wet run in what is looked at now."
    return (
        f"{lost} of {number_of(used_up, 'plate')} in wet runs were given up, not passed, or left when a run "
        "was stopped. What went with them is worked out from the procedure's supplies for a plate."
    )


def used(rows: Sequence[WasteRow], size: Size) -> Table:
    """A row for each supply; the bar is what was wasted of what was used."""
    cells = max(10, min(40, size.width - 58))
    columns = (
        Column("supply", 0),
        Column("used", 12, right=True),
        Column("wasted", 12, right=True),
        Column("0" + "all".rjust(cells - 1), cells),
        Column("plates", 11, right=True),
    )
    return Table(columns, tuple(_used(row, cells) for row in rows))


def _used(row: WasteRow, cells: int) -> tuple[Cell, ...]:
    return (
        Cell(row.item, opens=rests(f"Plates of {row.procedure}", row.runs)),
        Cell(in_words.amount(row.used, row.unit)),
        Cell(in_words.amount(row.wasted, row.unit)),
        Cell(bar(row.wasted, row.used, cells, signs_here())),
        Cell(f"{row.plates_wasted} of {row.plates}"),
    )


def by_stage(rows: Sequence[SpoiledRow], desk: Desk, size: Size) -> list[Item]:
    """A row for each stage at which plates were given up, those with most first."""
    if not rows:
        return []
    stages: dict[str, list[SpoiledRow]] = {}
    for row in rows:
        stages.setdefault(_stage(row, desk), []).append(row)
    sums = {stage: sum(row.plates for row in at) for stage, at in stages.items()}
    cells = max(10, min(60, size.width - 40))
    columns = (Column("stage", 22), Column("plates", 6, right=True), Column("", cells), Column("", 0))
    table = Table(
        columns,
        tuple(
            (
                Cell(stage, opens=rests(f"Given up in {stage}", runs_of(stages[stage]))),
                Cell(str(plates), style="bold"),
                Cell(_bar(plates, max(sums.values()), cells)),
                Cell(""),
            )
            for stage, plates in sorted(sums.items(), key=lambda one: (-one[1], one[0]))
        ),
    )
    return [Heading("Plates given up, by stage", number_of(sum(sums.values()), "plate")), table]


def runs_of(rows: Sequence[SpoiledRow]) -> list[str]:
    """The runs of several rows, each once; ids of runs rise with time."""
    return sorted({run for row in rows for run in row.runs})


def _stage(row: SpoiledRow, desk: Desk) -> str:
    return stage_name(row.stage, desk.facts.get(row.procedure)) or "(no stage)"


def given_up(rows: Sequence[SpoiledRow], title: str, order: str, desk: Desk, size: Size) -> list[Item]:
    """A row for each place and reason, with a bar of its plates."""
    if not rows:
        return []
    total = sum(row.plates for row in rows)
    most = max(row.plates for row in rows)
    cells = max(8, min(30, size.width - 90))
    columns = (
        Column("reason", 22),
        Column("where", 0),
        Column("plates", 6, right=True),
        Column("", cells),
        Column("who", 14),
    )
    chosen = sorted(rows, key=lambda row: (-row.plates, row.stage, row.step, row.reason))
    if order == "by step":
        places = _places(desk)
        chosen = sorted(rows, key=lambda row: (places.get((row.procedure, row.step), 999), -row.plates))
    table = Table(columns, tuple(_given_up(row, most, cells, desk) for row in chosen))
    return [Heading(title, f"{number_of(total, 'plate')}; Enter: the runs, the step"), table]


def _places(desk: Desk) -> dict[tuple[str, str], int]:
    """Where each step stands in its procedure."""
    return {
        (procedure, step): place
        for procedure, facts in desk.facts.items()
        for place, step in enumerate(facts.steps)
    }


def _given_up(row: SpoiledRow, most: int, cells: int, desk: Desk) -> tuple[Cell, ...]:
    where = desk.step(row.procedure, row.step) if row.step else _stage(row, desk)
    return (
        Cell(row.reason or "(no reason)", opens=rests(f"Given up: {row.reason}", row.runs)),
        Cell(where, opens=_step(row, desk.review)),
        Cell(str(row.plates), style="bold"),
        Cell(_bar(row.plates, most, cells)),
        Cell(people(row.trainees), style="$quiet"),
    )


def _bar(plates: int, most: int, cells: int) -> Content:
    return bar(plates, most, cells, signs_here())


def _step(row: SpoiledRow, review: Review | None) -> Opens | None:
    """The page of the step, where there is one."""
    known = review is not None and any(
        (one.procedure, one.step) == (row.procedure, row.step) for one in review.steps
    )
    return Opens("step", (row.procedure, row.step)) if known else None


def people(codes: Sequence[str]) -> str:
    """`T-01 T-02`; a count where they are many."""
    return " ".join(codes) if len(codes) <= 3 else f"{len(codes)} trainees"
