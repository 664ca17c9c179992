"""Forwarding to a real PostgreSQL against COPY of the same rows into the same tables, partitions and indexes.

COPY is the quickest way there is to put rows into PostgreSQL. The baseline is given the rows in memory, hands
them to COPY by the same driver, as a superuser whose rows nobody guards, in one transaction. Forwarding reads
the record, sends it with the station's own credential in as many transactions as it takes, guarded, each
event once, and moves the cursor. Both begin with empty tables, on one server, in turns. A second row has COPY
of bytes that the server itself made ready, where nothing is left to do but to put them in.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

TESTS = Path(__file__).resolve().parents[1]
sys.path += [str(TESTS / "shared"), str(TESTS / "record")]

import psycopg  # noqa: E402 - the kits lie beside
from many_events_kit import record_of  # noqa: E402
from postgres_kit import PLAIN, NoPostgres, Postgres  # noqa: E402
from shared_kit import Login, Shared, made  # noqa: E402

from trainer.record import schema  # noqa: E402
from trainer.record.shared.cursor import FORWARDED, SITE  # noqa: E402
from trainer.record.shared.forwarder import Forwarder  # noqa: E402
from trainer.record.store import connect  # noqa: E402
from trainer.run.clock import SystemClock  # noqa: E402

EVENTS = 100_000
REPEATS = 3
MOST = 2.0
"""Forwarding reaches at least half the rate of raw COPY."""

TABLES = ("events", "heads", "procedures", *schema.READ)


def measure(events: int = EVENTS) -> list[tuple[str, float, float, float]]:
    """What, ours, the baseline, both in ms, and the most that the ratio may be; nothing without a server."""
    try:
        with tempfile.TemporaryDirectory() as folder, Postgres(PLAIN) as server:
            record = Path(folder) / "station" / "record.db"
            there = record_of(record, events)
            ours, by_driver, ready = _in_turns(record, made(server))
    except NoPostgres as reason:
        print(f"forwarding is not measured: {reason}", file=sys.stderr)  # noqa: T201
        return []
    return [
        (f"forwarding, {there:,} events: raw COPY", ours, by_driver, MOST),
        ("forwarding: COPY of bytes made ready", ours, ready, math.inf),
    ]


def _in_turns(record: Path, shared: Shared) -> tuple[float, float, float]:
    """The best of a few of each, ms."""
    ours: list[float] = []
    by_driver: list[float] = []
    from_ready: list[float] = []
    for _ in range(REPEATS):
        _empty(shared, record)
        ours.append(_timed(lambda: Forwarder(record, shared.one.address, SystemClock()).contact()))
        wanted = _counts(shared.admin)
        for copying, read, times in ((_raw, _ready, from_ready), (_rows_in, _rows_out, by_driver)):
            given = read(shared.admin)
            _empty(shared, record)
            times.append(_timed(partial(copying, shared.admin, given)))
            if _counts(shared.admin) != wanted:
                raise AssertionError("the two did not put in the same rows")
    return min(ours), min(by_driver), min(from_ready)


def _timed(call: Callable[[], object]) -> float:
    begun = time.perf_counter()
    call()
    return (time.perf_counter() - begun) * 1000


def _empty(shared: Shared, record: Path) -> None:
    """As before the first contact, at both ends, and nothing left to write behind."""
    with shared.admin.open() as admin:
        admin.execute(
            f"TRUNCATE {', '.join(f'sinkside.{table}' for table in (*TABLES, 'cursors', 'contacts'))}"
        )
        admin.execute("CHECKPOINT")
    connection = connect(record, make=False)
    connection.execute("DELETE FROM about WHERE name IN (?, ?)", (FORWARDED, SITE))
    connection.close()


def _counts(admin: Login) -> list[int]:
    with admin.open() as connection:
        return [
            int(row[0])
            for table in TABLES
            if (row := connection.execute(f"SELECT count(*) FROM sinkside.{table}").fetchone())  # noqa: S608
        ]


def _ready(admin: Login) -> Any:  # noqa: ANN401 - what `_raw` takes
    """All rows that are there, as COPY gives them out and takes them in."""
    found: dict[str, list[bytes]] = {}
    with admin.open() as connection, connection.cursor() as cursor:
        for table in TABLES:
            asked = f"COPY (SELECT * FROM sinkside.{table}) TO STDOUT (FORMAT BINARY)"  # noqa: S608 - our tables
            with cursor.copy(asked) as copy:
                found[table] = [bytes(piece) for piece in copy]
    return found


def _raw(admin: Login, ready: Any) -> None:  # noqa: ANN401 - what `_ready` gives
    with psycopg.connect(admin.conninfo) as connection, connection.cursor() as cursor:
        for table, pieces in ready.items():
            with cursor.copy(f"COPY sinkside.{table} FROM STDIN (FORMAT BINARY)") as copy:
                for piece in pieces:
                    copy.write(piece)


def _rows_out(admin: Login) -> Any:  # noqa: ANN401 - what `_rows_in` takes
    """All rows that are there as the driver gives them, and the types of their columns."""
    with admin.open() as connection, connection.cursor(binary=True) as cursor:
        found = {}
        for table in TABLES:
            cursor.execute(f"SELECT * FROM sinkside.{table}")  # noqa: S608 - our tables
            found[table] = [column.type_code for column in cursor.description or ()], cursor.fetchall()
    return found


def _rows_in(admin: Login, rows: Any) -> None:  # noqa: ANN401 - what `_rows_out` gives
    with psycopg.connect(admin.conninfo) as connection, connection.cursor() as cursor:
        for table, (types, those) in rows.items():
            with cursor.copy(f"COPY sinkside.{table} FROM STDIN (FORMAT BINARY)") as copy:
                copy.set_types(types)
                for row in those:
                    copy.write_row(row)


if __name__ == "__main__":
    for what, ours, base, limit in measure(int(sys.argv[1]) if len(sys.argv) > 1 else EVENTS):
        print(f"{what}: {ours:.0f} ms against {base:.0f} ms, ratio {ours / base:.2f} (limit {limit})")  # noqa: T201
