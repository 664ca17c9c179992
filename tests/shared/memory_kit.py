"""A shared record in memory, and a record whose statements fail when they are told to.

So that every call of a forwarder, to the one side and to the other, can be counted, fail, or stand still.
What a real server makes of the same is tested beside it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from unittest.mock import patch

from trainer.record import store
from trainer.record.shared import batches, forwarder
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.batches import Batch, KeptEvent, Row
from trainer.record.shared.cursor import Cursor
from trainer.record.shared.forward import Kept, Request

ADDRESS = SharedAddress({"host": "127.0.0.1", "dbname": "memory"}, "the test")
SITE = "00000000-0000-0000-0000-00000000000a"


class Counted:
    """Calls are counted; the k-th fails, before it is done or after."""

    def __init__(self) -> None:
        self.made = 0
        self.fired = ""
        """The call that failed since the last `break_at`; '' where none did."""
        self._left = 0
        self._late = False
        self._error: Callable[[], Exception] | None = None

    def break_at(self, call: int, error: Callable[[], Exception], *, late: bool = False) -> None:
        """From now on the `call`-th call (from 1) fails, once."""
        self._left, self._error, self._late, self.fired = call, error, late, ""

    @contextmanager
    def call(self, name: str) -> Iterator[None]:
        """One call."""
        self.made += 1
        self._left -= 1
        fails = self._error is not None and self._left == 0
        if fails:
            self.fired = name
        if fails and not self._late and self._error is not None:
            raise self._error()
        yield
        if fails and self._late and self._error is not None:
            raise self._error()


@dataclass
class Elsewhere:
    """The shared record: its events by id, where the station is forwarded to. still: called in every call."""

    events: dict[str, KeptEvent] = field(default_factory=dict)
    to: Cursor | None = None
    calls: Counted = field(default_factory=Counted)
    still: Callable[[str], None] = lambda _: None

    @contextmanager
    def call(self, name: str) -> Iterator[None]:
        """One call over the line."""
        with self.calls.call(name):
            self.still(name)
            yield


class Line:
    """A connection that is none."""

    def close(self) -> None:
        """Nothing is open."""

    def fileno(self) -> int:
        """There is no socket."""
        raise OSError("There is no socket.")


class Taking:
    """As `forward.Taking`, over memory."""

    def __init__(self, there: Elsewhere) -> None:
        self._there = there
        with there.call("who is there"):
            self.site = SITE
            self.sources: set[str] = set()

    def cursor(self) -> Cursor | None:
        """How far it is forwarded."""
        with self._there.call("cursor"):
            return self._there.to

    def requests(self) -> list[Request]:
        """Nobody is to be erased."""
        with self._there.call("requests"):
            return []

    def open_conflicts(self) -> int:
        """There are none."""
        with self._there.call("open conflicts"):
            return 0

    def contact(self, station: Row, invented: str, program: str, clock: str) -> None:
        """Nothing is kept of it."""
        with self._there.call("contact"):
            del station, invented, program, clock

    def made_ready(self, batch: Batch) -> Batch:
        """As it is."""
        return batch

    def keep(self, batch: Batch, waiting: frozenset[int], meanwhile: Callable[[], None]) -> Kept:
        """Keep one piece; what is known changes nothing."""
        with self._there.call("keep"):
            del waiting
            meanwhile()
            fresh = [one for one in map(KeptEvent._make, batch.events) if one.id not in self._there.events]
            self._there.events.update((one.id, one) for one in fresh)
            self._there.to = batch.cursor
            return Kept(len(fresh), 0)


@contextmanager
def forwarding_to(there: Elsewhere) -> Iterator[None]:
    """Inside, every forwarder reaches memory and no server."""

    def connect(address: SharedAddress, *, ended: Future[None]) -> Line:
        del address, ended
        with there.call("connect"):
            return Line()

    def taking(_: Line) -> Taking:
        return Taking(there)

    with patch.object(forwarder, "connect", connect), patch.object(forwarder, "Taking", taking):
        yield


class Refusing(sqlite3.Connection):
    """A connection whose statements are counted, and fail when they are told to."""

    calls: Counted

    def execute(self, *asked: object) -> sqlite3.Cursor:
        """One statement."""
        with self.calls.call(str(asked[0])):
            return super().execute(*asked)  # type: ignore[arg-type]  # as above


@contextmanager
def refusing(calls: Counted) -> Iterator[None]:
    """Inside, every opening of a record for writing and every statement goes through `calls`."""

    def opened(path: Path) -> sqlite3.Connection:
        with calls.call("open"):
            uri = f"{path.absolute().as_uri()}?mode=rw"
            connection = sqlite3.connect(
                uri, uri=True, isolation_level=None, check_same_thread=False, factory=Refusing
            )
        connection.calls = calls
        return connection

    with patch.object(store, "opened", opened), patch.object(batches, "opened", opened):
        yield


def sqlite_error(code: int, words: str) -> Callable[[], Exception]:
    """What makes an error as SQLite's own: code 0 for one without."""

    def made() -> Exception:
        error = sqlite3.OperationalError(words)
        if code:
            error.sqlite_errorcode = code
        return error

    return made
