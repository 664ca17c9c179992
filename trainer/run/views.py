"""What a run shows at a moment: the state, the plan and the time made into a `RunView`."""

from __future__ import annotations

from trainer.procedure.model import Quiz, Step
from trainer.procedure.plan import Plan
from trainer.procedure.units import kin
from trainer.run import waits
from trainer.run.events import Stamp
from trainer.run.frozen import frozen, replace
from trainer.run.measured import measured
from trainer.run.situation import Situation, situation
from trainer.run.state import State
from trainer.run.view import ActName, ChoiceView, NumberView, Option, RunView, WaitView
from trainer.run.view_parts import REFUSED, Parts
from trainer.tongue import marked, spoken

_FIRST: dict[Situation, tuple[ActName, ...]] = {
    "closed": ("back", "note"),
    "paused": ("next", "hand_over", "note", "stop"),
    "picking": ("pick",),
    "explained": ("next",),
    "hazard": ("accept",),
    "confirm": ("next",),
    "wait_ready": ("next",),
    "waiting": ("next",),
    "wait_unknown": ("pick",),
    "dose_reading": ("next",),
    "reading": ("next",),
    "judge": ("pick",),
    "quiz_one": ("pick",),
    "quiz_several": ("pick", "next"),
    "quiz_order": ("pick", "next"),
    "quiz_number": ("next",),
    "answer": ("next",),
    "worked": ("next",),
    "offer": ("sign", "leave_setting"),
    "offer_idle": ("next", "leave_setting"),
    "sign_off": ("sign",),
}
_BENCH_SIGNS: tuple[ActName, ...] = ("next",)
"""The acts that the task itself asks for, most wanted first."""

_TO_PICK: tuple[Situation, ...] = ("picking", "explained")
_STAYS = marked("Nothing to change: the value stays as it is.")
_REHEARSED = marked("A rehearsal changes nothing in the shop: the value stays as it is.")
_DOES_NOT_FIT = marked("The new value is outside the limits, so it cannot be taken. Tell your instructor.")
_HOW_LONG = marked(
    "How long it has been is not known: the machine was started again, or its clocks disagree. "
    "Look at the work, and ask if in doubt."
)


def view(
    plan: Plan, state: State, now: Stamp, picked: tuple[str, ...] = (), estimate: float | None = None
) -> RunView:
    """What a run shows at `now`.

    picked: keys marked so far where several hold. estimate: seconds that a unit of dose takes here.
    """
    asks = situation(plan, state, now)
    parts = Parts(plan, state)
    hidden = asks in _TO_PICK
    at = _step_at_hand(state)
    base = _base(parts, plan.steps[at], helped=_helped(state))
    shown_step = (
        _nothing_told(base) if hidden else base if asks == "closed" else _with_task(base, parts, picked)
    )
    told = _with_moment(shown_step, parts, asks, now, estimate)
    return replace(told, acts=_acts(told, parts, asks), notice=_notice(parts, told, asks))


def look_back(plan: Plan, state: State, steps_back: int) -> RunView | None:
    """An earlier step as it was shown, with what was typed or picked there. Nothing changes."""
    on_screen = 0 if state.phase in ("picking", "explained") or state.closed else 1
    place = len(state.path) - on_screen - steps_back
    if steps_back < 1 or place < 0:
        return None
    passed = state.path[place]
    parts = Parts(plan, state)
    step = plan.steps[passed.step]
    back = _base(parts, step, helped=passed.hint or state.guidance == "full")
    hazard = None if step.hazard is None else parts.hazard(step.hazard)
    said = parts.said(step.id, passed.said)
    return replace(
        back,
        plate=passed.plate,
        acts=("back",),
        hazard=hazard,
        quiz_question=parts.words(step.quiz.ask) if step.quiz else "",
        points_hidden=False,
        notice=spoken("At this step: {said}.", said=said) if said else "",
    )


def _step_at_hand(state: State) -> str:
    """The step whose place is shown; when all is over, the last that was."""
    return state.path[-1].step if state.closed and state.path else state.step


def _helped(state: State) -> bool:
    """Are key points, reason and picture to be seen?"""
    return state.guidance == "full" or (bool(state.path) and state.path[-1].hint)


def _base(parts: Parts, step: Step, *, helped: bool) -> RunView:
    """Everything about a step but its task."""
    plan, state, words = parts.plan, parts.state, parts.words
    place = _place(parts, step)
    return RunView(
        run=state.run,
        trainee=state.trainee,
        procedure=plan.procedure.id,
        title=words(plan.procedure.title),
        guidance=state.guidance,
        rehearsal=state.rehearsal,
        job=state.job,
        colour=state.colour,
        plate=state.plate,
        stage=place.stage,
        stage_number=place.stage_number,
        stages=tuple(words(stage.title) for stage in plan.procedure.stages),
        step=step.id,
        step_number=place.step_number,
        steps_in_stage=place.steps,
        aside=step.aside,
        act=parts.act(step.id),
        key_points=tuple(map(words, step.key_points)) if helped else (),
        points_hidden=not helped and bool(step.key_points or step.why or step.picture),
        why=words(step.why) if helped else "",
        picture=step.picture if helped else None,
        acts=(),
        paused=state.paused,
        closed=state.closed,
    )


@frozen
class _Place:
    """Where in the work a step is; asides are not counted."""

    stage: str
    stage_number: int
    step_number: int
    steps: int


def _place(parts: Parts, step: Step) -> _Place:
    """The place of a step; a safety prompt out of turn is where the step is that it comes before."""
    state, plan = parts.state, parts.plan
    at = state.work if step.id == state.step else step.id
    stage = plan.stage_of[at]
    ids = [one.id for one in stage.steps]
    counted = [one.id for one in stage.steps if not one.aside]
    so_far = sum(one in counted for one in ids[: ids.index(at) + 1])
    number = [one.id for one in plan.procedure.stages].index(stage.id) + 1
    return _Place(stage.id, number, max(1, so_far), len(counted))


def _nothing_told(base: RunView) -> RunView:
    """Solo, before the next act is picked: where in the work, and nothing of what comes."""
    return replace(
        base, step="", aside=False, act="", key_points=(), points_hidden=False, why="", picture=None
    )


def _with_task(base: RunView, parts: Parts, picked: tuple[str, ...]) -> RunView:
    """The task of the step that is shown, as far as it does not depend on the time."""
    step = parts.plan.steps[base.step]
    if step.hazard is not None:
        return replace(base, hazard=parts.hazard(step.hazard))
    if step.reading is not None:
        return replace(base, number=parts.reading(step.reading))
    if step.judge is not None:
        return replace(base, choice=parts.judge(step.judge))
    if step.quiz is not None:
        return _with_quiz(base, parts, step.quiz, picked)
    if step.work_out is not None:
        taken = parts.state.taken(f"worked.{step.work_out.name}")
        return replace(base, worked=parts.worked(step.work_out, taken))
    if step.offer_setting is not None:
        return replace(base, offer=parts.offer(step.offer_setting))
    return base if step.sign_off is None else replace(base, sign=parts.sign(step.sign_off))


def _with_quiz(base: RunView, parts: Parts, quiz: Quiz, picked: tuple[str, ...]) -> RunView:
    """The question; then, once answered, what was given and what is right, and why."""
    asked = replace(base, quiz_question=parts.words(quiz.ask))
    answered = parts.state.answered
    if answered is not None:
        answer = parts.quiz_answer(quiz, answered.given, right=answered.right)
        return replace(asked, answer=answer)
    if quiz.number is not None:
        return replace(asked, number=NumberView(kin(quiz.number.unit)))
    return replace(asked, choice=parts.quiz(quiz, picked))


def _with_moment(told: RunView, parts: Parts, asks: Situation, now: Stamp, estimate: float | None) -> RunView:
    """What depends on the time, and on where the run stands beside the step itself."""
    state, plan = parts.state, parts.plan
    if asks == "picking":
        return replace(told, choice=parts.next_acts(), picking_next=True)
    if asks == "explained":
        return replace(told, answer=parts.explained())
    if asks == "closed" or not told.step:
        return told
    wait = plan.steps[told.step].wait
    if wait is None:
        return told
    begun = state.wait.amounts if state.wait else waits.amounts(plan, state, wait)
    timed = replace(told, wait=waits.show(begun, state.wait, now, estimate))
    if asks == "wait_unknown":
        return replace(timed, choice=_unknown())
    return replace(timed, number=parts.dose(wait)) if asks == "dose_reading" else timed


def _acts(told: RunView, parts: Parts, asks: Situation) -> tuple[ActName, ...]:
    """The acts that are taken now: the task's own, then what is always at hand."""
    first = _BENCH_SIGNS if asks == "sign_off" and parts.state.rehearsal else _FIRST[asks]
    own = tuple(act for act in first if act != "next" or _next_works(told, asks))
    if asks == "closed":
        return own if parts.state.path else ("note",)
    if asks == "paused":
        return own
    return own + tuple(act for act, works in _always(told, parts).items() if works)


def _always(told: RunView, parts: Parts) -> dict[ActName, bool]:
    state, plan = parts.state, parts.plan
    return {
        "unit": told.number is not None and len(told.number.units) > 1,
        "points": told.points_hidden,
        "picture": told.picture is not None,
        "back": look_back(plan, state, 1) is not None,
        "pause": True,
        "spoil": plan.new_plate_from(state.work) is not None,
        "hand_over": True,
        "note": True,
        "stop": True,
    }


def _next_works(told: RunView, asks: Situation) -> bool:
    """Does the primary act do something now?"""
    if asks == "waiting" and told.wait is not None:
        return told.wait.form != "countdown" or told.wait.state == "due"
    if told.choice is not None and asks == "quiz_several":
        return any(option.picked for option in told.choice.options)
    if told.choice is not None and asks == "quiz_order":
        return all(option.picked for option in told.choice.options)
    return True


def _notice(parts: Parts, told: RunView, asks: Situation) -> str:
    """One thing the trainee should know beside the task."""
    state = parts.state
    if asks == "closed":
        return spoken(state.reason)  # it may be the procedure's own end, kept in English
    if asks == "offer_idle" and state.rehearsal:
        return spoken(_REHEARSED)
    if asks == "offer_idle" and state.new_setting is not None:
        return spoken(_STAYS if state.new_setting.fits else _DOES_NOT_FIT)
    if asks == "offer":
        return spoken(REFUSED[state.refused])
    if told.wait is not None and told.wait.state != "ready":
        return _wait_notice(told.wait)
    if state.back_to is not None and state.step == told.step:
        return spoken("This safety prompt comes again before the work goes on.")
    if state.notice == "new_plate":
        return spoken(
            "Plate {plate} begins. What was taken of the spoiled one no longer counts.", plate=state.plate
        )
    if state.notice == "wrong_pick":
        return spoken("That is not what comes next. Pick again.")
    return _led_here(parts, told)


def _led_here(parts: Parts, told: RunView) -> str:
    """What was said at the step before, where it led here: an instructor's note; at a step aside a reading.

    The reading may have been a slip of the keys or of its unit.
    """
    path = parts.state.path
    if len(path) < 2 or path[-1].step != told.step:
        return ""
    before = path[-2]
    step = parts.plan.steps[before.step]
    if step.sign_off is not None:
        return parts.note(before.said)
    if step.reading is None or not before.said or not told.aside:
        return ""
    return spoken("You read {reading}.", reading=parts.said(step.id, before.said))


def _unknown() -> ChoiceView:
    """A wait whose time nobody knows."""
    enough = Option("long_enough", spoken("It was long enough: go on"))
    return ChoiceView(spoken(_HOW_LONG), (enough, Option("again", spoken("Start the time again"))))


def _wait_notice(wait: WaitView) -> str:
    """What a running wait has to say about itself, most weighty first."""
    if wait.form == "dose" and (wait.unwatched or wait.state == "unknown"):
        return spoken(
            "The program was away during this exposure. When the lamp is out, type how many units it gave."
        )
    if wait.unwatched and wait.state != "unknown":
        time = measured(round(wait.unwatched), "s")
        return spoken("For up to {time} nobody was watching.", time=time)
    if wait.early_asked and wait.state == "running":
        return spoken("It is too early. Go on only if the work is ready: it is recorded as early.")
    return ""
