"""The row about a person that the journal touches: that a trainee exists."""

from __future__ import annotations

import sqlite3


def ensure_trainee(connection: sqlite3.Connection, code: str, at: str) -> None:
    """A trainee is made where first used; whoever is known already stays as he or she is."""
    connection.execute(
        "INSERT INTO people (code, role, name, added_at, pin) VALUES (?, 'trainee', '', ?, '') "
        "ON CONFLICT DO NOTHING",
        (code, at),
    )
