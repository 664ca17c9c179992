"""How a station's forwarding stands, as its record tells it: read without a network and without a driver."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Final

from trainer.procedure.text import one_line
from trainer.record import about
from trainer.record.shared.batches import moment, reading
from trainer.record.shared.cursor import SITE, waiting
from trainer.record.store import troubles
from trainer.run.frozen import frozen

LAST_CONTACT: Final = "forwarding"
"""The name under which the last contact is kept among what is to be known of the record."""


@frozen
class State:
    """site: the station's id in the shared record; empty before the first contact. waiting: events not sent.

    at: the last contact that went well, RFC 3339; empty where there was none. trouble: why the last one did
    not, in a sentence; empty where it did. conflicts: events that did not fit what
    was there, and that the record keeper has not settled.
    """

    site: str
    waiting: int
    at: str
    trouble: str
    conflicts: int


def read(path: Path) -> State | None:
    """How forwarding stands; None where it was never tried. Raises JournalTrouble."""
    with reading(path) as connection, troubles(path), moment(connection):
        return of(connection)


def of(connection: sqlite3.Connection) -> State | None:
    """The same by a connection that is open."""
    if not connection.execute("SELECT 1 FROM sqlite_schema WHERE name = 'about'").fetchone():
        return None
    known = about.read(connection)
    if LAST_CONTACT not in known:
        return None
    at, trouble, conflicts = _kept(known[LAST_CONTACT])
    return State(known.get(SITE, ""), waiting(connection), at, trouble, conflicts)


def write(connection: sqlite3.Connection, at: str, trouble: str, conflicts: int) -> None:
    """Keep how the last contact went. Inside a transaction."""
    value = json.dumps({"at": at, "trouble": one_line(trouble), "conflicts": conflicts})
    about.write(connection, LAST_CONTACT, value)


def _kept(text: str) -> tuple[str, str, int]:
    """What was kept; nothing where somebody wrote something else there."""
    try:
        kept = json.loads(text)
        return one_line(str(kept["at"])), one_line(str(kept["trouble"])), int(kept["conflicts"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return "", "", 0
