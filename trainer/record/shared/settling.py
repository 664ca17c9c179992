"""Conflicts: listed with what stands on either side, and settled by the record keeper.

Settling ends a conflict by a word that is kept: which of the two stands, who says so, why, when. Nothing is
taken out. The station's own record is not touched, nor is it asked anything: it keeps its own body, and what
it tells again is known here, and settled.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Literal

from trainer.procedure.text import clean
from trainer.record.chain import digest_of
from trainer.record.shared import stations
from trainer.record.shared.settled import TIME
from trainer.record.shared.standing import make_tables
from trainer.record.shared.stations import Place
from trainer.record.shared.troubles import SharedTrouble
from trainer.run.frozen import frozen

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]

Side = Literal["here", "station"]
OF_EVENTS = ("event", "place")
"""Kinds of conflicts of which one body or the other stands."""
LONGEST_WHY = 400
SHORTEST = 4
"""Letters of a name that are enough."""


@frozen
class Dispute:
    """A conflict. name: what it is called by. kind, id, run, seq: as it was kept (sql/0001).

    kept_digest, digest: hexadecimal, of what was here first and of what came; empty where there is none.
    kept, came: the two bodies; None where there is none, or it was erased with its person. fits: whether what
    came is whole and says itself that it is the event it came as. stands: empty while it is open.
    """

    place: Place
    name: str
    kind: str
    id: str
    run: str
    seq: int
    found_at: str
    kept_digest: str
    digest: str
    kept: str | None
    came: str | None
    fits: bool
    stands: str
    why: str
    by: str
    at: str

    @property
    def is_open(self) -> bool:
        """Whether nobody has settled it."""
        return not self.stands


_DISPUTES = (
    "SELECT d.called, d.kind, d.id, d.run, d.seq, "
    + TIME.format("d.found_at")
    + ", d.kept_digest, d.digest, "
    "e.body, d.body, d.salt, coalesce(d.stands, ''), coalesce(d.why, ''), coalesce(d.made_by, ''), "
    "coalesce(" + TIME.format("d.at") + ", '') "
    "FROM sinkside.disputes d LEFT JOIN sinkside.events e ON d.kind IN ('event', 'place') "
    "AND e.site = d.site AND e.run = d.run AND e.seq = d.seq "
    "WHERE d.site = %s AND (%s OR d.stands IS NULL) ORDER BY d.run, d.seq, d.kind, d.found_at, d.called"
)


def disputes(connection: Connection, places: Iterable[Place], *, settled: bool = False) -> list[Dispute]:
    """The open conflicts of some stations, by run and number; settled: those too that were settled."""
    found = []
    for place in places:
        for row in connection.execute(_DISPUTES, (place.site, settled)).fetchall():
            name, kind, ident, run, seq, found_at, kept_digest, digest, kept, came, salt, *word = row
            fits = kind not in OF_EVENTS or _fits(came, salt, digest, (run, seq, ident))
            found.append(
                Dispute(
                    *(place, name, kind, ident, run, seq, found_at, kept_digest.hex(), digest.hex()),
                    *(kept, came, fits, *word),
                )
            )
    return found


def _fits(body: str | None, salt: bytes | None, digest: bytes, is_said: tuple[str, int, str]) -> bool:
    """Whether a body fits its digest and says itself which event it is; an erased one is taken as it is."""
    if body is None or salt is None:
        return True
    try:
        own = json.loads(body)
        said = (own["run"], own["seq"], own["id"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return False
    return said == is_said and digest_of(salt, body.encode("utf-8", "replace")) == digest


def called(known: Sequence[Dispute], name: str) -> Dispute:
    """The conflict whose name begins so. Raises SharedTrouble for none, and for several."""
    asked = name.strip().lower()
    found = [one for one in known if one.name.startswith(asked)] if len(asked) >= SHORTEST else []
    if len(found) == 1:
        return found[0]
    if found:
        raise SharedTrouble(f"{len(found)} conflicts begin with {name}: write more of the one you mean.")
    raise SharedTrouble(
        f"No conflict is called {name[:40]}. `sinkside record shared conflicts --all` lists them, each with "
        f"what it is called by; {SHORTEST} signs of that are enough."
    )


def settle(connection: Connection, found: Sequence[Dispute], keep: Side, why: str) -> None:
    """Settle conflicts, all of them or none, and make the tables for reading of their runs again.

    Raises SharedTrouble where no reason is given, and where the station's side cannot stand.
    """
    reason = " ".join(clean(why).split())
    if not reason or len(reason) > LONGEST_WHY:
        raise SharedTrouble(f"Say why, in 1 to {LONGEST_WHY} letters: it is kept with the conflict.")
    for one in found:
        if keep == "station":
            _refuse_unfit(one)
    with connection.transaction():
        for one in found:
            connection.execute(
                "SELECT sinkside.settle(%s, %s, %s, %s, %s, %s)",
                (one.place.site, one.kind, one.id, bytes.fromhex(one.digest), keep, reason),
            )
        _make_again(connection, found)


def _refuse_unfit(one: Dispute) -> None:
    """What cannot be worked with never stands."""
    if one.kind == "unfit":
        raise SharedTrouble(
            f"{one.name}: what came cannot be kept here as an event, so it cannot stand. Say --keep here."
        )
    if not one.fits:
        raise SharedTrouble(
            f"{one.name}: what came does not fit its own digest, or is not the event it came as. It was "
            "altered by hand, and cannot stand. Say --keep here."
        )


def settle_again(connection: Connection, places: Iterable[Place]) -> list[str]:
    """Make the tables for reading again of every run with a settled conflict; the runs.

    A station that goes on with such a run sends its own rows, in which its own body stands.
    """
    with connection.transaction():
        found = [one for one in disputes(connection, places, settled=True) if not one.is_open]
        return _make_again(connection, found)


def _make_again(connection: Connection, found: Iterable[Dispute]) -> list[str]:
    runs: dict[str, dict[str, None]] = {}
    for one in found:
        if one.run and one.kind in (*OF_EVENTS, "head"):
            runs.setdefault(one.place.site, {})[one.run] = None
    for site, of_site in runs.items():
        make_tables(connection, site, list(of_site))
    return [run for of_site in runs.values() for run in of_site]


def of_run(known: Iterable[Dispute], one: Dispute) -> list[Dispute]:
    """All open conflicts of the run that this one is of."""
    return [
        other
        for other in known
        if other.is_open and other.run == one.run and other.place == one.place and other.run
    ]


def seen(
    connection: Connection,
    schools: Sequence[str] = (),
    named: Sequence[str] = (),
    *,
    settled: bool = False,
) -> list[Dispute]:
    """The conflicts of the stations that a credential sees, or of some of them. Raises NoSuchPlace."""
    return disputes(connection, stations.places(connection, schools, named), settled=settled)
