"""Who was taken out of the record, remembered by a seal: nobody comes back with a backup from before.

A seal is the MAC of the code and of when the row was made. It says nothing of the person; a row in a backup
is known by it, and one that was made later under the same code is not.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from typing import Final

from trainer.record import about
from trainer.record.chain import ChainKey

_NAME: Final = "erased "
"""What the name of a seal begins with, among what is to be known of the record; its value is when."""
_ROWS: Final = "SELECT code, added_at FROM people ORDER BY code"


def take_out(connection: sqlite3.Connection, key: ChainKey, at: str, code: str) -> None:
    """Take a person's row away for good, with the tries of a PIN, and seal that. Inside a transaction."""
    row = connection.execute("SELECT added_at FROM people WHERE code = ?", (code,)).fetchone()
    if row is not None:
        about.write(connection, _seal(key, code, row[0]), at)
    connection.execute("DELETE FROM people WHERE code = ?", (code,))
    connection.execute("DELETE FROM pin_tries WHERE instructor = ?", (code,))


def seals(connection: sqlite3.Connection) -> dict[str, str]:
    """The seals of a record, and when each was made; none in a record of the first schema."""
    if not connection.execute("SELECT 1 FROM sqlite_schema WHERE name = 'about'").fetchone():
        return {}
    rows = connection.execute("SELECT name, value FROM about WHERE name GLOB ?", (f"{_NAME}*",)).fetchall()
    return dict(rows)


def take_out_again(connection: sqlite3.Connection, key: ChainKey, known: Mapping[str, str]) -> int:
    """Take out whoever one of these seals is of, and keep the seals; how many. Inside a transaction."""
    gone = 0
    for code, added_at in connection.execute(_ROWS).fetchall():
        if (at := known.get(_seal(key, code, added_at))) is not None:
            take_out(connection, key, at, code)
            gone += 1
    for name, at in known.items():
        about.write(connection, name, at)
    return gone


def _seal(key: ChainKey, code: str, added_at: str) -> str:
    return _NAME + key.sealed({"erased": code, "added_at": added_at})[:16].hex()
