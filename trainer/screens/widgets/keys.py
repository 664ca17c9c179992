"""The row of keys at the bottom: exactly those that work now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.screens import actions, words
from trainer.screens.widgets.drawn import Drawn
from trainer.tongue import spoken

if TYPE_CHECKING:  # 5 ms, and the start screen shows no run
    from trainer.run.view import RunView

CAP = "bold reverse"


class Keys(Drawn):
    """One row, made from the registry of actions; each key can be clicked."""

    DEFAULT_CSS = """
    Keys { height: 1; padding: 0 1; background: $panel; color: $foreground; }
    """

    class Pressed(Message):
        """A key of the row was clicked. action: its id."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    _at: tuple[tuple[int, int, str], ...] = ()

    def show(self, named: list[tuple[str, str, str]]) -> None:
        """Draw keys: (action id, key as printed, words) each, as many as fit; the last one always stays."""
        content, self._at = row(named, self.size.width or self.app.size.width - 2)
        self.draw(content)

    def on_click(self, event: events.Click) -> None:
        """A click on a key is that key."""
        place = event.get_content_offset(self)
        for start, end, action in self._at:
            if place and start <= place.x < end:
                self.post_message(self.Pressed(action))


def of_view(
    view: RunView, width: int, said: Mapping[str, str] | None = None, digits: int = 0
) -> list[tuple[str, str, str]]:
    """The keys that work now, in the run's order. said: what some do here, where it is not as ever.

    digits: how many there are to pick from.
    """
    here = {"next": words.primary_words(view)} | dict(said or {})
    return [
        (
            action.id,
            actions.digit_keys(digits) if action.id == "pick" else spoken(action.shown),
            here.get(action.id) or spoken(action.words),
        )
        for action in actions.in_row(view, width)
    ]


def as_spoken(named: Sequence[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """Keys in the language spoken: (action id, key as printed, words) each, both marked for translation."""
    return [(action, spoken(shown), spoken(said)) for action, shown, said in named]


def row(named: list[tuple[str, str, str]], width: int) -> tuple[Content, tuple[tuple[int, int, str], ...]]:
    """The row, and where each key stands. Where all do not fit, those before the last go."""
    chosen = list(named)
    while len(chosen) > 1 and _width(chosen) > width:
        del chosen[-2]
    parts: list[Content] = []
    at: list[tuple[int, int, str]] = []
    left = 0
    for action, shown, said in chosen:
        part = Content.assemble((f" {shown} ", CAP), f" {said}")
        at.append((left, left + part.cell_length, action))
        left += part.cell_length + 2
        parts.append(part)
    return Content("  ").join(parts), tuple(at)


def _width(named: list[tuple[str, str, str]]) -> int:
    return sum(Content(f" {shown}  {said}").cell_length + 2 for _, shown, said in named) - 2
