"""Waits: countdown, window and dose, watched, found half-way, and of unknown length."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from run_kit import Sink, plan_of

from trainer.run import events as ev
from trainer.run import waits
from trainer.run.events import Stamp, WaitBegun
from trainer.run.fakes import FakeClock
from trainer.run.refusals import Refused
from trainer.run.state import WaitState
from trainer.run.view import WaitView

COUNTDOWN = WaitBegun("countdown", seconds=90)
WINDOW = WaitBegun("window", at_least=30, at_most=90)
DOSE = WaitBegun("dose", units=24)
BEGUN = FakeClock().now()


def after(seconds: float, begun: Stamp = BEGUN) -> Stamp:
    """A moment of the same boot, the clocks agreeing."""
    return replace(begun, ticks_ms=begun.ticks_ms + round(seconds * 1000))


def shown(begun: WaitBegun, seconds: float) -> WaitView:
    """A wait as shown after so many seconds."""
    return waits.show(begun, WaitState(BEGUN, begun), after(seconds), None)


@pytest.mark.parametrize(
    ("begun", "seconds", "state", "remaining"),
    [
        (COUNTDOWN, 0, "running", 90),
        (COUNTDOWN, 89.999, "running", 0.001),
        (COUNTDOWN, 90, "due", 0),
        (COUNTDOWN, 500, "due", 0),
        (WINDOW, 0, "running", 30),
        (WINDOW, 29.999, "running", 0.001),
        (WINDOW, 30, "due", 60),
        (WINDOW, 79.999, "due", 10.001),
        (WINDOW, 80, "closing", 10),
        (WINDOW, 90, "closing", 0),
        (WINDOW, 90.001, "late", 0),
        (WaitBegun("window", at_least=30, at_most=34), 32, "closing", 2),
        (WaitBegun("window", at_least=30), 29, "running", 1),
        (WaitBegun("window", at_least=30), 3000, "due", None),
        (WaitBegun("window", at_most=60), 0, "due", 60),
        (WaitBegun("window", at_most=60), 61, "late", 0),
        (DOSE, 0, "running", None),
        (DOSE, 3000, "running", None),
    ],
)
def test_state_and_remaining(begun: WaitBegun, seconds: float, state: str, remaining: float | None) -> None:
    """A wait shows how it stands, and the seconds to its end, its opening, then its closing."""
    view = shown(begun, seconds)
    assert view.state == state
    assert view.remaining == (None if remaining is None else pytest.approx(remaining))
    assert view.elapsed == pytest.approx(seconds)


@given(st.floats(0, 1e6), st.floats(0, 500), st.floats(0, 500))
def test_outcome_and_state_agree(seconds: float, least: float, width: float) -> None:
    """A window is on time exactly when it is shown as open, whatever its limits."""
    window = WaitBegun("window", at_least=least, at_most=least + width)
    gone = round(seconds * 1000) / 1000
    states = {"early": {"running"}, "on_time": {"due", "closing"}, "late": {"late"}}
    assert shown(window, gone).state in states[waits.outcome(window, gone)]


def test_before_it_is_begun() -> None:
    """A wait that is not begun shows what it will be, and no time."""
    view = waits.show(DOSE, None, BEGUN, 2.5)
    assert (view.state, view.units, view.estimate, view.elapsed, view.remaining) == (
        "ready",
        24,
        60,
        None,
        None,
    )


def test_another_boot_is_unknown() -> None:
    """After a reboot nobody knows how long a wait has been."""
    view = waits.show(WINDOW, WaitState(BEGUN, WINDOW), replace(after(60), boot="other"), None)
    assert (view.state, view.elapsed, view.remaining) == ("unknown", None, None)


@pytest.mark.parametrize(("jump", "known"), [(0, True), (2, True), (-2, True), (2.1, False), (-2.1, False)])
def test_gap_with_clocks_that_disagree(jump: float, *, known: bool) -> None:
    """Across a gap the time is known where count and wall clock agree within two seconds."""
    # Source of the two seconds: the project's robustness notes, section 4 (a judgement there).
    clock = FakeClock()
    before = clock.now()
    clock.pass_time(60)
    clock.jump_wall(jump)
    assert waits.gap(before, clock.now()) == (60.0 if known else None)


def test_gap_over_a_reboot_is_unknown() -> None:
    """Across a reboot there is no known gap."""
    clock = FakeClock()
    before = clock.now()
    clock.reboot(60)
    assert waits.gap(before, clock.now()) is None


def test_ticks_that_went_back_are_unknown() -> None:
    """A count that went back within a boot is not believed."""
    assert waits.gap(BEGUN, after(-1)) is None


@pytest.mark.parametrize(
    ("step", "amounts"),
    [
        ("wait-worked", WaitBegun("countdown", seconds=30)),
        ("wait-setting", WaitBegun("countdown", seconds=120)),
        ("wait-window", WaitBegun("window", at_least=30, at_most=120)),
        ("wait-written", WaitBegun("countdown", seconds=90)),
        ("wait-dose", WaitBegun("dose", units=24)),
        ("wait-fixed-dose", WaitBegun("dose", units=12)),
    ],
)
def test_amounts_of_every_form(step: str, amounts: WaitBegun) -> None:
    """Amounts are seconds whatever unit they are written in; settings and worked values are looked up."""
    sink = Sink.open(plan=plan_of("amounts")).until(step)
    sink.right()
    assert sink.bodies(WaitBegun)[-1] == amounts


def at_wait(step: str) -> Sink:
    """A run whose wait at `step` has just been begun."""
    sink = Sink.open(estimate=2.0).until(step)
    sink.right()
    assert sink.run.state.phase == "waiting"
    return sink


def test_countdown_is_not_ended_early() -> None:
    """A countdown refuses to end before its time, and ends on time after it, with the seconds recorded."""
    sink = at_wait("let-it-draw")
    sink.clock.pass_time(89)
    with pytest.raises(Refused, match="not over"):
        sink.run.next()
    assert "next" not in sink.run.view().acts
    sink.clock.pass_time(10)
    assert "next" in sink.run.view().acts
    sink.run.next()
    assert sink.bodies(ev.WaitEnded) == [ev.WaitEnded("on_time", 99.0)]
    assert sink.run.state.step == "read-gauge"


def test_nothing_ends_by_itself() -> None:
    """However long a wait is left alone, it goes on until the trainee ends it."""
    for step in ("let-it-draw", "expose", "let-it-soften"):
        sink = at_wait(step)
        for _ in range(20):
            sink.clock.pass_time(600)
            sink.run.tick()
        assert sink.run.state.step == step


def test_window_too_early_asks_once() -> None:
    """Ending a window too early first only warns, and is recorded; the second time it ends, as early."""
    sink = at_wait("let-it-soften")
    sink.clock.pass_time(10)
    sink.run.next()
    assert sink.run.view().wait is not None
    assert sink.bodies(ev.WaitWarned) == [ev.WaitWarned("early")]
    view = sink.run.view()
    assert view.wait is not None
    assert view.wait.early_asked
    assert "too early" in view.notice
    sink.clock.pass_time(1)
    sink.run.next()
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("early", 11.0)


def test_window_rings_when_due_closing_and_late_once_each() -> None:
    """A window rings when it opens, before it closes and when it is late; the warnings are recorded once."""
    sink = at_wait("let-it-soften")
    rings = []
    for _ in range(4 * 120):
        sink.clock.pass_time(0.25)
        rings.append((sink.clock.now().ticks_ms, sink.run.tick()))
    begun = sink.run.state.wait.begun.ticks_ms if sink.run.state.wait else 0
    rang = [((ticks - begun) / 1000, ring) for ticks, ring in rings if ring]
    assert rang == [(30.0, ("due",)), (80.0, ("closing",)), (90.25, ("late",))]
    assert sink.bodies(ev.WaitWarned) == [ev.WaitWarned("closing"), ev.WaitWarned("late")]
    sink.run.next()
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("late", 120.0)


def test_countdown_rings_once_and_again_after_a_restart() -> None:
    """A countdown rings once when it is over; after a restart nobody may have heard it, so it rings again."""
    sink = at_wait("let-it-draw")
    sink.clock.pass_time(91)
    assert [sink.run.tick() for _ in range(3)] == [("due",), (), ()]
    sink.restart()
    assert [sink.run.tick() for _ in range(3)] == [("due",), (), ()]


def test_missed_ticks_change_nothing() -> None:
    """A screen that was busy for a minute shows the true time left, and rings what is still true."""
    sink = at_wait("let-it-soften")
    sink.clock.pass_time(85)
    assert sink.run.tick() == ("due", "closing")
    sink = at_wait("let-it-soften")
    sink.clock.pass_time(200)
    assert sink.run.tick() == ("late",)


def test_ring_is_tried_again_when_the_record_fails() -> None:
    """A warning that could not be recorded is given at the next tick."""
    sink = at_wait("let-it-soften")
    sink.clock.pass_time(85)
    sink.journal.fail()
    with pytest.raises(Exception, match="disk is full"):
        sink.run.tick()
    assert sink.run.tick() == ("due", "closing")


def test_dose_is_ended_by_the_trainee() -> None:
    """A dose shows units and an estimate, has no countdown, and ends with what was set."""
    sink = at_wait("expose")
    view = sink.run.view().wait
    assert view is not None
    assert (view.form, view.units, view.estimate, view.remaining) == ("dose", 24, 48, None)
    sink.clock.pass_time(51)
    sink.run.next()
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("on_time", 51.0, 0.0, 24)


def test_wait_found_halfway_goes_on() -> None:
    """A wait found half-way goes on from real elapsed time and says how long nobody was watching."""
    sink = at_wait("let-it-soften")
    sink.clock.pass_time(5)
    sink.run.note("the light flickers")
    sink.restart(down=40)
    view = sink.run.view()
    assert view.wait is not None
    assert (view.wait.state, view.wait.elapsed, view.wait.unwatched) == ("due", 45.0, 40.0)
    assert "40 s nobody was watching" in view.notice
    sink.restart(down=3)
    sink.settle()
    sink.run.next()
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("on_time", 48.5, 43.0)


def test_pause_does_not_stop_the_developer() -> None:
    """A wait goes on and rings while the run is paused."""
    sink = at_wait("let-it-soften")
    sink.run.pause()
    sink.clock.pass_time(31)
    assert sink.run.tick() == ("due",)
    sink.run.resume()
    wait = sink.run.view().wait
    assert wait is not None
    assert (wait.elapsed, wait.unwatched) == (31.0, 0.0)


def test_dose_found_halfway_asks_for_the_integrators_reading() -> None:
    """A dose found half-way is ended only by the integrator's own count, typed in; it is kept."""
    sink = at_wait("expose")
    sink.restart(down=20)
    sink.settle()
    view = sink.run.view()
    assert view.number is not None
    assert view.number.units == ("units",)
    with pytest.raises(Refused, match="integrator"):
        sink.run.next()
    sink.settle()
    with pytest.raises(Refused, match="from nought"):
        sink.run.enter("-3")
    sink.settle()
    sink.run.enter("23.5")
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("on_time", 21.5, 20.0, 23.5)


def unknown(step: str) -> Sink:
    """A run found after a reboot in the middle of its wait."""
    sink = at_wait(step)
    sink.clock.reboot(60)
    sink.restart()
    sink.settle()
    return sink


def test_reboot_lets_a_person_decide() -> None:
    """After a reboot the time is unknown, which is recorded once; a person says it was long enough."""
    sink = unknown("let-it-soften")
    assert sink.bodies(ev.WaitWarned) == [ev.WaitWarned("unknown")]
    assert sink.run.tick() == ()
    assert sink.bodies(ev.WaitWarned) == [ev.WaitWarned("unknown")]
    with pytest.raises(Refused, match="Nobody knows"):
        sink.run.next()
    choice = sink.run.view().choice
    assert choice is not None
    assert [option.key for option in choice.options] == ["long_enough", "again"]
    sink.settle()
    sink.run.pick(1)
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("said", None)


def test_unknown_wait_starts_again() -> None:
    """Of an unknown wait a person may also say that it starts again; then it is a known one."""
    sink = unknown("let-it-draw")
    sink.run.pick(2)
    wait = sink.run.view().wait
    assert wait is not None
    assert (wait.state, wait.remaining) == ("running", 90)
    assert sink.run.view().choice is None


def test_unknown_dose_is_ended_by_the_reading() -> None:
    """Of a dose after a reboot the integrator still knows; the seconds stay unknown."""
    sink = unknown("expose")
    sink.run.enter("24")
    assert sink.bodies(ev.WaitEnded)[-1] == ev.WaitEnded("said", None, 0.0, 24)


def test_clocks_that_disagree_over_a_restart() -> None:
    """Where count and wall clock disagree across a time that the program was down, a person decides."""
    sink = at_wait("let-it-soften")
    sink.clock.jump_wall(3600)
    sink.restart(down=20)
    assert sink.run.view().wait == replace(
        waits.show(WINDOW, None, BEGUN, None), state="unknown", unwatched=0.0
    )


def test_wall_clock_that_jumps_while_watched_changes_nothing() -> None:
    """While the program runs, elapsed time is the count's, whatever anybody does to the wall clock."""
    sink = at_wait("let-it-soften")
    sink.clock.pass_time(20)
    sink.clock.jump_wall(-7200)
    wait = sink.run.view().wait
    assert wait is not None
    assert (wait.state, wait.elapsed) == ("running", 20.0)


def test_machine_that_lost_its_count_is_unknown() -> None:
    """Where the clock itself gives out a new boot id under a running wait, the wait becomes unknown."""
    sink = at_wait("let-it-soften")
    sink.clock.reboot(0)
    assert sink.run.tick() == ()
    assert sink.bodies(ev.WaitWarned) == [ev.WaitWarned("unknown")]
    assert sink.run.view().choice is not None
