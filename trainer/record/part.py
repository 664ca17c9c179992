"""Which part of a record is read: some schools and stations of it, some of its runs. Light: commands use it.

A part is narrowed where the rows lie, by the database itself; nothing else is ever fetched.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar

from trainer.procedure.text import one_line
from trainer.run.frozen import frozen
from trainer.run.ports import Trouble

if TYPE_CHECKING:
    import sqlite3

    from trainer.record.shared.address import SharedAddress

One = TypeVar("One", bound="Registered")
MOST_LISTED = 60
"""Names that a sentence lists; a country has more."""


class NoSuchPlace(Trouble):
    """No school, station or procedure that is seen has this name."""


@frozen
class Part:
    """A record, and of which schools and stations it is read; no names: of all that are seen.

    A file is one station's record: it has no schools, and its runs name where they were worked.
    """

    record: Path | SharedAddress
    schools: tuple[str, ...] = ()
    stations: tuple[str, ...] = ()


if TYPE_CHECKING:
    Place = Path | SharedAddress | Part
    """Where a record is: a file, a database, or a part of either."""


def part_of(place: Place) -> Part:
    """The same as a part: all of it where nothing was said."""
    return place if isinstance(place, Part) else Part(place)


@frozen
class Only:
    """Which runs rows are read of; empty and None: all.

    since, until: times as records write them (RFC 3339, UTC), of the opening of a run, until excluded.
    """

    procedures: tuple[str, ...] = ()
    rehearsal: bool | None = None
    since: str = ""
    until: str = ""

    def condition(self, runs: str = "runs") -> tuple[str, tuple[str | int, ...]]:
        """The condition of SQL on a table of runs, and its values; empty where all are wanted."""
        parts: list[str] = []
        values: list[str | int] = []
        if self.procedures:
            parts.append(f"{runs}.procedure IN ({', '.join('?' * len(self.procedures))})")
            values += self.procedures
        if self.rehearsal is not None:
            parts.append(f"{runs}.rehearsal = ?")
            values.append(int(self.rehearsal))
        for sign, at in ((">=", self.since), ("<", self.until)):
            if at:
                parts.append(f"{runs}.opened_at {sign} ?")
                values.append(at)
        return " AND ".join(parts), tuple(values)


EVERY_RUN = Only()


def refuse_unknown(what: str, asked: Iterable[str], known: Iterable[str], where: str) -> None:
    """Raise NoSuchPlace with what there is, and what was probably meant. what: `school`, `station`, ..."""
    from trainer.procedure.problems import nearest

    there = sorted(set(known))
    for name in asked:
        if name in there:
            continue
        small = {one.lower(): one for one in there}
        likely = small.get(nearest(name, small) or "") if len(there) > 1 else None
        meant = f" Did you mean {likely}?" if likely is not None else ""
        more = f" and {len(there) - MOST_LISTED} more" if len(there) > MOST_LISTED else ""
        listed = f"{', '.join(there[:MOST_LISTED])}{more}"
        there_are = f" There {'is' if len(there) == 1 else 'are'}: {listed}." if there else " There is none."
        raise NoSuchPlace(f"No {what} {name[:60]} is in {where}.{meant}{there_are}")


class Registered(Protocol):
    """A station of the shared record."""

    @property
    def school(self) -> str:
        """Its school's name."""
        ...

    @property
    def station(self) -> str:
        """Its own, at that school."""
        ...


def in_part(known: Iterable[One], schools: Sequence[str], stations: Sequence[str]) -> list[One]:
    """Those of these schools (none named: of all) that have these names. Raises NoSuchPlace.

    known: all that a credential sees.
    """
    seen = list(known)
    refuse_unknown("school", schools, (one.school for one in seen), _SEEN)
    found = [one for one in seen if not schools or one.school in schools]
    where = f"{', '.join(schools)}, in {_SEEN}" if schools else _SEEN
    refuse_unknown("station", stations, (one.station for one in found), where)
    return [one for one in found if not stations or one.station in stations]


_SEEN = "what this credential sees of the shared record"
NO_SCHOOLS = (
    "A station's own record belongs to one station and says nothing of schools: --school is for the shared "
    "record. Leave it out here, or name the shared record with --record."
)


def stations_of(connection: sqlite3.Connection) -> dict[str, list[str]]:
    """The stations that the runs of a file name: as they are shown, and as they stand there."""
    found: dict[str, list[str]] = {}
    for (name,) in connection.execute(
        "SELECT DISTINCT station FROM main.runs WHERE station <> '' ORDER BY 1"
    ):
        found.setdefault(one_line(str(name)), []).append(str(name))
    return found


def stations_wanted(connection: sqlite3.Connection, part: Part) -> tuple[str, ...]:
    """The stations of a file that are wanted, as they stand there; empty: all. Raises NoSuchPlace."""
    if part.schools:
        raise NoSuchPlace(NO_SCHOOLS)
    if not part.stations:
        return ()
    known = stations_of(connection)
    refuse_unknown("station", part.stations, known, f"the runs of {part.record}")
    return tuple(name for station in part.stations for name in known[station])


def narrow(connection: sqlite3.Connection, part: Part, tables: Iterable[str]) -> None:
    """Let this connection see no other runs of a file than those of the part. Raises NoSuchPlace.

    Views of the connection's own stand before the tables: whatever is asked, SQLite leaves the rest out.
    """
    wanted = stations_wanted(connection, part)
    if not wanted:
        return
    names = ", ".join(f"CAST(x'{name.encode('utf-8', 'replace').hex()}' AS TEXT)" for name in wanted)
    own = f"SELECT run FROM main.runs WHERE station IN ({names})"  # noqa: S608 - hexadecimal
    for table in tables:
        connection.execute(
            f"CREATE TEMP VIEW {table} AS SELECT * FROM main.{table} WHERE run IN ({own})"  # noqa: S608 - ours
        )
