"""The baseline of start-up: the least Textual app that shows a word."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.widgets import Static


class Bare(App[None]):
    """One word."""

    def compose(self) -> ComposeResult:
        """The word."""
        yield Static("Readyword")


if __name__ == "__main__":
    Bare().run()
