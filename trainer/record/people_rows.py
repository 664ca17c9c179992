"""The few rows about people that the journal touches: who is at work, and that a trainee exists."""

from __future__ import annotations

import sqlite3


def on_duty(connection: sqlite3.Connection, run: str) -> str:
    """Who is at work in a run after its last event; empty for a run that is new."""
    row = connection.execute("SELECT trainee FROM runs WHERE run = ?", (run,)).fetchone()
    return "" if row is None else str(row[0])


def ensure_trainee(connection: sqlite3.Connection, code: str, at: str) -> None:
    """A trainee is made where first used; whoever is known already stays as he or she is."""
    connection.execute(
        "INSERT INTO people (code, role, name, added_at, pin) VALUES (?, 'trainee', '', ?, '') "
        "ON CONFLICT DO NOTHING",
        (code, at),
    )
