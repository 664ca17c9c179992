"""The spine: a run's state is the fold of its events over its procedure.

Nothing here asks a clock, draws a number or writes anything. Opening a run, an act, and starting again after
a crash all come to their state through `apply`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from trainer.procedure.plan import Plan
from trainer.run import events as ev
from trainer.run.events import Event
from trainer.run.frozen import replace
from trainer.run.ports import JournalTrouble
from trainer.run.state import (
    Answered,
    Entry,
    Kept,
    NewSetting,
    Offer,
    Passed,
    State,
    Taken,
    WaitState,
)
from trainer.run.waits import gap

WRONG_PICKS = 2
"""After so many wrong picks the right act is explained."""


def fold(plan: Plan, events: Iterable[Event]) -> State:
    """The state that `events` of one run come to.

    Raises JournalTrouble where they are no whole run of this procedure.
    """
    state: State | None = None
    for event in events:
        state = apply(plan, state, event)
    if state is None:
        raise JournalTrouble("The record holds no event of this run. It cannot be gone on with.")
    return state


def apply(plan: Plan, state: State | None, event: Event) -> State:
    """The state after one more event. Raises JournalTrouble where it does not follow."""
    if state is None:
        return _opened(plan, event)
    if event.seq != state.seq + 1 or event.run != state.run:
        raise JournalTrouble(
            f"The record of this run goes from event {state.seq} to event {event.seq}. Something is missing; "
            "`sinkside record verify` says what. Open a new run."
        )
    changed = _after(plan, state, event)
    return replace(changed, seq=event.seq, last=event.stamp)


def missing_hazards(plan: Plan, state: State, step: str) -> tuple[str, ...]:
    """The safety prompts that must be accepted, and are not, before `step` (or `done`) is reached."""
    return tuple(hazard for hazard in plan.covered_by.get(step, ()) if hazard not in state.accepted)


def _opened(plan: Plan, event: Event) -> State:
    body = event.body
    if not isinstance(body, ev.RunOpened) or event.seq != 1:
        raise JournalTrouble("The record of this run has lost its beginning. It cannot be gone on with.")
    if body.content_hash != plan.content_hash:
        raise JournalTrouble("This run was opened with another version of the procedure than the one given.")
    return State(
        run=event.run,
        trainee=body.trainee,
        guidance=body.guidance,
        rehearsal=body.rehearsal,
        language=body.language,
        job=body.job,
        colour=body.colour,
        settings=dict(body.settings),
        seq=event.seq,
        last=event.stamp,
        shown=event.stamp,
        step=plan.first,
        arrivals={plan.first: event.seq},
    )


def _after(plan: Plan, state: State, event: Event) -> State:  # noqa: C901, PLR0912 - one line a kind of event
    body = event.body
    match body:
        case ev.StepShown():
            return _shown(state, event)
        case ev.Moved():
            return _moved(plan, state, event, body)
        case ev.HazardAccepted():
            return _finished(replace(state, accepted=state.accepted | {state.step}))
        case ev.Confirmed() | ev.WaitEnded():
            return _finished(state)
        case ev.WaitBegun():
            wait = WaitState(begun=event.stamp, amounts=body)
            return replace(state, phase="waiting", wait=wait, shown=event.stamp, notice="")
        case ev.WaitWarned():
            return _warned(state, event, body)
        case ev.ReadingTaken():
            return _read(state, event, body)
        case ev.Judged():
            judged = _keep(state, f"answers.{body.name}", Taken(body.answer, "", event.seq, body.keeps_run))
            return _finished(_said(judged, (body.answer,)))
        case ev.QuizAnswered():
            return _quizzed(state, event, body)
        case ev.WorkedOut():
            taken = Taken(body.value, body.unit, event.seq, body.keeps_run)
            return replace(_keep(state, f"worked.{body.name}", taken), working=body.working)
        case ev.SettingOffered():
            offered = NewSetting(body.setting, body.old, body.new, body.unit, body.fits)
            return replace(state, new_setting=offered)
        case ev.SettingChanged():
            return _finished(replace(state, settings={**state.settings, body.setting: body.new}))
        case ev.SignedOff():  # one given after class changes nothing about where the run ended
            return state if state.closed else _finished(_signed(state, event, body))
        case ev.SignOffRefused():
            return replace(state, refused=body.reason, notice="")
        case ev.PlateSpoiled():
            return _spoiled(state, event, body)
        case ev.NextOffered():
            offer = Offer(body.steps, body.right)
            return replace(state, phase="picking", offer=offer, shown=event.stamp)
        case ev.NextPicked():
            return _picked(state, event, body)
        case ev.HintOpened():
            return replace(state, path=(*state.path[:-1], replace(state.path[-1], hint=True)))
        case ev.Paused():
            return replace(state, paused=True, shown=event.stamp)
        case ev.Resumed():
            return _resumed(state, event, body)
        case ev.RunHandedOver():
            return _handed_over(plan, state, event, body)
        case ev.RunExcused():
            return replace(state, excused=True)
        case ev.CodeMistyped():
            return replace(state, trainee=body.to)
        case ev.RunClosed():
            return replace(state, closed=body.how, reason=body.reason, wait=None, paused=False, notice="")
    return state  # notes and the bench's events change nothing about where the run stands


def _shown(state: State, event: Event) -> State:
    path = state.path
    if not path or (path[-1].step, path[-1].plate) != (state.step, state.plate):
        path = (*path, Passed(state.step, state.plate))
    return replace(
        state,
        phase="task",
        shown=event.stamp,
        visits={**state.visits, state.step: state.visit + 1},
        path=path,
        offer=None,
    )


def _moved(plan: Plan, state: State, event: Event, body: ev.Moved) -> State:
    """Another step is at hand. A safety prompt that a step wants before it is shown remembers that step."""
    arrived = state.phase == "arrived"
    out_of_turn = arrived and body.why == "guard" and body.to in missing_hazards(plan, state, state.step)
    quizzes = state.quizzes
    if arrived and not out_of_turn and state.step in quizzes:
        quizzes = {**quizzes, state.step: state.plate}  # passed over, once a plate
    return replace(
        state,
        step=body.to,
        phase="arrived",
        arrivals={body.to: event.seq, **state.arrivals},
        back_to=state.step if out_of_turn else None,
        quizzes=quizzes,
        wait=None,
        entry=state.entry if body.why == "again" else None,
        answered=None,
        offer=None,
        new_setting=None,
        working="",
        refused="",
    )


def _finished(state: State) -> State:
    """The task at hand is done: counted, its traces on the screen gone."""
    tries = {**state.tries, state.step: state.tries.get(state.step, 0) + 1}
    return replace(state, tries=tries, wait=None, phase="task", notice="", refused="")


def _keep(state: State, name: str, taken: Taken) -> State:
    return replace(state, values={**state.values, name: (*state.values.get(name, ()), taken)})


def _said(state: State, said: tuple[str, ...]) -> State:
    return replace(state, path=(*state.path[:-1], replace(state.path[-1], said=said)))


def _warned(state: State, event: Event, body: ev.WaitWarned) -> State:
    if state.wait is None:
        return state
    wait = replace(state.wait, warned=state.wait.warned | {body.about})
    prompts = body.about in ("early", "unknown")
    return replace(state, wait=wait, shown=event.stamp if prompts else state.shown)


def _read(state: State, event: Event, body: ev.ReadingTaken) -> State:
    entry = Entry(body.typed, body.typed_unit, body.verdict)
    told = replace(state, entry=entry, shown=event.stamp, notice="")
    if body.verdict == "slip":
        return told
    kept = _keep(told, f"readings.{body.name}", Taken(body.value, body.unit, event.seq, body.keeps_run))
    return _finished(_said(kept, (body.typed, body.typed_unit)))


def _quizzed(state: State, event: Event, body: ev.QuizAnswered) -> State:
    """Quiz answers outlive a plate, since the question is not asked again."""
    value: Kept = body.answer
    if body.form == "number":
        value = float(body.answer[0])
    elif body.form == "choice":
        value = body.answer[0]
    kept = _keep(state, f"answers.{body.name}", Taken(value, "", event.seq, lasts=True))
    return replace(
        _finished(_said(kept, body.answer)),
        phase="answer",
        answered=Answered(body.answer, body.right),
        quizzes={**state.quizzes, state.step: state.plate},
        shown=event.stamp,
    )


def _signed(state: State, event: Event, body: ev.SignedOff) -> State:
    said = _said(state, (body.word, body.by, body.note) if body.note else (body.word,))
    return said if body.name is None else _keep(said, f"answers.{body.name}", Taken(body.word, "", event.seq))


def _spoiled(state: State, event: Event, body: ev.PlateSpoiled) -> State:
    """What was taken since the plate's first step counts no more; see the design, "A new plate"."""
    cut = state.arrivals.get(body.back_to, state.plate_seq)
    return replace(
        state,
        plate=state.plate + 1,
        plate_seq=event.seq,
        values=_still_taken(state.values, cut),
        tries={},
        accepted=frozenset(),
        arrivals={step: seq for step, seq in state.arrivals.items() if seq < cut},
        notice="new_plate",
    )


def _still_taken(values: Mapping[str, tuple[Taken, ...]], cut: int) -> Mapping[str, tuple[Taken, ...]]:
    kept = {name: tuple(t for t in taken if t.lasts or t.seq < cut) for name, taken in values.items()}
    return {name: taken for name, taken in kept.items() if taken}


def _picked(state: State, event: Event, body: ev.NextPicked) -> State:
    if state.offer is None or body.right:
        return replace(state, notice="")
    offer = replace(state.offer, wrong=(*state.offer.wrong, body.step))
    explained = len(offer.wrong) >= WRONG_PICKS
    return replace(
        state,
        offer=offer,
        phase="explained" if explained else "picking",
        shown=event.stamp,
        notice="" if explained else "wrong_pick",
    )


def _resumed(state: State, event: Event, body: ev.Resumed) -> State:
    """Back at the screen. After a restart, a running wait was unwatched since the last event."""
    back = replace(state, paused=False, shown=event.stamp)
    if body.after == "paused" or state.wait is None or state.rehearsal:  # a bench waits for its trainee
        return back
    unwatched = gap(state.last, event.stamp)
    wait = replace(
        state.wait,
        found_halfway=True,
        doubted=state.wait.doubted or unwatched is None,
        unwatched=state.wait.unwatched + (unwatched or 0.0),
    )
    return replace(back, wait=wait)


def _handed_over(plan: Plan, state: State, event: Event, body: ev.RunHandedOver) -> State:
    """Whoever goes on has read no safety prompt yet; those of the act at hand come first."""
    over = replace(state, trainee=body.to, accepted=frozenset(), shown=event.stamp, notice="")
    unread = missing_hazards(plan, over, over.step)
    if unread and over.phase in ("task", "picking", "explained"):
        return replace(over, phase="arrived", offer=None)
    return over
