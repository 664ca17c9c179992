"""Whatever is done at the bench, what is found out afterwards is said in few lines and can be told again."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer import places
from trainer.bench.apparatus import NUMBERS, WORDS
from trainer.procedure.load import load
from trainer.rehearsal import walk_right
from trainer.rehearsal.after import told
from trainer.rehearsal.rehearsal import Rehearsal
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walk_trouble import Stumble
from trainer.rehearsal.walker import Walker
from trainer.run.fault_events import FaultFound
from trainer.run.refusals import Refused

PLAN = load(places.procedures_dir() / "negative-plate-two-burns.yaml").require()
VALUES = {name: float(setting.value) for name, setting in PLAN.procedure.settings.items()}
ACTS = 230


def clumsy(seed: int) -> Walker:
    """A rehearsal by somebody who mostly does right, forgets some, and lays a hand on other things."""
    dice = Random(seed)  # noqa: S311 - a test
    walk = Walk(
        "clumsy", "negative-plate-two-burns", rehearsal=True, conditions={"seed": seed, "pinholes": 2}
    )
    walker = Walker.start(walk, PLAN, VALUES)
    assert walker.rehearsal is not None
    for _ in range(ACTS):
        if walker.run.state.closed:
            break
        if dice.random() < 0.06:
            _touch(walker.rehearsal, dice)
        if dice.random() < 0.03:
            walker.rehearsal.pass_time(dice.uniform(5, 900))
        try:
            _go_on(walker, dice)
        except (Stumble, Refused):
            break
    return walker


def _touch(rehearsal: Rehearsal, dice: Random) -> None:
    control = dice.choice([*WORDS, *NUMBERS])
    value = dice.choice(WORDS[control]) if control in WORDS else dice.uniform(*NUMBERS[control][:2])
    try:
        rehearsal.set(control, value)
    except Refused:
        return


def _go_on(walker: Walker, dice: Random) -> None:
    step = PLAN.steps[walker.run.state.step]
    if walker.asks == "judge" and step.judge is not None and dice.random() < 0.9:
        walker.pick_key(step.judge.right)
    elif walker.asks == "confirm" and dice.random() < 0.05:
        walker.press()
    else:
        walk_right.do_right(walker)


@pytest.mark.long(seconds=30)
@settings(max_examples=settings().max_examples // 20, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_after_any_rehearsal_few_lines_are_said_and_kept(seed: int) -> None:
    """At most eight lines; each fault is kept once a plate, with words and a skill that there is, or none."""
    walker = clumsy(seed)
    assert walker.rehearsal is not None
    said = told(walker.rehearsal, walker.events)
    assert len(said.causes) + len(said.signs) + len(said.next_time) <= 8
    kept = [event.body for event in walker.events if isinstance(event.body, FaultFound)]
    named = [(one.plate, one.fault or one.words) for one in kept]
    assert len(set(named)) == len(named)
    assert all(one.words and one.skill in {None, *PLAN.procedure.skills} for one in kept)
    assert told(walker.rehearsal, walker.events) == said
    assert len([event for event in walker.events if isinstance(event.body, FaultFound)]) == len(kept)
