"""Which runs of a record can be counted: one bad row takes its own run out, with a sentence, and no other."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields

import polars as pl

from trainer.insight.frames import SCHEMAS, Frames
from trainer.procedure.model import TASKS
from trainer.run.scoring import RULES

_NAMED = 20
"""So many runs are named one by one."""
_TASK = ("none", *TASKS)
_WORDS: dict[tuple[str, str], tuple[str, ...]] = {
    ("runs", "guidance"): ("full", "cued", "solo"),
    ("runs", "closed"): ("", "done", "stopped", "erased"),
    ("visits", "task"): _TASK,
    ("visits", "ended"): ("", "finished", "again", "guard", "spoiled", "closed"),
    ("attempts", "mark"): ("", *RULES),
    ("answers", "form"): ("choice", "choices", "number", "order", "judge"),
    ("readings", "verdict"): ("ok", "miss", "slip"),
    ("exposures", "outcome"): ("on_time", "early", "late", "said"),
    ("plates", "how"): ("", "spoiled", "passed", "not_yet", "done", "stopped"),
    ("signatures", "word"): ("passed", "not_yet"),
}
"""What can stand in a column, where only a few words can."""
MAY_LACK = {"closed_at", "skill", "seconds", "active", "hesitation", "hit", "right", "passes"}
"""Columns in which nothing is a value too."""
_NEVER_LESS = ("seconds", "active", "hesitation", "units", "unwatched", "hints", "slips", "spoiled", "visit")


def sound(frames: Frames) -> tuple[Frames, list[str]]:
    """The frames (their texts clean) without runs that have a bad row, and a sentence on each such run.

    Runs whose opening was erased with the person who opened them are left out without a word.
    """
    kept = frames.runs.filter(pl.col("procedure") != "")
    wrong = dict(_wrong(frames))
    known = set(frames.runs["run"].to_list())
    runs = kept.filter(~pl.col("run").is_in(list(wrong)))
    others = {
        name: getattr(frames, name).join(runs.select("run"), on="run", how="semi", maintain_order="left")
        for name in (one.name for one in fields(frames))
        if name != "runs"
    }
    said = [_sentence(run, why, there=run in known) for run, why in list(wrong.items())[:_NAMED]]
    if len(wrong) > _NAMED:
        said.append(f"{len(wrong) - _NAMED} more runs are left out for reasons like these.")
    return Frames(runs=runs, **others), said


def _sentence(run: str, why: str, *, there: bool) -> str:
    left = f"Run {run[:40]} is left out: {why}."
    if not there:
        left = f"Rows of a run {run[:40]} are left out: {why}."
    return f"{left} `sinkside record rebuild` makes the tables again from what happened."


def _wrong(frames: Frames) -> Iterator[tuple[str, str]]:
    """Runs and what is wrong with them, the last word first: a dict keeps the first reason that is found."""
    found: dict[str, str] = {}
    for table, schema in SCHEMAS.items():
        frame: pl.DataFrame = getattr(frames, table)
        for column, kind in schema.items():
            bad = _bad(table, column, kind)
            if bad is None:
                continue
            for run in frame.filter(bad)["run"].unique(maintain_order=True).to_list():
                found.setdefault(run, f"what the table `{table}` says under `{column}` cannot be read")
        if table != "runs":
            alone = frame.join(frames.runs.select("run"), on="run", how="anti")["run"].unique(
                maintain_order=True
            )
            for run in alone.to_list():
                found.setdefault(run, f"the table `{table}` has rows of it, the table `runs` has none")
    for run in _answers(frames.answers):
        found.setdefault(run, "what the table `answers` says under `answer` cannot be read")
    yield from found.items()


def _bad(table: str, column: str, kind: pl.DataType) -> pl.Expr | None:
    """Rows in which a column says nothing; None where it always says something."""
    said = pl.col(column)
    checks: list[pl.Expr] = []
    if column not in MAY_LACK:
        checks.append(said.is_null())
    if column == "closed_at":
        checks.append(said.is_null() & pl.col("closed").is_in(["done", "stopped"]))
    if words := _WORDS.get((table, column)):
        checks.append(~said.is_in(list(words)))
    if kind == pl.Float64:
        checks.append(~said.is_finite())
    if column in _NEVER_LESS:
        checks.append(said < 0)
    return pl.any_horizontal(*(check.fill_null(value=False) for check in checks)) if checks else None


def _answers(answers: pl.DataFrame) -> list[str]:
    """Runs with an answer that is no list of texts."""
    bad = [text for text in answers["answer"].drop_nulls().unique().to_list() if not _is_list(text)]
    found: list[str] = (
        answers.filter(pl.col("answer").is_in(bad))["run"].unique(maintain_order=True).to_list()
    )
    return found


def _is_list(text: str) -> bool:
    try:
        given: object = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(given, list) and all(isinstance(one, str) for one in given)
