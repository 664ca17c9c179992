"""What stands of a run since its conflicts were settled: mostly the events as they came first.

Both bodies of a conflict are kept for ever. Where the record keeper has settled that the station's later one
stands, it is put in the place of the first wherever a run is worked through.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from trainer.record.shared.batches import KeptEvent
from trainer.record.shared.mirror import events_of, made_again, put_back, some_at_once

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]

_LATER = (
    "SELECT run, seq, id, stored, digest, head, person, salt, body FROM sinkside.standing "
    "WHERE site = %s AND run = ANY(%s)"
)
_ENDS = "SELECT run, last FROM sinkside.ends WHERE site = %s AND run = ANY(%s)"


def standing_events(connection: Connection, site: str, runs: Sequence[str]) -> dict[str, list[KeptEvent]]:
    """The events of some runs that stand, by run, in order."""
    found = events_of(connection, site, runs)
    later = {
        (row[0], row[1]): KeptEvent(*row) for row in connection.execute(_LATER, (site, list(runs))).fetchall()
    }
    ends: dict[str, int] = dict(connection.execute(_ENDS, (site, list(runs))).fetchall())
    if not later and not ends:
        return found
    return {
        run: [later.get((run, one.seq), one) for one in events if run not in ends or one.seq <= ends[run]]
        for run, events in found.items()
    }


def make_tables(connection: Connection, site: str, runs: Sequence[str]) -> None:
    """Make the tables for reading of some runs again, of what stands. Inside a transaction."""
    for some in some_at_once(runs):
        put_back(connection, site, some, made_again(standing_events(connection, site, some))[0])
