"""Forwarding to a real PostgreSQL against COPY of the same rows into the same tables, partitions and indexes.

COPY is the quickest way there is to put rows into PostgreSQL. The baseline gets them ready made, in the
server's own binary form, as a superuser whose rows nobody guards, in one transaction; forwarding reads the
record, sends it with the station's own credential in as many transactions as it takes, guarded, each event once,
and moves the cursor. Both begin with tables that are empty, on one server, in turns.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

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
    """What, ours, the baseline, both in ms, and the most that the ratio may be. Nothing where no server is."""
    try:
        with tempfile.TemporaryDirectory() as folder, Postgres(PLAIN) as server:
            record = Path(folder) / "station" / "record.db"
            there = record_of(record, events)
            shared = made(server)
            ours, base = _in_turns(record, shared)
    except NoPostgres as reason:
        print(f"forwarding is not measured: {reason}", file=sys.stderr)  # noqa: T201
        return []
    return [(f"forwarding, {there:,} events: raw COPY", ours, base, MOST)]


def _in_turns(record: Path, shared: Shared) -> tuple[float, float]:
    """The best of a few of each, ms."""
    ours, base = [], []
    for _ in range(REPEATS):
        _empty(shared, record)
        ours.append(_timed(lambda: Forwarder(record, shared.one.address, SystemClock()).contact()))
        ready = _ready(shared.admin)
        _empty(shared, record)
        base.append(_timed(lambda rows=ready: _raw(shared.admin, rows)))  # type: ignore[misc]
        if _counts(shared.admin) != {table: rows for table, (_, rows) in ready.items()}:
            raise AssertionError("the two did not put in the same rows")
    return min(ours), min(base)


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


def _ready(admin: Login) -> dict[str, tuple[list[bytes], int]]:
    """All rows that are there, as COPY gives them out and takes them in, and how many."""
    found = {}
    counts = _counts(admin)
    with admin.open() as connection, connection.cursor() as cursor:
        for table in TABLES:
            from_ = f"(SELECT * FROM sinkside.{table})"  # noqa: S608 - our tables
            with cursor.copy(f"COPY {from_} TO STDOUT (FORMAT BINARY)") as copy:
                found[table] = [bytes(piece) for piece in copy], counts[table]
    return found


def _counts(admin: Login) -> dict[str, int]:
    with admin.open() as connection:
        rows = [connection.execute(f"SELECT count(*) FROM sinkside.{table}").fetchone() for table in TABLES]  # noqa: S608
    return {table: int(row[0]) for table, row in zip(TABLES, rows, strict=True) if row}


def _raw(admin: Login, ready: dict[str, tuple[list[bytes], int]]) -> None:
    with psycopg.connect(admin.conninfo) as connection, connection.cursor() as cursor:
        for table, (pieces, _) in ready.items():
            with cursor.copy(f"COPY sinkside.{table} FROM STDIN (FORMAT BINARY)") as copy:
                for piece in pieces:
                    copy.write(piece)


if __name__ == "__main__":
    for what, ours, base, limit in measure(int(sys.argv[1]) if len(sys.argv) > 1 else EVENTS):
        print(f"{what}: {ours:.0f} ms against {base:.0f} ms, ratio {ours / base:.2f} (limit {limit})")  # noqa: T201
