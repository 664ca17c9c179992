"""Opening, taking up and moving a run; every act durable before the state moves."""

from __future__ import annotations

from dataclasses import replace

import pytest
from run_kit import RIGHT, RUN_ID, Sink, plan_of, plan_with

from trainer.procedure.plan import DONE
from trainer.run import events as ev
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.fold import fold
from trainer.run.ports import JournalTrouble, LeaseLost, Trouble
from trainer.run.session import Refused, Run, TooSoon


@pytest.mark.parametrize("guidance", ["full", "cued", "solo"])
def test_right_run_goes_to_the_end(guidance: ev.Guidance) -> None:
    """A run of right acts is done, at every level of guidance, with every step in the procedure's order."""
    sink = Sink.open(guidance).to_end()
    assert (sink.run.state.closed, sink.run.state.step) == ("done", DONE)
    asides = {id_ for id_, step in sink.plan.steps.items() if step.aside}
    shown = [event.step for event in sink.events if isinstance(event.body, ev.StepShown)]
    assert shown == [step for step in sink.plan.steps if step not in asides]
    assert sink.kinds()[-1] == "run_closed"
    assert sink.bodies(ev.RunClosed) == [ev.RunClosed("done")]


def test_opening_records_what_was_used() -> None:
    """The first event names trainee, job, procedure to the byte, guidance, and every setting's value."""
    plan, journal = plan_of("plate"), FakeJournal()
    Run.open(
        plan,
        run=RUN_ID,
        trainee="T-02",
        guidance="cued",
        settings={"exposure": 30.0},
        journal=journal,
        clock=FakeClock(),
        job="tide \x1b[31m card",
        colour="blue",
        language="es",
    )
    opened = journal.events(RUN_ID)[0].body
    assert isinstance(opened, ev.RunOpened)
    assert opened.settings == {"exposure": 30.0, "vacuum_floor": 20.0, "wedge_target": 6.0}
    assert (opened.trainee, opened.procedure, opened.revision) == ("T-02", "plate", 2)
    assert (opened.content_hash, opened.guidance, opened.language) == (plan.content_hash, "cued", "es")
    assert (opened.job, opened.colour, opened.rehearsal) == ("tide ␛[31m card", "blue", False)


def test_events_are_numbered_and_stamped() -> None:
    """Events count from 1 without gaps, have rising ids, and the clock's own stamp."""
    sink = Sink.open().to_end()
    events = sink.events
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    assert [event.id for event in events] == sorted({event.id for event in events})
    ticks = [event.stamp.ticks_ms for event in events]
    assert ticks == sorted(ticks)
    assert {event.run for event in events} == {RUN_ID}
    assert events[-1].stamp == sink.clock.now()


def test_nothing_moves_when_the_record_fails() -> None:
    """At every step of a run, an act that cannot be recorded changes nothing and can be done again."""
    sink = Sink.open("solo")
    for _ in range(300):
        if sink.run.state.closed:
            break
        state, count = sink.run.state, len(sink.events)
        sink.journal.fail()
        with pytest.raises(JournalTrouble, match="disk is full"):
            sink.right()
        assert (sink.run.state, len(sink.events)) == (state, count)
        sink.right()
    assert sink.run.state.closed == "done"


def test_lost_lease_moves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """When another terminal has the run, an act here is refused by the journal and changes nothing."""
    sink = Sink.open()
    state = sink.run.state

    def lost(events: object) -> None:
        del events
        raise LeaseLost("Another terminal has taken up this run.")

    monkeypatch.setattr(sink.journal, "append", lost)
    sink.settle()
    with pytest.raises(Trouble, match="Another terminal"):
        sink.run.next()
    assert sink.run.state == state


@pytest.mark.parametrize("guidance", ["full", "solo"])
def test_taking_up_is_the_same_fold(guidance: ev.Guidance) -> None:
    """A program that is killed after every act comes to the same end, by the same steps."""
    sink = Sink.open(guidance)
    for _ in range(300):
        if sink.run.state.closed:
            break
        before = sink.run.state
        sink.restart()
        after = sink.run.state
        assert replace(after, seq=0, last=before.last, shown=before.shown, wait=None) == replace(
            before, seq=0, wait=None
        )
        sink.right()
    assert sink.run.state.closed == "done"
    assert {body.after for body in sink.bodies(ev.Resumed)} == {"restart"}


def test_closed_run_is_only_looked_at() -> None:
    """A closed run that is taken up stays as it was; acts are refused; a remark can still be added."""
    sink = Sink.open().to_end()
    count = len(sink.events)
    sink.restart(60)
    assert len(sink.events) == count
    sink.settle()
    for act in (sink.run.next, sink.run.accept, sink.run.pause, lambda: sink.run.stop("late")):
        sink.settle()
        with pytest.raises(Refused):
            act()
    sink.run.note("Well done.", by="I-1")
    assert sink.bodies(ev.NoteAdded) == [ev.NoteAdded("I-1", "Well done.")]
    assert sink.run.view().acts == ("back", "note")


@pytest.mark.parametrize("lost", [0, 1, 7, 20])
def test_record_with_a_hole_is_not_gone_on_with(lost: int) -> None:
    """A run whose record misses an event, wherever it is, is refused with a sentence."""
    sink = Sink.open().until("expose")
    sink.journal.runs[RUN_ID].pop(lost)
    with pytest.raises(JournalTrouble, match=r"missing|beginning"):
        sink.restart()


def test_other_procedure_is_not_taken() -> None:
    """A run is bound to the exact procedure it was opened with."""
    sink = Sink.open()
    with pytest.raises(JournalTrouble, match="another version"):
        fold(plan_with("Room light fogs the coating.", "Room light fogs it."), sink.events)
    with pytest.raises(JournalTrouble, match="no event"):
        fold(sink.plan, ())


def test_held_key_passes_nothing() -> None:
    """A key held down from one press on, repeating for a minute, passes the one step it was pressed at."""
    sink = Sink.open()
    sink.settle()
    sink.run.next()
    assert sink.run.state.step == "film-clean"
    for _ in range(2000):
        sink.clock.pass_time(0.03)
        with pytest.raises(TooSoon):
            sink.run.pick(1)
    assert sink.run.state.step == "film-clean"
    sink.settle()
    sink.run.pick(1)
    assert sink.run.state.step == "room-humidity"


def test_guard_is_400_ms() -> None:
    """An act is taken 400 ms after its prompt came, and not a millisecond sooner."""
    sink = Sink.open()
    sink.clock.pass_time(0.399)
    with pytest.raises(TooSoon):
        sink.run.next()
    sink.clock.pass_time(0.4)
    sink.run.next()
    sink.clock.pass_time(0.4)
    sink.run.pick(1)
    assert sink.run.state.step == "room-humidity"


def test_key_held_into_the_end_of_a_countdown() -> None:
    """A key that is held down while a countdown runs out does not end it."""
    sink = Sink.open().until("let-it-draw")
    sink.right()
    sink.clock.pass_time(89.8)
    for _ in range(100):
        sink.clock.pass_time(0.03)
        with pytest.raises((TooSoon, Refused)):
            sink.run.next()
    assert sink.run.state.step == "let-it-draw"


def test_only_its_own_act_accepts_a_safety_prompt() -> None:
    """At a safety prompt no other act goes on; accepting records how long it was there."""
    sink = Sink.open().until("mind-the-glass")
    for act in (sink.run.next, lambda: sink.run.pick(1), lambda: sink.run.enter("1"), sink.run.leave_setting):
        sink.settle()
        with pytest.raises(Refused):
            act()
    sink.settle()
    sink.run.accept()
    assert sink.bodies(ev.HazardAccepted) == [ev.HazardAccepted("warning", ("draw-down", "find-leak"), 2.5)]
    sink.settle()
    with pytest.raises(Refused, match="no safety prompt"):
        sink.run.accept()


def test_paused_run_takes_nothing_but_going_on() -> None:
    """While paused, acts are refused; the primary act or `resume` comes back."""
    sink = Sink.open().until("take-plate")
    sink.run.pause()
    view = sink.run.view()
    assert view.paused
    assert view.acts == ("next", "hand_over", "note", "stop")
    for act in (sink.run.accept, sink.run.pause, lambda: sink.run.spoil("dust"), lambda: sink.run.pick(1)):
        sink.settle()
        with pytest.raises(Refused):
            act()
    sink.settle()
    sink.run.next()
    assert not sink.run.view().paused
    with pytest.raises(Refused):
        sink.run.resume()
    sink.run.pause()
    sink.run.resume()
    assert [body.after for body in sink.bodies(ev.Resumed)] == ["paused", "paused"]
    assert sink.run.state.step == "take-plate"


def test_restart_ends_a_pause() -> None:
    """A run that was paused when the program went down is at its step again when taken up."""
    sink = Sink.open()
    sink.run.pause()
    sink.restart(600)
    assert not sink.run.state.paused


def test_stop_needs_a_reason() -> None:
    """A run is stopped with a reason, which is recorded and shown."""
    sink = Sink.open()
    with pytest.raises(Refused, match="why"):
        sink.run.stop("  ")
    sink.run.stop("The lamp is broken.")
    assert sink.bodies(ev.RunClosed) == [ev.RunClosed("stopped", "The lamp is broken.")]
    assert (sink.run.view().closed, sink.run.view().notice) == ("stopped", "The lamp is broken.")


def test_procedure_can_stop_a_run() -> None:
    """A way to `stop` ends the run as stopped."""
    plan = plan_with(
        "\"answers.word == 'not_yet'\", to: last-look", "\"answers.word == 'not_yet'\", to: stop"
    )
    sink = Sink.open(plan=plan).until("sign")
    sink.run.sign("I-1", RIGHT, "not_yet", "The second burn is missing.")
    assert (sink.run.state.closed, sink.run.state.step) == ("stopped", "stop")
    assert sink.run.view().step == "sign"


def test_hand_over_shows_safety_prompts_anew() -> None:
    """Whoever takes the work over is shown the safety prompts of the act at hand, then that act again."""
    sink = Sink.open().until("draw-down")
    sink.run.hand_over("T-02")
    view = sink.run.view()
    assert (view.trainee, view.step, view.hazard is not None) == ("T-02", "mind-the-glass", True)
    assert "before the work goes on" in view.notice
    assert (view.stage, view.step_number) == ("vacuum", 3)
    sink.right()
    assert sink.run.view().step == "draw-down"
    sink.to_end()
    assert sink.run.state.closed == "done"
    assert sink.bodies(ev.RunHandedOver) == [ev.RunHandedOver("T-01", "T-02")]


@pytest.mark.parametrize("step", ["let-it-soften", "why-units"])
def test_hand_over_does_not_take_away_what_runs(step: str) -> None:
    """A running wait and an answer on the screen stay when the work is handed over."""
    sink = Sink.open().until(step)
    sink.right()
    phase = sink.run.state.phase
    sink.run.hand_over("T-02")
    assert (sink.run.state.step, sink.run.state.phase) == (step, phase)


def test_hand_over_needs_somebody_else() -> None:
    """The work is handed to somebody, and to somebody else."""
    sink = Sink.open()
    for to in ("", "  ", "T-01"):
        with pytest.raises(Refused):
            sink.run.hand_over(to)


def test_note_and_excuse_change_nothing_else() -> None:
    """Remarks and an excuse are recorded beside the work, which stands where it stood."""
    sink = Sink.open()
    view = sink.run.view()
    sink.run.note("The film is scratched\x07.")
    sink.run.excuse("I-1", "A visitor's run.")
    assert sink.run.view() == view
    assert sink.bodies(ev.NoteAdded) == [ev.NoteAdded("T-01", "The film is scratched␇.")]
    assert sink.run.state.excused
    with pytest.raises(Refused):
        sink.run.note(" ")
    with pytest.raises(Refused):
        sink.run.excuse("I-1", "")


def test_long_texts_are_cut() -> None:
    """A remark of any length is kept up to a limit and does not fill the record."""
    sink = Sink.open()
    sink.run.note("x" * 100_000)
    assert len(sink.bodies(ev.NoteAdded)[0].text) == 500


def test_formula_that_fails_is_a_sentence() -> None:
    """A condition that cannot be told refuses the act with a sentence and records nothing of it."""
    sink = Sink.open().until("read-gauge")
    broken = replace(sink.run.state, settings={})
    sink.run._state = broken
    count = len(sink.events)
    sink.settle()
    with pytest.raises(Refused, match="instructor"):
        sink.run.enter("22")
    assert len(sink.events) == count


def test_procedure_that_cannot_begin_is_a_sentence() -> None:
    """Where the first step cannot be worked out, opening fails with a sentence and records nothing."""
    journal = FakeJournal()
    with pytest.raises(Trouble, match="cannot begin"):
        Run.open(
            plan_of("amounts"),
            run=RUN_ID,
            trainee="T-01",
            guidance="full",
            settings={"soak": float("nan")},
            journal=journal,
            clock=FakeClock(),
        )
    assert journal.runs == {}


def test_strange_id_in_the_record_is_a_sentence() -> None:
    """A run whose last event has an id of another make is refused with a sentence."""
    sink = Sink.open()
    kept = sink.journal.runs[RUN_ID]
    kept[-1] = replace(kept[-1], id="17")
    with pytest.raises(JournalTrouble, match="id that"):
        sink.restart()
