"""The shop's card on the wall: what the shop has set, where a step's controls go by it."""

from __future__ import annotations

from trainer.procedure.text import in_language, one_line
from trainer.run.measured import measured
from trainer.run.session import Run
from trainer.tongue import spoken

_OF = "settings."


def on_the_card(run: Run) -> tuple[str, ...]:
    """A sentence with the settings that the controls of the step at hand go by; none where there are none.

    A rehearsal has no wall to look at; who makes a wet plate has.
    """
    state, plan = run.state, run.plan
    step = plan.steps.get(state.step)
    if step is None:
        return ()
    formulas = [plan.expression(step.id, f"bench.{control}") for control in step.bench]
    used = {name for formula in formulas if formula is not None for name in formula.names_used}
    said = [
        f"{one_line(in_language(one.label, state.language))} {measured(state.settings[name], one.unit)}"
        for name, one in plan.procedure.settings.items()
        if f"{_OF}{name}" in used
    ]
    return (spoken("The shop's card says: {values}.", values="; ".join(said)),) if said else ()
