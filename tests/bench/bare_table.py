"""The baseline of the review: the least Textual app that shows a record's runs in the library's own table.

`python bare_table.py RECORD`: a word first; Enter then shows the table.
"""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing

from rich.text import Text
from textual.app import App, ComposeResult
from textual.screen import Screen
from textual.widgets import DataTable, Static

COLUMNS = "trainee, procedure, guidance, rehearsal, station, opened_at, closed, plate, spoiled, hints"


class Runs(Screen[None]):
    """All runs, newest first, read by one query."""

    def compose(self) -> ComposeResult:
        """The table."""
        yield DataTable[Text]()

    def on_mount(self) -> None:
        """Fill it."""
        table = self.query_one(DataTable)
        table.add_columns(*COLUMNS.split(", "))
        with closing(sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)) as connection:
            rows = connection.execute(f"SELECT {COLUMNS} FROM runs ORDER BY opened_at DESC")  # noqa: S608 - our columns
            for row in rows.fetchall():
                table.add_row(*(Text(str(cell)) for cell in row))


class Bare(App[None]):
    """A word, and behind Enter the table."""

    def compose(self) -> ComposeResult:
        """The word."""
        yield Static("Readyword")

    def on_key(self) -> None:
        """Show the table."""
        self.push_screen(Runs())


if __name__ == "__main__":
    Bare().run()
