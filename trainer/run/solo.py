"""At solo the trainee picks the next act out of four. The offer is drawn here once, and kept as an event."""

from __future__ import annotations

from trainer.procedure.plan import Plan
from trainer.procedure.text import in_language
from trainer.run.answers import draw
from trainer.run.situation import task_of
from trainer.run.state import State

OTHERS = 3
"""Wrong acts in an offer."""

_ACTS = ("none", "wait", "reading", "judge")
"""Tasks of steps that are acts at the sink. What is asked, computed or signed shows by itself."""


def offer(plan: Plan, state: State) -> tuple[str, ...]:
    """The acts to pick from before the step at hand is shown, or () where it shows by itself.

    The step at hand is right; the others are acts of the same procedure with other words, so that none is
    right here too. Drawn from run id and sequence number.
    """
    right = state.step
    if not _is_act(plan, right):
        return ()
    taken = {_words(plan, state, right)}
    seed = f"{state.run}:{state.seq}"
    others: list[str] = []
    for step in sorted(filter(lambda id_: _is_act(plan, id_), plan.steps), key=lambda id_: draw(seed, id_)):
        words = _words(plan, state, step)
        if words not in taken and len(others) < OTHERS:
            taken.add(words)
            others.append(step)
    if not others:
        return ()
    return tuple(sorted((right, *others), key=lambda id_: draw(seed, "order", id_)))


def _is_act(plan: Plan, step_id: str) -> bool:
    step = plan.steps[step_id]
    return step.do is not None and task_of(step) in _ACTS


def _words(plan: Plan, state: State, step_id: str) -> str:
    return " ".join(in_language(plan.steps[step_id].do, state.language).casefold().split())
