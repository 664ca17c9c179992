"""What is to be known of a record as a whole: above all, whether what it holds is invented."""

from __future__ import annotations

import sqlite3
from typing import Final

from trainer.procedure.text import one_line

INVENTED: Final = "invented"
"""The name under which an invented class is told; the value is the seed it was made from."""


def read(connection: sqlite3.Connection) -> dict[str, str]:
    """All that is said of the record, by name; but for the seals of who was erased (`gone`)."""
    rows = connection.execute("SELECT name, value FROM about WHERE name NOT GLOB 'erased *' ORDER BY name")
    return {one_line(name): one_line(value) for name, value in rows}


def write(connection: sqlite3.Connection, name: str, value: str) -> None:
    """Say something of the record, in the place of what was said under that name. Inside a transaction."""
    connection.execute("INSERT OR REPLACE INTO about (name, value) VALUES (?, ?)", (name, value))
