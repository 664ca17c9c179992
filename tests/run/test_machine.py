"""The state machine built from a plan, and the traps of the library it stands on."""

from __future__ import annotations

import os
from dataclasses import replace

import pytest
from run_kit import Sink, plan_of, with_cover
from transitions import Machine

from trainer.procedure.plan import DONE, Plan
from trainer.run.facts import Facts
from trainer.run.fold import fold
from trainer.run.machine import Lead, NoWay, StepMachine
from trainer.run.state import State, Taken


@pytest.fixture
def plan() -> Plan:
    """The test plate."""
    return plan_of("plate")


@pytest.fixture
def state() -> State:
    """A run of the test plate at its first step."""
    return Sink.open().run.state


def with_value(state: State, name: str, value: float | str, **tries: int) -> Facts:
    """Facts with one value taken, and steps (with _ for -) tried so often."""
    counted = {step.replace("_", "-"): number for step, number in tries.items()}
    return Facts(replace(state, values={name: (Taken(value, "", 2),)}, tries=counted))


def test_way_on_is_the_plans(plan: Plan, state: State) -> None:
    """A finished step without conditions leads where the plan says."""
    machine = StepMachine(plan)
    for step in plan.steps:
        if not plan.ways.get(step) and plan.expression(step, "ok") is None:
            lead = machine.finish(step, Facts(state))
            assert (lead.to, lead.why) == (plan.next_of[step], "finished")


@pytest.mark.parametrize(
    ("vacuum", "tries", "lead"),
    [
        (22.0, 1, Lead("mind-the-light", "finished")),
        (17.0, 1, Lead("read-gauge", "again")),
        (17.0, 3, Lead("find-leak", "guard")),
        (22.0, 3, Lead("mind-the-light", "finished")),
    ],
)
def test_first_way_that_holds_is_taken(
    plan: Plan, state: State, vacuum: float, tries: int, lead: Lead
) -> None:
    """`go` is tried top to bottom, then a reading that is not ok asks again, then the way goes on."""
    facts = with_value(state, "readings.vacuum", vacuum, read_gauge=tries)
    assert StepMachine(plan).finish("read-gauge", facts) == lead


def test_spoiled_plate_leads_back(plan: Plan) -> None:
    """From every step of a stage with `new_plate_from` a spoiled plate leads there, from others nowhere."""
    machine = StepMachine(plan)
    for step in plan.steps:
        back_to = plan.new_plate_from(step)
        if back_to is None:
            with pytest.raises(NoWay):
                machine.spoil(step)
        else:
            assert machine.spoil(step) == back_to


def test_safety_prompt_out_of_turn_leads_there_and_back(plan: Plan) -> None:
    """A safety prompt can be shown before each step it covers, and leads back to that step only."""
    machine = StepMachine(plan)
    assert machine.detour("draw-down", "mind-the-glass") == "mind-the-glass"
    assert machine.back("mind-the-glass", "draw-down") == "draw-down"
    assert machine.detour(DONE, "mind-the-light") == "mind-the-light"
    assert machine.back("mind-the-light", DONE) == DONE
    with pytest.raises(NoWay):
        machine.detour("look-at-film", "mind-the-glass")
    with pytest.raises(NoWay):
        machine.back("mind-the-glass", "expose")


def test_way_to_nowhere_is_refused_when_built(plan: Plan) -> None:
    """A target that is no step is found when the machine is built, and not when a trainee gets there."""
    # The library takes any name of a target and fails when it is reached, the state already changed.
    with pytest.raises(ValueError, match="no-such-step"):
        StepMachine(replace(plan, next_of={**plan.next_of, "take-plate": "no-such-step"}))


def test_no_name_of_a_file_reaches_the_library(plan: Plan) -> None:
    """States and triggers have names made here, and every callback is a function and no text."""
    # The library imports and calls a callback given as text (`os.getcwd`, `os.abort`).
    machine = StepMachine(plan)._machine
    assert all(name.startswith("s") and name[1:].isdigit() for name in machine.states)
    assert set(machine.events) == {"finish_step", "spoil_plate", "show_hazard", "leave_hazard"}
    for trigger in machine.events.values():
        for ways in trigger.transitions.values():
            for way in ways:
                assert all(callable(condition.func) for condition in way.conditions)
                assert all(callable(callback) for callback in (*way.before, *way.after, *way.prepare))


def test_text_callback_would_be_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """The trap is there: the library does call what a text names. That is why none reaches it."""
    called: list[str] = []
    monkeypatch.setattr(os, "getcwd", lambda: called.append("getcwd"))
    machine = Machine(states=["a", "b"], initial="a", auto_transitions=False)
    machine.add_transition("go", "a", "b", before="os.getcwd")
    assert machine.events["go"].trigger(machine) is True
    assert called == ["getcwd"]


def test_nothing_goes_past_the_ways(plan: Plan) -> None:
    """The library's shortcuts to any state, which pass every condition, are not there."""
    machine = StepMachine(plan)
    assert not [name for name in machine._machine.events if name.startswith("to_")]
    assert not machine._machine.models


def test_refused_condition_is_noticed(plan: Plan, state: State) -> None:
    """Where every way is refused, that is an error and not a run that silently stays."""
    machine = StepMachine(plan)
    for ways in machine._machine.events["finish_step"].transitions.values():
        del ways[-1:]  # the way on that has no condition
    with pytest.raises(NoWay, match="refused"):
        machine.finish("read-gauge", with_value(state, "readings.vacuum", 22.0))


def test_queued_machine_would_say_yes_to_everything() -> None:
    """The trap is there: a queued machine says that a refused way was taken. Ours is not queued."""
    for queued, said in ((True, True), (False, False)):
        machine = Machine(states=["a", "b"], initial="a", auto_transitions=False, queued=queued)
        machine.add_transition("go", "a", "b", conditions=lambda: False)
        assert machine.events["go"].trigger(machine) is said
        assert machine.is_state("a", machine)


def test_machine_holds_nothing(plan: Plan, state: State) -> None:
    """The machine answers by the step it is asked about, whatever it was asked before."""
    machine = StepMachine(plan)
    for _ in range(2):
        assert machine.finish("take-plate", Facts(state)).to == "mind-the-glass"
        assert machine.spoil("sign") == "take-plate"


def test_machine_and_fold_agree() -> None:
    """Along a whole run with a spoiled plate, every move in the record is one that the machine makes."""
    sink = Sink.open().until("read-wedge")
    sink.run.spoil("scratched")
    sink.to_end()
    events = sink.events
    machine = StepMachine(sink.plan)
    for place, event in enumerate(events):
        if event.body.kind == "moved":
            before = fold(sink.plan, events[:place])
            why = getattr(event.body, "why", "")
            to = (
                machine.spoil(before.step)
                if why == "spoiled"
                else machine.finish(before.step, Facts(before)).to
            )
            assert to == getattr(event.body, "to", "")


def test_covered_end(plan: Plan) -> None:
    """A hazard marked `always` has its way before the end."""
    assert "mind-the-light" in plan.covered_by[DONE]
    assert StepMachine(with_cover(plan, DONE, "mind-the-glass")).detour(DONE, "mind-the-glass")
