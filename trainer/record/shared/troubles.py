"""What can go wrong with the shared record, as sentences. No secret is ever in one."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, ClassVar

from trainer.run.ports import Trouble

if TYPE_CHECKING:
    import psycopg


class SharedTrouble(Trouble):
    """The shared record could not be read or written; what stands at the station is not touched."""

    passing: ClassVar[bool] = False
    """Whether it may be gone by itself a little later."""


class Unreachable(SharedTrouble):
    """No answer: no network, the server is down, starting or busy, the connection broke, its disk is full."""

    passing = True


class NotLetIn(SharedTrouble):
    """The credential is not taken, or has no right to what was asked."""


class WrongSchema(SharedTrouble):
    """The database is not set up, or by a newer or an older Sinkside."""


_PASSING = ("08", "53", "57", "40", "58", "55P03")
"""SQLSTATE classes (PostgreSQL manual, appendix A): connection, resources, operator, rollback, disk."""


@contextmanager
def shared_troubles(where: str) -> Iterator[None]:
    """Inside, every error of the driver becomes a SharedTrouble. where: the server as shown to people."""
    import psycopg

    try:
        yield
    except psycopg.Error as error:
        # The driver's own words are not chained: they may quote what was sent.
        raise trouble_of(error, where) from None


def trouble_of(error: psycopg.Error, where: str) -> SharedTrouble:
    """The sentence for an error of the driver."""
    import psycopg

    state = error.sqlstate or ""
    if state == "53100":
        return Unreachable(f"The disk of the shared record at {where} is full. It is tried again later.")
    if state[:2] == "28" or _not_let_in(error):
        return NotLetIn(
            f"The shared record at {where} does not take this credential. It may have been renewed or "
            "retired: ask the record keeper."
        )
    if state == "42501":
        return NotLetIn(f"The shared record at {where} does not let this credential do that. {_words(error)}")
    if state in {"42P01", "3F000", "3D000", "42883"}:
        return WrongSchema(
            f"The database at {where} is not set up as a shared record. The record keeper does that with "
            "`sinkside record shared setup`."
        )
    if state.startswith(_PASSING) or (not state and isinstance(error, psycopg.OperationalError)):
        return Unreachable(f"The shared record at {where} cannot be reached now. {_words(error)}")
    return SharedTrouble(f"The shared record at {where} refused what was asked. {_words(error)}")


def _not_let_in(error: psycopg.Error) -> bool:
    """A refusal while connecting has no SQLSTATE with every libpq; the words are the server's, in English."""
    said = str(error)
    refusals = (
        "password authentication failed",
        "is not permitted to log in",
        "permission denied for database",
    )
    return any(words in said for words in refusals)


def _words(error: psycopg.Error) -> str:
    """The server's or the library's own first line, without the detail that may quote rows."""
    first = error.diag.message_primary or (str(error).splitlines() or [""])[0]
    return f"({first.strip()})" if first.strip() else ""
