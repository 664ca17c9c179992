"""The ways between steps as a plain state machine, built from a plan.

A step is a state. The machine is asked where an act leads and holds nothing of its own: before each
question it is set to the step at hand, which the fold of the events says. Its state and trigger names are
made here, so no text of a file is ever taken for the name of something to call (a callback given as text is
imported and run). It is flat, synchronous and unqueued, so that a trigger's answer says whether a way was
taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal

from transitions import EventData, Machine, MachineError

from trainer.procedure.expressions import Expression
from trainer.procedure.plan import DONE, ENDS, Plan
from trainer.run.facts import Facts
from trainer.run.frozen import frozen

Why = Literal["finished", "again", "guard"]
_Condition = Callable[[EventData], bool]

_FINISH = "finish_step"
_SPOIL = "spoil_plate"
_DETOUR = "show_hazard"
_RETURN = "leave_hazard"


@frozen
class Lead:
    """Where an act leads, and why."""

    to: str
    why: Why


class NoWay(Exception):  # noqa: N818 - read as what it says
    """No way of this kind leads on from the step. The checks of a plan rule it out."""


@dataclass(slots=True)
class _Position:
    """The machine's model: a place, and why it was reached. Its slots leave the library nothing to add."""

    state: str
    why: Why = "finished"


class StepMachine:
    """Says where finishing, spoiling and safety prompts out of turn lead."""

    def __init__(self, plan: Plan) -> None:
        """Build the machine of a plan. Raises ValueError where a way leads to no step."""
        self._plan = plan
        self._names = {step: f"s{number}" for number, step in enumerate((*plan.steps, *ENDS))}
        self._steps = {name: step for step, name in self._names.items()}
        self._position = _Position(self._name(plan.first))
        # Without a registered model the library binds no convenience methods; triggers are called by name.
        self._machine = Machine(
            model=None,
            states=list(self._steps),
            initial=self._position.state,
            auto_transitions=False,
            send_event=True,
        )
        for step in plan.steps:
            self._add_ways_on(step)
            self._add_new_plate(step)
        for target in (*plan.steps, DONE):
            self._add_hazards(target)

    def finish(self, step: str, facts: Facts) -> Lead:
        """Where the finished `step` leads. Raises NoWay; FormulaFault where a condition fails."""
        self._fire(step, _FINISH, facts=facts)
        return Lead(self._here(), self._position.why)

    def spoil(self, step: str) -> str:
        """The step where a plate spoiled at `step` begins anew. Raises NoWay where none can be spoiled."""
        self._fire(step, _SPOIL)
        return self._here()

    def detour(self, step: str, hazard: str) -> str:
        """The safety prompt `hazard` that comes before `step`. Raises NoWay where it covers no such step."""
        self._fire(step, _DETOUR, to=hazard)
        return self._here()

    def back(self, hazard: str, step: str) -> str:
        """From a safety prompt that came out of turn back to its `step`. Raises NoWay as above."""
        self._fire(hazard, _RETURN, to=step)
        return self._here()

    def _fire(self, step: str, trigger: str, **asked: object) -> None:
        """Set the machine to `step`, fire, and see to it that a way was taken."""
        self._position = _Position(self._name(step))
        try:
            taken = self._machine.events[trigger].trigger(self._position, **asked)
        except (MachineError, KeyError) as fault:
            raise NoWay(f"No way of this kind leads on from {step}.") from fault
        if not taken:
            raise NoWay(f"Every way on from {step} was refused.")

    def _here(self) -> str:
        return self._steps[self._position.state]

    def _name(self, step: str) -> str:
        if step not in self._names:
            raise ValueError(f"A way leads to {step}, which is no step.")
        return self._names[step]

    def _add_ways_on(self, step: str) -> None:
        """Guarded ways, top to bottom; a reading that is not ok again; the way on. The first holds."""
        for way in self._plan.ways.get(step, ()):
            self._add(_FINISH, step, way.to, partial(_holds, way.when), "guard")
        ok = self._plan.expression(step, "ok")
        if ok is not None:
            self._add(_FINISH, step, step, partial(_fails, ok), "again")
        self._add(_FINISH, step, self._plan.next_of[step], None, "finished")

    def _add_new_plate(self, step: str) -> None:
        back_to = self._plan.new_plate_from(step)
        if back_to is not None:
            self._add(_SPOIL, step, back_to, None, "finished")

    def _add_hazards(self, target: str) -> None:
        for hazard in self._plan.covered_by.get(target, ()):
            self._add(_DETOUR, target, hazard, partial(_asked_for, hazard), "guard")
            self._add(_RETURN, hazard, target, partial(_asked_for, target), "finished")

    def _add(self, trigger: str, source: str, to: str, condition: _Condition | None, why: Why) -> None:
        self._machine.add_transition(
            trigger,
            self._name(source),
            self._name(to),
            conditions=condition,
            before=partial(self._because, why),
        )

    def _because(self, why: Why, asked: EventData) -> None:
        del asked
        self._position.why = why


def _holds(when: Expression, asked: EventData) -> bool:
    return when.truth(_facts(asked))


def _fails(ok: Expression, asked: EventData) -> bool:
    return not ok.truth(_facts(asked))


def _asked_for(step: str, asked: EventData) -> bool:
    return bool(asked.kwargs["to"] == step)


def _facts(asked: EventData) -> Facts:
    facts = asked.kwargs["facts"]
    if not isinstance(facts, Facts):
        raise TypeError("a way on is decided from facts")
    return facts
