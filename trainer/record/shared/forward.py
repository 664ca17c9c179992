"""One piece of a record kept in the shared one, in one transaction: all of it or nothing.

Everything here may be done again, from the beginning or after a break at any point, and changes nothing then:
an event that is known is not kept twice, the rows of a run replace those that were there, counts only grow.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.record.shared.arriving import (
    EVENTS,
    NoId,
    arrays,
    columns,
    in_turns,
    let_through,
    month_of,
    rows_of,
)
from trainer.record.shared.batches import Batch, Row
from trainer.record.shared.connecting import site_of
from trainer.record.shared.cursor import Cursor
from trainer.record.shared.sifting import sifted
from trainer.record.shared.troubles import NotLetIn
from trainer.run.frozen import frozen

if TYPE_CHECKING:
    from psycopg import Connection

    Shared = Connection[tuple[Any, ...]]


@frozen
class Kept:
    """What one piece came to. new: events that were not there. conflicts: what does not fit what is there."""

    new: int
    conflicts: int


_KEEP = (
    "INSERT INTO sinkside.events (site, month, run, seq, id, stored, digest, head, person, salt, body) "
    "SELECT %s, coalesce(%s, sinkside.month_of(id)), run, seq, id, stored, digest, head, person, salt, body "
    "FROM {}"
)
# What the record keeper has settled is no conflict any more, however often it is told.
_OPEN = (
    "AND NOT EXISTS (SELECT FROM sinkside.settlements AS s WHERE s.site = %(site)s AND s.kind = '{kind}' "
    "AND s.id = a.id::text AND s.digest = a.digest)"
)
_OPEN_ONES = (
    "SELECT count(*) FROM sinkside.conflicts AS c WHERE c.site = %s "
    "AND c.kind IN ('event', 'place', 'unfit') AND NOT EXISTS (SELECT FROM "
    "sinkside.settlements AS s WHERE (s.site, s.kind, s.id, s.digest) = (c.site, c.kind, c.id, c.digest))"
)
# Another body, time, place or link under a known id.
_ALTERED = (
    "SELECT 'event', a.id::text, a.run, a.seq, e.digest, a.digest, a.stored, a.head, a.person, a.salt, "
    "a.body FROM arriving_events AS a JOIN sinkside.events AS e "
    "ON e.site = %(site)s AND e.id = a.id AND e.month = sinkside.month_of(a.id) "
    "WHERE (e.run, e.seq, e.stored, e.digest, e.head) "
    "IS DISTINCT FROM (a.run, a.seq, a.stored, a.digest, a.head) "
)
# Another event where one stands: a record that was put back from a backup, and went on.
_PLACE_TAKEN = (
    "SELECT 'place', a.id::text, a.run, a.seq, e.digest, a.digest, a.stored, a.head, a.person, a.salt, "
    "a.body FROM arriving_events AS a JOIN sinkside.events AS e "
    "ON e.site = %(site)s AND e.run = a.run AND e.seq = a.seq WHERE e.id <> a.id"
)
_CONFLICTS = (
    "INSERT INTO sinkside.conflicts (site, kind, id, run, seq, kept_digest, digest, stored, head, person, "
    "salt, body) SELECT %(site)s, found.* FROM ({found}) AS found ON CONFLICT DO NOTHING"
)
_UNFIT = (
    "INSERT INTO sinkside.conflicts (site, kind, id, run, seq, digest, stored, head, person, salt, body) "
    "VALUES (%s, 'unfit', %s, %s, %s, %s, %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING"
)
_HEADS = (
    "INSERT INTO sinkside.heads (site, run, number, opened, count, head, marked) SELECT %s, * "
    "FROM unnest(%s::text[], %s::bigint[], %s::bytea[], %s::bigint[], %s::bytea[], %s::bigint[]) "
    "ON CONFLICT (site, run) DO UPDATE SET number = excluded.number, opened = excluded.opened, "
    "count = excluded.count, head = excluded.head, marked = excluded.marked"
)
_CONTACT = (
    "INSERT INTO sinkside.contacts (site, key_fingerprint, runs, erasures, invented, program, clock) "
    "VALUES (%s, %s, %s, %s, %s, %s, %s) ON CONFLICT (site) DO UPDATE SET "
    "key_fingerprint = excluded.key_fingerprint, runs = excluded.runs, erasures = excluded.erasures, "
    "invented = excluded.invented, program = excluded.program, clock = excluded.clock"
)
_REQUESTS = (
    "SELECT number, code FROM sinkside.erase_requests WHERE done_at IS NULL AND site = %s ORDER BY number"
)
_DONE = (
    "UPDATE sinkside.erase_requests SET code = '', done_at = now(), told = '' WHERE site = %s AND number = %s"
)
_NOT_YET = "UPDATE sinkside.erase_requests SET told = %s WHERE site = %s AND number = %s"
# A keeper's erasing takes the same lock alone: a piece is kept before it, or sees that it was asked for.
# (A row of the station's own: another's credential cannot hold it, as it could a lock by number.)
_LOCK = "SELECT 1 FROM sinkside.contacts WHERE site = %s FOR SHARE"
_SOURCE = (
    "INSERT INTO sinkside.procedures (site, content_hash, procedure, revision, source, kept_at) "
    "VALUES (%s, %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING"
)
_TRIES = (
    "INSERT INTO sinkside.pin_tries (site, day, found, tries) VALUES (%s, %s, %s, %s) "
    "ON CONFLICT (site, day, found) DO UPDATE SET tries = excluded.tries"
)
# What the record has erased is only told: a station's credential erases nothing here, the record keeper does.
_ERASURE = (
    "INSERT INTO sinkside.erasures (site, origin, number, at, run, seqs, mac) "
    "VALUES (%s, 'station', %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING"
)
_MOVE = (
    "INSERT INTO sinkside.cursors (site, last, id, erasure, schema) VALUES (%s, %s, %s, %s, %s) "
    "ON CONFLICT (site) DO UPDATE SET last = excluded.last, id = excluded.id, erasure = excluded.erasure, "
    "schema = excluded.schema, at = now()"
)


class Request(NamedTuple):
    """The record keeper asks to erase somebody."""

    number: int
    code: str


class AskedMeanwhile(Exception):  # noqa: N818 - no fault, and never shown
    """Somebody is to be erased first; nothing of the piece was kept."""


class Taking:
    """The shared record's side of a station's forwarding, over one connection of the station's own role.

    Every method raises psycopg.Error; making one, NotLetIn where the credential is no station's.
    """

    def __init__(self, connection: Shared) -> None:
        self._connection = connection
        site = site_of(connection)
        if site is None:
            raise NotLetIn(
                "The shared record does not know this credential as a station's: it may have been retired. "
                "Ask the record keeper to register the station."
            )
        self.site = site
        known = connection.execute(
            "SELECT content_hash FROM sinkside.procedures WHERE site = %s", (self.site,)
        ).fetchall()
        self.sources = {str(content_hash) for (content_hash,) in known}
        let_through(connection)

    def cursor(self) -> Cursor | None:
        """How far the shared record says that the station is forwarded; None where it never was."""
        row = self._connection.execute(
            "SELECT last, id, erasure, schema FROM sinkside.cursors WHERE site = %s", (self.site,)
        ).fetchone()
        if row is None:
            return None
        last, ident, erasure, version = row
        return Cursor(int(str(last)), str(ident), int(str(erasure)), int(str(version)))

    def requests(self) -> list[Request]:
        """Whom the record keeper asks this station to erase, and it has not done yet."""
        return [Request(*row) for row in self._connection.execute(_REQUESTS, (self.site,)).fetchall()]

    def answer(self, request: Request, not_yet: str = "") -> None:
        """Say that somebody is erased here, or why not yet, in a sentence. The code goes when it is done."""
        if not_yet:
            self._connection.execute(_NOT_YET, (not_yet, self.site, request.number))
        else:
            self._connection.execute(_DONE, (self.site, request.number))

    def open_conflicts(self) -> int:
        """How many conflicts there are with what this station told, that nobody has settled."""
        row = self._connection.execute(_OPEN_ONES, (self.site,)).fetchone()
        return int(str(row[0])) if row else 0

    def contact(self, station: Row, invented: str, program: str, clock: str) -> None:
        """Say how the station's list of runs stands. clock: its present time, so that a skew shows."""
        self._many(_CONTACT, [(*station, invented, program, clock)])

    def made_ready(self, batch: Batch) -> Batch:
        """The piece, with its rows as they are sent.

        It takes a while, and may be done in another thread while the server keeps an earlier piece.
        """
        from psycopg import DataError

        try:
            return self._ready(batch)
        except (DataError, NoId):  # `keep` sets it aside
            return batch

    def keep(
        self, batch: Batch, waiting: Collection[int] = (), meanwhile: Callable[[], None] = lambda: None
    ) -> Kept:
        """Keep one piece. When this returns it is durable, and the cursor has moved with it.

        waiting: numbers of requests that are known and cannot be carried out yet. meanwhile: called before
        the server is given much to do. Raises AskedMeanwhile where there is another request.
        """
        from psycopg import DataError, IntegrityError

        try:
            return self._keep(batch if batch.arrays else self._ready(batch), waiting, meanwhile)
        except (DataError, IntegrityError, NoId):
            fit, unfit = sifted(batch)
            return self._keep(self._ready(fit), waiting, meanwhile, unfit)

    def _ready(self, batch: Batch) -> Batch:
        """A piece with its rows as they are sent. Raises NoId, psycopg.DataError."""
        many = {**batch.tables, EVENTS: batch.events}
        made = {table: arrays(self._connection, table, rows) for table, rows in many.items()}
        return replace(batch, arrays=made)

    def _keep(
        self,
        batch: Batch,
        waiting: Collection[int],
        meanwhile: Callable[[], None],
        unfit: Sequence[Row] = (),
    ) -> Kept:
        with self._connection.transaction():
            self._connection.execute(_LOCK, (self.site,))
            if {request.number for request in self.requests()} - set(waiting):
                raise AskedMeanwhile
            meanwhile()
            known = self._known(batch.runs)
            with self._connection.pipeline():
                self._tables(batch, list(known))
            new, conflicts = self._events(batch, known)
            self._many(_UNFIT, unfit)
            self._many(_SOURCE, batch.sources)
            if batch.heads:
                self._connection.execute(_HEADS, (self.site, *map(list, zip(*batch.heads, strict=True))))
            self._many(_TRIES, batch.tries)
            self._many(_ERASURE, batch.erasures)
            to = batch.cursor
            self._many(_MOVE, [(to.last, to.id, to.erasure, to.schema)])
        self.sources.update(str(row[0]) for row in batch.sources)
        return Kept(new, conflicts + len(unfit))

    def _known(self, runs: Sequence[str]) -> dict[str, int]:
        """Of these runs, those that the shared record has, and how many events of each were told."""
        rows = self._connection.execute(
            "SELECT run, count FROM sinkside.heads WHERE site = %s AND run = ANY(%s)", (self.site, list(runs))
        ).fetchall()
        return {str(run): int(str(count)) for run, count in rows}

    def _events(self, batch: Batch, known: Mapping[str, int]) -> tuple[int, int]:
        """How many are new, how many in conflict. Only what may be there is compared: mostly, nothing is."""
        if not batch.events:
            return 0, 0
        again = bool(known) and any(row[1] <= known.get(row[0], 0) for row in batch.events)
        if not again and (new := self._all_new(batch)) is not None:
            return new, 0
        conflicts = self._compare(batch)
        keep = f"{_KEEP.format('arriving_events')} ON CONFLICT DO NOTHING"
        return self._connection.execute(keep, (self.site, None)).rowcount, conflicts

    def _all_new(self, batch: Batch) -> int | None:
        """Keep events of which none should be there; None, and nothing kept, where one is."""
        from psycopg.errors import UniqueViolation

        try:
            with self._connection.transaction():
                keep = _KEEP.format(rows_of(EVENTS))
                with self._connection.pipeline():
                    done = [
                        self._connection.execute(keep, (self.site, month_of([row[2] for row in rows]), *some))
                        for rows, some in zip(in_turns(batch.events), batch.arrays[EVENTS], strict=True)
                    ]
                return sum(one.rowcount for one in done)
        except UniqueViolation:
            return None

    def _compare(self, batch: Batch) -> int:
        """Keep what does not fit what is there, for people to look at; what is there stays as it is.

        The events arrive in a table, without those that cannot be kept where another stands.
        """
        shape = ", ".join(f"{name} {kind}" for name, kind in columns()[EVENTS])
        self._connection.execute(f"CREATE TEMP TABLE arriving_events ({shape}) ON COMMIT DROP")
        arrived = f"INSERT INTO arriving_events SELECT * FROM {rows_of(EVENTS)}"  # noqa: S608 - our columns
        for some in batch.arrays[EVENTS]:
            self._connection.execute(arrived, some)
        found = 0
        # What arrives has no statistics: each row is to be looked up, never all rows gone through.
        self._connection.execute("SET LOCAL enable_hashjoin = off; SET LOCAL enable_mergejoin = off")
        for kind, known in (("event", _ALTERED), ("place", _PLACE_TAKEN)):
            question = f"{known} {_OPEN.format(kind=kind)}"
            of = {"site": self.site}
            found += len(self._connection.execute(question, of).fetchall())
            self._connection.execute(_CONFLICTS.format(found=question), of)
        self._connection.execute(
            "DELETE FROM arriving_events AS a USING sinkside.events AS e "
            "WHERE e.site = %s AND e.run = a.run AND e.seq = a.seq AND e.id <> a.id",
            (self.site,),
        )
        return found

    def _tables(self, batch: Batch, known: list[str]) -> None:
        """The rows of these runs, in the place of those that were there."""
        for table in batch.tables:
            if known:
                self._connection.execute(
                    f"DELETE FROM sinkside.{table} WHERE site = %s AND run = ANY(%s)",  # noqa: S608
                    (self.site, known),
                )
            for some in batch.arrays[table]:
                self._connection.execute(
                    f"INSERT INTO sinkside.{table} SELECT %s, arriving.* FROM {rows_of(table)}",  # noqa: S608
                    (self.site, *some),
                )

    def _many(self, statement: str, rows: Sequence[Row]) -> None:
        """One statement for each row, the station's id in front, sent in one go."""
        if rows:
            with self._connection.cursor() as cursor:
                cursor.executemany(statement, [(self.site, *row) for row in rows])
