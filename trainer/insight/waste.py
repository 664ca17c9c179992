"""Plates and what goes with them: used and wasted in wet runs; and where and why plates are given up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import polars as pl

from trainer.insight.facts import ProcedureFacts
from trainer.insight.intervals import rate
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.results import Finding, SpoiledRow, WasteRow
from trainer.insight.run_ids import RunIds
from trainer.insight.standing import Compared

LOST = ("spoiled", "not_yet", "stopped")
"""How a plate ended that nobody can print from."""
_LEAST = 5


def waste(j: Joined, facts: Mapping[str, ProcedureFacts]) -> tuple[WasteRow, ...]:
    """A row for each supply that is counted by plate, by procedure, in the order of its file.

    A plate counts as used once the act after the one where it is begun was reached: it is in hand then. What
    its supplies come to is the procedure's own amount for a plate.
    """
    found = []
    for procedure, plates, lost, runs in _plates(j, facts):
        found += [
            WasteRow(
                procedure=procedure,
                item=supply.item,
                unit=supply.unit,
                used=plates * supply.amount,
                wasted=lost * supply.amount,
                plates=plates,
                plates_wasted=lost,
                runs=runs,
            )
            for supply in facts[procedure].supplies
            if supply.per == "plate"
        ]
    return tuple(sorted(found, key=lambda row: row.procedure))


def _plates(j: Joined, facts: Mapping[str, ProcedureFacts]) -> list[tuple[str, int, int, RunIds]]:
    """By procedure: wet plates in hand, those of them that were lost, and the runs."""
    taken = pl.DataFrame(
        [(one.id, step) for one in facts.values() for step in one.plate_taken],
        schema={"procedure": pl.Categorical, "step": pl.Categorical},
        orient="row",
    )
    in_hand = (
        j.visits.lazy()
        .filter(~pl.col("rehearsal"))
        .join(taken.lazy(), on=["procedure", "step"], how="semi")
        .select("no", "plate")
        .unique()
    )
    rows = (
        j.plates.lazy()
        .filter(~pl.col("rehearsal"))
        .join(in_hand, on=["no", "plate"], how="semi")
        .group_by("procedure")
        .agg(pl.len().alias("plates"), pl.col("how").is_in(LOST).sum().alias("lost"), run_numbers())
        .collect()
    )
    runs = j.run_ids(rows["runs"])
    return [(*row, own) for row, own in zip(rows.drop("runs").iter_rows(), runs, strict=True)]


def spoiled(j: Joined) -> tuple[SpoiledRow, ...]:
    """Plates that were given up, by procedure, kind, stage, step and reason; most plates first."""
    rows = (
        j.plates.lazy()
        .filter(pl.col("how") == "spoiled")
        .group_by("procedure", "stage", "step", "reason", "rehearsal")
        .agg(pl.len().alias("plates"), pl.col("trainee").cast(pl.String).unique().sort(), run_numbers())
        .collect()
    )
    found = [
        SpoiledRow(
            procedure=row["procedure"],
            stage=row["stage"],
            step=row["step"],
            reason=row["reason"],
            rehearsal=row["rehearsal"],
            plates=row["plates"],
            trainees=tuple(row["trainee"]),
            runs=runs,
        )
        for row, runs in zip(rows.drop("runs").iter_rows(named=True), j.run_ids(rows["runs"]), strict=True)
    ]
    found.sort(key=lambda row: (row.rehearsal, -row.plates, row.procedure, row.step, row.reason))
    return tuple(found)


def stands_out(
    rows: Sequence[WasteRow], given_up: Sequence[SpoiledRow], facts: Mapping[str, ProcedureFacts]
) -> Compared:
    """What was wasted, procedure by procedure: plain counts, tested against nothing."""
    found = []
    for procedure in dict.fromkeys(row.procedure for row in rows):
        of_it = [row for row in rows if row.procedure == procedure]
        if of_it[0].plates_wasted >= _LEAST:
            wet = [row for row in given_up if row.procedure == procedure and not row.rehearsal]
            found.append(_wasted(of_it, wet, facts[procedure]))
    return Compared(tuple(found))


def _wasted(rows: Sequence[WasteRow], wet: Sequence[SpoiledRow], known: ProcedureFacts) -> Finding:
    first = rows[0]
    share = rate(first.plates_wasted, first.plates)
    low, high = round(100 * share.interval.low), round(100 * share.interval.high)
    supplies = ", ".join(f"{row.wasted:g} {row.unit} {row.item}" for row in rows if row.unit != "each")
    words = (
        f"{known.title}: {first.plates_wasted} of {first.plates} plates were lost "
        f"(interval {low} to {high} %){f', and with them {supplies}' if supplies else ''}."
    )
    if wet:
        words += f" Most often at “{known.step_words(wet[0].step)}” ({wet[0].plates}: {wet[0].reason})."
    return Finding(
        kind="waste",
        level="watch",
        subject="supply",
        keys=(first.procedure,),
        words=words,
        why="Wet runs only. Lost: given up, signed off as not yet, or left when the run was stopped.",
        n=first.plates,
        method="count",
        p=None,
        runs=first.runs,
    )
