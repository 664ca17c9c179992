"""A database made ready to be the shared record: groups of roles, tables, rules, months ahead, a keeper."""

from __future__ import annotations

import secrets
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from trainer.record.shared.migrations import LOCK, SQL, migrate
from trainer.record.shared.troubles import SharedTrouble
from trainer.run.frozen import frozen

if TYPE_CHECKING:
    import psycopg

LEAST_SERVER: Final = 150000
"""Tried with 15 and 16. From 15 on nobody but the owner may make tables in the schema public."""
MONTHS_AHEAD: Final = 14
"""A school year and two months: whoever forgets to make months for a year still has them."""


@frozen
class SetUp:
    """What was done: the schema's number, and how many events were moved into months of their own."""

    schema: int
    moved: int


def setup(connection: psycopg.Connection[tuple[Any, ...]], where: str, today: date) -> SetUp:
    """Make groups, tables and rules, or bring them up to date; doing it again changes nothing.

    The connection is of whoever owns the database and may make roles. Raises SharedTrouble.
    """
    if connection.info.server_version < LEAST_SERVER:
        raise SharedTrouble(
            f"The server at {where} is PostgreSQL {connection.info.server_version // 10000}; the shared "
            f"record needs {LEAST_SERVER // 10000} or newer."
        )
    with connection.transaction():
        connection.execute("SELECT pg_advisory_xact_lock(%s)", (LOCK,))
        connection.execute((SQL / "roles.sql").read_text("utf-8"))
    number = migrate(connection, where)
    return SetUp(number, make_months(connection, today))


def make_months(
    connection: psycopg.Connection[tuple[Any, ...]], today: date, ahead: int = MONTHS_AHEAD
) -> int:
    """Make the partitions from last month on; how many events were moved into them."""
    year, month = divmod(today.year * 12 + today.month - 2, 12)
    row = connection.execute(
        "SELECT sinkside.make_months(%s, %s)", (date(year, month + 1, 1), ahead + 2)
    ).fetchone()
    return int(row[0]) if row else 0


def new_password() -> str:
    """192 random bits in signs that need no quoting anywhere."""
    return secrets.token_urlsafe(24)


def verifier(connection: psycopg.Connection[tuple[Any, ...]], role: str, password: str) -> str:
    """What the server keeps of a password (SCRAM-SHA-256, RFC 7677): the password itself never goes there."""
    made: bytes = connection.pgconn.encrypt_password(password.encode(), role.encode(), b"scram-sha-256")
    return made.decode("ascii")


def own_role(connection: psycopg.Connection[tuple[Any, ...]], kind: str, name: str) -> str:
    """What a login is called at the server, whose roles all its databases share: with this one's number."""
    row = connection.execute("SELECT sinkside.own_role(%s, %s)", (kind, name)).fetchone()
    return str(row[0]) if row else ""


def older_keeper(connection: psycopg.Connection[tuple[Any, ...]], name: str) -> str:
    """The role that an earlier Sinkside made for such a keeper, where it is still let in; else empty."""
    row = connection.execute(
        "SELECT rolname FROM pg_roles WHERE rolname = %s AND rolcanlogin", (f"sinkside_keeper_{name}",)
    ).fetchone()
    return str(row[0]) if row else ""


def add_keeper(connection: psycopg.Connection[tuple[Any, ...]], name: str) -> tuple[str, str]:
    """Make a login for a record keeper, or give it a new password: its role and password.

    The connection is of whoever set the database up. Raises SharedTrouble.
    """
    from psycopg import sql

    if not (name.isascii() and name.isidentifier() and name.islower() and len(name) <= 30):
        raise SharedTrouble(
            "A keeper is called by small letters, digits and underlines, for instance office."
        )
    role, password = own_role(connection, "keeper", name), new_password()
    there = connection.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", (role,)).fetchone()
    words = "ALTER ROLE {} LOGIN PASSWORD {}" if there else "CREATE ROLE {} LOGIN PASSWORD {}"
    with connection.transaction():
        kept = sql.Literal(verifier(connection, role, password))
        connection.execute(sql.SQL(words).format(sql.Identifier(role), kept))
        connection.execute(sql.SQL("GRANT sinkside_keeper TO {}").format(sql.Identifier(role)))
        into = (sql.Identifier(connection.info.dbname), sql.Identifier(role))
        connection.execute(sql.SQL("GRANT CONNECT, TEMPORARY ON DATABASE {} TO {}").format(*into))
    return role, password
