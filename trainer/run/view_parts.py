"""The parts of a view, each from the plan and the state alone."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.procedure.model import Hazard, Judge, OfferSetting, Quiz, Reading, SignOff, Step, Wait, WorkOut
from trainer.procedure.plan import Plan
from trainer.procedure.text import Text, in_language
from trainer.procedure.units import kin
from trainer.run import answers, waits
from trainer.run.events import BENCH
from trainer.run.frozen import frozen
from trainer.run.measured import measured, unit_words, worded
from trainer.run.refusals import Refused
from trainer.run.state import State, Taken
from trainer.run.view import (
    AnswerView,
    ChoiceView,
    HazardView,
    NumberView,
    OfferView,
    Option,
    SignView,
    WorkedView,
)
from trainer.tongue import marked, spoken

REFUSED = {
    "": "",
    "wrong_pin": marked("That PIN is not right. Try again."),
    "too_soon": marked("Too many wrong tries. Wait a while, then try again."),
    "unknown": marked("Nobody with that code signs here. Look at the code again."),
}
"""What came of the last try of a PIN."""

_NOT_GOOD = marked("That is not good yet. Put it right, then read it again.")
_NEXT = marked("This is what the procedure does next.")


@frozen
class Parts:
    """Makes the parts of one view. `state` is only read."""

    plan: Plan
    state: State

    def words(self, text: Text | None) -> str:
        """A text of the procedure in the run's language."""
        return in_language(text, self.state.language)

    def act(self, step_id: str) -> str:
        """What a step asks to do, in words; what its task asks where it says no more."""
        step = self.plan.steps[step_id]
        return self.words(step.do) or _task_words(self, step)

    def hazard(self, hazard: Hazard) -> HazardView:
        """A safety prompt."""
        return HazardView(hazard.signal, self.words(hazard.harm), tuple(map(self.words, hazard.avoid)))

    def reading(self, reading: Reading) -> NumberView:
        """A reading to type, with what came of the last one."""
        units, entry = kin(reading.unit), self.state.entry
        if entry is None or entry.verdict == "ok":
            return NumberView(units)
        slip = entry.verdict == "slip"
        say = answers.slip_words(reading) if slip else self.words(reading.miss) or spoken(_NOT_GOOD)
        return NumberView(units, _typed(reading, entry.typed, entry.unit), entry.verdict, say)

    def dose(self, wait: Wait) -> NumberView:
        """The integrator's own reading."""
        return NumberView(kin(waits.dose_unit(self.plan, self.state, wait)))

    def judge(self, judge: Judge) -> ChoiceView:
        """A judgement to make."""
        return ChoiceView(self.words(judge.ask), self._options(judge.answers, (), ordered=False))

    def quiz(self, quiz: Quiz, picked: tuple[str, ...]) -> ChoiceView | None:
        """A quiz to answer by picking; None where a number is wanted."""
        if quiz.number is not None:
            return None
        ordered = quiz.order is not None
        options = self._options(answers.options(quiz, self.state.run), picked, ordered=ordered)
        return ChoiceView(self.words(quiz.ask), options, quiz.choices is not None, ordered)

    def quiz_answer(self, quiz: Quiz, given: tuple[str, ...], *, right: bool) -> AnswerView:
        """What is said after a quiz answer, whatever it was."""
        wanted = answers.right_keys(quiz)
        because = self.words(quiz.because)
        return AnswerView(right, self.keys(quiz, given), self.keys(quiz, wanted), because)

    def keys(self, quiz: Quiz, keys: tuple[str, ...]) -> str:
        """An answer in words."""
        if quiz.number is not None:
            return measured(float(keys[0]), quiz.number.unit)
        options = answers.options(quiz, self.state.run)
        words = [self.words(options.get(key, key)) for key in keys]
        return spoken(", then ").join(words) if quiz.order is not None else "; ".join(words)

    def next_acts(self) -> ChoiceView | None:
        """Solo's choice of the next act; those picked wrongly are marked."""
        offer = self.state.offer
        if offer is None:
            return None
        options = (Option(step, self.act(step), step in offer.wrong) for step in offer.steps)
        return ChoiceView(spoken("What comes next?"), tuple(options))

    def explained(self) -> AnswerView | None:
        """What is said after the second wrong pick."""
        offer = self.state.offer
        if offer is None or not offer.wrong:
            return None
        because = self.words(self.plan.steps[offer.right].why) or spoken(_NEXT)
        given, wanted = self.act(offer.wrong[-1]), self.act(offer.right)
        return AnswerView(right=False, given=given, wanted=wanted, because=because)

    def worked(self, work_out: WorkOut, taken: Taken | None) -> WorkedView:
        """A value that was worked out."""
        value = taken.value if taken is not None and isinstance(taken.value, float) else 0.0
        return WorkedView(
            self.words(work_out.show), worded(self.state.working), measured(value, work_out.unit)
        )

    def offer(self, offer: OfferSetting) -> OfferView | None:
        """A proposed shop value."""
        new, setting = self.state.new_setting, self.plan.procedure.settings[offer.setting]
        if new is None:
            return None
        least, most = (measured(float(limit), new.unit) for limit in setting.between)
        return OfferView(
            label=self.words(setting.label),
            old=measured(new.old, new.unit),
            new=measured(new.new, new.unit),
            fits=new.fits,
            limits=spoken("between {least} and {most}", least=least, most=most),
        )

    def sign(self, sign_off: SignOff) -> SignView:
        """What is signed for, and what came of the last try."""
        return SignView(self.act(sign_off.of), spoken(REFUSED[self.state.refused]), self.state.rehearsal)

    def said(self, step_id: str, said: tuple[str, ...]) -> str:
        """What was typed or picked at a step, in words."""
        step = self.plan.steps[step_id]
        if not said:
            return ""
        if step.judge is not None:
            return self.words(step.judge.answers.get(said[0], said[0]))
        if step.quiz is not None:
            return self.keys(step.quiz, said)
        if step.reading is not None:
            return _typed(step.reading, *said)
        words = {"passed": spoken("Passed"), "not_yet": spoken("Not yet")}
        word = words.get(said[0], " ".join(said))
        note = self.note(said) if step.sign_off else ""
        return f"{word}. {note}".rstrip(".") if note else word

    def note(self, said: tuple[str, ...]) -> str:
        """What an instructor wrote with a word on a step; a rehearsal's bench has nothing to add."""
        match said:
            case (_, by, note) if by != BENCH:
                return spoken("The instructor's note: {note}", note=note)
        return ""

    def _options(
        self, options: Mapping[str, Text], picked: tuple[str, ...], *, ordered: bool
    ) -> tuple[Option, ...]:
        return tuple(
            Option(
                key,
                self.words(text),
                key in picked,
                picked.index(key) + 1 if ordered and key in picked else 0,
            )
            for key, text in options.items()
        )


def _typed(reading: Reading, typed: str, unit: str) -> str:
    """A reading as it was typed; in another unit than the procedure's that too: `22 kPa (6.5 inHg)`.

    A number that was meant in one unit and typed in another shows at once.
    """
    said = f"{typed} {unit_words(unit or reading.unit)}"
    if unit in ("", reading.unit):
        return said
    try:
        value = answers.in_unit(answers.number(typed), unit, reading.unit)
    except Refused:  # a record that was written into by hand: what stands there, and no more
        return said
    return f"{said} ({measured(float(f'{value:.3g}'), reading.unit)})"


def _task_words(parts: Parts, step: Step) -> str:
    """For a step without `do`: what its task says. A safety prompt and a quiz say it themselves."""
    if step.wait is not None:
        return spoken("Wait.")
    if step.reading is not None:
        return spoken("Read the instrument.")
    if step.judge is not None:
        return parts.words(step.judge.ask)
    if step.sign_off is not None:
        return spoken("Have your instructor look at it.")
    if step.offer_setting is not None:
        return spoken("A new value for the shop.")
    return spoken("This was worked out.") if step.work_out is not None else ""
