"""A record as the first schema had it, from a dump: five runs, one erased and another in part."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

KEPT = Path(__file__).parent / "first_record"


def first_record(folder: Path) -> Path:
    """The record with its key and its second place, put into a folder of its own."""
    path = folder / "first" / "record.db"
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((KEPT / "record.sql").read_text(encoding="utf-8"))
    for beside in ("key", "heads"):
        shutil.copy(KEPT / f"record.db.{beside}", path.with_name(f"record.db.{beside}"))
    return path
