"""The walks of the shipped procedures go everywhere between them, and miss everything once.

That all of them pass is held by tests/content/test_nothing_left_out.py.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from trainer import places
from trainer.procedure.load import load
from trainer.rehearsal.walk_file import read_walk
from trainer.rehearsal.walker import Walker
from trainer.run import events as ev

WALKS = Path(__file__).resolve().parent.parent / "walks"
WET = [file.stem for file in sorted(WALKS.glob("*.yaml")) if "rehearsal" not in file.stem]
"""Those that a record in memory and no bench go through, twice over in no time."""


@cache
def walked(name: str) -> Walker:
    """The walker after all acts of a walk."""
    walk = read_walk(WALKS / f"{name}.yaml").walk
    assert walk is not None
    plan = load(places.procedures_dir() / f"{walk.procedure}.yaml").require()
    settings = {key: float(setting.value) for key, setting in plan.procedure.settings.items()}
    walker = Walker.start(walk, plan, {**settings, **walk.settings})
    for placed in walk.acts:
        walker.do(placed)
    return walker


def bodies(name: str) -> list[ev.Body]:
    """What was recorded on a walk."""
    return [event.body for event in walked(name).events]


@pytest.mark.parametrize("name", WET)
@pytest.mark.sweep(quick=8)
def test_the_record_of_a_walk_has_no_gap(name: str) -> None:
    """Events are numbered from 1 without gaps, and time never goes backwards."""
    events = walked(name).events
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    assert [event.stamp.at for event in events] == sorted(event.stamp.at for event in events)


def test_a_right_walk_at_each_level_of_guidance() -> None:
    """Full, cued and solo each have a walk without a miss, a slip or a hint."""
    for level in ("full", "cued", "solo"):
        kept = bodies(f"two-burns-right-{level}")
        opened = kept[0]
        assert isinstance(opened, ev.RunOpened)
        assert opened.guidance == level
        assert not [body for body in kept if isinstance(body, ev.HintOpened | ev.PlateSpoiled)]
        assert all(body.verdict == "ok" for body in kept if isinstance(body, ev.ReadingTaken))
        assert all(body.right for body in kept if isinstance(body, ev.QuizAnswered | ev.NextPicked))
        assert all(body.outcome == "on_time" for body in kept if isinstance(body, ev.WaitEnded))


def test_a_miss_at_every_kind_of_task() -> None:
    """One walk has a slip, a miss, each kind of question answered wrong, early and late, and `not yet`."""
    kept = bodies("two-burns-misses")
    assert {body.verdict for body in kept if isinstance(body, ev.ReadingTaken)} == {"ok", "miss", "slip"}
    wrong = {body.form for body in kept if isinstance(body, ev.QuizAnswered) and not body.right}
    assert wrong == {"choice", "choices", "number", "order"}
    assert {body.outcome for body in kept if isinstance(body, ev.WaitEnded)} == {"on_time", "early", "late"}
    assert [body.word for body in kept if isinstance(body, ev.SignedOff)] == ["not_yet", "passed"]
    plan = walked("two-burns-misses").plan
    right = {step.judge.name: step.judge.right for step in plan.steps.values() if step.judge}
    off = {body.name for body in kept if isinstance(body, ev.Judged) and body.answer != right[body.name]}
    assert len(off) >= 4


def test_two_spoiled_plates() -> None:
    """One walk spoils two plates, in two stages, and ends with the third signed as passed."""
    spoiled = [body for body in bodies("two-burns-two-spoiled") if isinstance(body, ev.PlateSpoiled)]
    assert [(body.plate, body.stage, body.back_to) for body in spoiled] == [
        (1, "punching", "wash-hands"),
        (2, "exposure", "wash-hands"),
    ]


def test_a_new_plate_asks_no_question_twice_and_every_prompt_again() -> None:
    """Over three plates each question is answered once, and each prompt once for each plate that meets it."""
    walker = walked("two-burns-two-spoiled")
    answered = [event.step for event in walker.events if isinstance(event.body, ev.QuizAnswered)]
    assert len(answered) == len(set(answered))
    accepted = [event.step for event in walker.events if isinstance(event.body, ev.HazardAccepted)]
    assert accepted.count("mind-the-punch") == 3
    assert accepted.count("mind-the-light") == 2
    assert accepted.count("mind-your-eyes") == 1


def test_every_step_is_shown_by_some_walk() -> None:
    """No step of the shipped procedures, asides included, is left without a walk through it."""
    shown: dict[str, set[str]] = {}
    for name in WET:
        walker = walked(name)
        seen = {str(event.step) for event in walker.events if isinstance(event.body, ev.StepShown)}
        shown.setdefault(walker.plan.procedure.id, set()).update(seen)
    for file in places.procedures_dir().glob("*.yaml"):
        plan = load(file).require()
        assert set(plan.steps) - shown[plan.procedure.id] == set()


def test_corrections_follow_the_wedge() -> None:
    """24 units and step 4 want 48 (47.9 rounded to a half), 48 and step 7 want 34: factors 10^(0.15 k)."""
    worked = [
        body.value for body in bodies("exposure-test-two-corrections") if isinstance(body, ev.WorkedOut)
    ]
    assert worked == [24.0, 48.0, 34.0]
    assert round(24 * 10 ** (0.15 * 2) * 2) / 2 == 48
    assert round(48 * 10 ** (0.15 * -1) * 2) / 2 == 34
