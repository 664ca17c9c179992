"""The shared record for reading, with the same questions as a station's file, as it stands at one moment.

Before each question stand the record's tables as its author knows them, without the station in front, made of
the rows that the credential sees. Codes of people and names of stations are the school's own: where several
schools are read, the school's name is put behind them, `T-03 (North)`.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from trainer.procedure.text import one_line
from trainer.record import schema
from trainer.record.part import EVERY_RUN, Only, Part, in_part
from trainer.record.shared.address import SharedAddress
from trainer.record.shared.connecting import connected
from trainer.record.shared.troubles import SharedTrouble

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]
    Cursor = psycopg.Cursor[tuple[Any, ...]]

_PERSON = {"trainee", "by", "person"}
_BENCH = "bench"
"""Signs in rehearsals; no person, and the same in every school."""
_BLOCK: Final = 1 << 20
_ROWS: Final = 10_000


@dataclass(frozen=True, slots=True)
class Site:
    """A station whose rows are read. invented: the seed of an invented class, else empty."""

    site: str
    school: str
    station: str
    invented: str


class Reading:
    """The shared record at one moment. Questions are SQLite's as far as the two databases agree.

    sites: whose rows are read. troubles: sentences on what is left out. The part that is wanted is narrowed
    in the tables that stand before each question, by the ids of its stations, which every key begins with.
    """

    def __init__(self, connection: Connection, part: Part, shown: str, only: Only = EVERY_RUN) -> None:
        self._connection = connection
        self.shown = shown
        self._only, self._values = only.condition("asked")
        every = [(Site(*map(one_line, row[:4])), row[4]) for row in connection.execute(_SITES)]
        self.places = tuple((one.school, one.station) for one, _ in every)
        """School and station of all that this credential sees."""
        wanted = {one.site for one in in_part((one for one, _ in every), part.schools, part.stations)}
        known = [one for one in every if one[0].site in wanted]
        # A station that never was in touch holds nothing yet, neither real nor invented.
        seen = [one for one, in_touch in known if in_touch] or [one for one, _ in known]
        real = [one for one in seen if not one.invented]
        self.sites = tuple(real or seen)
        self.troubles: list[str] = []
        if not self.sites:
            raise SharedTrouble(
                f"This credential sees no station in the shared record at {shown}. The record keeper says "
                "which schools a reviewer sees."
            )
        if len(self.sites) < len(seen):
            many = len(seen) - len(real)
            hold = "station holds an invented class and is" if many == 1 else _HOLD_MANY
            self.troubles.append(f"{many} {hold} left out.")
        self._twice = [row[0] for row in connection.execute(_TWICE, [[one.site for one in self.sites]])]
        self.troubles += [
            f"Run {one_line(run)[:40]} comes from two stations, and is left out." for run in self._twice
        ]
        made = dict(self._made())
        self._tables = ", ".join(f"{name} AS NOT MATERIALIZED ({one})" for name, one in made.items())
        self._before = self._values * sum(one.count(self._asked()) for one in made.values() if self._only)

    @property
    def invented(self) -> str:
        """The seed where all that is read is invented; else empty."""
        return self.sites[0].invented

    @property
    def schools(self) -> tuple[str, ...]:
        """Whose rows are read, each once."""
        return tuple(sorted({one.school for one in self.sites}))

    def execute(self, question: str, values: Sequence[Any] = (), /) -> Cursor:
        """Ask. Only psycopg's errors are raised, inside `reading` each becomes a sentence."""
        return self._connection.execute(self._whole(question).encode(), (*self._before, *values))

    def stream(self, question: str) -> Iterator[tuple[Any, ...]]:
        """The rows of a question without values, a part of them in memory at a time."""
        with self._connection.cursor("rows") as cursor:
            cursor.itersize = _ROWS
            yield from cursor.execute(self._whole(question).encode(), self._before)

    def as_csv(self, question: str, values: Sequence[Any] = ()) -> Iterator[bytes]:
        """The rows of a question as CSV, in blocks of whole rows; nothing is `\\N`."""
        copying = f"COPY ({self._whole(question)}) TO STDOUT (FORMAT csv, NULL '\\N')"
        values = (*self._before, *values)
        with self._connection.cursor() as cursor, cursor.copy(copying.encode(), values) as rows:
            block = bytearray()
            for row in rows:
                block += row
                if len(block) >= _BLOCK:
                    yield bytes(block)
                    block.clear()
            if block:
                yield bytes(block)

    def _whole(self, question: str) -> str:
        """With the tables in front, and the marks of values as the driver has them."""
        return f"WITH {self._tables} {question.replace('%', '%%').replace('?', '%s')}"

    def _made(self) -> Iterator[tuple[str, str]]:
        """Each table, and what it is made of."""
        where = f"JOIN sinkside.sites USING (site) WHERE {self._which()}{self._asked()}"
        for table in schema.READ:
            names = ", ".join(self._column(table, name) for name in columns_of(table))
            yield table, f"SELECT {names} FROM sinkside.{table} AS kept {where}"  # noqa: S608 - our tables
        yield "schools", f"SELECT kept.run, sites.school FROM sinkside.runs AS kept {where}"  # noqa: S608 - ours
        names = ", ".join(self._column("events", name) for name in COLUMNS["events"])
        yield "events", f"SELECT {names} FROM {self._events()} AS kept {where}"  # noqa: S608 - the same
        yield "heads", f"SELECT {_HEADS} FROM sinkside.heads AS kept {where}"  # noqa: S608 - the same
        yield "procedures", f"{_PROCEDURES} WHERE {self._of_sites()} {_ONE_EACH}"
        invented = _quoted(self.invented)
        yield "about", f"SELECT 'invented' AS name, {invented} AS value WHERE {invented} <> ''"
        yield "people", "SELECT ''::text AS code, ''::text AS name WHERE false"

    def _events(self) -> str:
        """The table of events; where it was settled so, with the later body in the first one's place."""
        settled = list(self._connection.execute(_SETTLED, [[one.site for one in self.sites]] * 2))
        return _STANDING if (True,) in settled else "sinkside.events"

    def _asked(self) -> str:
        """The condition for the runs that are wanted: at their station, where their rows lie."""
        if not self._only:
            return ""
        of_run = "asked.site = kept.site AND asked.run = kept.run"
        condition = self._only.replace("?", "%s")
        return f" AND EXISTS (SELECT FROM sinkside.runs AS asked WHERE {of_run} AND {condition})"

    def _which(self) -> str:
        twice = f" AND kept.run <> ALL ({_array(self._twice)}::text[])" if self._twice else ""
        return f"kept.{self._of_sites()}{twice}"

    def _of_sites(self) -> str:
        return f"site = ANY ({_array(one.site for one in self.sites)}::uuid[])"

    def _column(self, table: str, name: str) -> str:
        own = f'kept."{name}"'
        if table == "events" and name == "id":
            return "kept.id::text AS id"
        if table == "runs" and name == "station":
            own = f"CASE {own} WHEN '' THEN sites.station ELSE {own} END"
        elif name not in _PERSON:
            return own
        if len(self.schools) > 1:
            own = f"CASE WHEN {own} IN ('', '{_BENCH}') THEN {own} ELSE {own} || {_SCHOOL} END"
        return f'{own} COLLATE "C" AS "{name}"'


_HOLD_MANY = "stations hold an invented class and are"
_SCHOOL = "' (' || sites.school || ')'"
_SITES = (
    "SELECT site::text, school, station, coalesce(invented, ''), invented IS NOT NULL FROM sinkside.sites "
    "LEFT JOIN sinkside.contacts USING (site) ORDER BY school, station, site"
)
_TWICE = (
    "SELECT run FROM (SELECT site, run FROM sinkside.runs UNION SELECT site, run FROM sinkside.heads) "
    "AS known WHERE site = ANY (%s::uuid[]) GROUP BY run HAVING count(*) > 1 ORDER BY run"
)
_SETTLED = (
    "SELECT EXISTS (SELECT FROM sinkside.standing WHERE site = ANY (%s::uuid[])) "
    "OR EXISTS (SELECT FROM sinkside.ends WHERE site = ANY (%s::uuid[]))"
)
_LATER = ", ".join(
    f"CASE WHEN s.number IS NULL THEN e.{name}{kind} ELSE s.{name} END AS {name}"
    for name, kind in (
        *(("id", "::text"), ("stored", ""), ("digest", ""), ("head", ""), ("person", ""), ("salt", "")),
        ("body", ""),
    )
)
_STANDING = (
    f"(SELECT e.site, e.run, e.seq, {_LATER} FROM sinkside.events e "  # noqa: S608 - our own names
    "LEFT JOIN sinkside.standing s ON s.site = e.site AND s.run = e.run AND s.seq = e.seq "
    "WHERE NOT EXISTS "
    "(SELECT FROM sinkside.ends c WHERE c.site = e.site AND c.run = e.run AND e.seq > c.last))"
)
COLUMNS = {
    "events": ("run", "seq", "id", "stored", "digest", "head", "person", "salt", "body"),
    "heads": ("number", "run", "opened", "count", "head", "marked", "mac"),
    "procedures": ("content_hash", "procedure", "revision", "source", "kept_at"),
    "about": ("name", "value"),
}
"""Tables of what is kept once, beside those for reading (`schema.READ`)."""
_HEADS = (
    "row_number() OVER (ORDER BY sites.school, sites.station, kept.site, kept.number) AS number, "
    "kept.run, kept.opened, kept.count, kept.head, kept.marked, ''::bytea AS mac"
)
_PROCEDURES = (
    "SELECT DISTINCT ON (content_hash) content_hash, procedure, revision, source, kept_at "
    "FROM sinkside.procedures AS kept"
)
_ONE_EACH = "ORDER BY content_hash, encode(sha256(source), 'hex') = content_hash DESC, kept_at, site"
"""One that is what its hash says, where a station keeps it so."""


def columns_of(table: str) -> list[str]:
    """The names of a table's columns, as a station's record has them."""
    if not _COLUMNS:
        empty = sqlite3.connect(":memory:")
        try:
            for made in schema.PROJECTIONS:
                empty.execute(made)
            for name in schema.READ:
                rows = empty.execute(f"SELECT * FROM {name}")  # noqa: S608 - our tables
                _COLUMNS[name] = [column[0] for column in rows.description]
        finally:
            empty.close()
    return _COLUMNS[table]


_COLUMNS: dict[str, list[str]] = {}


def _quoted(text: str) -> str:
    """A text as a constant of SQL (PostgreSQL manual, section 4.1.2.1)."""
    return "'" + text.replace("'", "''").replace("%", "%%") + "'"


def _array(texts: Iterable[str]) -> str:
    return f"ARRAY[{', '.join(map(_quoted, texts))}]"


@contextmanager
def reading(of: SharedAddress | Part, only: Only = EVERY_RUN) -> Iterator[Reading]:
    """The shared record, or a part of it, as it stands now; nobody who writes waits for it.

    Raises SharedTrouble, also for what goes wrong inside; NoSuchPlace for a school or station unknown here.
    """
    part = of if isinstance(of, Part) else Part(of)
    if not isinstance(part.record, SharedAddress):
        raise TypeError("a file is no shared record")
    shown = part.record.shown
    with connected(part.record) as connection, connection.transaction():
        connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield Reading(connection, part, shown, only)
