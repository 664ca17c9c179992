"""Where texts about the shared record enter: what comes of a hostile one there."""

from __future__ import annotations

import io
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, cast
from urllib.parse import quote

from hostile_texts import EVERYTHING, FORGED, MARK
from record_kit import Station

from trainer.commands.forward import _tell
from trainer.commands.naming import part_named
from trainer.commands.shared import _say
from trainer.record.part import Part, stations_of
from trainer.record.shared import state
from trainer.record.shared.address import parse_address
from trainer.record.shared.forwarder import Contact
from trainer.record.shared.reading import Reading
from trainer.record.shared.stations import name_of

if TYPE_CHECKING:
    from trainer.record.shared.connecting import Connection

LINE = f"{MARK}{EVERYTHING}{FORGED}".encode("utf-8", "replace").decode().replace("\0", "")

Probe = Callable[[Path], str]


def _address(folder: Path) -> str:
    del folder
    return parse_address(f"postgresql://somebody@localhost/{quote(LINE)}", source="the test").shown


def _stations(folder: Path) -> str:
    del folder
    return name_of(f"{MARK}\x1b[31m\x07\x9b2J\u202e", "station")


def _command(folder: Path) -> str:
    del folder
    with redirect_stdout(io.StringIO()) as told:
        _say(LINE)
    return told.getvalue().rstrip("\n")


def _state(folder: Path) -> str:
    station = Station(folder)
    with station.open() as journal, journal.changing() as (connection, _, _now):
        state.write(connection, LINE, LINE, 0)
    kept = state.read(station.path)
    return f"{kept.at} {kept.trouble}" if kept else ""


def _forward(folder: Path) -> str:
    station = Station(folder)
    station.open().close()
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()) as told:
        _tell(station.path, Contact(waits=LINE), LINE, as_json=False)
    return told.getvalue().rstrip("\n")


class _OneSite:
    """Answers as the shared record would for a credential that sees one station."""

    def execute(self, question: str, _values: object = None) -> list[tuple[str | bool, ...]]:
        """Its stations; no run."""
        return [(LINE, LINE, LINE, "", True)] if "contacts" in question else []


def _reading(folder: Path) -> str:
    return Reading(cast("Connection", _OneSite()), Part(folder), "").schools[0]


def _naming(folder: Path) -> str:
    return part_named(folder / "x.db", (), (LINE,)).stations[0]


def _part(folder: Path) -> str:
    del folder
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.execute("CREATE TABLE runs (station TEXT)")
        connection.execute("INSERT INTO runs VALUES (?)", (LINE,))
        return "".join(stations_of(connection))


SHARED: Mapping[str, Probe] = {
    "trainer.record.part": _part,
    "trainer.commands.naming": _naming,
    "trainer.record.shared.reading": _reading,
    "trainer.record.shared.address": _address,
    "trainer.record.shared.stations": _stations,
    "trainer.record.shared.state": _state,
    "trainer.commands.shared": _command,
    "trainer.commands.forward": _forward,
}
"""By module that cleans: what comes out where a hostile text goes in."""
