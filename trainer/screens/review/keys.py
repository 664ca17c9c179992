"""Every key of the review, once: bindings, the row of keys and the help page are made from here."""

from __future__ import annotations

from trainer.screens.actions import Action

ACTIONS: tuple[Action, ...] = (
    Action("open", ("enter", "space"), "Enter", "open", "Opens what is under the bar: what it is made of."),
    Action(
        "back",
        ("b", "backspace", "f4", "escape"),
        "b",
        "back",
        "Goes back to the page before, where you were.",
    ),
    Action(
        "note",
        ("n", "f9"),
        "n",
        "note",
        "A single run: keeps an instructor's remark with it, by code and PIN.",
    ),
    Action(
        "sign",
        ("s", "f8"),
        "s",
        "sign off",
        "A single run: an instructor's word on its plate after class, by code and PIN. The last word counts.",
    ),
    Action(
        "excuse",
        ("e", "f6"),
        "e",
        "excuse",
        "A single run: takes it out of all figures, with a reason, by code and PIN. It stays in the record.",
    ),
    Action(
        "code",
        ("c", "f2"),
        "c",
        "code",
        "A trainee or a single run: puts a mistyped code right, by code and PIN. It says first what changes.",
    ),
    Action("order", ("o", "f7"), "o", "order", "Puts the rows in another order, where there is one."),
    Action(
        "left_out", ("less_than_sign", "comma"), "<", "skills before", "The class: the skills before these."
    ),
    Action(
        "right_out",
        ("greater_than_sign", "full_stop"),
        ">",
        "more skills",
        "The class: the skills after these.",
    ),
    Action("filters", ("f", "f3"), "f", "look at", "Chooses what is looked at: when, kind, work, trainees."),
    Action("all", ("u", "f5"), "u", "all", "Looks at everything again."),
    Action("page", tuple("123456789"), "1-9", "pages", "Goes to the page with that number in the top row."),
    Action("section", ("tab",), "Tab", "part", "Goes to the next part of the page."),
    Action("again", ("r",), "r", "read again", "Reads the record again: runs that ended meanwhile come in."),
    Action("light", ("t",), "t", "light or dark", "Changes between dark and light colours."),
    Action("help", ("h", "f1", "question_mark"), "h", "help", "Shows this page."),
    Action("leave", ("q", "f10"), "q", "leave", "Leaves the review."),
)
"""In the order of the help page."""
BY_ID = {action.id: action for action in ACTIONS}
ACTS = frozenset({"note", "sign", "excuse", "code"})
"""What is kept in the record, by code and PIN."""
MOVES = ("up", "down", "left", "right", "pageup", "pagedown", "home", "end")
"""Keys that only move."""
_ROW = (
    "open",
    "back",
    "note",
    "sign",
    "excuse",
    "code",
    "order",
    "right_out",
    "filters",
    "all",
    "leave",
    "section",
    "help",
)


def in_row(working: frozenset[str]) -> list[tuple[str, str, str]]:
    """The keys named in the bottom row, of those that work now: (action, key as printed, words)."""
    return [(BY_ID[name].id, BY_ID[name].shown, BY_ID[name].words) for name in _ROW if name in working]
