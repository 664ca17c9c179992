"""Every key of the program, once: bindings, the row of keys and the help page are made from here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.tongue import marked

if TYPE_CHECKING:  # 5 ms, and the start screen shows no run
    from trainer.run.view import ActName, RunView


@dataclass(frozen=True, slots=True)
class Action:
    """One thing a person can ask for.

    keys: names as the screen library knows them, the first is the one shown. shown: that key as printed on a
    keyboard. words: for the row of keys. more: one sentence for the help page. act: the act of a run it
    stands for; None where it works always. in_run: False for what no run asks.
    """

    id: str
    keys: tuple[str, ...]
    shown: str
    words: str
    more: str
    act: ActName | None = None
    in_run: bool = True


ACTIONS: tuple[Action, ...] = (
    Action(
        "next",
        ("space", "enter"),
        marked("Space"),
        marked("done"),
        marked(
            "The act is done: go on. It also starts and ends a wait and enters a number. "
            "Enter or a foot switch does the same."
        ),
        "next",
    ),
    Action(
        "accept",
        ("a",),
        "a",
        marked("I have read it"),
        marked("Accepts a safety prompt. It does nothing else, and no other key does it."),
        "accept",
    ),
    Action(
        "pick",
        ("1", "2", "3", "4", "5", "6", "7", "8", "9"),
        "1-9",
        marked("pick"),
        marked("Picks the answer with that digit."),
        "pick",
    ),
    Action(
        "unit",
        ("u", "f7"),
        "u",
        marked("other unit"),
        marked("Changes the unit of the number being typed. What is typed stays."),
        "unit",
    ),
    Action(
        "points",
        ("question_mark", "f2"),
        "?",
        marked("key points"),
        marked(
            "Shows what makes or breaks the act, and the reason. "
            "At cued and solo it is recorded that you asked."
        ),
        "points",
    ),
    Action(
        "picture",
        ("v", "f3"),
        "v",
        marked("picture"),
        marked("Shows the drawing that belongs to the act."),
        "picture",
    ),
    Action(
        "sign",
        ("s", "f8"),
        "s",
        marked("instructor"),
        marked("For the instructor: code, word and PIN, for a sign-off or to take a new shop value."),
        "sign",
    ),
    Action(
        "leave_setting",
        ("l",),
        "l",
        marked("leave it"),
        marked("Goes on without changing the shop's value."),
        "leave_setting",
    ),
    Action(
        "back",
        ("b", "f4"),
        "b",
        marked("look back"),
        marked("Shows the step before, and the one before that. Nothing is undone; Space comes back."),
        "back",
    ),
    Action(
        "pause",
        ("p", "f5"),
        "p",
        marked("pause"),
        marked("You are away from the sink. A wait goes on, since the developer does; it still rings."),
        "pause",
    ),
    Action(
        "spoil",
        ("x", "f6"),
        "x",
        marked("spoiled plate"),
        marked("The plate is lost. Asks why, then starts a new plate where the procedure says."),
        "spoil",
    ),
    Action("note", ("n", "f9"), "n", marked("note"), marked("Keeps a remark with the run."), "note"),
    Action(
        "hand_over",
        ("o",),
        "o",
        marked("hand over"),
        marked("Another trainee goes on with this work."),
        "hand_over",
    ),
    Action(
        "stop",
        ("g",),
        "g",
        marked("give up"),
        marked("Stops the run for good, with a reason."),
        "stop",
    ),
    Action(
        "operate",
        ("d",),
        "d",
        marked("operate"),
        marked(
            "Rehearsal: puts the marked control into its next position, or begins and ends what is held "
            "for a time, such as rubbing. Digits pick a position."
        ),
        "operate",
    ),
    Action(
        "control",
        ("c",),
        "c",
        marked("next control"),
        marked("Rehearsal: marks the next control, where an act has several."),
        "control",
    ),
    Action(
        "controls",
        ("k",),
        "k",
        marked("all controls"),
        marked(
            "Rehearsal: shows every control of the bench, since any can be operated at any time; again: only "
            "those of the act."
        ),
        "controls",
    ),
    Action(
        "speed",
        ("f",),
        "f",
        marked("speed"),
        marked("Rehearsal: changes how fast simulated time runs, once or five times as fast as the clock."),
        "speed",
    ),
    Action(
        "to_end",
        ("e",),
        "e",
        marked("to the end"),
        marked("Rehearsal: lets simulated time run at once to the end of what goes on."),
        "to_end",
    ),
    Action(
        "plate",
        ("i",),
        "i",
        marked("look"),
        marked("Rehearsal: the plate, or the film on the light table, with a loupe. The same key closes it."),
        "plate",
    ),
    Action(
        "loupe",
        ("left", "right"),
        marked("Arrows"),
        marked("move loupe"),
        marked("Moves the loupe over the plate; Up and Down do so too."),
        "loupe",
    ),
    Action(
        "measures",
        ("r",),
        "r",
        marked("measures"),
        marked("Fault practice: the measures of the plate, to be taken one by one. Each is counted."),
        in_run=False,
    ),
    Action(
        "magnify", ("m",), "m", marked("magnify"), marked("Changes how much the loupe magnifies."), "magnify"
    ),
    Action(
        "stage",
        ("j",),
        "j",
        marked("next stage"),
        marked("An author's preview: the first step of the next stage."),
        in_run=False,
    ),
    Action(
        "trouble",
        ("w",),
        "w",
        marked("what is wrong"),
        marked("An author's preview: the next step that something is wrong with."),
        in_run=False,
    ),
    Action(
        "narrow",
        ("z",),
        "z",
        marked("80x24"),
        marked("An author's preview: as on a terminal of 80 columns and 24 rows; again: as large as it is."),
        in_run=False,
    ),
    Action(
        "down",
        ("pagedown", "down"),
        marked("Down"),
        marked("more"),
        marked("Moves down where a text is longer than the screen."),
    ),
    Action("up", ("pageup", "up"), marked("Up"), "", marked("Moves up again.")),
    Action("light", ("t",), "t", marked("light or dark"), marked("Changes between dark and light colours.")),
    Action("help", ("h", "f1"), "h", marked("help"), marked("Shows this page.")),
    Action(
        "leave",
        ("q", "f10"),
        "q",
        marked("leave"),
        marked("Leaves the program. The run stays open and goes on at the same act later."),
    ),
)
"""In the order of the help page."""

BY_ID = {action.id: action for action in ACTIONS}
_DIGITS = 9
MOST_IN_ROW = 6
"""How many keys the row holds at 80 columns, help counted."""


def digit_keys(most: int) -> str:
    """The digits there are to pick from, as they are named in a row of keys: `1-3`."""
    return f"1-{most}" if 1 < most < _DIGITS else "1" if most == 1 else BY_ID["pick"].shown


def works(action: Action, view: RunView) -> bool:
    """Whether the action does something in what is shown now."""
    return action.in_run and (action.act is None or action.act in view.acts)


def in_row(view: RunView, width: int) -> tuple[Action, ...]:
    """The actions named in the row of keys: those that work now, in the run's order, and help.

    `width` is the terminal's, in cells; wider terminals name more of them.
    """
    room = MOST_IN_ROW - 1 if width < 100 else 2 * MOST_IN_ROW
    wanted = [action for name in view.acts if (action := _of_act(name)) and not _in_vain(name, view)]
    return (*wanted[:room], BY_ID["help"])


def _in_vain(name: ActName, view: RunView) -> bool:
    """A countdown cannot be ended early: its key only says so."""
    wait = view.wait
    counting = wait is not None and wait.form == "countdown" and wait.state == "running"
    return name == "next" and counting and not view.paused


def _of_act(name: ActName) -> Action | None:
    return next((action for action in ACTIONS if action.act == name), None)
