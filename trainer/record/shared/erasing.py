"""A person erased from the shared record by its keeper, and by every station at its next contact.

Here it is done at once: body, salt and person of the events go, a line says which, and the tables for reading
are made again. The station is asked to do the same in its own record; until it has, it is listed.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from trainer.record.codes import code
from trainer.record.erase import concerning, names_person, numbers_in
from trainer.record.shared import stations
from trainer.record.shared.standing import make_tables
from trainer.record.shared.stations import Place
from trainer.record.shared.troubles import SharedTrouble
from trainer.run.frozen import frozen

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]


@frozen
class ErasedHere:
    """What was erased of one station's events: how many, of how many runs."""

    place: Place
    events: int
    runs: int


def erase_person(
    connection: Connection, who: str, school: str, station: str | None = None
) -> list[ErasedHere]:
    """Erase a person at all stations of a school (or one), each in one transaction, and ask the stations to.

    A code means one person within a school; another school's is left alone. Raises SharedTrouble.
    """
    try:
        wanted = code(who)
    except ValueError as error:
        raise SharedTrouble(str(error)) from error
    where = stations.places(connection, [school], [station] if station else [])
    return [_erase(connection, place, wanted) for place in where]


def _erase(connection: Connection, place: Place, who: str) -> ErasedHere:
    with connection.transaction():
        connection.execute("SELECT sinkside.ask_erasure(%s, %s)", (place.site, who))
        seqs = _events_of(connection, place.site, who)
        _drop(connection, place.site, seqs)
        _drop_disputes(connection, place.site, who)
    return ErasedHere(place, sum(map(len, seqs.values())), len(seqs))


def _drop_disputes(connection: Connection, site: str, who: str) -> None:
    """Erase what did not fit and is of this person; it may be in a place where another's event stands."""
    rows = connection.execute(
        "SELECT kind, id, digest, run, person, body FROM sinkside.conflicts WHERE site = %s "
        "AND body IS NOT NULL AND (person = %s OR strpos(body, %s) > 0)",
        (site, who, f'"{who}"'),
    ).fetchall()
    runs: dict[str, None] = {}
    for kind, ident, digest, run, person, body in rows:
        if person == who or (names_person(body, who) and not _signs(body, who)):
            connection.execute("SELECT sinkside.erase_dispute(%s, %s, %s, %s)", (site, kind, ident, digest))
            runs[run] = None
    make_tables(connection, site, [run for run in runs if run])


def _events_of(connection: Connection, site: str, who: str) -> dict[str, list[int]]:
    """By run, the numbers of events to erase: a person's own, and those of others that name a trainee."""
    named = f'"{who}"'
    rows = connection.execute(
        "SELECT run, seq, person, body FROM sinkside.events WHERE site = %s AND body IS NOT NULL "
        "AND (person = %s OR strpos(body, %s) > 0 OR run IN (SELECT run FROM sinkside.events WHERE site = %s "
        "AND strpos(body, '\"code_mistyped\"') > 0 AND strpos(body, %s) > 0)) ORDER BY run, seq",
        (site, who, named, site, named),
    ).fetchall()
    also_named = not any(_signs(body, who) for *_, body in rows)
    found: dict[str, list[int]] = {}
    for (run, seq, *_), how in concerning(rows, who):
        if how == "own" or also_named:
            found.setdefault(run, []).append(seq)
    return found


def _signs(body: str, who: str) -> bool:
    """Whether this is an instructor's word: an instructor's code stays on what belongs to the trainees."""
    try:
        fields = json.loads(body)["body"]
        return bool(fields["kind"] in {"signed_off", "setting_changed"} and fields["by"] == who)
    except (ValueError, TypeError, KeyError, RecursionError):
        return False  # written there by hand: `verify` tells of it


def _drop(connection: Connection, site: str, seqs: Mapping[str, Iterable[int]]) -> int:
    """Erase events by run and number, and make the tables for reading of those runs again; how many went."""
    gone = 0
    for run, numbers in seqs.items():
        row = connection.execute(
            "SELECT sinkside.erase_events(%s, %s, %s::integer[])", (site, run, list(numbers))
        ).fetchone()
        gone += int(row[0]) if row else 0
    make_tables(connection, site, list(seqs))
    return gone


def asked_by_stations(connection: Connection) -> dict[Place, dict[str, set[int]]]:
    """What stations erased in their own records and still stands here: by station and run, the numbers."""
    waiting: dict[Place, dict[str, set[int]]] = {}
    for place in stations.places(connection):
        rows = connection.execute(
            "SELECT run, seqs FROM sinkside.erasures WHERE site = %s AND origin = 'station'", (place.site,)
        ).fetchall()
        for run, seqs in rows:
            here = connection.execute(
                "SELECT seq FROM sinkside.events WHERE site = %s AND run = %s AND seq = ANY(%s) "
                "AND body IS NOT NULL",
                (place.site, run, list(numbers_in(seqs))),
            ).fetchall()
            if here:
                waiting.setdefault(place, {}).setdefault(run, set()).update(seq for (seq,) in here)
    return waiting


def erase_asked(connection: Connection) -> list[ErasedHere]:
    """Carry out what stations erased in their own records, each station in one transaction."""
    done = []
    for place, seqs in asked_by_stations(connection).items():
        with connection.transaction():
            done.append(ErasedHere(place, _drop(connection, place.site, seqs), len(seqs)))
    return done
