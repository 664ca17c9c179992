"""A class's record with a hostile text wherever the findings read one."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path

import polars as pl
from hostile_texts import EVERYTHING, FORGED, MARK
from record_kit import Station, short_run

from trainer.insight import frames
from trainer.insight.joined import joined
from trainer.insight.questions import questions
from trainer.insight.read import read

LINE = f"{MARK}{EVERYTHING}{FORGED}".encode("utf-8", "replace").decode()


def _read(folder: Path) -> str:
    station = Station(folder)
    with station.open() as journal:
        short_run(station, journal, "run-1")
        journal.set_about("invented", LINE)
    with closing(sqlite3.connect(station.path, isolation_level=None)) as connection:
        connection.execute("UPDATE runs SET trainee = ?1, procedure = ?1, job = ?1", (LINE,))
        connection.execute("UPDATE attempts SET trainee = ?1, step = ?1, skill = ?1", (LINE,))
        connection.execute("UPDATE signatures SET note = ?", (LINE.replace("\n", " "),))
        connection.execute("UPDATE procedures SET procedure = ?", (LINE,))
    found = read(station.path)
    kept = found.frames
    texts = (kept.runs["trainee"][0], kept.attempts["skill"][0], kept.signatures["note"][0])
    return " ".join((*texts, found.invented, *found.troubles))


def _questions(folder: Path) -> str:
    """Answers whose JSON writes what no table would hold, and one that is nested too deep to be read."""
    del folder
    head = {"run": "r", "seq": 1, "procedure": "p", "name": "asked", "form": "number", "right": False}
    rows = [
        head | {"trainee": f"T-{place}", "answer": answer}
        for place, answer in enumerate((json.dumps([LINE]), "[" * 50_000))
    ]
    empty = {name: pl.DataFrame(schema=schema) for name, schema in frames.SCHEMAS.items()}
    runs = pl.DataFrame([{"run": "r", "procedure": "p"}], schema_overrides=frames.RUNS)
    made = {
        "runs": pl.concat([empty["runs"], runs], how="diagonal"),
        "answers": pl.concat(
            [empty["answers"], pl.DataFrame(rows).drop("procedure").cast({"seq": pl.Int64})], how="diagonal"
        ),
    }
    (row,) = questions(joined(frames.Frames(**(empty | made))), {})
    return " ".join(option.words[:2000] for option in row.options)


INSIGHT: Mapping[str, Callable[[Path], str]] = {
    "trainer.insight.questions": _questions,
    "trainer.insight.read": _read,
}
