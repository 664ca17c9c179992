"""When a procedure should be done again: its own deadline; and which questions are worth asking before it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

import polars as pl

from trainer.insight.facts import ProcedureFacts
from trainer.insight.joined import Joined, run_numbers
from trainer.insight.results import Finding, QuizDue, RefreshRow
from trainer.insight.standing import Compared
from trainer.run.clock import on_the_wall

SOON = timedelta(days=14)
"""So long before the deadline it is time to plan for it."""
_NAMED = 8


def refresh(j: Joined, facts: Mapping[str, ProcedureFacts], now: datetime) -> tuple[RefreshRow, ...]:
    """A row for each trainee and procedure with a wet run that was done by one trainee, by trainee.

    j: of all runs that count, whatever period is looked at. facts: the newest of each procedure, by its id.
    The deadline is the last such run and the procedure's `refresh_after`; nothing moves it. Questions are
    those that memory asks for before it, or at any time where there is none.
    """
    whole = ~pl.col("rehearsal") & (pl.col("closed") == "done") & ~pl.col("handed")
    found = (
        j.runs.lazy()
        .filter(whole & (pl.col("procedure").is_in(list(facts))))
        .group_by("trainee", "procedure")
        .agg(pl.col("closed_at").max(), run_numbers())
        .sort("trainee", "procedure")
        .collect()
    )
    asked = _questions(j, facts)
    rows = []
    for (trainee, procedure, last_at), runs in zip(
        found.select("trainee", "procedure", "closed_at").iter_rows(), j.run_ids(found["runs"]), strict=True
    ):
        after = facts[procedure].refresh_after
        due_at = None if after is None else last_at + timedelta(seconds=after)
        quizzes = tuple(
            one for one in asked.get((trainee, procedure), ()) if due_at is None or one.at < due_at
        )
        overdue = due_at is not None and due_at < now
        rows.append(RefreshRow(trainee, procedure, last_at, due_at, overdue, quizzes, runs))
    return tuple(rows)


def _questions(j: Joined, facts: Mapping[str, ProcedureFacts]) -> dict[tuple[str, str], list[QuizDue]]:
    """By trainee and procedure: when memory asks for each question again that the procedure still has."""
    known = pl.DataFrame(
        [(id_, name) for id_, one in facts.items() for name in one.questions],
        schema={"procedure": pl.String, "name": pl.String},
        orient="row",
    )
    one = ["trainee", "procedure", "name"]
    first = (
        j.answers.lazy()
        .filter((pl.col("form") != "judge") & pl.col("right").is_not_null())
        .sort("at", "no", "seq")
        .group_by(*one, "no", maintain_order=True)
        .agg(pl.col("at", "right").first())
        .sort("at", maintain_order=True)
        .group_by(one)
        .agg("at", "right")
        .with_columns(pl.col("trainee", "procedure").cast(pl.String))
        .join(known.lazy(), on=["procedure", "name"], how="semi")
        .sort(one)
        .collect()
    )
    found: dict[tuple[str, str], list[QuizDue]] = {}
    keys, last = first.select(one).iter_rows(), first["at"].list.last().to_list()
    for (trainee, procedure, name), at, after in zip(keys, last, _days(first), strict=True):
        due = QuizDue(procedure, name, at + timedelta(days=after))
        found.setdefault((trainee, procedure), []).append(due)
    return found


def _days(first: pl.DataFrame) -> list[int]:
    """Days from the last answer to each question until it is worth asking again."""
    from trainer.insight.memory import days_until, memory  # the `fsrs` library is needed here only

    if first.is_empty():
        return []
    at, right = (first[name].explode().cast(pl.Int64).to_numpy() for name in ("at", "right"))
    counts = first["at"].list.len().cast(pl.Int64).to_numpy()
    return list(map(int, days_until(memory(at, right.astype(bool), counts)[0])))


def stands_out(rows: Iterable[RefreshRow], titles: Mapping[str, str], now: datetime) -> Compared:
    """Who is over a deadline, and who soon will be: a plain fact for each procedure."""
    due: dict[tuple[str, bool], list[tuple[datetime, RefreshRow]]] = {}
    for row in rows:
        if row.due_at is not None and row.due_at - SOON < now:
            due.setdefault((row.procedure, row.overdue), []).append((row.due_at, row))
    for some in due.values():
        some.sort(key=lambda one: (one[0], one[1].trainee))
    said = (_finding(some, titles.get(id_, id_), over) for (id_, over), some in sorted(due.items()))
    return Compared(tuple(said))


def _finding(due: list[tuple[datetime, RefreshRow]], title: str, over: bool) -> Finding:
    first_at, first = due[0]
    names = [row.trainee for _, row in due]
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    who = f"{', '.join(names[:_NAMED])}{more}"
    when = f"{'since' if over else 'by'} {on_the_wall(first_at):%d %B %Y}"
    when = when if len(due) == 1 else f"{len(due)} in all; {first.trainee} {when}"
    said = "Over the deadline for doing" if over else f"Within {SOON.days} days of the deadline for doing"
    return Finding(
        kind="refresh",
        level="act" if over else "watch",
        subject="class",
        keys=(first.procedure,),
        words=f"{said} {title} again: {who} ({when}).",
        why="The deadline is the last wet run that was done and the time that the procedure sets.",
        n=len(names),
        method="refresh",
        p=None,
        runs=tuple(row.runs[-1] for _, row in due),
    )
