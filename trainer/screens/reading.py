"""A screen that is only read: a sheet that can be moved, and the keys that lead on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from trainer.screens.page import Block
from trainer.screens.widgets.keys import Keys, as_spoken
from trainer.screens.widgets.sheet import Sheet
from trainer.tongue import marked

Result = TypeVar("Result")
ROWS = 8
"""Rows that the sheet moves at a time."""


class Reading(Screen[Result]):
    """Shows blocks. `named`: (action, key as printed, words) of the keys that lead on."""

    DEFAULT_CSS = """
    Reading { background: $background; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down,pagedown", f"move({ROWS})", id="reading.down", show=False),
        Binding("up,pageup", f"move(-{ROWS})", id="reading.up", show=False),
    ]

    def __init__(self, blocks: Sequence[Block], named: Sequence[tuple[str, str, str]]) -> None:
        super().__init__()
        self._blocks = tuple(blocks)
        self._named = tuple(named)

    def compose(self) -> ComposeResult:
        """The sheet, the row of keys."""
        yield Sheet()
        yield Keys()

    def on_mount(self) -> None:
        """Draw the sheet."""
        self.query_one(Sheet).show(self._blocks)

    def on_resize(self) -> None:
        """Name the keys, and the one that moves where there is more than the rows hold."""
        self.call_after_refresh(self.name_keys)

    def name_keys(self) -> None:
        """The keys that lead on, and the one that moves where there is more than the rows hold."""
        more = [("down", marked("Down"), marked("more"))] if self.query_one(Sheet).moves else []
        self.query_one(Keys).show(as_spoken([*self._named, *more]))

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key."""
        if message.action == "down":
            self.action_move(ROWS)
        else:
            self.clicked(message.action)

    def clicked(self, action: str) -> None:
        """What a click on one of the named keys does."""
        raise NotImplementedError(action)

    def action_move(self, rows: int) -> None:
        """Move the text."""
        self.query_one(Sheet).move(rows)
