"""Random acts against a run: what must hold whatever anybody does, and that breaking it is noticed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar, Literal

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from run_kit import RIGHT, RUN_ID, WRONG, Sink, plan_of, with_cover

from trainer.procedure.plan import DONE, Plan
from trainer.run import events as ev
from trainer.run import flow
from trainer.run import fold as fold_room
from trainer.run.batch import Batch
from trainer.run.events import Event
from trainer.run.facts import Facts
from trainer.run.fold import apply, fold, missing_hazards
from trainer.run.machine import StepMachine
from trainer.run.ports import JournalTrouble, PinVerdict
from trainer.run.refusals import Refused, TooSoon
from trainer.run.session import Run
from trainer.run.state import State

PLAN = with_cover(plan_of("plate"), "draw-down", "mind-the-developer")
"""The test plate, with a prompt wanted long before its own place, so that it comes out of turn."""

NUMBERS = st.sampled_from(["22", "17", "225", "4", "6", "40", "50", "-1", "x", ""])
HELD_MS = 30


class RandomRun(RuleBasedStateMachine):
    """Anybody doing anything at a run, with a record that fails, a clock that jumps, and crashes."""

    run_class: ClassVar[type[Run]] = Run
    sink: Sink

    @initialize(guidance=st.sampled_from(["full", "cued", "solo"]))
    def open(self, guidance: ev.Guidance) -> None:
        """A run is opened."""
        self.sink = Sink.open(guidance, plan=PLAN, run_class=self.run_class)

    @rule(times=st.integers(1, 12))
    def right_acts(self, times: int) -> None:
        """Some right acts, so that random runs get somewhere."""
        for _ in range(times):
            if not self.sink.run.state.closed:
                self._try(self.sink.right)

    @rule(seconds=st.sampled_from([0.05, 0.5, 5, 35, 85, 300]))
    def time_goes_by(self, seconds: float) -> None:
        """Time goes by, and the screen ticks."""
        self.sink.clock.pass_time(seconds)
        self._try(self.sink.run.tick)

    @rule(seconds=st.sampled_from([-86_400, -3, 3, 7_200]))
    def wall_clock_jumps(self, seconds: float) -> None:
        """Somebody sets the wall clock."""
        self.sink.clock.jump_wall(seconds)

    @rule(place=st.integers(0, 5))
    def pick(self, place: int) -> None:
        """A digit is pressed."""
        self._try(lambda: self.sink.run.pick(place))

    @rule(text=NUMBERS, unit=st.sampled_from(["", "kPa", "units"]))
    def enter(self, text: str, unit: str) -> None:
        """A number is typed."""
        self._try(lambda: self.sink.run.enter(text, unit))

    @rule(name=st.sampled_from(["next", "accept", "points", "pause", "resume", "leave_setting"]))
    def press(self, name: str) -> None:
        """Another key is pressed."""
        self._try(getattr(self.sink.run, name))

    @rule()
    def spoil(self) -> None:
        """The plate is spoiled."""
        self._try(lambda: self.sink.run.spoil("dust"))

    @rule(to=st.sampled_from(["T-01", "T-02"]))
    def hand_over(self, to: str) -> None:
        """Somebody else goes on."""
        self._try(lambda: self.sink.run.hand_over(to))

    @rule(verdict=st.sampled_from([RIGHT, WRONG]), word=st.sampled_from(["passed", "not_yet"]))
    def sign(self, verdict: PinVerdict, word: Literal["passed", "not_yet"]) -> None:
        """An instructor comes by."""
        self._try(lambda: self.sink.run.sign("I-1", verdict, word))
        self._try(lambda: self.sink.run.take_setting("I-1", verdict))

    @rule()
    def note(self) -> None:
        """A remark is made."""
        self._try(lambda: self.sink.run.note("so"))

    @rule(times=st.integers(1, 2))
    def record_fails(self, times: int) -> None:
        """The record cannot be written for a while."""
        self.sink.journal.fail(times)

    @rule(down=st.sampled_from([0, 1, 100]))
    def crash(self, down: float) -> None:
        """The program dies, and is started again."""
        self._try(lambda: self.sink.restart(down))

    @rule()
    def reboot(self) -> None:
        """The machine starts again, and the program with it."""
        self.sink.clock.reboot()
        self._restart_for_good()

    @precondition(lambda self: not self.sink.run.state.closed)
    @rule(name=st.sampled_from(["next", "accept", "pick"]), repeats=st.integers(2, 40))
    def hold_a_key(self, name: str, repeats: int) -> None:
        """A key is held down: what it passes, it passes with its first press."""
        run = self.sink.run
        act: Callable[[], object] = (lambda: run.pick(1)) if name == "pick" else getattr(run, name)
        self.sink.settle()
        self._try(act)
        passed = len(self.sink.events)
        for _ in range(repeats):
            self.sink.clock.pass_time(HELD_MS / 1000)
            self._try(act)
        assert len(self.sink.events) == passed, "a held key went on by itself"

    @invariant()
    def state_is_the_fold_of_the_record(self) -> None:
        """The state is what the record says, and nothing else."""
        assert fold(PLAN, self.sink.events) == self.sink.run.state

    @invariant()
    def record_has_no_gap(self) -> None:
        """Events count from 1 without gaps, and their ids rise."""
        events = self.sink.events
        assert [event.seq for event in events] == list(range(1, len(events) + 1))
        assert [event.id for event in events] == sorted(event.id for event in events)

    @invariant()
    def time_does_not_go_back(self) -> None:
        """Within a boot the count never goes back, and no recorded time is less than nothing."""
        for before, after in zip(self.sink.events, self.sink.events[1:], strict=False):
            same_boot = before.stamp.boot == after.stamp.boot
            assert not same_boot or before.stamp.ticks_ms <= after.stamp.ticks_ms
        for body in self.sink.bodies(ev.WaitEnded):
            assert (body.seconds or 0) >= 0
            assert body.unwatched >= 0

    @invariant()
    def nothing_is_shown_before_its_prompts(self) -> None:
        """No covered step is shown unless its prompts were accepted since plate and trainee began."""
        assert not uncovered(PLAN, self.sink.events)

    @invariant()
    def view_can_be_drawn(self) -> None:
        """At every moment there is something to show, and an act that works."""
        assert self.sink.run.view().acts

    def teardown(self) -> None:
        """Every move in the record is one that the machine makes from where the fold stood."""
        if hasattr(self, "sink"):
            assert_moves_are_the_machines(PLAN, self.sink.events)

    def _restart_for_good(self) -> None:
        """Starts until the record can be written again."""
        for _ in range(3):
            try:
                self.sink.restart()
            except JournalTrouble:
                continue
            return

    def _try(self, act: Callable[[], object]) -> None:
        """An act that may be refused; a refused one leaves no trace."""
        before = len(self.sink.events)
        try:
            act()
        except (Refused, TooSoon, JournalTrouble):
            if act != self.sink.right:  # several acts where something is put in order
                assert len(self.sink.events) == before, "a refused act was recorded"


def uncovered(plan: Plan, events: Sequence[Event]) -> list[str]:
    """Covered steps that were shown before their prompts, read off the record without the fold's help."""
    accepted: set[str] = set()
    found = []
    for event in events:
        match event.body:
            case ev.PlateSpoiled() | ev.RunHandedOver():
                accepted.clear()
            case ev.HazardAccepted():
                accepted.add(str(event.step))
            case ev.StepShown() if not accepted.issuperset(plan.covered_by.get(str(event.step), ())):
                found.append(str(event.step))
            case ev.RunClosed(how="done") if not accepted.issuperset(plan.covered_by.get(DONE, ())):
                found.append(DONE)
    return found


def assert_moves_are_the_machines(plan: Plan, events: Sequence[Event]) -> None:
    """Machine and fold agree on every move."""
    machine, state = StepMachine(plan), fold(plan, events[:1])
    for event in events[1:]:
        body = event.body
        if isinstance(body, ev.Moved):
            if body.why == "spoiled":
                to = machine.spoil(state.work)
            elif state.phase == "arrived" and (missing := missing_hazards(plan, state, state.step)):
                assert body.to in missing, f"{state.step} is left uncovered"
                to = machine.detour(state.step, body.to)
            elif state.back_to is not None:
                to = machine.back(state.step, state.back_to)
            else:
                to = machine.finish(state.step, Facts(state)).to
            assert to == body.to
        state = apply(plan, state, event)


FAST = settings(
    max_examples=40,
    stateful_step_count=40,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # to shrink a run of 40 acts takes minutes
)
SEARCH = settings(
    max_examples=400,
    stateful_step_count=40,
    deadline=None,
    database=None,
    derandomize=True,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)

TestRandomRuns = RandomRun.TestCase
TestRandomRuns.settings = FAST


class DropsAnEvent(Run):
    """Loses the last event of an act of several."""

    def _keep(self, batch: Batch) -> None:
        if len(batch.events) > 2:
            batch.events.pop()
        super()._keep(batch)


class MovesFirst(Run):
    """Moves before the record is written."""

    def _keep(self, batch: Batch) -> None:
        if batch.events:
            self._state = batch.state
        super()._keep(batch)


class WithoutGuard(Run):
    """Takes every repeat of a key."""

    guard_ms = 0


def searched(run_class: type[Run]) -> type[RandomRun]:
    """The random runs over another kind of run."""
    return type("Sabotaged", (RandomRun,), {"run_class": run_class})


def test_stale_acceptance_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that keeps acceptances of a spoiled plate is found out by the random acts."""
    spoiled = fold_room._spoiled

    def stale(state: State, event: Event, body: ev.PlateSpoiled) -> State:
        return replace(spoiled(state, event, body), accepted=state.accepted)

    monkeypatch.setattr(fold_room, "_spoiled", stale)
    with pytest.raises(AssertionError, match="uncovered"):
        run_state_machine_as_test(RandomRun, settings=SEARCH)


def test_skipped_guard_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that does not ask for prompts before what they cover is found out by the random acts."""
    monkeypatch.setattr(flow, "missing_hazards", lambda plan, state, step: ())  # noqa: ARG005 - as called
    with pytest.raises(AssertionError, match="uncovered"):
        run_state_machine_as_test(RandomRun, settings=SEARCH)


@pytest.mark.parametrize(
    ("sabotaged", "words"),
    [
        (DropsAnEvent, "fold|seq"),
        (MovesFirst, "fold|refused act"),
        (WithoutGuard, "a held key went on"),
    ],
)
@pytest.mark.sweep(quick=2)
def test_sabotaged_run_is_noticed(sabotaged: type[Run], words: str) -> None:
    """A run that loses an event, moves before it records, or takes a held key is found out."""
    with pytest.raises(AssertionError, match=words):
        run_state_machine_as_test(searched(sabotaged), settings=SEARCH)


@pytest.mark.long
def test_the_search_itself_finds_nothing_in_a_sound_run() -> None:
    """The very search that finds the sabotaged runs finds nothing in a sound one."""
    run_state_machine_as_test(RandomRun, settings=settings(SEARCH, max_examples=40))


def test_journal_of_random_runs_is_one_run() -> None:
    """The record that the random runs read is the one that the run writes."""
    sink = Sink.open(plan=PLAN).to_end()
    assert sink.events == sink.journal.events(RUN_ID)
    assert uncovered(PLAN, sink.events) == []
