"""The keys of the review, and how its signs are read. Pure."""

from __future__ import annotations

from trainer.insight.states import RULE
from trainer.screens.review import saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.keys import ACTIONS
from trainer.screens.review.leaf import Heading, Item, Leaf, Size, Words

LEAD = 12
MOVES = (
    ("Arrows", "Move the bar from one thing that opens to the next. PgUp, PgDn, Home and End go further."),
)


def leaf(desk: Desk, keys: tuple[str, ...], size: Size) -> Leaf:
    """All keys, the states, the signs."""
    del desk, keys, size
    items: list[Item] = [Heading("Keys")]
    named = [*MOVES, *((_printed(action.shown, action.keys), action.more) for action in ACTIONS)]
    items += [Words(more, first=shown.ljust(LEAD)) for shown, more in named]
    items.append(Heading("How far along somebody is at a skill"))
    items += [Words(name, first=saying.state(name).ljust(LEAD)) for name in saying.STATES]
    items.append(Words(RULE, style="$quiet"))
    items.append(Heading("Signs"))
    items += [Words(said, first=sign.ljust(LEAD)) for sign, said in SIGNS]
    items.append(Words("More: sinkside guide reviewer, sinkside guide methods.", style="$quiet", gap=1))
    return Leaf("Keys", tuple(items))


SIGNS = (
    ("!!", "a finding to do something about"),
    ("!", "a finding to look at again next week; in a run: not as wanted"),
    ("+", "good to know; in a run: as wanted"),
    ("?", "in a run: key points were asked for"),
    ("9 of 24", "in brackets after it: between which the true rate lies in 95 of 100 such cases"),
)


def _printed(shown: str, keys: tuple[str, ...]) -> str:
    """The keys of an action as they are printed on a keyboard: `b F4`."""
    return " ".join([shown, *(key.upper() for key in keys[1:] if key[:1] == "f" and key[1:].isdecimal())])
