"""What tests of the shared record share: a server, a database with two schools, and real logins for everybody."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import psycopg
import pytest
from postgres_server import NoServer, Server

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


def started(settings: dict[str, str] | None = None) -> Server:
    """A server that answers. Where none can be started: skips with the reason; in CI that is a failure."""
    try:
        server = Server() if settings is None else Server(settings)
        server.start()
    except (NoServer, OSError) as reason:
        if os.environ.get("SINKSIDE_CI"):
            pytest.fail(f"PostgreSQL cannot be started: {reason}")
        pytest.skip(f"PostgreSQL cannot be started: {reason}")
    return server


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """One server for all tests of a process. Import it into a test module to use it."""
    running = started()
    yield running
    running.remove()


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

    @contextmanager
    def open(self) -> Iterator[Connection]:
        """A connection; errors inside are the driver's own, to be looked at."""
        with psycopg.connect(**self.address.settings, password=self.address.password, autocommit=True) as one:  # type: ignore[arg-type]
            yield one


@dataclass(frozen=True)
class Shared:
    """A database that is set up. North has the stations `one` and `two`, south has `far`."""

    server: Server
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
        return self.server.url(self.database, quote(login.address.user), login.address.password)


def login(server: Server, database: str, role: str, password: str, place: Place | None = None) -> Login:
    """A credential for a database of a server."""
    address = parse_address(server.url(database, role, None), source="the test", password=password)
    return Login(address, place)


def made(server: Server) -> Shared:
    """A new database on the server, set up, with its people and stations."""
    database = f"school_{os.getpid()}_{next(_NUMBERS)}"
    with psycopg.connect(server.url(), autocommit=True) as first:
        first.execute(f"CREATE DATABASE {database}")  # type: ignore[arg-type]
    admin = Login(parse_address(server.url(database), source="the test", secret_place=True))
    with connected(admin.address, check=False) as connection:
        setup(connection, admin.address.shown, TODAY)
        keeper = login(server, database, *add_keeper(connection, "office"))
    with connected(keeper.address) as connection:
        known = {}
        for name, school in (("sink 1", "North"), ("sink 2", "North"), ("sink 1", "South")):
            place, role, password = stations.register(connection, school, name)
            known[place.words] = login(server, database, role, password, place)
        reviewer = login(server, database, *stations.add_reviewer(connection, "room", ["North"]))
    return Shared(server, database, admin, keeper, *known.values(), reviewer)


@pytest.fixture
def shared(server: Server) -> Shared:
    """A database of the test's own. Import `server` beside it."""
    return made(server)


_EVENT = ("run", "seq", "id", "stored", "digest", "head", "person", "salt", "body")


def carry(record: Path, to: Login) -> None:
    """Put all that a record holds into the shared one with the station's credential, in one transaction.

    The plainest way there is, so that the server's side is tested by itself; stations forward in batches.
    """
    with closing(sqlite3.connect(record)) as source, to.open() as target, target.transaction():
        told = source.execute("SELECT key_fingerprint, runs, erasures FROM station").fetchone()
        target.execute(
            "INSERT INTO sinkside.contacts (site, key_fingerprint, runs, erasures) VALUES (%s, %s, %s, %s) "
            "ON CONFLICT (site) DO UPDATE SET key_fingerprint = excluded.key_fingerprint, "
            "runs = excluded.runs, erasures = excluded.erasures",
            (to.site, *told),
        )
        _rows(target, to, "events", _EVENT, source.execute(f"SELECT {', '.join(_EVENT)} FROM events"))  # noqa: S608
        heads = ("run", "number", "opened", "count", "head", "marked")
        grows = (
            "(site, run) DO UPDATE SET count = excluded.count, head = excluded.head, marked = excluded.marked"
        )
        _rows(target, to, "heads", heads, source.execute(f"SELECT {', '.join(heads)} FROM heads"), grows)  # noqa: S608
        sources = ("content_hash", "procedure", "revision", "source", "kept_at")
        _rows(
            target, to, "procedures", sources, source.execute(f"SELECT {', '.join(sources)} FROM procedures")
        )  # noqa: S608
        lines = ("origin", "number", "at", "run", "seqs", "mac")
        _rows(
            target,
            to,
            "erasures",
            lines,
            source.execute("SELECT 'station', number, at, run, seqs, mac FROM erasures"),
        )
        for table in schema.READ:
            rows = source.execute(f"SELECT * FROM {table}")  # noqa: S608
            columns = tuple(column[0] for column in rows.description)
            target.execute(f"DELETE FROM sinkside.{table}")  # type: ignore[arg-type]  # noqa: S608
            _rows(target, to, table, columns, rows)


def _rows(
    target: Connection,
    to: Login,
    table: str,
    columns: tuple[str, ...],
    rows: Iterator[tuple[Any, ...]] | sqlite3.Cursor,
    conflict: str = "DO NOTHING",
) -> None:
    names = ", ".join(f'"{one}"' for one in ("site", *columns))
    places = ", ".join(["%s"] * (len(columns) + 1))
    if table == "events":
        names, places = f"{names}, month", f"{places}, sinkside.month_of(%s)"
    statement = f"INSERT INTO sinkside.{table} ({names}) VALUES ({places}) ON CONFLICT {conflict}"  # noqa: S608
    with target.cursor() as cursor:
        for row in rows:
            extra = (row[2],) if table == "events" else ()
            cursor.execute(statement, (to.site, *row, *extra))  # type: ignore[arg-type]
