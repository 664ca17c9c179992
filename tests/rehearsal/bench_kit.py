"""Rehearsals of the shipped procedures on a fake clock, gone through act by act."""

from __future__ import annotations

from functools import cache
from typing import Self

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.rehearsal import walk_right
from trainer.rehearsal.rehearsal import Rehearsal
from trainer.rehearsal.walker import RUN, Walker
from trainer.run.events import Body, Guidance, Value
from trainer.run.fakes import FakeClock, FakeJournal

PLATE = "negative-plate-two-burns"


@cache
def plan_of(procedure: str) -> Plan:
    """A shipped procedure."""
    return load(places.procedures_dir() / f"{procedure}.yaml").require()


def settings_of(plan: Plan) -> dict[str, float]:
    """The settings as the procedure has them."""
    return {name: float(setting.value) for name, setting in plan.procedure.settings.items()}


class AtBench(Walker):
    """A rehearsal with its walker."""

    rehearsal: Rehearsal

    @classmethod
    def begin(
        cls,
        procedure: str = PLATE,
        *,
        guidance: Guidance = "full",
        seed: int | None = None,
        colour: str = "",
        conditions: dict[str, Value] | None = None,
        settings: dict[str, float] | None = None,
    ) -> Self:
        """A new rehearsal; on the usual day where no seed is given."""
        plan, clock, journal = plan_of(procedure), FakeClock(), FakeJournal()
        rehearsal = Rehearsal.open(
            plan,
            run=RUN,
            trainee="T-01",
            guidance=guidance,
            settings={**settings_of(plan), **(settings or {})},
            journal=journal,
            clock=clock,
            seed=seed,
            colour=colour,
            conditions=conditions if seed is not None else conditions or {},
            longest_gap=None,
        )
        return cls(plan, rehearsal.run, clock, journal, rehearsal)

    def right_until(self, step: str) -> Self:
        """Do right acts until that step is shown, or the run is closed."""
        for _ in range(400):
            state = self.run.state
            if state.closed or (state.step == step and state.phase not in ("picking", "explained")):
                return self
            walk_right.do_right(self)
        raise AssertionError(f"{step} was not reached")

    def again(self) -> Rehearsal:
        """The same rehearsal, taken up from its record by another program."""
        return Rehearsal.take_up(self.plan, RUN, journal=self.journal, clock=self.clock, longest_gap=None)

    @property
    def bodies(self) -> list[Body]:
        """What was recorded."""
        return [event.body for event in self.events]


@cache
def finished(guidance: Guidance) -> AtBench:
    """A right rehearsal gone through to its end; only to be looked at."""
    return AtBench.begin(guidance=guidance).right_until("done")
