"""The shared record's schema, brought up to date step by step, each step in one transaction."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from trainer.record.shared.troubles import WrongSchema

if TYPE_CHECKING:
    import psycopg

SQL: Final = Path(__file__).parent / "sql"
MIGRATIONS: Final = ("tables", "for_reading", "guards", "rules", "registering", "cursors", "settling")
"""In order; number n is `sql/000n_NAME.sql`. One that a database has seen is never changed or taken out."""

LOCK: Final = 0x53_49_4E_4B
"""What two keepers who set up at once wait for."""


def source(number: int) -> str:
    """The statements of a migration, counted from 1."""
    return (SQL / f"{number:04}_{MIGRATIONS[number - 1]}.sql").read_text("utf-8")


def applied(connection: psycopg.Connection[tuple[Any, ...]]) -> int:
    """How many migrations the database has seen; 0 where it is not set up."""
    if connection.execute("SELECT to_regclass('sinkside.migrations')").fetchone() == (None,):
        return 0
    row = connection.execute("SELECT coalesce(max(number), 0) FROM sinkside.migrations").fetchone()
    return int(row[0]) if row else 0


def check_schema(connection: psycopg.Connection[tuple[Any, ...]], where: str) -> None:
    """Raise WrongSchema unless the database has exactly the schema of this program."""
    number = applied(connection)
    if number == 0:
        raise WrongSchema(
            f"The database at {where} is not set up as a shared record. The record keeper does that with "
            "`sinkside record shared setup`."
        )
    if number < len(MIGRATIONS):
        raise WrongSchema(
            f"The shared record at {where} has schema {number}, and this Sinkside wants {len(MIGRATIONS)}. "
            "The record keeper brings it up to date with `sinkside record shared setup`."
        )
    refuse_newer(number, where)


def refuse_newer(number: int, where: str) -> None:
    """Raise WrongSchema where the database was set up by a newer Sinkside."""
    if number > len(MIGRATIONS):
        raise WrongSchema(
            f"The shared record at {where} was set up by a newer Sinkside (schema {number}; this one knows "
            f"{len(MIGRATIONS)}). Install the newer version here; nothing was changed."
        )


def migrate(connection: psycopg.Connection[tuple[Any, ...]], where: str) -> int:
    """Apply what is missing, as `sinkside_owner`; how many there are. Raises WrongSchema for a newer one."""
    while True:
        with connection.transaction():
            connection.execute("SELECT pg_advisory_xact_lock(%s)", (LOCK,))
            connection.execute("SET LOCAL ROLE sinkside_owner")
            _begin(connection)
            number = applied(connection)  # again, now that no other keeper can set up in between
            refuse_newer(number, where)
            if number == len(MIGRATIONS):
                return number
            connection.execute(source(number + 1))
            connection.execute(
                "INSERT INTO sinkside.migrations (number, name) VALUES (%s, %s)",
                (number + 1, MIGRATIONS[number]),
            )


def _begin(connection: psycopg.Connection[tuple[Any, ...]]) -> None:
    connection.execute(
        "CREATE TABLE IF NOT EXISTS sinkside.migrations "
        "(number integer PRIMARY KEY, name text NOT NULL, at timestamptz NOT NULL DEFAULT now())"
    )
    for group in ("station", "reviewer", "keeper"):
        connection.execute(f"GRANT USAGE ON SCHEMA sinkside TO sinkside_{group}")
        connection.execute(f"GRANT SELECT ON sinkside.migrations TO sinkside_{group}")
