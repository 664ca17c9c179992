"""Before the first act: whose rules come before this program's."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen

from trainer.procedure.problems import ProcedureProblems
from trainer.run.ports import Trouble
from trainer.screens.page import Block
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.sheet import Sheet

KEYS = [("next", "Space", "I have read it: begin"), ("leave", "q", "not now")]


class Before(Screen[bool]):
    """Dismissed with True to begin (or to hear why it cannot be), False to go back."""

    DEFAULT_CSS = """
    Before { background: $background; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter", "begin", id="before.begin", show=False),
        Binding("q,f10", "leave", id="before.leave", show=False),
        Binding("down,pagedown", "move(8)", id="before.down", show=False),
        Binding("up,pageup", "move(-8)", id="before.up", show=False),
    ]

    def __init__(self, title: str, cautions: Sequence[str], load: Callable[[], object]) -> None:
        super().__init__()
        self._load = load
        self._title = title
        self._cautions = tuple(cautions)

    def compose(self) -> ComposeResult:
        """The words, the row of keys."""
        yield Sheet()
        yield Keys()

    def on_mount(self) -> None:
        """Draw the cautions."""
        self.query_one(Sheet).show(
            [
                Block(Content.styled(self._title, "bold"), band="bold on $panel"),
                Block(Content.styled("Before the first act", "bold $accent")),
                *(
                    Block(Content(caution), first=Content.styled("■ ", "bold $primary"))
                    for caution in self._cautions
                ),
            ]
        )

        self.call_after_refresh(self._meanwhile)

    def _meanwhile(self) -> None:
        """Load the procedure while the words are read; where that fails, whoever opens it hears why."""
        try:
            self._load()
        except (Trouble, ProcedureProblems):
            self.dismiss(result=True)

    def on_resize(self) -> None:
        """The keys, as many as there is room for."""
        self.query_one(Keys).show(KEYS)

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key."""
        self.dismiss(message.action == "next")

    def action_begin(self) -> None:
        """Begin."""
        self.dismiss(result=True)

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(result=False)

    def action_move(self, rows: int) -> None:
        """Move the text."""
        self.query_one(Sheet).move(rows)
