"""The station's list of runs with their heads: what makes a missing run or a cut-off end show.

Every opening is a link of a chain of its own; each row is sealed with the key, and so is the number of runs.
"""

from __future__ import annotations

import sqlite3

from trainer.record.asking import Asked
from trainer.record.chain import ChainKey, canonical, linked
from trainer.run.frozen import frozen, replace


@frozen
class RunHead:
    """How far a run goes: number in order of opening at this station, events kept, head in hexadecimal."""

    run: str
    number: int
    count: int
    head: str

    @property
    def short(self) -> str:
        """The head's beginning, to be shown and written down."""
        return self.head[:12]


@frozen
class HeadRow:
    """A row of the list. marked: the count at the last mark in the second place."""

    number: int
    run: str
    opened: bytes
    count: int
    head: bytes
    marked: int
    mac: bytes = b""

    def sealing(self) -> dict[str, int | str]:
        """What the row's MAC is over."""
        return {
            "run": self.run,
            "number": self.number,
            "count": self.count,
            "head": self.head.hex(),
            "marked": self.marked,
        }

    def shown(self) -> RunHead:
        """For people."""
        return RunHead(self.run, self.number, self.count, self.head.hex())


@frozen
class StationRow:
    """How many runs were opened and how many erasures made, ever."""

    key_fingerprint: str
    runs: int
    erasures: int
    mac: bytes = b""

    def sealing(self) -> dict[str, int | str]:
        """What its MAC is over."""
        return {"runs": self.runs, "erasures": self.erasures}


_ALL = "SELECT number, run, opened, count, head, marked, mac FROM heads ORDER BY number"
_ONE = "SELECT number, run, opened, count, head, marked, mac FROM heads WHERE run = ?"
_SAVE = (
    "INSERT OR REPLACE INTO heads (number, run, opened, count, head, marked, mac) "
    "VALUES (?, ?, ?, ?, ?, ?, ?)"
)


def station(connection: sqlite3.Connection) -> StationRow | None:
    """The station's row; None in a record that was only just made."""
    row = connection.execute("SELECT key_fingerprint, runs, erasures, mac FROM station").fetchone()
    return None if row is None else StationRow(*row)


def save_station(connection: sqlite3.Connection, key: ChainKey, row: StationRow) -> None:
    """Keep the station's row, sealed."""
    connection.execute(
        "INSERT OR REPLACE INTO station (only_one, key_fingerprint, runs, erasures, mac) "
        "VALUES (1, ?, ?, ?, ?)",
        (key.fingerprint, row.runs, row.erasures, key.sealed(row.sealing())),
    )


def all_rows(connection: Asked) -> list[HeadRow]:
    """The list, in order of opening."""
    return [HeadRow(*row) for row in connection.execute(_ALL)]


def row_of(connection: sqlite3.Connection, run: str) -> HeadRow | None:
    """A run's row; None where the run is not known."""
    row = connection.execute(_ONE, (run,)).fetchone()
    return None if row is None else HeadRow(*row)


def opening(key: ChainKey, before: bytes, number: int, run: str) -> bytes:
    """The link of the chain of openings. before: the one of the run opened before, b"" for the first."""
    return linked(key.mac, before, canonical({"number": number, "run": run}))


def open_run(connection: sqlite3.Connection, key: ChainKey, run: str) -> HeadRow:
    """Take a new run into the list. Inside a transaction."""
    last = connection.execute("SELECT number, opened FROM heads ORDER BY number DESC LIMIT 1").fetchone()
    known = station(connection) or StationRow(key.fingerprint, 0, 0)
    number, before = (last[0] + 1, last[1]) if last else (1, b"")
    save_station(connection, key, replace(known, runs=known.runs + 1))
    key.sealed(number)  # raises where the number before it was made one that cannot be
    row = HeadRow(number, run, opening(key, before, number, run), 0, key.start_of(run), 0)
    save(connection, key, row)
    return row


def save(connection: sqlite3.Connection, key: ChainKey, row: HeadRow) -> None:
    """Keep a row, sealed. Inside a transaction."""
    sealed = (row.number, row.run, row.opened, row.count, row.head, row.marked, key.sealed(row.sealing()))
    connection.execute(_SAVE, sealed)
