"""A spoiled plate and the next one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from run_kit import RUN_ID, Sink, plan_of, plan_with, with_cover

from trainer.procedure.plan import DONE
from trainer.run import events as ev
from trainer.run.fold import fold, missing_hazards
from trainer.run.refusals import Refused


def spoiled_at(step: str, sink: Sink | None = None) -> Sink:
    """A run whose plate was spoiled at `step`."""
    sink = (sink or Sink.open()).until(step)
    sink.run.spoil("scratched")
    return sink


def test_spoiled_plate_goes_back() -> None:
    """A spoiled plate is recorded with its stage and reason, and the next one begins where the file says."""
    sink = spoiled_at("read-wedge")
    assert sink.bodies(ev.PlateSpoiled) == [ev.PlateSpoiled(1, "development", "scratched", "take-plate")]
    view = sink.run.view()
    assert (view.plate, view.step) == (2, "take-plate")
    assert "Plate 2 begins" in view.notice
    sink.right()
    assert sink.run.view().notice == ""


def test_what_was_taken_since_the_plate_began_is_gone() -> None:
    """Readings since the first step of the plate are not taken any more; those from before it are."""
    state = spoiled_at("read-wedge").run.state
    assert state.taken("readings.vacuum") is None
    assert state.taken("readings.humidity") is not None
    assert state.taken("answers.film") is not None
    assert state.tries == {}
    assert state.accepted == frozenset()


def test_what_keeps_for_the_run_stays() -> None:
    """What is marked `keeps: run` and quiz answers outlive the plate."""
    state = spoiled_at("last-look").run.state
    for kept in ("readings.wedge", "worked.units_next", "answers.why_units", "answers.what_leaks"):
        assert state.taken(kept) is not None, kept
    assert state.taken("readings.vacuum") is None


def test_events_of_the_spoiled_plate_stay() -> None:
    """Nothing of the record is taken away."""
    sink = Sink.open().until("read-wedge")
    before = sink.events
    sink.run.spoil("dust")
    assert sink.events[: len(before)] == before


def test_earlier_value_holds_again() -> None:
    """A value taken before the plate, and again on it, is the earlier one after the plate is spoiled."""
    sink = Sink.open().until("read-gauge")
    humid = sink.run.state
    taken = humid.taken("readings.humidity")
    assert taken is not None
    later = replace(taken, value=70.0, seq=humid.seq)
    sink.run._state = replace(humid, values={**humid.values, "readings.humidity": (taken, later)})
    sink.run.spoil("dust")
    assert sink.run.state.taken("readings.humidity") == taken


def test_safety_prompts_come_again() -> None:
    """Every safety prompt comes again on the next plate, and is accepted again."""
    sink = spoiled_at("read-wedge").to_end()
    accepted = [event.step for event in sink.events if isinstance(event.body, ev.HazardAccepted)]
    once = ["mind-the-glass", "mind-the-light", "mind-the-developer"]
    assert accepted == once + once


def test_quizzes_are_not_asked_again() -> None:
    """A quiz answered on one plate is passed over on the next; one not reached yet is asked."""
    sink = spoiled_at("how-many-units").to_end()
    asked = [event.step for event in sink.events if isinstance(event.body, ev.QuizAnswered)]
    assert asked == ["why-units", "what-leaks", "how-many-units", "which-order"]
    assert sink.run.state.closed == "done"


def test_quiz_passed_over_is_asked_where_the_way_leads_back_to_it() -> None:
    """A wrong answer that leads back is not passed over for ever: the second time on a plate it is asked."""
    plan = plan_with(
        "because: The plate needs a dose; the lamp gives it slower when it is cold or old.\n",
        "because: The plate needs a dose; the lamp gives it slower when it is cold or old.\n"
        "        go:\n          - {when: \"answers.why_units != 'a'\", to: mind-the-light}\n",
    )
    sink = Sink.open(plan=plan).until("why-units")
    sink.settle()
    sink.run.pick(3)
    sink.run.spoil("dust")
    sink.to_end()
    assert sink.run.state.closed == "done"
    answers = [body.answer for body in sink.bodies(ev.QuizAnswered) if body.name == "why_units"]
    assert answers == [("c",), ("a",)]


def test_tries_count_from_the_plates_beginning() -> None:
    """`tries` counts finishes since the plate began, so that each plate has its own."""
    sink = Sink.open().until("read-gauge")
    for _ in range(2):
        sink.settle()
        sink.run.enter("17")
    sink.run.spoil("dust")
    sink.until("read-gauge")
    for expected in ("read-gauge", "read-gauge", "find-leak"):
        sink.settle()
        sink.run.enter("17")
        assert sink.run.state.step == expected


def test_where_no_plate_is_at_work_none_is_spoiled() -> None:
    """In a stage without `new_plate_from` spoiling is not offered and is refused with a sentence."""
    sink = Sink.open()
    assert "spoil" not in sink.run.view().acts
    with pytest.raises(Refused, match="No plate is at work"):
        sink.run.spoil("dust")
    assert "spoil" in sink.until("take-plate").run.view().acts
    with pytest.raises(Refused, match="what happened"):
        sink.run.spoil(" ")


def test_plate_can_be_spoiled_in_a_wait() -> None:
    """A plate given up while its wait runs leaves no wait behind."""
    sink = Sink.open().until("let-it-soften")
    sink.right()
    sink.run.spoil("developer dried")
    assert sink.run.state.wait is None
    assert sink.run.tick() == ()
    assert sink.to_end().run.state.closed == "done"


def test_many_plates() -> None:
    """Plates are numbered on, however many are spoiled."""
    sink = Sink.open("cued")
    for step in ("take-plate", "draw-down", "expose", "read-wedge", "sign"):
        spoiled_at(step, sink)
    assert sink.run.state.plate == 6
    assert sink.to_end().run.state.closed == "done"
    assert [body.plate for body in sink.bodies(ev.PlateSpoiled)] == [1, 2, 3, 4, 5]


def out_of_turn() -> Sink:
    """A run of a plan that wants `mind-the-glass`, long past, before `read-wedge` on every plate."""
    return Sink.open(plan=with_cover(plan_of("plate"), "read-wedge", "mind-the-glass"))


def test_prompt_already_accepted_does_not_come_again() -> None:
    """A safety prompt that was accepted since the plate began is not shown again before what it covers."""
    sink = out_of_turn().until("read-wedge")
    shown = [event.step for event in sink.events if isinstance(event.body, ev.StepShown)]
    assert shown.count("mind-the-glass") == 1


def test_unaccepted_prompt_comes_before_what_it_covers() -> None:
    """Whatever way leads to a covered step, an unaccepted prompt comes first, then that step and no other."""
    plan = with_cover(plan_of("plate"), "film-clean", "mind-the-developer", "mind-the-light")
    sink = Sink.open(plan=plan)
    sink.right()
    assert sink.run.view().step == "mind-the-developer"
    assert sink.run.view().stage == "inspection"
    assert missing_hazards(plan, sink.run.state, "film-clean") == ("mind-the-developer", "mind-the-light")
    sink.right()
    assert sink.run.view().step == "mind-the-light"
    sink.restart()
    sink.right()
    assert sink.run.view().step == "film-clean"
    assert sink.to_end().run.state.closed == "done"


def test_unaccepted_prompt_comes_before_the_end() -> None:
    """A prompt that is wanted before the end comes there at the latest, and then the run is done."""
    aside = with_cover(plan_of("plate"), DONE, "mind-the-glass")
    sink = Sink.open(plan=aside).until("sign")
    stale = replace(sink.run.state, accepted=frozenset({"mind-the-light"}))
    sink.run._state = stale
    sink.right()
    assert (sink.run.view().step, sink.run.state.closed) == ("mind-the-glass", "")
    sink.right()
    assert sink.run.state.closed == "done"


def test_plate_can_be_spoiled_at_a_prompt_out_of_turn() -> None:
    """At a prompt that came out of turn, spoiling goes by the stage of the act it comes before."""
    sink = Sink.open().until("expose")
    sink.run.hand_over("T-02")
    assert sink.run.view().step == "mind-the-light"
    sink.run.spoil("left in the light")
    assert sink.run.view().step == "take-plate"
    assert sink.bodies(ev.PlateSpoiled)[0].stage == "exposure"
    assert sink.to_end().run.state.closed == "done"
    assert fold(sink.plan, sink.journal.events(RUN_ID)) == sink.run.state
