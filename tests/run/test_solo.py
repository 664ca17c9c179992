"""Solo: picking the next act."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from run_kit import RUN_ID, Sink, plan_of, plan_with

from trainer.procedure.text import in_language
from trainer.run import events as ev
from trainer.run import solo
from trainer.run.fold import fold
from trainer.run.refusals import Refused, TooSoon
from trainer.run.situation import task_of

PLAN = plan_of("plate")
STATE = Sink.open("solo").run.state


def wrong_places(sink: Sink) -> list[int]:
    """The places in the offer that are not right."""
    offer = sink.run.state.offer
    assert offer is not None
    return [place for place, step in enumerate(offer.steps, 1) if step != offer.right]


@given(st.sampled_from(list(PLAN.steps)), st.integers(1, 10_000), st.text(max_size=8))
def test_offer_is_the_right_act_and_three_others(step: str, seq: int, run: str) -> None:
    """An offer is the right act and three others, no safety prompt, in other words, drawn always alike."""
    state = replace(STATE, step=step, seq=seq, run=run)
    offered = solo.offer(PLAN, state)
    assert offered == solo.offer(PLAN, state)
    if not offered:
        assert task_of(PLAN.steps[step]) not in ("none", "wait", "reading", "judge")
        return
    words = [in_language(PLAN.steps[one].do) for one in offered]
    assert step in offered
    assert len(offered) == len(set(words)) == 4
    assert all(PLAN.steps[one].hazard is None and PLAN.steps[one].do for one in offered)


@given(st.integers(1, 200))
def test_right_act_has_no_place_of_its_own(seq: int) -> None:
    """Over several draws the right act comes at every place, so that no digit is a good guess."""
    places = {
        solo.offer(PLAN, replace(STATE, step="take-plate", seq=seq + more)).index("take-plate")
        for more in range(60)
    }
    assert places == {0, 1, 2, 3}


def test_acts_in_the_same_words_are_not_offered_together() -> None:
    """An act that is said in the same words as the right one is never a wrong answer."""
    twin = plan_with("do: Read the last solid step of the wedge.", "do: Take  one plate by its EDGES.")
    for seq in range(200):
        state = replace(STATE, step="take-plate", seq=seq)
        assert "read-wedge" not in solo.offer(twin, state)


def test_only_act_shows_by_itself() -> None:
    """Where a procedure has no other act to offer, the step shows by itself."""
    alone = {id_: step for id_, step in PLAN.steps.items() if id_ in ("take-plate", "mind-the-glass", "sign")}
    assert solo.offer(replace(PLAN, steps=alone), replace(STATE, step="take-plate")) == ()


def test_nothing_is_told_before_the_pick() -> None:
    """While the next act is picked, the view tells neither step, act, key points, reason nor picture."""
    view = Sink.open("solo").run.view()
    assert view.picking_next
    assert (view.step, view.act, view.key_points, view.why, view.picture) == ("", "", (), "", None)
    assert view.choice is not None
    assert len(view.choice.options) == 4
    assert view.acts[0] == "pick"


def test_right_pick_shows_the_step() -> None:
    """The right pick is recorded and shows the step; its key points stay hidden until asked for."""
    sink = Sink.open("solo")
    sink.right()
    view = sink.run.view()
    assert (view.step, view.act[:8], view.points_hidden) == ("look-at-film", "Lay the ", True)
    assert sink.bodies(ev.NextPicked) == [ev.NextPicked("look-at-film", right=True)]
    sink.run.points()
    view = sink.run.view()
    assert view.key_points == ("Mask on top", "Light table on")
    assert view.why
    assert "points" not in view.acts
    assert len(sink.bodies(ev.HintOpened)) == 1
    with pytest.raises(Refused):
        sink.run.points()


def test_wrong_pick_is_recorded_and_not_done() -> None:
    """A wrong pick moves nothing; it is marked, and the same one is not taken twice."""
    sink = Sink.open("solo")
    place = wrong_places(sink)[0]
    sink.settle()
    sink.run.pick(place)
    view = sink.run.view()
    assert view.picking_next
    assert "not what comes next" in view.notice
    assert view.choice is not None
    assert [option.picked for option in view.choice.options].count(True) == 1
    assert not sink.bodies(ev.StepShown)
    sink.settle()
    with pytest.raises(Refused, match="already"):
        sink.run.pick(place)
    sink.right()
    assert [body.right for body in sink.bodies(ev.NextPicked)] == [False, True]
    assert sink.run.view().notice == ""


def test_second_wrong_pick_is_explained() -> None:
    """After the second wrong pick the right act is told, with its reason, and the primary act shows it."""
    sink = Sink.open("solo")
    for place in wrong_places(sink)[:2]:
        sink.settle()
        sink.run.pick(place)
    view = sink.run.view()
    assert view.answer is not None
    assert not view.answer.right
    assert view.answer.wanted.startswith("Lay the film")
    assert view.answer.because.startswith("Anything clear")
    assert (view.step, view.acts[0], view.choice) == ("", "next", None)
    sink.settle()
    sink.run.next()
    assert sink.run.view().step == "look-at-film"


def test_held_digit_picks_once() -> None:
    """A digit that is held down picks one act and no second one."""
    sink = Sink.open("solo")
    place = wrong_places(sink)[0]
    sink.settle()
    sink.run.pick(place)
    for _ in range(100):
        sink.clock.pass_time(0.03)
        with pytest.raises(TooSoon):
            sink.run.pick(place)
    assert len(sink.bodies(ev.NextPicked)) == 1


def test_what_asks_something_shows_by_itself() -> None:
    """Safety prompts, quizzes, results, offers and sign-offs are not picked; every other act is."""
    sink = Sink.open("solo").to_end()
    offered = {body.right for body in sink.bodies(ev.NextOffered)}
    shown = [event for event in sink.events if isinstance(event.body, ev.StepShown)]
    for event in shown:
        acts = getattr(event.body, "task", "") in ("none", "wait", "reading", "judge")
        assert (event.step in offered) is acts


def test_reading_asked_again_is_not_picked_again() -> None:
    """A reading that is not good is asked again at once, with nothing to pick."""
    sink = Sink.open("solo").until("read-gauge")
    offers = len(sink.bodies(ev.NextOffered))
    sink.settle()
    sink.run.enter("17")
    assert sink.run.view().step == "read-gauge"
    assert len(sink.bodies(ev.NextOffered)) == offers


def test_fold_draws_nothing() -> None:
    """After a restart in the middle of picking the very same offer stands, wrong picks and all."""
    sink = Sink.open("solo")
    sink.settle()
    sink.run.pick(wrong_places(sink)[0])
    before = sink.run.view().choice
    sink.restart(5)
    assert sink.run.view().choice == before
    assert fold(PLAN, sink.journal.events(RUN_ID)) == sink.run.state
