"""The findings of 1,000,000 attempts, which some 5,000,000 events make, from the shared record within 2 GB.

A PostgreSQL is started, a school drawn (`synthetic`), and its tables for reading put into the shared record.
A process of its own then reads them and makes the review. The baseline of its time is the review alone.
`python tests/bench/shared_review.py ATTEMPTS` does it for as many attempts.
"""

from __future__ import annotations

import subprocess
import sys
import time
from datetime import UTC, date, datetime
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "shared"))

import polars as pl
import synthetic
from memory import memory_peak
from postgres_kit import PLAIN, Postgres

from trainer.insight.frames import AT, SCHEMAS
from trainer.insight.read import read
from trainer.insight.results import Wanted
from trainer.insight.review import review
from trainer.record.shared import stations
from trainer.record.shared.address import SharedAddress, parse_address, read_credential, write_credential
from trainer.record.shared.connecting import connected
from trainer.record.shared.setup import add_keeper, setup

if TYPE_CHECKING:
    from trainer.record.shared.connecting import Connection

ATTEMPTS = 1_000_000
SEED = 7
MEMORY = 2000.0
"""Reading and reviewing take no more MB."""
RATIO = 4.0
"""Of the time of both against the review alone."""
NOW = datetime(2027, 2, 15, tzinfo=UTC)
_MORE: dict[str, dict[str, str | int]] = {
    "runs": {"language": "en", "events": 300},
    "readings": {"typed": "", "typed_unit": ""},
}
"""Columns of a record that findings do not want."""


def full(server: Postgres, attempts: int) -> str:
    """A shared record with a school's tables for reading; the reviewer's address."""
    admin = parse_address(server.address(), source="the bench", secret_place=True)
    with connected(admin, check=False) as connection:
        setup(connection, admin.shown, date(2027, 2, 15))
        add_keeper(connection, "office")
        place, *_ = stations.register(connection, "North", "sink 1")
        role, password = stations.add_reviewer(connection, "room", ["North"])
        frames = synthetic.frames(attempts, SEED)
        for table in SCHEMAS:
            _copy(connection, table, getattr(frames, table), place.site)
        connection.execute("VACUUM ANALYZE")
    return server.address(role, password)


def _copy(connection: Connection, table: str, frame: pl.DataFrame, site: str) -> None:
    """The rows of a frame as a station would have sent them."""
    times = [name for name, kind in frame.schema.items() if kind == AT]
    truths = [name for name, kind in frame.schema.items() if kind == pl.Boolean]
    rows = frame.with_columns(
        pl.lit(site).alias("site"),
        *(pl.col(name).dt.strftime("%Y-%m-%dT%H:%M:%S%.3fZ") for name in times),
        *(pl.col(name).cast(pl.Int64) for name in truths),
        *(pl.lit(value).alias(name) for name, value in _MORE.get(table, {}).items()),
    )
    names = ", ".join(f'"{name}"' for name in rows.columns)
    copying = f"COPY sinkside.{table} ({names}) FROM STDIN (FORMAT csv, NULL '\\N')"
    with connection.cursor() as cursor, cursor.copy(copying.encode()) as taken:
        for part in rows.iter_slices(100_000):
            text = BytesIO()
            part.write_csv(text, include_header=False, null_value="\\N")
            taken.write(text.getvalue())


def alone(address: str, folder: Path) -> tuple[float, float, float]:
    """Seconds of processor to read, to review, and the peak of MB, of a process that does nothing else."""
    credential = folder / "room.conf"
    given = parse_address(address, source="the bench", secret_place=True)
    write_credential(credential, address.replace(f":{given.password}@", "@"), given.password or "", "bench")
    done = subprocess.run(
        [sys.executable, __file__, "read", str(credential)], check=True, capture_output=True, text=True
    )
    reading, reviewing, peak = map(float, done.stdout.split()[-3:])
    return reading, reviewing, peak


def measured(attempts: int) -> tuple[float, float, float]:
    """As `alone`, with a server of its own."""
    with TemporaryDirectory() as name, Postgres(PLAIN) as server:
        return alone(full(server, attempts), Path(name))


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours, baseline, limit of the ratio)."""
    reading, reviewing, peak = measured(ATTEMPTS)
    return [
        (
            "shared record, read and reviewed / review alone",
            (reading + reviewing) * 1000,
            reviewing * 1000,
            RATIO,
        ),
        ("memory of 5,000,000 events reviewed, MB: limit", peak, MEMORY, 1.0),
    ]


def one_review(address: SharedAddress) -> None:
    """Read and review; print the seconds of processor of both and this process's peak of memory in MB."""
    begun = time.process_time()
    record = read(address)
    read_at = time.process_time()
    review(record.frames, synthetic.facts(), Wanted(), NOW)
    peak = memory_peak()
    print(f"{read_at - begun:.2f} {time.process_time() - read_at:.2f} {peak:.0f}")  # noqa: T201


def main() -> None:
    """One review, or all of it for as many attempts as are named."""
    if sys.argv[1] == "read":
        one_review(read_credential(Path(sys.argv[2])))
        return
    reading, reviewing, peak = measured(int(sys.argv[1]))
    print(f"{reading:.1f} s to read, {reviewing:.1f} s to review, {peak:.0f} MB")  # noqa: T201


if __name__ == "__main__":
    main()
