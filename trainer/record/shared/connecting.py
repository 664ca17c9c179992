"""Connections to the shared record: short to fail, alive or told so, everything in UTC and UTF-8."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from concurrent.futures import Future
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any

from trainer.record.shared.address import SharedAddress
from trainer.record.shared.host_names import with_addresses
from trainer.record.shared.migrations import check_schema
from trainer.record.shared.troubles import shared_troubles

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]
    """Rows are tuples of whatever the columns hold."""

CONNECT_SECONDS = 10
_ALIVE = {
    "connect_timeout": str(CONNECT_SECONDS),
    "keepalives_idle": "30",
    "keepalives_interval": "10",
    "keepalives_count": "3",
    "tcp_user_timeout": "60000",  # ms: a cable pulled in the middle of a batch shows within a minute
    "application_name": "sinkside",
    "client_encoding": "UTF8",
    "options": "-c timezone=UTC -c datestyle=ISO -c lock_timeout=60s",
}


def connect(address: SharedAddress, *, check: bool = True, ended: Future[None] | None = None) -> Connection:
    """Open a connection (autocommit: use `connection.transaction()`); close it, or use `with`.

    check: that the database is set up for this program. ended: once it is, no name is waited for any longer.
    Raises SharedTrouble: Unreachable, NotLetIn, WrongSchema, each a sentence without a secret.
    """
    import psycopg

    settings = {**_ALIVE, **address.settings}
    with shared_troubles(address.shown):
        settings = with_addresses(settings, _seconds(settings), Future() if ended is None else ended)
        connection = psycopg.connect(
            **settings,  # type: ignore[arg-type]  # parameters of libpq, each a text
            password=address.password,
            autocommit=True,
            prepare_threshold=None,  # a pooler in between may know nothing of prepared statements
        )
        with ExitStack() as undone:
            undone.callback(connection.close)
            if check:
                check_schema(connection, address.shown)
            undone.pop_all()
    return connection


def _seconds(settings: Mapping[str, str]) -> float:
    """How long a name is waited for: as long as a connection; the usual where that has no limit."""
    try:
        seconds = int(settings["connect_timeout"])
    except ValueError:  # no number: the driver says so
        return CONNECT_SECONDS
    return seconds if seconds > 0 else CONNECT_SECONDS


@contextmanager
def connected(address: SharedAddress, *, check: bool = True) -> Iterator[Connection]:
    """A connection for a while; errors inside are SharedTrouble too."""
    connection = connect(address, check=check)
    with shared_troubles(address.shown), connection:
        yield connection


def site_of(connection: Connection) -> str | None:
    """The id of the station whose credential this is; None for a reviewer, a keeper or a retired station."""
    row = connection.execute("SELECT sinkside.my_site()").fetchone()
    return None if row is None or row[0] is None else str(row[0])
