"""The help page: every action of the registry, what works now first; made when it is asked for."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import ModalScreen

from trainer.run.view import RunView
from trainer.screens import actions
from trainer.screens.page import Block
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.sheet import Sheet

KEYS = [("down", "Down", "more"), ("up", "Up", "up"), ("back", "Space", "back to the work")]
LEAD = 12
FUNCTION_KEYS = "F1 F2 F3 F4 F5 F6 F7 F8 F9 F10"


class Help(ModalScreen[None]):
    """Space goes back. view: what the keys that work now are taken from; None on the start screen."""

    DEFAULT_CSS = """
    Help { background: $background; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter,h,f1,q,b,f10,escape", "back", id="help.back", show=False),
        Binding("down,pagedown", "move(8)", id="help.down", show=False),
        Binding("up,pageup", "move(-8)", id="help.up", show=False),
    ]

    def __init__(self, view: RunView | None) -> None:
        super().__init__()
        self._view = view

    def compose(self) -> ComposeResult:
        """The page, the row of keys."""
        yield Sheet()
        yield Keys()

    def on_mount(self) -> None:
        """Draw the page."""
        self.query_one(Sheet).show(page(self._view))

    def on_resize(self) -> None:
        """The keys, as many as there is room for."""
        self.query_one(Keys).show(KEYS)

    def on_keys_pressed(self, message: Keys.Pressed) -> None:
        """A click on a key."""
        if message.action == "back":
            self.action_back()
        else:
            self.action_move(8 if message.action == "down" else -8)

    def action_back(self) -> None:
        """Go back."""
        self.dismiss(None)

    def action_move(self, rows: int) -> None:
        """Move the text."""
        self.query_one(Sheet).move(rows)


def page(view: RunView | None) -> list[Block]:
    """The whole page."""
    if view is None:
        return [_heading("Keys on the start screen"), *_start(), _heading("Keys in a run"), *_all()]
    now = [action for action in actions.ACTIONS if actions.works(action, view)]
    rest = [action for action in actions.ACTIONS if not actions.works(action, view)]
    blocks = [_heading("Keys that work now"), *(_line(action) for action in now)]
    if rest:
        blocks += [_heading("At other moments"), *(_line(action) for action in rest)]
    return [*blocks, Block(Content(FOOT))]


FOOT = (
    "Letters and function keys do the same. No key has to be held, and none is repeated by holding it. "
    "More: sinkside guide."
)


def _all() -> list[Block]:
    return [_line(action) for action in actions.ACTIONS]


def _start() -> list[Block]:
    said = (
        ("Up Down", "Move from row to row. Tab does the same."),
        ("Left Right", "Change what is chosen in a row."),
        ("Enter", "Goes on with an open run, begins a new one, or moves to the next row."),
        ("F10", "Leaves the program."),
    )
    return [_entry(keys, words) for keys, words in said]


def _heading(said: str) -> Block:
    return Block(Content.styled(said, "bold $accent"))


def _line(action: actions.Action) -> Block:
    return _entry(printed(action), f"{action.more}")


def printed(action: actions.Action) -> str:
    """The keys of an action as they are printed on a keyboard: `? F2`."""
    others = [key.upper() for key in action.keys[1:] if key.upper() in FUNCTION_KEYS.split()]
    return " ".join([action.shown, *others])


def _entry(keys: str, said: str) -> Block:
    first = Content.assemble((keys.ljust(LEAD), "bold $primary"))
    return Block(Content(said), first=first, gap=0)
