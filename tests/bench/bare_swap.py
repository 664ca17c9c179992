"""The baseline of a key press: commit one row with the record's pragmas, then swap one word."""

from __future__ import annotations

import sqlite3
import sys
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.widgets import Static


class Swap(App[None]):
    """One word, another after each Space."""

    BINDINGS: ClassVar[list[BindingType]] = [("space", "swap", "On")]

    def __init__(self, path: str) -> None:
        super().__init__()
        self.count = 1
        self.connection = sqlite3.connect(path, isolation_level=None)
        self.connection.execute("PRAGMA journal_mode = DELETE")
        self.connection.execute("PRAGMA synchronous = EXTRA")
        self.connection.execute("CREATE TABLE row (seq INTEGER PRIMARY KEY, body TEXT NOT NULL) STRICT")

    def compose(self) -> ComposeResult:
        """The word."""
        yield Static("act001x")

    def action_swap(self) -> None:
        """Commit, then show."""
        self.count += 1
        self.connection.execute("BEGIN IMMEDIATE")
        self.connection.execute("INSERT INTO row (body) VALUES (?)", (f"act{self.count:03}x" * 40,))
        self.connection.execute("COMMIT")
        self.query_one(Static).update(f"act{self.count:03}x")


if __name__ == "__main__":
    Swap(sys.argv[1]).run()
