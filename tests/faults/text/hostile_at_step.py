"""A step under review: what comes of hostile texts in the record's tables."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path

from hostile_texts import EVERYTHING, FORGED, MARK

from trainer.insight.at_step import at_step
from trainer.insight.results import Wanted
from trainer.record.schema import PROJECTIONS

LINE = f"{MARK}{EVERYTHING}{FORGED}".encode("utf-8", "replace").decode()


def _put(connection: sqlite3.Connection, table: str, **values: str | float) -> None:
    """A row of an act, of step `s` in run `r`; columns that are not named stay empty."""
    kinds = connection.execute(f"PRAGMA table_info({table})").fetchall()
    row = {name: values.get(name, "" if kind == "TEXT" else 0) for _, name, kind, *_ in kinds}
    row |= {"run": "r"} | ({"step": "s"} if "step" in row else {})
    marks = ", ".join("?" * len(row))
    connection.execute(f"INSERT INTO {table} VALUES ({marks})", tuple(row.values()))  # noqa: S608 - our tables


def _at_step(folder: Path) -> str:
    del folder
    with closing(sqlite3.connect(":memory:")) as connection:
        for statement in PROJECTIONS:
            connection.execute(statement)
        _put(connection, "runs", procedure="p", trainee=LINE)
        _put(connection, "readings", seq=1, unit=LINE, verdict="ok")
        _put(connection, "readings", seq=2, unit=LINE, verdict="miss", value=3.0)
        _put(connection, "answers", seq=3, answer=json.dumps([LINE]), name=LINE)
        _put(connection, "answers", seq=4, answer=LINE)
        _put(connection, "attempts", seq=5, trainee=LINE, outcome=LINE, mark="window", task="wait")
        _put(connection, "attempts", seq=6, trainee=LINE, outcome=LINE, mark="fault", task="fault")
        found = at_step(connection, Wanted(), "p", "s", None)
    return " ".join([*(done.what for done in found.done), *(person.trainee for person in found.people)])


AT_STEP: Mapping[str, Callable[[Path], str]] = {"trainer.insight.at_step": _at_step}
"""For the table of modules that clean."""
