"""What the run asks for at the moment, in one word: acts and views both go by it."""

from __future__ import annotations

from typing import Literal

from trainer.procedure.model import TASKS, Quiz, Step
from trainer.procedure.plan import Plan
from trainer.run import waits
from trainer.run.events import Stamp
from trainer.run.state import State

Situation = Literal[
    "closed",
    "paused",
    "picking",  # solo: the next act
    "explained",  # solo: after the second wrong pick
    "hazard",
    "confirm",
    "wait_ready",
    "waiting",
    "wait_unknown",  # nobody knows how long: a person decides
    "dose_reading",  # a dose found half-way: the integrator's own reading
    "reading",
    "judge",
    "quiz_one",
    "quiz_several",
    "quiz_order",
    "quiz_number",
    "answer",
    "worked",
    "offer",
    "offer_idle",  # the offer does not fit, or changes nothing; or it is a rehearsal
    "sign_off",
]

_BY_TASK: dict[str, Situation] = {
    "none": "confirm",
    "hazard": "hazard",
    "wait": "wait_ready",
    "reading": "reading",
    "judge": "judge",
    "work_out": "worked",
    "sign_off": "sign_off",
}
_SAME = 1e-9
"""Two settings closer than this are the same setting."""


def task_of(step: Step) -> str:
    """The key of a step's task, `none` where it has none."""
    return next((task for task in TASKS if getattr(step, task) is not None), "none")


def situation(plan: Plan, state: State, now: Stamp) -> Situation:
    """What the run asks for now."""
    if state.closed:
        return "closed"
    if state.paused:
        return "paused"
    match state.phase:
        case "picking" | "explained" | "answer":
            return state.phase
        case "waiting":
            return _of_wait(state, now)
    step = plan.steps[state.step]
    if step.quiz is not None:
        return _of_quiz(step.quiz)
    if step.offer_setting is not None:
        return _of_offer(state)
    return _BY_TASK[task_of(step)]


def _of_wait(state: State, now: Stamp) -> Situation:
    if state.wait is None:
        return "wait_ready"
    unknown = waits.elapsed(state.wait, now) is None
    if state.wait.amounts.form == "dose":
        return "dose_reading" if unknown or state.wait.found_halfway else "waiting"
    return "wait_unknown" if unknown else "waiting"


def _of_quiz(quiz: Quiz) -> Situation:
    if quiz.number is not None:
        return "quiz_number"
    if quiz.choice is not None:
        return "quiz_one"
    return "quiz_several" if quiz.choices is not None else "quiz_order"


def _of_offer(state: State) -> Situation:
    offered = state.new_setting
    changes = offered is not None and offered.fits and abs(offered.new - offered.old) > _SAME
    return "offer" if changes and not state.rehearsal else "offer_idle"
