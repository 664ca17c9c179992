"""The right act for whatever a run asks for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from trainer.procedure.expressions import FormulaFault
from trainer.procedure.model import Quiz, Reading, Step
from trainer.procedure.units import plain
from trainer.rehearsal.walk_model import Read
from trainer.rehearsal.walk_trouble import Stumble
from trainer.run.acts import seen
from trainer.run.ports import PinVerdict
from trainer.run.session import Refused

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.rehearsal.walker import Walker

WANTED = {
    "closed": "nothing any more, since the run is closed",
    "paused": "`resume`",
    "picking": "`pick: STEP`, the next act",
    "explained": "`confirm`, the explanation being read",
    "hazard": "`accept`",
    "confirm": "`confirm`",
    "wait_ready": "`confirm`, to begin the wait",
    "waiting": "`pass: 40 s` and `confirm`, to end the wait",
    "wait_unknown": "`right: 1`",
    "dose_reading": "`read: 24 units`, what the integrator counted",
    "reading": "`read: 21.5 inHg`, a number with its unit",
    "judge": "`judge: KEY`",
    "quiz_one": "`answer: KEY`",
    "quiz_several": "`answer: [KEY, KEY]`",
    "quiz_order": "`answer: [KEY, KEY]`, in order",
    "quiz_number": "`answer: 40 units`, a number with its unit",
    "answer": "`confirm`, the reason being read",
    "worked": "`confirm`, the result being seen",
    "offer": "`take_setting: {by: I-1}` or `leave_setting`",
    "offer_idle": "`leave_setting`",
    "sign_off": "`sign: {by: I-1, word: passed}`",
}
"""What a walk writes for what a run asks for."""


def wanted(asks: str, step: Step | None) -> str:
    """What a walk writes at `step` for what the run asks for, with the step's own unit and answers."""
    if step is not None and asks == "reading" and step.reading is not None:
        middle = plain(sum(step.reading.plausible) / 2)
        return f"`read: {middle} {step.reading.unit}`, a number with its unit"
    answers = None
    if step is not None and asks == "judge" and step.judge is not None:
        answers = step.judge.answers
    elif step is not None and asks == "quiz_one" and step.quiz is not None:
        answers = step.quiz.choice
    of = f", one of {', '.join(f'`{key}`' for key in answers)}" if answers else ""
    return f"{WANTED.get(asks, 'something else')}{of}"


_NO_HANDS = ("closed", "paused", "picking", "explained", "hazard", "waiting", "wait_unknown", "answer")
"""Nothing is operated at the bench then."""
_TRIES = 3
_SECONDS_A_UNIT = 2.0
"""How long a unit of dose takes on a walk: the trainee ends a dose, so any time is right."""
_INSTRUCTOR = "I-1"
_OK = PinVerdict("right")


def do_right(walker: Walker) -> None:
    """Do the right act. Raises Stumble where the procedure itself is in the way."""
    try:
        if walker.rehearsal is not None and walker.asks not in _NO_HANDS:
            operate_right(walker, walker.rehearsal)
        _RIGHT.get(walker.asks, _press)(walker)
    except (Refused, FormulaFault) as trouble:
        raise Stumble(
            "W15",
            f"The right act at `{walker.run.state.step}` is not taken: {trouble}",
            "Look at this step in the procedure.",
        ) from trouble


def operate_right(walker: Walker, rehearsal: Rehearsal) -> None:
    """Set the step's controls to their right values, waiting where the bench makes one wait.

    What the bench does not allow, since something before it was forgotten, stays as it is.
    """
    step = walker.plan.steps[walker.run.state.step]
    for name, value in step.bench.items():
        formula = walker.plan.expression(step.id, f"bench.{name}")
        right = value if formula is None else formula.value(walker.run.facts())
        if isinstance(right, str | int | float):
            set_in_time(rehearsal, name, right, walker.pass_time)


def set_in_time(
    rehearsal: Rehearsal, name: str, value: str | float, pass_time: Callable[[float], None]
) -> None:
    """Operate a control; where what is under way must end first, wait for it by `pass_time` (seconds)."""
    for left in reversed(range(_TRIES)):
        try:
            rehearsal.set(name, value)
        except Refused:
            seconds = rehearsal.to_go()
            if not left or not seconds:
                return
            pass_time(seconds)
        else:
            return


def _accept(walker: Walker) -> None:
    walker.breathe()
    walker.run.accept()


def _say_long_enough(walker: Walker) -> None:
    walker.breathe()
    walker.run.pick(1)


def _take(walker: Walker) -> None:
    walker.run.take_setting(_INSTRUCTOR, _OK)


def _sign(walker: Walker) -> None:
    if walker.rehearsal is not None:
        walker.press()  # no instructor is near: the bench judges
        return
    walker.run.sign(_INSTRUCTOR, _OK, "passed")


def _press(walker: Walker) -> None:
    walker.press()


def _pick(walker: Walker) -> None:
    offer = walker.run.state.offer
    if offer is not None:
        walker.pick_key(offer.right)


def _sit_out(walker: Walker) -> None:
    """Wait as long as is right, then end the wait: a countdown to its end, a window to its middle."""
    wait = walker.run.view().wait
    if wait is None:
        return
    if wait.form == "countdown":
        walker.pass_time(wait.remaining or 0.0)
    elif wait.form == "dose" and walker.rehearsal is not None:
        walker.pass_time(walker.rehearsal.to_go())
    elif wait.form == "dose":
        walker.pass_time((wait.units or 0.0) * _SECONDS_A_UNIT)
    else:
        least = wait.at_least or 0.0
        middle = least + 1.0 if wait.at_most is None else (least + wait.at_most) / 2
        walker.pass_time(max(0.0, middle - (wait.elapsed or 0.0)))
    walker.press()


def _read_dose(walker: Walker) -> None:
    wait = walker.run.state.wait
    units = wait.amounts.units if wait else None
    walker.enter(Read(units or 0.0))


def _read(walker: Walker) -> None:
    step = walker.plan.steps[walker.run.state.step]
    if step.reading is not None:
        walker.enter(Read(_right_number(walker, step.reading)))


def _right_number(walker: Walker, reading: Reading) -> float:
    formula = walker.plan.expression(walker.run.state.step, "right")
    if formula is not None:
        return formula.number(walker.run.facts())
    if isinstance(reading.right, str):
        raise Stumble("W15", f"`right` of `{reading.name}` is no number.", "Write a number or an expression.")
    return float(reading.right)


def _judge(walker: Walker) -> None:
    step = walker.plan.steps[walker.run.state.step]
    if step.judge is not None:
        bench = walker.rehearsal is not None
        walker.pick_key(seen(walker.plan, step.id, walker.run.facts()) if bench else step.judge.right)


def _answer(walker: Walker) -> None:
    quiz = walker.plan.steps[walker.run.state.step].quiz
    if quiz is None:
        return
    if quiz.number is not None:
        walker.enter(Read(float(str(quiz.right))))
    else:
        for key in _keys(quiz):
            walker.pick_key(key)
        if quiz.choice is None:
            walker.press()
    walker.rest()


def _keys(quiz: Quiz) -> tuple[str, ...]:
    return tuple(str(key) for key in quiz.right) if isinstance(quiz.right, tuple) else (str(quiz.right),)


_RIGHT: dict[str, Callable[[Walker], None]] = {
    "hazard": _accept,
    "picking": _pick,
    "waiting": _sit_out,
    "wait_unknown": _say_long_enough,
    "dose_reading": _read_dose,
    "reading": _read,
    "judge": _judge,
    "quiz_one": _answer,
    "quiz_several": _answer,
    "quiz_order": _answer,
    "quiz_number": _answer,
    "offer": _take,
    "sign_off": _sign,
}
"""What to do for what the run asks for; the primary key for all the rest."""
