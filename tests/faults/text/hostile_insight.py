"""A class's record with a hostile text wherever the findings read one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path

from hostile_texts import EVERYTHING, FORGED, MARK
from record_kit import Station, short_run

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
    frames = found.frames
    texts = (frames.runs["trainee"][0], frames.attempts["skill"][0], frames.signatures["note"][0])
    return " ".join((*texts, found.invented, *found.troubles))


INSIGHT: Mapping[str, Callable[[Path], str]] = {"trainer.insight.read": _read}
