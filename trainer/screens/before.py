"""Before the first act: whose rules come before this program's."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

from trainer.procedure.problems import ProcedureProblems
from trainer.run.ports import Trouble
from trainer.screens.page import Block
from trainer.screens.reading import Reading
from trainer.tongue import marked, spoken

KEYS = [("begin", marked("Space"), marked("I have read it: begin")), ("leave", "q", marked("not now"))]


class Before(Reading[bool]):
    """Dismissed with True to begin (or to hear why it cannot be), False to go back."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter", "begin", id="before.begin", show=False),
        Binding("q,f10", "leave", id="before.leave", show=False),
    ]

    def __init__(self, title: str, cautions: Sequence[str], load: Callable[[], object]) -> None:
        super().__init__(page(title, cautions), KEYS)
        self._load = load

    def on_mount(self) -> None:
        """Load the procedure as soon as the words stand."""
        super().on_mount()
        self.call_after_refresh(self._meanwhile)

    def _meanwhile(self) -> None:
        """Load while the words are read; where that fails, whoever opens the procedure hears why."""
        try:
            self._load()
        except (Trouble, ProcedureProblems):
            self.action_begin()

    def clicked(self, action: str) -> None:
        """A click on a key."""
        self.dismiss(result=action == "begin")

    def action_begin(self) -> None:
        """Begin."""
        self.dismiss(result=True)

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(result=False)


def page(title: str, cautions: Sequence[str]) -> list[Block]:
    """Title and cautions."""
    mark = Content.styled("■ ", "bold $primary")
    return [
        Block(Content.styled(title, "bold"), band="bold on $panel"),
        Block(Content.styled(spoken("Before the first act"), "bold $accent")),
        *(Block(Content(caution), first=mark) for caution in cautions),
    ]
