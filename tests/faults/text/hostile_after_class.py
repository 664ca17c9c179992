"""Where an instructor's words, a station's name and what is said of a record enter: a hostile text there."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path

from hostile_texts import EVERYTHING, MARK
from record_kit import Station, station_with_a_run

from trainer.procedure.shop import station_called
from trainer.record.after_class import AfterClass, Instructor
from trainer.run.fakes import FakeSignOff

Probe = Callable[[Path], str]
TEXT = f"{MARK}\x1b]0;owned\x07{EVERYTHING}".encode("utf-8", "replace").decode()


def _shop(folder: Path) -> str:
    del folder
    return station_called(TEXT)


def _about(folder: Path) -> str:
    with Station(folder).open() as journal:
        journal.set_about("invented", TEXT)
        return journal.about()["invented"].replace("\n", " ")


def _after_class(folder: Path) -> str:
    station = station_with_a_run(folder)
    with station.open() as journal:
        acts = AfterClass(journal, FakeSignOff({"I-1": "x"}), station.clock)
        acts.note("r1", Instructor("I-1", "x"), TEXT)
    with closing(sqlite3.connect(station.path)) as connection:  # the journal cleans once more when it reads
        (body,) = connection.execute("SELECT body FROM events ORDER BY seq DESC LIMIT 1").fetchone()
    return str(json.loads(body)["body"]["text"])


AFTER_CLASS: Mapping[str, Probe] = {
    "trainer.procedure.shop": _shop,
    "trainer.record.about": _about,
    "trainer.record.after_class": _after_class,
}
"""By module that cleans: what comes out where a hostile text goes in."""
