"""How a run goes on: from a finished task to the next step that is shown."""

from __future__ import annotations

from trainer.procedure.expressions import Expression
from trainer.procedure.model import OfferSetting, WorkOut
from trainer.procedure.plan import DONE, STOP
from trainer.run import solo
from trainer.run.batch import Batch
from trainer.run.events import (
    Moved,
    NextOffered,
    PlateSpoiled,
    RunClosed,
    SettingOffered,
    StepShown,
    WorkedOut,
)
from trainer.run.fold import missing_hazards
from trainer.run.machine import Lead, StepMachine
from trainer.run.situation import task_of
from trainer.run.state import State
from trainer.tongue import marked

ENDS_HERE = marked("The procedure ends here.")
"""Why a run was stopped that a procedure sent to `stop`: kept in English, shown as it is spoken."""

_NEAR = 1e-9


def go_on(batch: Batch, machine: StepMachine) -> None:
    """The task at hand is done: move where it leads, and show what comes."""
    state = batch.state
    if state.back_to is not None:
        lead = Lead(machine.back(state.step, state.back_to), "finished")
    else:
        lead = machine.finish(state.step, batch.facts())
    batch.add(Moved(lead.to, lead.why))
    arrive(batch, machine, again=lead.why == "again")


def new_plate(batch: Batch, machine: StepMachine, reason: str) -> None:
    """The plate is spoiled: back to where the next one begins."""
    state = batch.state
    back_to = machine.spoil(state.work)
    batch.add(PlateSpoiled(state.plate, batch.plan.stage_of[state.work].id, reason, back_to))
    batch.add(Moved(back_to, "spoiled"))
    arrive(batch, machine)


def arrive(batch: Batch, machine: StepMachine, *, again: bool = False) -> None:
    """From the step that was moved to, to the first that is shown or offered, or to the end.

    `again`: the same step is asked again, so at solo there is nothing to pick.
    """
    while batch.state.step != STOP:
        state = batch.state
        unread = missing_hazards(batch.plan, state, state.step)
        if unread:
            batch.add(Moved(machine.detour(state.step, unread[0]), "guard"))
            again = False
        elif state.step == DONE:
            batch.tell_plate(always=True)
            batch.add(RunClosed("done"))
            return
        elif _passed_over(state):
            lead = machine.finish(state.step, batch.facts())
            batch.add(Moved(lead.to, lead.why))
        else:
            _offer_or_show(batch, again=again)
            return
    batch.add(RunClosed("stopped", ENDS_HERE))


def show(batch: Batch) -> None:
    """The step at hand comes on the screen, with what it works out."""
    plan, state = batch.plan, batch.state
    step = plan.steps[state.step]
    stage = plan.stage_of[step.id].id
    batch.add(StepShown(stage, step.skill, task_of(step), state.plate, state.visit + 1))
    if step.work_out is not None:
        _work_out(batch, step.work_out)
    if step.offer_setting is not None:
        _offer_setting(batch, step.offer_setting)


def _offer_or_show(batch: Batch, *, again: bool) -> None:
    state = batch.state
    steps = () if again or state.guidance != "solo" else solo.offer(batch.plan, state)
    if steps:
        batch.add(NextOffered(steps, right=state.step))
    else:
        show(batch)


def _passed_over(state: State) -> bool:
    """A quiz answered on an earlier plate is not asked again; where the way leads back to it, it is."""
    return state.quizzes.get(state.step, state.plate) < state.plate


def _work_out(batch: Batch, work_out: WorkOut) -> None:
    formula, facts = _from(batch), batch.facts()
    batch.add(
        WorkedOut(
            name=work_out.name,
            value=formula.number(facts),
            unit=work_out.unit,
            working=formula.working(facts),
            keeps_run=work_out.keeps == "run",
        )
    )


def _offer_setting(batch: Batch, offer: OfferSetting) -> None:
    setting = batch.plan.procedure.settings[offer.setting]
    new = _from(batch).number(batch.facts())
    least, most = setting.between
    fits = least - _NEAR <= new <= most + _NEAR
    batch.add(SettingOffered(offer.setting, batch.state.settings[offer.setting], new, setting.unit, fits))


def _from(batch: Batch) -> Expression:
    formula = batch.plan.expression(batch.state.step, "from")
    if formula is None:
        raise LookupError(f"{batch.state.step} has no formula to work out")
    return formula
