"""Stations and reviewers of the shared record: registered, given a new credential, retired, listed.

For the record keeper's connection. A password is made here, goes into one file and is kept nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from uuid import UUID

import uuid6

from trainer.procedure.text import clean
from trainer.record.part import in_part
from trainer.record.shared.setup import new_password, own_role, verifier
from trainer.record.shared.troubles import SharedTrouble
from trainer.run.frozen import frozen

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]

LONGEST_NAME = 60
_NAME = re.compile(r"[a-z][a-z0-9_]{0,30}")


@frozen
class Place:
    """Which station: its school, its name there, the id that all its rows have."""

    site: str
    school: str
    station: str

    @property
    def words(self) -> str:
        """For people."""
        return f"{self.school}, {self.station}"


@frozen
class StationState:
    """A station as the shared record knows it. seen_at: its last contact, RFC 3339; empty before the first.

    runs: told by the station; here: those that have events here. behind: events told and not (yet) here.
    to_erase: requests it has not carried out yet, told: why not, where it said so. asked: events that the
    station erased and that still stand here. conflicts: open ones. wrong: PINs tried wrongly, ever.
    """

    place: Place
    role: str
    retired: bool
    invented: bool
    seen_at: str
    runs: int
    here: int
    events: int
    behind: int
    conflicts: int
    to_erase: int
    told: str
    asked: int
    wrong: int


def name_of(text: str, what: str) -> str:
    """A school's or a station's name as it is kept. Raises SharedTrouble."""
    kept = " ".join(clean(text).split())
    if not kept or len(kept) > LONGEST_NAME:
        raise SharedTrouble(f"The name of a {what} has 1 to {LONGEST_NAME} letters.")
    return kept


def register(
    connection: Connection, school: str, station: str, site: str | None = None
) -> tuple[Place, str, str]:
    """Register a station: where it is, its role, its password. Raises SharedTrouble where it is known.

    site: the id that a station has already, from a shared record that was lost; else a new one.
    """
    place = Place(
        str(UUID(site)) if site else str(uuid6.uuid7()),
        name_of(school, "school"),
        name_of(station, "station"),
    )
    if _find(connection, place.school, place.station) is not None:
        raise SharedTrouble(
            f"{place.words} is registered already. A new credential for it: `register --again`; a new "
            "station under another name."
        )
    password = new_password()
    role = "sinkside_site_" + place.site.replace("-", "")
    connection.execute(
        "SELECT sinkside.register_station(%s, %s, %s, %s)",
        (place.site, place.school, place.station, verifier(connection, role, password)),
    )
    return place, role, password


def renew(connection: Connection, school: str, station: str) -> tuple[Place, str, str]:
    """A new password for a station; the old one is worth nothing from now on. Raises SharedTrouble."""
    place = find(connection, school, station)
    password = new_password()
    role = "sinkside_site_" + place.site.replace("-", "")
    connection.execute(
        "SELECT sinkside.renew_station(%s, %s)", (place.site, verifier(connection, role, password))
    )
    return place, role, password


def retire(connection: Connection, school: str, station: str) -> Place:
    """Let a station in no more; what it sent stays. Raises SharedTrouble where there is none."""
    place = find(connection, school, station)
    connection.execute("SELECT sinkside.retire_station(%s)", (place.site,))
    return place


def add_reviewer(connection: Connection, name: str, schools: Sequence[str]) -> tuple[str, str]:
    """Let somebody read what is kept of these schools only: role and password. Raises SharedTrouble."""
    _reviewer_name(name)
    kept = sorted({name_of(school, "school") for school in schools})
    known = {row[0] for row in connection.execute("SELECT DISTINCT school FROM sinkside.sites").fetchall()}
    if missing := [school for school in kept if school not in known]:
        raise SharedTrouble(
            f"No station is registered for: {', '.join(missing)}. See `record shared stations`."
        )
    role, password = own_role(connection, "reviewer", name), new_password()
    connection.execute(
        "SELECT sinkside.add_reviewer(%s, %s, %s)", (name, kept, verifier(connection, role, password))
    )
    return role, password


def remove_reviewer(connection: Connection, name: str) -> None:
    """Let a reviewer in no more. Raises SharedTrouble where there is none."""
    _reviewer_name(name)
    if connection.execute("SELECT 1 FROM sinkside.reviewers WHERE named = %s", (name,)).fetchone() is None:
        raise SharedTrouble(f"There is no reviewer {name}.")
    connection.execute("SELECT sinkside.remove_reviewer(%s)", (name,))


def _reviewer_name(name: str) -> None:
    if not _NAME.fullmatch(name):
        raise SharedTrouble(
            "A reviewer is called by small letters, digits and underlines, for instance room_2."
        )


def find(connection: Connection, school: str, station: str) -> Place:
    """One station by its names. Raises SharedTrouble."""
    wanted = name_of(school, "school"), name_of(station, "station")
    found = _find(connection, *wanted)
    if found is None:
        raise SharedTrouble(
            f"No station {wanted[1]} of {wanted[0]} is registered. See `record shared stations`."
        )
    return found


def _find(connection: Connection, school: str, station: str) -> Place | None:
    row = connection.execute(
        "SELECT site, school, station FROM sinkside.sites WHERE school = %s AND station = %s",
        (school, station),
    ).fetchone()
    return None if row is None else Place(str(row[0]), row[1], row[2])


def places(connection: Connection, schools: Sequence[str] = (), stations: Sequence[str] = ()) -> list[Place]:
    """The stations that this credential sees, sorted by their names; of these schools, with these names.

    Raises NoSuchPlace for a school that is not there, and for a station at none of the schools named.
    """
    rows = connection.execute("SELECT site, school, station FROM sinkside.sites ORDER BY school, station")
    known = [Place(str(site), school, station) for site, school, station in rows.fetchall()]
    return in_part(known, schools, stations)


_STATES = """
SELECT s.site, s.school, s.station, s.role, s.retired_at IS NOT NULL, coalesce(c.invented, '') <> '',
    coalesce(to_char(c.seen_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"'), ''), coalesce(c.runs, 0),
    (SELECT count(*) FROM sinkside.heads h WHERE h.site = s.site),
    (SELECT count(*) FROM sinkside.events e WHERE e.site = s.site),
    (SELECT coalesce(sum(h.count), 0)::bigint FROM sinkside.heads h WHERE h.site = s.site),
    (SELECT count(*) FROM sinkside.disputes x WHERE x.site = s.site AND x.stands IS NULL),
    {requests},
    (SELECT count(*) FROM sinkside.erasures l CROSS JOIN LATERAL string_to_table(l.seqs, ' ') AS n
        JOIN sinkside.events e ON e.site = l.site AND e.run = l.run
            AND e.seq = CASE WHEN n ~ '^[0-9]{{1,9}}$' THEN n::integer END
        WHERE l.site = s.site AND l.origin = 'station' AND e.body IS NOT NULL),
    (SELECT coalesce(sum(t.tries), 0)::bigint FROM sinkside.pin_tries t
        WHERE t.site = s.site AND t.found IN ('wrong_pin', 'too_soon', 'unknown'))
FROM sinkside.sites s LEFT JOIN sinkside.contacts c USING (site)
ORDER BY s.school, s.station
"""
_REQUESTS = """(SELECT count(*) FROM sinkside.erase_requests r WHERE r.site = s.site AND r.done_at IS NULL),
    (SELECT coalesce(max(r.told), '') FROM sinkside.erase_requests r
        WHERE r.site = s.site AND r.done_at IS NULL)"""


def states(connection: Connection) -> list[StationState]:
    """How every station stands that this credential sees (a reviewer is not told of requests to erase)."""
    may = connection.execute("SELECT has_table_privilege('sinkside.erase_requests', 'SELECT')").fetchone()
    requests = _REQUESTS if may == (True,) else "0, ''"
    found = []
    for row in connection.execute(_STATES.format(requests=requests)):
        site, school, station, role, retired, invented, seen, runs, here, events, told_of, *rest = row
        behind = max(0, told_of - events)
        place = Place(str(site), school, station)
        found.append(StationState(place, role, retired, invented, seen, runs, here, events, behind, *rest))
    return found
