"""Where an act leads, asked of the run's machine, against a bare `transitions` machine of the same ways.

The bare machine is what the library offers: built at once from a list of states and a list of ways, its model
moved by a trigger bound to it. It knows no guards; the procedure's readings have some.
"""

from __future__ import annotations

from fold import best, procedure
from transitions import Machine

from trainer.procedure.plan import DONE, Plan
from trainer.run.facts import Facts
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.machine import StepMachine
from trainer.run.session import Run

ROUNDS = 50
"""Times through the procedure."""
STEPS = 60
LIMIT = 1.5
BUILT = 2.5


class Bare:
    """The model of the bare machine, which binds its trigger to it."""

    state: str

    def finish(self) -> bool:
        """Replaced by the library's own."""
        raise NotImplementedError


def bare(plan: Plan) -> Bare:
    """A machine that goes from step to step, and back to the first."""
    names = {step: f"s{number}" for number, step in enumerate(plan.steps)}
    ways = [
        {"trigger": "finish", "source": names[step], "dest": names.get(to, names[plan.first])}
        for step, to in plan.next_of.items()
    ]
    model = Bare()
    Machine(
        model,
        states=list(names.values()),
        transitions=ways,
        initial=names[plan.first],
        auto_transitions=False,
        send_event=True,
        model_override=True,
    )
    return model


def through_bare(model: Bare) -> None:
    """All steps, a few times."""
    for _ in range(ROUNDS * STEPS):
        if not model.finish():
            raise AssertionError(model.state)


def through_ours(plan: Plan, machine: StepMachine, facts: Facts) -> None:
    """The same of ours: where each act led is where the next is asked."""
    step = plan.first
    for _ in range(ROUNDS * STEPS):
        step = machine.finish(step, facts).to
        if step == DONE:
            step = plan.first


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms of a processor, baseline in ms, limit of the ratio)."""
    plan = procedure(STEPS)
    run = Run.open(
        plan,
        run="run-1",
        trainee="T-01",
        guidance="full",
        settings={},
        journal=FakeJournal(),
        clock=FakeClock(),
    )
    machine, model, facts = StepMachine(plan), bare(plan), Facts(run.state)
    ours, base, built, bare_built = best(
        lambda: through_ours(plan, machine, facts),
        lambda: through_bare(model),
        lambda: StepMachine(plan),
        lambda: bare(plan),
    )
    return [
        (f"{ROUNDS * STEPS:,} steps of the machine / bare transitions", ours, base, LIMIT),
        (f"machine of {STEPS} steps built / bare", built, bare_built, BUILT),
    ]


if __name__ == "__main__":
    for what, mine, theirs, limit in measure():
        print(f"{what:50} {mine:9.1f} {theirs:9.1f} {mine / theirs:6.2f} {limit:6.1f}")  # noqa: T201
