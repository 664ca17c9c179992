"""What tests of the shared record share: a server, a database with two schools, real logins for all."""

from __future__ import annotations

import atexit
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

import psycopg
import pytest
from postgres_kit import MADE_FOR_SPEED, NoPostgres, Postgres, or_skip
from psycopg.conninfo import make_conninfo

from trainer.record import schema
from trainer.record.shared import stations
from trainer.record.shared.address import SharedAddress, parse_address
from trainer.record.shared.connecting import connected
from trainer.record.shared.setup import add_keeper, setup
from trainer.record.shared.stations import Place

if TYPE_CHECKING:
    from trainer.record.shared.connecting import Connection

TODAY = date(2026, 3, 2)
_NUMBERS = count(1)


@cache
def running() -> Postgres:
    """One server for all tests of a process. It writes every statement down, to be searched for secrets."""
    told = ("log_statement=all", "log_connections=on", "log_min_messages=info")
    try:
        begun = Postgres((*MADE_FOR_SPEED, *told)).__enter__()
    except NoPostgres as reason:
        or_skip(reason)
        raise
    atexit.register(begun.__exit__, None, None, None)
    return begun


@pytest.fixture(scope="session")
def server() -> Postgres:
    """One server for all tests of a process. Import it into a test module to use it."""
    return running()


@dataclass(frozen=True)
class Login:
    """A credential: what connects with it. place: of a station."""

    address: SharedAddress
    place: Place | None = None

    @property
    def site(self) -> str:
        """The id of a station."""
        assert self.place is not None
        return self.place.site

    @property
    def conninfo(self) -> str:
        """For the driver and for programs."""
        return make_conninfo("", **self.address.settings, password=self.address.password)

    @contextmanager
    def open(self) -> Iterator[Connection]:
        """A connection; errors inside are the driver's own, to be looked at."""
        with psycopg.connect(self.conninfo, autocommit=True) as one:
            yield one


@dataclass(frozen=True)
class Shared:
    """A database that is set up. North has the stations `one` and `two`, south has `far`."""

    server: Postgres
    database: str
    admin: Login
    keeper: Login
    one: Login
    two: Login
    far: Login
    reviewer: Login
    """Of north only."""

    def url(self, login: Login) -> str:
        """The address of a login, with its password: as SINKSIDE_SHARED could have it."""
        return self.server.address(login.address.user, login.address.password or "", self.database)


def login(server: Postgres, database: str, role: str, password: str, place: Place | None = None) -> Login:
    """A credential for a database of a server."""
    given = server.address(role, password, database)
    address = parse_address(given, source="the test", secret_place=True)
    return Login(address, place)


def made(server: Postgres) -> Shared:
    """A new database on the server, set up, with its people and stations."""
    database = f"school_{os.getpid()}_{next(_NUMBERS)}"
    with psycopg.connect(server.address(), autocommit=True) as first:
        first.execute(f"CREATE DATABASE {database}")
    admin = Login(parse_address(server.address(database=database), source="the test", secret_place=True))
    with connected(admin.address, check=False) as connection:
        setup(connection, admin.address.shown, TODAY)
        keeper = login(server, database, *add_keeper(connection, "office"))
    with connected(keeper.address) as connection:
        known = {}
        for name, school in (("sink 1", "North"), ("sink 2", "North"), ("sink 1", "South")):
            place, role, password = stations.register(connection, school, name)
            known[place.words] = login(server, database, role, password, place)
        reviewer = login(server, database, *stations.add_reviewer(connection, "room", ["North"]))
    one, two, far = known.values()
    return Shared(server, database, admin, keeper, one, two, far, reviewer)


@pytest.fixture
def shared(server: Postgres) -> Shared:
    """A database of the test's own. Import `server` beside it."""
    return made(server)


# What is read of a record for each table, and what happens to a row that is there.
_TOLD = (
    ("contacts", "SELECT key_fingerprint, runs, erasures FROM station", "site"),
    ("events", "SELECT run, seq, id, stored, digest, head, person, salt, body FROM events", ""),
    ("heads", "SELECT run, number, opened, count, head, marked FROM heads", "site, run"),
    ("procedures", "SELECT content_hash, procedure, revision, source, kept_at FROM procedures", ""),
    ("erasures", "SELECT 'station' AS origin, number, at, run, seqs, mac FROM erasures", ""),
    *((table, f"SELECT * FROM {table}", "") for table in schema.READ),  # noqa: S608 - our tables
)


def carry(record: Path, to: Login) -> None:
    """Put all that a record holds into the shared one with the station's credential, in one transaction.

    The plainest way there is, so that the server's side is tested by itself; stations forward in batches.
    """
    with closing(sqlite3.connect(record)) as source, to.open() as target, target.transaction():
        for table in schema.READ:
            target.execute(f"DELETE FROM sinkside.{table}")  # noqa: S608 - our tables
        for table, question, key in _TOLD:
            rows = source.execute(question)
            names = [column[0] for column in rows.description]
            grows = ", ".join(f"{name} = excluded.{name}" for name in names if name not in key)
            known = f"({key}) DO UPDATE SET {grows}" if key else "DO NOTHING"
            with target.cursor() as cursor:
                for row in rows:
                    cursor.execute(
                        *insert(table, {"site": to.site, **dict(zip(names, row, strict=True))}, known)
                    )


def insert(table: str, row: dict[str, Any], known: str = "DO NOTHING") -> tuple[Any, dict[str, Any]]:
    """The statement that puts one row into a table of the shared record, and its values."""
    names = ", ".join(f'"{name}"' for name in row)
    values = ", ".join(f"%({name})s" for name in row)
    if table == "events":
        names, values = f"{names}, month", f"{values}, sinkside.month_of(%(id)s)"
    return f"INSERT INTO sinkside.{table} ({names}) VALUES ({values}) ON CONFLICT {known}", row  # noqa: S608
