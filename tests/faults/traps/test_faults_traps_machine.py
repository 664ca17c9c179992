"""A misspelt step never becomes a place of the machine, and nothing that is refused passes for done."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from copy import copy
from dataclasses import replace

import pytest
from run_kit import RIGHT, Sink, plan_of
from transitions import Machine, MachineError
from transitions.core import Condition

from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan
from trainer.run.events import Guidance
from trainer.run.facts import Facts
from trainer.run.machine import NoWay, StepMachine
from trainer.run.refusals import Refused, TooSoon
from trainer.run.session import Run
from trainer.run.view import RunView

# A misspelt step


def test_the_library_takes_a_misspelt_state() -> None:
    """The trap is there: a way to a state that there is not is built, and fails when somebody gets there."""
    machine = Machine(states=["a", "b"], initial="a", auto_transitions=False)
    machine.add_transition("go", "a", "bb")
    machine.add_transition("back", "bb", "a")
    with pytest.raises((MachineError, ValueError, KeyError)):
        machine.events["go"].trigger(machine)


def misspelt() -> Iterator[tuple[str, Plan]]:
    """The test plate with each kind of way leading to a step that there is not."""
    plan = plan_of("plate")
    guarded = next(step for step, ways in plan.ways.items() if ways)
    ways = (replace(plan.ways[guarded][0], to="draw-dwon"), *plan.ways[guarded][1:])
    yield "next", replace(plan, next_of={**plan.next_of, "take-plate": "draw-dwon"})
    yield "go", replace(plan, ways={**plan.ways, guarded: ways})
    yield "covers", replace(plan, covered_by={**plan.covered_by, "draw-down": ("mind-the-galss",)})
    changed = {step: copy(stage) for step, stage in plan.stage_of.items()}
    for stage in changed.values():
        vars(stage)["new_plate_from"] = "take-palte"
    yield "new plate", replace(plan, stage_of=changed)


def built(machine_class: type[StepMachine]) -> set[str]:
    """The kinds of misspelt ways that a machine is built with."""
    found: set[str] = set()
    for kind, plan in misspelt():
        try:
            machine_class(plan)
        except ValueError:
            continue
        found.add(kind)
    return found


class TakesAnything(StepMachine):
    """Makes a state of whatever it is told."""

    def _name(self, step: str) -> str:
        return self._names.setdefault(step, step)


def test_a_misspelt_step_never_builds() -> None:
    """No machine is built over a way that leads to no step; one that takes anything is found out."""
    assert built(StepMachine) == set()
    assert built(TakesAnything) == {"next", "go", "covers", "new plate"}


@pytest.mark.parametrize(
    ("written", "misspelt_as", "meant"),
    [
        ("then: film-clean", "then: film-claen", "film-clean"),
        ("to: opaque-spots", "to: opaque-spost", "opaque-spots"),
        ("covers: [draw-down, find-leak]", "covers: [draw-down, find-laek]", "find-leak"),
        ("new_plate_from: take-plate", "new_plate_from: take-palte", "take-plate"),
        ("tries('read-gauge')", "tries('read-guage')", "read-gauge"),
    ],
)
def test_a_misspelt_step_is_told_when_the_file_is_read(written: str, misspelt_as: str, meant: str) -> None:
    """A file with a misspelt step is no plan, and the step that was meant is named."""
    source = plan_of("plate").source.decode()
    assert written in source
    loaded = load_bytes(source.replace(written, misspelt_as).encode(), "plate.yaml")
    assert loaded.plan is None
    assert any(meant in problem.help for problem in loaded.errors)


# What is refused

ACTS: Mapping[str, tuple[Callable[[Run], object], Callable[[RunView], bool]]] = {
    "next": (lambda run: run.next(), lambda view: "next" in view.acts),
    "accept": (lambda run: run.accept(), lambda view: "accept" in view.acts),
    "pick": (lambda run: run.pick(1), lambda view: "pick" in view.acts),
    "pick nothing": (lambda run: run.pick(40), lambda _: False),
    "enter": (lambda run: run.enter("22"), lambda view: view.number is not None),
    "enter no number": (lambda run: run.enter("a lot"), lambda _: False),
    "points": (lambda run: run.points(), lambda view: "points" in view.acts),
    "resume": (lambda run: run.resume(), lambda view: view.paused),
    "spoil": (lambda run: run.spoil("scratched"), lambda view: "spoil" in view.acts),
    "spoil without a word": (lambda run: run.spoil(" "), lambda _: False),
    "sign": (lambda run: run.sign("I-1", RIGHT, "passed"), lambda view: view.sign is not None),
    "take_setting": (lambda run: run.take_setting("I-1", RIGHT), lambda view: "sign" in view.acts),
    "leave_setting": (lambda run: run.leave_setting(), lambda view: "leave_setting" in view.acts),
    "stop without a word": (lambda run: run.stop(""), lambda _: False),
    "hand over to nobody": (lambda run: run.hand_over(""), lambda _: False),
}
"""Each act, and whether it is one that is taken now."""


def passed_silently(guidance: Guidance, run_class: type[Run] = Run) -> set[str]:
    """Acts that were not to be taken at some step of a whole run, and that raised nothing."""
    sink = Sink.open(guidance, run_class=run_class)
    found: set[str] = set()
    for _ in range(120):
        for name, (act, works) in ACTS.items():
            if works(sink.run.view()):
                continue
            sink.settle()
            before = (sink.run.state, len(sink.events))
            try:
                act(sink.run)
            except (Refused, TooSoon) as told:
                said = str(told)
            else:
                found.add(name)
                continue
            assert said, f"{name} was refused without a word"
            assert (sink.run.state, len(sink.events)) == before, f"{name} was refused, and done"
        if sink.run.state.closed:
            return found
        sink.right()
    raise AssertionError("the run does not come to its end")


class Polite(Run):
    """Keeps to itself that an act was refused."""

    def accept(self) -> None:
        """Accept, or not."""
        try:
            super().accept()
        except Refused:
            return

    def leave_setting(self) -> None:
        """Leave it, or not."""
        try:
            super().leave_setting()
        except Refused:
            return


@pytest.mark.parametrize("guidance", ["cued", "solo"])
def test_no_refused_act_passes_silently(guidance: Guidance) -> None:
    """At every step each act that is not taken there is refused in words, and leaves no trace."""
    assert passed_silently(guidance) == set()


def test_a_run_that_refuses_silently_is_found_out() -> None:
    """A build that keeps a refusal to itself is noticed."""
    assert passed_silently("cued", Polite) == {"accept", "leave_setting"}


class Deaf(StepMachine):
    """Does not hear that every way was refused."""

    def _fire(self, step: str, trigger: str, **asked: object) -> None:
        self._position = type(self._position)(self._name(step))
        self._machine.events[trigger].trigger(self._position, **asked)


def never(asked: object) -> bool:
    """A condition that nothing meets."""
    del asked
    return False


def stays_silently(machine_class: type[StepMachine]) -> set[str]:
    """Steps that a machine says are finished though every way on from them is refused."""
    sink = Sink.open()
    machine = machine_class(sink.plan)
    for ways in machine._machine.events["finish_step"].transitions.values():
        for way in ways:
            way.conditions[:] = [Condition(never)]
    found: set[str] = set()
    for step in sink.plan.steps:
        try:
            machine.finish(step, Facts(sink.run.state))
        except NoWay:
            continue
        found.add(step)
    return found


def test_a_refused_way_on_is_noticed() -> None:
    """Where no way on may be taken the machine says so; one that is deaf to it is noticed at every step."""
    assert stays_silently(StepMachine) == set()
    assert stays_silently(Deaf) == set(plan_of("plate").steps)
