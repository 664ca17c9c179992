"""Who may work alone, by the rule of the procedure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from run_kit import RIGHT, Sink

from trainer.procedure.model import Ready
from trainer.run import events as ev
from trainer.run.clock import from_ms, to_ms
from trainer.run.events import Event, Stamp
from trainer.run.readiness import ready


def rule(sink: Sink) -> Ready:
    """The test plate's rule: two solo runs within 60 days, all prompts read, the plate passed."""
    found = sink.plan.procedure.ready
    assert found is not None
    return found


def later(sink: Sink, days: float = 0) -> Stamp:
    """So many days after the run's last event."""
    return replace(sink.clock.now(), at=from_ms(to_ms(sink.clock.now().at) + round(days * 86_400_000)))


def why_not(sink: Sink, *, days: float = 0, events: Sequence[Event] | None = None) -> str:
    """Why a run does not count; empty where it does."""
    run = ready(rule(sink), [sink.events if events is None else events], "T-01", later(sink, days)).runs[0]
    kinds = {event.id for event in (sink.events if events is None else events)}
    assert run.events
    assert set(run.events) <= kinds
    return run.why_not


def solo() -> Sink:
    """A solo run, done and passed."""
    return Sink.open("solo").to_end()


def test_enough_runs_meet_the_rule() -> None:
    """Two solo runs that count meet a rule that wants two; one does not."""
    sink = solo()
    one = ready(rule(sink), [sink.events], "T-01", later(sink))
    assert (one.met, one.wanted, one.counted) == (False, 2, ("run-1",))
    assert one.words == "T-01: 1 of the 2 runs that the rule wants."
    two = ready(rule(sink), [sink.events, solo().events], "T-01", later(sink))
    assert two.met


def test_runs_of_others_are_not_looked_at() -> None:
    """Only runs that the trainee opened are held against the rule."""
    sink = solo()
    assert ready(rule(sink), [sink.events, ()], "T-02", later(sink)).runs == ()


def test_guidance_must_be_solo() -> None:
    """A run at another level of guidance does not count."""
    assert why_not(Sink.open("cued").to_end()) == "at guidance cued, not solo"


def test_rehearsal_does_not_count() -> None:
    """A rehearsal does not count, whatever came of it."""
    sink = solo()
    opened = sink.events[0].body
    assert isinstance(opened, ev.RunOpened)
    rehearsed = [replace(sink.events[0], body=replace(opened, rehearsal=True)), *sink.events[1:]]
    assert why_not(sink, events=rehearsed) == "a rehearsal, not a wet run"


def test_run_must_be_done() -> None:
    """A run that is open, or was stopped, does not count."""
    sink = Sink.open("solo").until("sign")
    assert why_not(sink) == "not finished yet"
    sink.run.stop("No instructor.")
    assert why_not(sink) == "stopped: No instructor."


def test_old_run_does_not_count() -> None:
    """A run that ended longer ago than the rule allows does not count."""
    sink = solo()
    assert why_not(sink, days=59.9) == ""
    assert why_not(sink, days=60.1) == "longer ago than the rule allows"


def test_two_peoples_run_does_not_count() -> None:
    """A run that was handed over is nobody's own."""
    sink = Sink.open("solo").until("take-plate")
    sink.run.hand_over("T-02")
    assert why_not(sink.to_end()).startswith("handed over")


def test_excused_run_does_not_count() -> None:
    """A run that was excused does not count, with the reason given."""
    sink = solo()
    sink.run.excuse("I-1", "A helper spoke.")
    assert why_not(sink) == "excused: A helper spoke."


def test_plate_must_pass() -> None:
    """The last look must be passed, after the last new plate."""
    sink = Sink.open("solo").until("sign")
    sink.run.sign("I-1", RIGHT, "not_yet")
    assert why_not(sink.to_end()) == ""
    events = [event for event in sink.events if getattr(event.body, "word", "") != "passed"]
    assert why_not(sink, events=events) == "the last look was not passed"
    none = [event for event in sink.events if not isinstance(event.body, ev.SignedOff)]
    assert why_not(sink, events=none) == "no plate was signed off"
    spoiled = Sink.open("solo").until("sign")
    spoiled.run.spoil("dropped")
    spoiled.to_end()
    unsigned = [event for event in spoiled.events if not isinstance(event.body, ev.SignedOff)]
    assert why_not(spoiled) == ""
    assert why_not(spoiled, events=unsigned) == "the last plate was not signed off"


def test_every_prompt_must_be_accepted() -> None:
    """A record in which a safety prompt was shown and not accepted does not count."""
    sink = solo()
    accepted = [event for event in sink.events if isinstance(event.body, ev.HazardAccepted)]
    for one in accepted:
        events = [event for event in sink.events if event is not one]
        assert why_not(sink, events=events) == "a safety prompt was not accepted"


def test_rule_may_ask_for_less() -> None:
    """A rule that says nothing of plate and prompts does not look at them."""
    sink = solo()
    less = Ready(solo_runs=1, within=rule(sink).within, hazards=None, plate=None)
    bare = [e for e in sink.events if not isinstance(e.body, ev.SignedOff | ev.HazardAccepted)]
    assert ready(less, [bare], "T-01", later(sink)).met
