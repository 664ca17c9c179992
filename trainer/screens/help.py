"""The help page: every action of the registry, what works now first; made when it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content

from trainer.run.view import RunView
from trainer.screens import actions
from trainer.screens.page import Block
from trainer.screens.reading import Reading
from trainer.tongue import marked, spoken

KEYS = [("back", marked("Space"), marked("back"))]
LEAD = 12
FUNCTION_KEYS = "F1 F2 F3 F4 F5 F6 F7 F8 F9 F10"


class Help(Reading[None]):
    """Space goes back. view: what the keys that work now are taken from; None on the start screen.

    named: ids of the actions that work now, where there is no run.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter,h,f1,q,b,f10,escape", "back", id="help.back", show=False),
    ]

    def __init__(self, view: RunView | None, named: Sequence[str] = ()) -> None:
        super().__init__(page(view, named), KEYS)

    def clicked(self, action: str) -> None:
        """A click on a key."""
        del action
        self.action_back()

    def action_back(self) -> None:
        """Go back."""
        self.dismiss(None)


def page(view: RunView | None, named: Sequence[str] = ()) -> list[Block]:
    """The whole page."""
    if view is None and not named:
        return [
            _heading(spoken("Keys on the start screen")),
            *_start(),
            _heading(spoken("Keys in a run")),
            *_all(),
        ]
    now = [
        action for action in actions.ACTIONS if (actions.works(action, view) if view else action.id in named)
    ]
    rest = [action for action in actions.ACTIONS if action.in_run and action not in now]
    blocks = [_heading(spoken("Keys that work now")), *(_line(action) for action in now)]
    if rest:
        blocks += [_heading(spoken("At other moments")), *(_line(action) for action in rest)]
    return [*blocks, Block(Content(spoken(FOOT)))]


FOOT = marked(
    "Letters and function keys do the same. No key has to be held, and none is repeated by holding it. "
    "More: sinkside guide."
)


def _all() -> list[Block]:
    return [_line(action) for action in actions.ACTIONS if action.in_run]


def _start() -> list[Block]:
    said = (
        (marked("Up Down"), marked("Move from row to row. Tab does the same.")),
        (marked("Left Right"), marked("Change what is chosen in a row.")),
        (marked("Enter"), marked("Goes on with an open run, begins a new one, or moves to the next row.")),
        ("F8", marked("For instructors: looks at what the class has done.")),
        ("F10", marked("Leaves the program.")),
    )
    return [_entry(spoken(keys), spoken(words)) for keys, words in said]


def _heading(said: str) -> Block:
    return Block(Content.styled(said, "bold $accent"))


def _line(action: actions.Action) -> Block:
    return _entry(printed(action), spoken(action.more))


def printed(action: actions.Action) -> str:
    """The keys of an action as they are printed on a keyboard: `? F2`."""
    others = [key.upper() for key in action.keys[1:] if key.upper() in FUNCTION_KEYS.split()]
    return " ".join([spoken(action.shown), *others])


def _entry(keys: str, said: str) -> Block:
    first = Content.assemble((keys.ljust(LEAD), "bold $primary"))
    return Block(Content(said), first=first, gap=0)
