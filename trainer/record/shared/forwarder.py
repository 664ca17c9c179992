"""A station's forwarding: one contact with the shared record after another.

A contact carries out what came down, sends all that waits, and says how it went. It can break at any point,
on either side: the next one goes on from what the shared record has.
"""

from __future__ import annotations

import os
import socket
import sqlite3
import threading
from collections.abc import Callable, Generator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, suppress
from functools import partial
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.record import about
from trainer.record.journal import StationJournal
from trainer.record.shared import cursor as cursors
from trainer.record.shared import state
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.batches import Batch, moment, next_batch, reading, together
from trainer.record.shared.coming_down import CarriedOut, carry_out, veiled
from trainer.record.shared.connecting import connect
from trainer.record.shared.cursor import SITE, Cursor
from trainer.record.shared.forward import AskedMeanwhile, Taking
from trainer.record.shared.one_at_a_time import alone
from trainer.record.shared.troubles import SharedTrouble, shared_troubles
from trainer.record.store import troubles
from trainer.run.frozen import frozen
from trainer.run.ports import Clock, JournalTrouble, Trouble

if TYPE_CHECKING:
    from trainer.record.shared.connecting import Connection

MOST_PIECES = 16
"""That go in one transaction: the next are read while the server keeps these. One after trouble, then four
times as many after each that was kept."""

SHOWN_MS = 1000
"""In the middle of a contact, it is shown so often how many still wait."""

_STATION = "SELECT key_fingerprint, runs, erasures FROM station"


@frozen
class Contact:
    """What a contact came to. new: events that the shared record had not. conflicts: that do not fit it.

    erased: events erased here since the record keeper asked. waits: why somebody is not erased yet.
    """

    new: int = 0
    conflicts: int = 0
    erased: int = 0
    waits: str = ""


Told = Callable[[Contact], None]
"""Called after every transaction with what the contact came to so far."""


class Stopped(Trouble):
    """Somebody asked the forwarder to end; all that was sent is kept."""


class Forwarder:
    """Forwards one record to one shared record. `stop` may be called from any thread."""

    def __init__(self, path: Path, address: SharedAddress, clock: Clock, *, most: int = MOST_PIECES) -> None:
        self._path = path
        self._address = address
        self._clock = clock
        self._most = most
        self._pieces = most
        self._open = 0  # conflicts that are not settled, as the last contact that went well was told
        self._ended: Future[None] = Future()
        self._line_lock = threading.RLock()  # a signal may ask to stop in the very thread that holds it
        self._line: Connection | None = None
        self._sent_to: Cursor | None = None

    def stop(self) -> None:
        """End at once, also in the middle of a wait for the other side: the line is cut."""
        with self._line_lock:
            if not self._ended.done():
                self._ended.set_result(None)
            if self._line is not None:
                _cut(self._line)

    def contact(self, told: Told = lambda _: None) -> Contact:
        """One contact. Raises Trouble: JournalTrouble, SharedTrouble, AnotherForwards, Stopped.

        How it went is kept in the record, as far as that can be written. Whatever the disk, the database or
        the driver may say, and nobody foresaw, is a Trouble too: it is told, and tried again.
        """
        with troubles(self._path), shared_troubles(self._address.shown):
            return self._contact(told)

    def _contact(self, told: Told) -> Contact:
        with alone(self._path), StationJournal(self._path, self._clock, make=False) as journal:
            before = _before(journal)
            done = Contact()
            self._sent_to = None

            def so_far(contact: Contact) -> None:
                nonlocal done
                done = contact
                told(contact)

            try:
                self._reached(journal, so_far)
            except SharedTrouble as trouble:
                self._pieces = 1
                if self._ended.done():
                    raise Stopped("Forwarding was ended.") from None
                self._keep(journal, before.at, str(trouble), before.conflicts + done.conflicts)
                raise
            self._keep(journal, self._clock.now().at, "", self._open)
            return done

    def _keep(self, journal: StationJournal, at: str, trouble: str, conflicts: int) -> None:
        """Keep how far and how the contact went, in one transaction: an act waits for each that is made."""
        with journal.changing() as (connection, _, _now):
            if self._sent_to is not None:
                cursors.write(connection, self._sent_to)
            state.write(connection, at, trouble, conflicts)

    def _reached(self, journal: StationJournal, told: Told) -> None:
        """A contact over one connection. Raises Trouble."""
        with closing(connect(self._address, ended=self._ended)) as line, shared_troubles(self._address.shown):
            self._hold(line)
            try:
                taking = Taking(line)
                _refuse_other(journal, taking.site)
                self._send(journal, taking, told)
            finally:
                self._hold(None)

    def _hold(self, line: Connection | None) -> None:
        with self._line_lock:
            self._line = line
            if line is not None and self._ended.done():
                _cut(line)

    def _send(self, journal: StationJournal, taking: Taking, told: Told) -> None:
        """Carry out what came down, then send all that waits."""
        new = conflicts = erased = 0
        shown = self._clock.now().ticks_ms
        with reading(self._path) as connection, troubles(self._path):
            self._say(connection, taking)  # first of all: its row is what a piece and a keeper's erasing lock
            sent = False
            while not sent:
                asked = carry_out(journal, taking)
                erased += asked.erased
                told(Contact(new, conflicts, erased, asked.why))
                try:
                    with closing(self._batches(connection, taking, asked)) as batches:
                        for batch, read_on in batches:
                            kept = taking.keep(batch, asked.numbers, read_on)
                            new, conflicts = new + kept.new, conflicts + kept.conflicts
                            told(Contact(new, conflicts, erased, asked.why))
                            self._pieces = min(self._most, self._pieces * 4)
                            self._sent_to = batch.cursor
                            now = self._clock.now().ticks_ms
                            if batch.more and now - shown >= SHOWN_MS:
                                shown = now
                                _count_down(journal, batch.cursor)
                    sent = True
                except AskedMeanwhile:  # what was read may hold what is to be erased: from the cursor again
                    sent = False
            self._say(connection, taking)
            self._open = taking.open_conflicts()

    def _batches(
        self, connection: sqlite3.Connection, taking: Taking, asked: CarriedOut
    ) -> Generator[tuple[Batch, Callable[[], None]]]:
        """All that waits; with each piece goes what has the next one read while the server is at work."""
        with moment(connection):
            cursor = cursors.agreed(connection, taking.cursor())
        ahead: dict[str, int] = {}
        with ThreadPoolExecutor(1, "sinkside-reading") as aside:
            batch = self._next(connection, cursor, taking, asked, ahead)
            while True:
                ahead.update(batch.ahead)
                after = partial(self._next, connection, batch.cursor, taking, asked, ahead)
                reading_on = _ReadingOn(partial(aside.submit, after) if batch.more else None)
                yield batch, reading_on.begin
                reading_on.begin()
                if reading_on.future is None:
                    return
                batch = reading_on.future.result()

    def _next(
        self,
        connection: sqlite3.Connection,
        cursor: Cursor,
        taking: Taking,
        asked: CarriedOut,
        ahead: Mapping[str, int],
    ) -> Batch:
        """As many pieces as go together now, ready to be sent.

        Each is read at a moment of its own, so that nobody waits long.
        """
        parts: list[Batch] = []
        known = dict(ahead)
        for _ in range(self._pieces):
            part = next_batch(connection, cursor, taking.sources, known)
            parts.append(part)
            cursor = part.cursor
            known.update(part.ahead)
            if not part.more:
                break
        return taking.made_ready(veiled(together(parts), asked.waiting))

    def _say(self, connection: sqlite3.Connection, taking: Taking) -> None:
        with moment(connection):
            station = connection.execute(_STATION).fetchone()
            invented = about.read(connection).get(about.INVENTED, "")
        if station is not None:
            taking.contact(station, invented, _program(), self._clock.now().at)


class _ReadingOn:
    """The next piece, read aside once somebody says so; future: None before, and where there is no other."""

    def __init__(self, submit: Callable[[], Future[Batch]] | None) -> None:
        self.future: Future[Batch] | None = None
        self._submit = submit

    def begin(self) -> None:
        """Begin to read; the second time nothing."""
        if self.future is None and self._submit is not None:
            self.future = self._submit()


def _before(journal: StationJournal) -> state.State:
    with journal.reading() as connection:
        return state.of(connection) or state.State("", 0, "", "", 0)


def _count_down(journal: StationJournal, cursor: Cursor) -> None:
    """Show in the middle of a contact how many still wait; what is sent is worth more than to show that."""
    try:
        with journal.changing() as (connection, _, _now):
            cursors.write(connection, cursor)
    except JournalTrouble:
        return  # on a full disk it goes on sending; the end of the contact writes again, and says so


def _refuse_other(journal: StationJournal, site: str) -> None:
    """A record is one station's for good: it takes the id at its first contact. Raises SharedTrouble."""
    known = journal.about().get(SITE)
    if known is None:
        journal.set_about(SITE, site)
    elif known != site:
        raise SharedTrouble(
            "This credential is another station's: this record was forwarded as another one before. Nothing "
            "was sent. Ask the record keeper for a credential of this station (`record shared register "
            "--again`), or begin a new record with --record."
        )


def _cut(line: Connection) -> None:
    """Shut the connection's socket: whoever waits at it is told at once."""
    from psycopg import OperationalError

    with suppress(OperationalError, OSError), socket.socket(fileno=os.dup(line.fileno())) as own:
        own.shutdown(socket.SHUT_RDWR)


def _program() -> str:
    try:
        return version("sinkside")
    except PackageNotFoundError:
        return ""
