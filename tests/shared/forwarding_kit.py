"""What tests of forwarding share: a contact, and a record held against what the shared one has of it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from record_kit import Station
from shared_kit import Login, Shared

from trainer.record import schema
from trainer.record.chain import read_key
from trainer.record.shared.address import conf_path, write_credential
from trainer.record.shared.connecting import connected
from trainer.record.shared.forwarder import Contact, Forwarder
from trainer.record.shared.verifying import verify

Rows = list[tuple[object, ...]]

_EVENTS = "SELECT run, seq, id, stored, digest, head, person, salt, body FROM events ORDER BY run, seq"
_HERE = {
    "events": _EVENTS,
    "heads": "SELECT run, number, opened, count, head, marked FROM heads ORDER BY run",
    "procedures": "SELECT content_hash, procedure, revision, source, kept_at FROM procedures ORDER BY 1",
    "erasures": "SELECT number, at, run, seqs, mac FROM erasures ORDER BY number",
    **{table: f"SELECT * FROM {table} ORDER BY 1, 2" for table in schema.READ},  # noqa: S608 - our tables
}


def forwarded(station: Station, to: Login) -> Contact:
    """One contact of a station with a credential."""
    return Forwarder(station.path, to.address, station.clock).contact()


def as_station(record: Path, shared: Shared, login: Login) -> None:
    """Put the credential where a station has it."""
    address = f"postgresql://{login.address.user}@127.0.0.1:{shared.server.port}/{shared.database}"
    write_credential(conf_path(record), address, login.address.password or "", "a test's")


def compare(record: Path, shared: Shared, login: Login | None = None) -> list[str]:
    """Every table of which the shared record has not exactly what the record has, with how many rows."""
    return list(_compare(record, shared, login or shared.one))


def _compare(record: Path, shared: Shared, login: Login) -> Iterator[str]:
    with closing(sqlite3.connect(record)) as here, connected(shared.admin.address) as there:
        for table, question in _HERE.items():
            wanted: Rows = here.execute(question).fetchall()
            columns = ", ".join(f'"{name}"' for name in _names(here, question))
            more = "AND origin = 'station'" if table == "erasures" else ""
            found: Rows = there.execute(
                f"SELECT {columns} FROM sinkside.{table} WHERE site = %s {more}",  # noqa: S608 - our tables
                (login.site,),
            ).fetchall()
            if table == "events":
                found = [(*row[:2], str(row[2]), *row[3:]) for row in found]
            missing, extra = set(wanted) - set(found), set(found) - set(wanted)
            if missing or extra or len(wanted) != len(found):
                yield (
                    f"{table}: {len(wanted)} here, {len(found)} there, {len(missing)} missing, "
                    f"{len(extra)} other"
                )


def _names(connection: sqlite3.Connection, question: str) -> list[str]:
    return [column[0] for column in connection.execute(f"{question} LIMIT 0").description]


def wrong(shared: Shared, *records: Path) -> list[str]:
    """What `shared verify` finds, with the keys of these records: links followed, tables made again."""
    keys = [key for record in records if (key := read_key(record)) is not None]
    assert len(keys) == len(records)
    with connected(shared.keeper.address) as keeper:
        report = verify(keeper, keys=keys)
    return [finding.message for finding in report.findings if finding.severity == "problem"]
