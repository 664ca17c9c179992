"""One registry of keys: what is bound, what the row of keys names, what the help page says."""

from __future__ import annotations

from typing import get_args

import pytest
from stand_ins import CONFIRM, VIEWS
from textual.binding import Binding

from trainer.run.view import ActName, RunView
from trainer.screens import actions
from trainer.screens import help as help_screen
from trainer.screens.drawing import CARRIED
from trainer.screens.widgets.keys import of_view, row
from trainer.screens.working import Working

SAFE = {"space", "enter", "question_mark", "pageup", "pagedown", "up", "down", "left", "right"}
"""Keys that reach a program through multiplexers and slow lines, beside letters, digits and F1 to F10."""


def bound() -> dict[str, str]:
    """The action of each key of the run screen."""
    found: dict[str, str] = {}
    for binding in Working.BINDINGS:
        assert isinstance(binding, Binding)
        for key in binding.key.split(","):
            assert key not in found, f"{key} is bound twice"
            found[key] = binding.action
    return found


def test_every_action_is_bound_to_its_keys() -> None:
    """Each key of the registry does its own action on the run screen, and no other key does anything."""
    wanted = {
        key: CARRIED[action.id].format(key) if action.id in CARRIED else f"act('{action.id}')"
        for action in actions.ACTIONS
        if action.in_run
        for key in action.keys
    }
    assert bound() == wanted


def test_every_act_of_a_run_has_one_action() -> None:
    """Whatever a run can be asked to do has exactly one action, and so a key."""
    named = [action.act for action in actions.ACTIONS if action.act]
    assert sorted(named) == sorted(get_args(ActName))


def test_every_binding_can_be_moved() -> None:
    """Each binding has an id of its own, so that a keymap can put it on another key."""
    ids = [binding.id for binding in Working.BINDINGS if isinstance(binding, Binding)]
    assert len(set(ids)) == len(ids)
    assert all(ids)


def test_keys_get_through_everywhere() -> None:
    """No key needs Ctrl or Alt, none is Escape: those are eaten by multiplexers and slow lines."""
    for action in actions.ACTIONS:
        for key in action.keys:
            function = key.startswith("f") and key[1:].isdecimal() and 1 <= int(key[1:]) <= 10
            assert key in SAFE or function or (len(key) == 1 and key.isalnum())


def test_accepting_has_one_key_of_its_own() -> None:
    """A safety prompt is accepted by the letter a alone."""
    assert actions.BY_ID["accept"].keys == ("a",)


@pytest.mark.parametrize("view", [None, *VIEWS.values()])
def test_help_names_every_action(view: RunView | None) -> None:
    """The help page of a run has a line for each of its actions, and none for those of other screens."""
    said = [block.content.plain for block in help_screen.page(view)]
    for action in actions.ACTIONS:
        assert said.count(action.more) == (1 if action.in_run else 0)
        assert not action.in_run or any(
            help_screen.printed(action) in block.first.plain for block in help_screen.page(view)
        )


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS.keys())
def test_the_row_names_only_keys_that_work(view: RunView) -> None:
    """Every key in the row but help is an act that the run takes now, in the run's order."""
    named = [actions.BY_ID[action].act for action, _, _ in of_view(view, 80)]
    assert named[-1] is None
    positions = [view.acts.index(act) for act in named[:-1] if act]
    assert positions == sorted(positions)
    assert len(positions) == len(named) - 1


def test_a_running_countdown_names_no_key_to_end_it() -> None:
    """While a countdown runs the row does not offer to go on, since it cannot be ended early."""
    assert "next" not in [action for action, _, _ in of_view(VIEWS["countdown"], 80)]
    assert "next" in [action for action, _, _ in of_view(VIEWS["countdown-due"], 80)]


def test_a_narrow_row_keeps_help() -> None:
    """Where keys do not fit, those before the last go; help stays."""
    content, at = row(of_view(CONFIRM, 80), 30)
    assert content.cell_length <= 30
    assert at[-1][2] == "help"
