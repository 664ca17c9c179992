"""A single run, read for replaying: its row, its events as far as they can be read, its procedure's bytes."""

from __future__ import annotations

import hashlib

from trainer.insight.glance import RUN_COLUMNS, RunSeen, run_seen
from trainer.record.asking import Asked
from trainer.record.packing import unpacked
from trainer.run.events import Event
from trainer.run.ports import JournalTrouble


def one_run(connection: Asked, run: str) -> RunSeen | None:
    """The row of a run; None where the record has none. Raises sqlite3.Error."""
    row = connection.execute(f"SELECT {RUN_COLUMNS} FROM runs WHERE run = ?", (run,)).fetchone()  # noqa: S608 - our columns
    return None if row is None else run_seen(row)


def events(connection: Asked, run: str) -> tuple[tuple[Event, ...], tuple[str, ...]]:
    """The events of a run in order, and a sentence for each that cannot be read. Raises sqlite3.Error."""
    rows = connection.execute("SELECT seq, body FROM events WHERE run = ? ORDER BY seq", (run,))
    found: list[Event] = []
    troubles: list[str] = []
    erased = 0
    for seq, body in rows:
        if body is None:
            erased += 1
            continue
        try:
            found.append(unpacked(body, run, seq))
        except JournalTrouble as told:
            troubles.append(str(told))
    if erased:
        troubles.append(f"{erased} of its events belonged to a person who was erased.")
    return tuple(found), tuple(troubles)


def source(connection: Asked, content_hash: str) -> bytes | None:
    """The bytes of a procedure as a run was opened with it; None where they are gone, or were altered."""
    row = connection.execute(
        "SELECT source FROM procedures WHERE content_hash = ?", (content_hash,)
    ).fetchone()
    if row is None or hashlib.sha256(row[0]).hexdigest() != content_hash:
        return None
    found: bytes = row[0]
    return found
