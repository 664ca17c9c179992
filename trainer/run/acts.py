"""What each act comes to in events, by what the run asks for. `session` keeps them and moves the state."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

from trainer.procedure.expressions import Expression
from trainer.procedure.model import Quiz, Reading
from trainer.procedure.plan import Plan
from trainer.run import answers, waits
from trainer.run import events as ev
from trainer.run.batch import Batch
from trainer.run.facts import Facts
from trainer.run.flow import go_on, show
from trainer.run.machine import StepMachine
from trainer.run.refusals import Refused
from trainer.run.situation import Situation, situation
from trainer.tongue import marked, spoken

BENCH_SAYS = marked("A rehearsal: the simulated bench judged the plate. No instructor looked at it.")
NOT_ASKED = marked("A rehearsal: nobody was asked, and there was no plate to judge.")
LONG_ENOUGH = 1
"""The place of "long enough" among the options of a wait whose time nobody knows; the other starts again."""


def next_act(batch: Batch, machine: StepMachine, picked: tuple[str, ...]) -> None:
    """The primary act. Raises Refused where something else is wanted."""
    now = situation(batch.plan, batch.state, batch.stamp)
    act = _NEXT.get(now)
    if act is not None:
        act(batch, machine)
    elif now in ("quiz_several", "quiz_order"):
        _submit(batch, picked)
    else:
        raise Refused(spoken(WANTED[now]))


def accept(batch: Batch, machine: StepMachine) -> None:
    """A safety prompt was read and accepted. Raises Refused anywhere else."""
    hazard = batch.plan.steps[batch.state.step].hazard if _asks(batch) == "hazard" else None
    if hazard is None:
        raise Refused(spoken("There is no safety prompt to accept here."))
    shown = batch.state.shown
    seconds = (batch.stamp.ticks_ms - shown.ticks_ms) / 1000 if shown.boot == batch.stamp.boot else 0.0
    batch.add(ev.HazardAccepted(hazard.signal, hazard.covers, max(0.0, seconds)))
    go_on(batch, machine)


def pick(batch: Batch, machine: StepMachine, place: int) -> None:
    """One of the options shown, at once. Raises Refused where there is nothing to pick, or no such place."""
    match _asks(batch):
        case "picking":
            _pick_next(batch, place)
        case "judge":
            _judge(batch, machine, place)
        case "quiz_one":
            quiz = quiz_of(batch)
            _answer(batch, quiz, (_key(answers.options(quiz, batch.state.run), place),))
        case "wait_unknown":
            _decide(batch, machine, place)
        case _:
            raise Refused(spoken("There is nothing to pick here."))


def enter(batch: Batch, machine: StepMachine, text: str, unit: str) -> None:
    """A number that was typed. Raises Refused where none is wanted, or where it is none."""
    match _asks(batch):
        case "reading":
            _read(batch, machine, text, unit)
        case "quiz_number":
            quiz = quiz_of(batch)
            wanted = quiz.number.unit if quiz.number else ""
            value = answers.in_unit(answers.number(text), unit, wanted)
            _answer(batch, quiz, (_plain(value),))
        case "dose_reading":
            _end_dose(batch, machine, text, unit)
        case _:
            raise Refused(spoken("There is no number to type here."))


def toggled(options: Mapping[str, object], picked: tuple[str, ...], place: int) -> tuple[str, ...]:
    """The keys picked after one more press: marked, or unmarked where it was. Raises Refused."""
    key = _key(options, place)
    return tuple(old for old in picked if old != key) if key in picked else (*picked, key)


def quiz_of(batch: Batch) -> Quiz:
    """The quiz of the step at hand."""
    quiz = batch.plan.steps[batch.state.step].quiz
    if quiz is None:
        raise LookupError(f"{batch.state.step} has no quiz")
    return quiz


def _asks(batch: Batch) -> Situation:
    return situation(batch.plan, batch.state, batch.stamp)


def _confirm(batch: Batch, machine: StepMachine) -> None:
    batch.add(ev.Confirmed())
    go_on(batch, machine)


def _begin_wait(batch: Batch, machine: StepMachine) -> None:
    del machine
    wait = batch.plan.steps[batch.state.step].wait
    if wait is None:
        raise LookupError(f"{batch.state.step} has no wait")
    batch.add(waits.amounts(batch.plan, batch.state, wait))


def _end_wait(batch: Batch, machine: StepMachine) -> None:
    """A countdown ends when it is over; a window too early only at the second try; a dose when it is said."""
    wait = batch.state.wait
    seconds = None if wait is None else waits.elapsed(wait, batch.stamp)
    if wait is None or seconds is None:
        raise LookupError("only a running wait with a known time is ended here")
    over = waits.is_over(wait.amounts, seconds)
    if wait.amounts.form == "countdown" and not over:
        raise Refused(spoken("The time is not over yet."))
    if not over and wait.amounts.form == "window" and "early" not in wait.warned:
        batch.add(ev.WaitWarned("early"))
        return
    outcome = waits.outcome(wait.amounts, seconds)
    units = wait.amounts.units
    if batch.bench is not None and wait.amounts.form == "dose":
        units = batch.bench.counted(batch.stamp)
    batch.add(ev.WaitEnded(outcome, seconds, wait.unwatched, units))
    go_on(batch, machine)


def _decide(batch: Batch, machine: StepMachine, place: int) -> None:
    """Nobody knows how long: it was long enough, or it starts again."""
    wait = batch.state.wait
    if wait is None or place not in (LONG_ENOUGH, LONG_ENOUGH + 1):
        raise Refused(spoken(NO_SUCH_PLACE))
    if place == LONG_ENOUGH:
        batch.add(ev.WaitEnded("said", None, wait.unwatched))
        go_on(batch, machine)
    else:
        _begin_wait(batch, machine)


def _end_dose(batch: Batch, machine: StepMachine, text: str, typed_unit: str) -> None:
    """A dose found half-way: what the integrator itself shows."""
    wait, asked = batch.state.wait, batch.plan.steps[batch.state.step].wait
    if wait is None or asked is None:
        raise LookupError("only a dose that was begun is ended here")
    unit = waits.dose_unit(batch.plan, batch.state, asked)
    units = answers.in_unit(answers.number(text), typed_unit, unit)
    if units < 0:
        raise Refused(
            spoken("An integrator counts from nought. Look again and type how many units it counted.")
        )
    seconds = waits.elapsed(wait, batch.stamp)
    outcome: Literal["on_time", "said"] = "said" if seconds is None else "on_time"
    batch.add(ev.WaitEnded(outcome, seconds, wait.unwatched, units))
    go_on(batch, machine)


def _read(batch: Batch, machine: StepMachine, text: str, typed_unit: str) -> None:
    reading = batch.plan.steps[batch.state.step].reading
    if reading is None:
        raise LookupError(f"{batch.state.step} has no reading")
    value = answers.in_unit(answers.number(text), typed_unit, reading.unit)
    if reading.unit == "each" and not value.is_integer():
        raise Refused(spoken("What is counted is a whole number."))
    verdict = _verdict(batch, reading, value)
    taken = _taken(reading, value, text, typed_unit, verdict)
    batch.add(taken)
    if verdict != "slip":
        go_on(batch, machine)


def _taken(
    reading: Reading, value: float, text: str, typed_unit: str, verdict: ev.Verdict
) -> ev.ReadingTaken:
    return ev.ReadingTaken(
        name=reading.name,
        value=value,
        unit=reading.unit,
        typed=text.strip(),
        typed_unit=typed_unit or reading.unit,
        verdict=verdict,
        keeps_run=reading.keeps == "run",
    )


def _verdict(batch: Batch, reading: Reading, value: float) -> ev.Verdict:
    """`ok` is asked of the run as it would be with this reading taken; nothing of that is kept."""
    if not answers.is_plausible(reading, value):
        return "slip"
    ok = batch.plan.expression(batch.state.step, "ok")
    if ok is None:
        return "ok"
    tried = batch.tried(_taken(reading, value, "", "", "ok"))
    return "ok" if ok.truth(batch.facts(tried)) else "miss"


def _judge(batch: Batch, machine: StepMachine, place: int) -> None:
    judge = batch.plan.steps[batch.state.step].judge
    if judge is None:
        raise LookupError(f"{batch.state.step} has no judgement")
    answer = _key(judge.answers, place)
    right = None if batch.bench is None else answer == seen(batch.plan, batch.state.step, batch.facts())
    batch.add(ev.Judged(judge.name, answer, right, judge.keeps == "run"))
    go_on(batch, machine)


def seen(plan: Plan, step: str, facts: Facts) -> str:
    """In a rehearsal, the right answer to the judgement of a step: what the bench shows, else `right`."""
    judge = plan.steps[step].judge
    if judge is None:
        raise LookupError(f"{step} has no judgement")
    for answer in judge.seen:
        formula = plan.expression(step, f"seen.{answer}")
        if formula is not None and _holds(formula, facts):
            return answer
    return judge.right


def _holds(formula: Expression, facts: Facts) -> bool:
    """Does it hold? What asks for a measure that there is not yet does not."""
    measures = [name for name in formula.names_used if name.startswith("plate.")]
    return all(facts.value(name) is not None for name in measures) and formula.truth(facts)


def _bench_signs(batch: Batch, machine: StepMachine) -> None:
    """No instructor is near a rehearsal: the bench looks at the plate, or nobody does where there is none."""
    sign_off = batch.plan.steps[batch.state.step].sign_off
    if sign_off is None or batch.bench is None:
        wanted = WANTED["sign_off"]
        raise Refused(spoken(wanted))
    passes = batch.bench.measures(batch.stamp).get("passes")
    word: Literal["passed", "not_yet"] = "not_yet" if passes is False else "passed"
    note = NOT_ASKED if passes is None else BENCH_SAYS
    batch.add(ev.SignedOff(sign_off.of, ev.BENCH, word, note, sign_off.name))
    go_on(batch, machine)


def _submit(batch: Batch, picked: tuple[str, ...]) -> None:
    quiz = quiz_of(batch)
    if quiz.order is not None and len(picked) < len(quiz.order):
        raise Refused(spoken("Pick all of them, one after the other, first things first."))
    if not picked:
        raise Refused(spoken("Pick all that are right first."))
    keys = picked if quiz.order is not None else tuple(key for key in quiz.choices or {} if key in picked)
    _answer(batch, quiz, keys)


def _answer(batch: Batch, quiz: Quiz, given: tuple[str, ...]) -> None:
    form: Literal["choice", "choices", "number", "order"] = "choice"
    if quiz.number is not None:
        form = "number"
    elif quiz.choice is None:
        form = "choices" if quiz.choices is not None else "order"
    batch.add(ev.QuizAnswered(quiz.name, form, given, answers.is_right(quiz, given)))


def _pick_next(batch: Batch, place: int) -> None:
    offer = batch.state.offer
    if offer is None or not 1 <= place <= len(offer.steps):
        raise Refused(spoken(NO_SUCH_PLACE))
    step = offer.steps[place - 1]
    if step in offer.wrong:
        raise Refused(spoken("You picked that already, and it is not what comes next."))
    right = step == offer.right
    batch.add(ev.NextPicked(step, right, batch.plan.steps[offer.right].skill))
    if right:
        show(batch)


def _key(options: Mapping[str, object], place: int) -> str:
    if not 1 <= place <= len(options):
        raise Refused(spoken(NO_SUCH_PLACE))
    return list(options)[place - 1]


def _plain(value: float) -> str:
    return str(int(value)) if value.is_integer() else repr(value)


def _show(batch: Batch, machine: StepMachine) -> None:
    del machine
    show(batch)


def _resume(batch: Batch, machine: StepMachine) -> None:
    del machine
    batch.add(ev.Resumed("paused"))


NO_SUCH_PLACE = marked("There is nothing under that digit.")
_NEXT: Mapping[Situation, Callable[[Batch, StepMachine], None]] = {
    "confirm": _confirm,
    "worked": _confirm,
    "offer_idle": _confirm,
    "wait_ready": _begin_wait,
    "waiting": _end_wait,
    "answer": go_on,
    "explained": _show,
    "paused": _resume,
    "sign_off": _bench_signs,
}
WANTED: Mapping[Situation, str] = {
    "closed": marked("This run is over."),
    "picking": marked("Pick what comes next."),
    "hazard": marked("Read the safety prompt, then accept it."),
    "wait_unknown": marked("Nobody knows how long it has been. Look at the work, then pick what holds."),
    "dose_reading": marked("Type how many units the integrator counted."),
    "reading": marked("Type the number first."),
    "judge": marked("Pick what you see."),
    "quiz_one": marked("Pick an answer."),
    "quiz_number": marked("Type the number first."),
    "offer": marked("The instructor takes the new value with a PIN, or you go on without it."),
    "sign_off": marked("This needs an instructor's PIN."),
}
"""What to do instead, where the primary act is not taken."""
