"""A step on paper: the act, what makes or breaks it, what is ticked, read, timed, answered or signed."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainer.procedure.charts.told import SIGNALS, Teller
from trainer.procedure.graph import DONE, steps_of
from trainer.procedure.measured import measured, unit_words
from trainer.procedure.model import Amount, Hazard, Judge, OfferSetting, Quiz, Reading, Step, Wait
from trainer.procedure.paper.tags import Html, Piece, blank, box, rows, tag, together
from trainer.procedure.quantity import Quantity
from trainer.procedure.scope import declared_by
from trainer.procedure.text import Text
from trainer.tongue import language, marked, spoken

_SIGNS = ((">=", "≥"), ("<=", "≤"), ("!=", "≠"), ("==", "="))


_TAKEN = {
    "readings": marked("reading {step}"),
    "worked": marked("result {step}"),
    "answers": marked("answer {step}"),
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the steps of one procedure are written with.

    numbers: of each step, as `2.4`. next_of: where each leads when no condition holds. pictures: drawings by
    their id. mixed: what the order of a question's answers is drawn from.
    """

    tell: Teller
    numbers: Mapping[str, str]
    next_of: Mapping[str, str]
    pictures: Mapping[str, tuple[str, ...]]
    mixed: str

    def step(self, step: Step) -> Html:
        """All of a step, kept together on a page."""
        inside = (self._head(step), *self._told(step), *self._task(step), *self._ways(step))
        return tag("section", *inside, class_="step aside" if step.aside else "step", id=f"step-{step.id}")

    def _head(self, step: Step) -> Html:
        number = tag("span", self.numbers[step.id], class_="number")
        act = step.hazard is None and (self.tell.act(step) or "")
        words = act or spoken("Read this before you go on.")
        done = box() if step.hazard is None else Html("")
        return tag("h3", number, done, Html(" "), words)

    def _told(self, step: Step) -> Iterator[Html]:
        if step.aside:
            yield tag("p", spoken("Only when another step sends you here."), class_="quiet lead")
        yield rows(map(self.tell.words, step.key_points))
        if step.why is not None:
            yield tag("p", tag("b", f"{spoken('Why')}: "), self.tell.words(step.why))
        if step.picture is not None and (drawn := self.pictures.get(step.picture)):
            yield tag("pre", "\n".join(drawn), aria_label=spoken("Drawing"))

    def _task(self, step: Step) -> Iterator[Html]:
        if step.hazard is not None:
            yield self._hazard(step.hazard)
        elif step.wait is not None:
            yield self._wait(step.wait)
        elif step.reading is not None:
            yield from self._reading(step.reading)
        elif step.judge is not None:
            yield from self._judge(step.judge, asked=step.do is not None)
        elif step.quiz is not None:
            yield from self._quiz(step.quiz, asked=step.do is not None)
        elif step.work_out is not None:
            yield tag("p", self.tell.words(step.work_out.show)) if step.do is not None else Html("")
            yield tag(
                "p", blank(f"{self.plainly(step.work_out.from_)} =", unit=unit_words(step.work_out.unit))
            )
        elif step.offer_setting is not None:
            yield self._offer(step.offer_setting)
        elif step.sign_off is not None:
            of = self.numbers.get(step.sign_off.of, step.sign_off.of)
            yield tag("p", spoken("For step {step}:", step=of))
            words = (box(spoken("passed")), "   ", box(spoken("not yet")), "   ")
            yield tag("p", *words, blank(spoken("Signed")), blank(spoken("Note"), "long"))

    def _hazard(self, hazard: Hazard) -> Html:
        covers = ", ".join(self.numbers.get(one, one) for one in hazard.covers)
        before = (
            spoken("Before {steps}, and before the end.", steps=covers)
            if hazard.always
            else spoken("Before {steps}.", steps=covers)
        )
        read = box(spoken("I have read it, and I do it so."))
        return tag(
            "div",
            tag("p", spoken(SIGNALS[hazard.signal]), class_="signal"),
            tag("p", self.tell.words(hazard.harm), class_="harm"),
            rows(map(self.tell.words, hazard.avoid)),
            tag("p", read, "  ", blank(spoken("Initials"), "short"), before),
            class_=f"hazard {hazard.signal}",
        )

    def _wait(self, wait: Wait) -> Html:
        if wait.dose is not None:
            dose = spoken("Dose: {amount}.", amount=self._amount(wait.dose))
            return tag("p", f"{dose}  ", blank(spoken("Integrator shows"), "short"))
        return tag("p", f"{self._time(wait)}  ", blank(spoken("Begun at")), blank(spoken("Ended at")))

    def _time(self, wait: Wait) -> str:
        least, most = wait.at_least, wait.at_most
        if wait.for_ is not None:
            return spoken("Wait {time}.", time=self._amount(wait.for_))
        if least is not None and most is not None:
            both = {"least": self._amount(least), "most": self._amount(most)}
            return spoken("Wait at least {least}, at most {most}.", **both)
        if least is not None:
            return spoken("Wait at least {least}.", least=self._amount(least))
        return spoken("Wait at most {most}.", most=self._amount(most)) if most is not None else ""

    def _amount(self, amount: Amount) -> str:
        """An amount; of a setting the value that the file gives it, and its label."""
        if isinstance(amount, Quantity):
            return measured(amount.value, amount.unit)
        room, _, name = amount.partition(".")
        setting = self.tell.procedure.settings.get(name) if room == "settings" else None
        if setting is None:
            return name.replace("_", " ")
        return f"{measured(float(setting.value), setting.unit)} ({self.tell.words(setting.label)})"

    def _reading(self, reading: Reading) -> Iterator[Html]:
        unit = unit_words(reading.unit)
        yield tag("p", blank(spoken("Reading"), unit=unit), blank(spoken("again"), unit=unit))
        if reading.ok is not None:
            yield tag("p", spoken("Good when {condition}.", condition=self.plainly(reading.ok)))
        if reading.miss is not None:
            yield tag("p", spoken("If not: {what}", what=self.tell.words(reading.miss)))

    def _judge(self, judge: Judge, *, asked: bool) -> Iterator[Html]:
        if asked:
            yield tag("p", tag("b", self.tell.words(judge.ask)))
        yield self._answers(judge.answers)

    def _quiz(self, quiz: Quiz, *, asked: bool) -> Iterator[Html]:
        if asked:
            yield tag("p", tag("b", self.tell.words(quiz.ask)))
        if quiz.number is not None:
            yield tag("p", blank(spoken("Answer"), unit=unit_words(quiz.number.unit)))
            return
        options = quiz.choice or quiz.choices or quiz.order or {}
        if quiz.choices is not None:
            yield tag("p", spoken("All that hold:"), class_="quiet lead")
        elif quiz.order is not None:
            yield tag("p", spoken("Number them, first to last:"), class_="quiet lead")
        keys = sorted(options, key=lambda key: hashlib.sha256(f"{self.mixed}{key}".encode()).digest())
        yield self._answers({key: options[key] for key in keys})

    def _answers(self, options: Mapping[str, Text]) -> Html:
        return rows((box(self.tell.words(words)) for words in options.values()), class_="plain")

    def _offer(self, offer: OfferSetting) -> Html:
        setting = self.tell.procedure.settings[offer.setting]
        least, most = (measured(float(limit), setting.unit) for limit in setting.between)
        value = self.plainly(offer.from_)
        said = spoken("{value}; from {least} to {most}.", value=value, least=least, most=most)
        return tag("p", said, "  ", blank(spoken("New value")), blank(spoken("Instructor")))

    def _ways(self, step: Step) -> Iterator[Html]:
        ways: list[Piece] = [
            spoken("If {condition}: {way}", condition=self._when(go.when), way=self._to(go.to))
            for go in step.go
        ]
        if step.aside or step.then is not None:
            on = self._to(self.next_of[step.id])
            ways.append(spoken("Else {way}", way=on) if ways else spoken("Then {way}", way=on))
        yield rows(ways, class_="ways points")

    def _when(self, formula: str) -> str:
        told = self.tell.when(formula)
        if "“" not in told:
            return self.plainly(formula)
        told = re.sub("“(passed|not yet)”", lambda word: f"“{spoken(word[1])}”", told)
        no, either = spoken("not"), spoken("or")
        return re.sub(r"^not (?=“)", f"{no} ", told).replace("” or “", f"” {either} “")

    def _to(self, target: str) -> str:
        if target in self.numbers:
            return spoken("go to {step}.", step=self.numbers[target])
        return spoken("the work is done.") if target == DONE else spoken("stop here.")

    def plainly(self, formula: str) -> str:
        """A formula with signs as people write them, and settings by their labels."""
        said = re.sub(r"settings\.(\w+)", lambda found: self._setting(found[1]), " ".join(formula.split()))
        said = re.sub(r"tries\('([a-z0-9-]+)'\)", self._tries, said)
        said = re.sub(r"(readings|worked|answers)\.(\w+)", self._value, said)
        for sign, shown_as in (*_SIGNS, ("&&", spoken("and")), ("||", spoken("or"))):
            said = said.replace(sign, shown_as)
        return said

    def _setting(self, name: str) -> str:
        setting = self.tell.procedure.settings.get(name)
        if setting is None:
            return name
        return f"{self.tell.words(setting.label)} ({measured(float(setting.value), setting.unit)})"

    def _value(self, found: re.Match[str]) -> str:
        """A value by its name, which is English; in another language by the step where it is taken."""
        at = next((one.id for one in steps_of(self.tell.procedure).values() if _named(one) == found[0]), None)
        if at is None or language() == "en":
            return found[2].replace("_", " ")
        return spoken(_TAKEN[found[1]], step=self.numbers[at])

    def _tries(self, found: re.Match[str]) -> str:
        return spoken("tries of {step}", step=self.numbers.get(found[1], found[1]))


def _named(step: Step) -> str | None:
    declared = declared_by(step)
    return None if declared is None else declared.name


def right_answer(quiz: Quiz, tell: Teller) -> Html:
    """What is right and why, for whoever looks over the sheet."""
    if quiz.number is not None and isinstance(quiz.right, int | float):
        right = measured(float(quiz.right), quiz.number.unit)
        if quiz.number.within:
            within = measured(float(quiz.number.within), quiz.number.unit)
            right = spoken("{amount}, within {within}", amount=right, within=within)
    else:
        options = quiz.choice or quiz.choices or quiz.order or {}
        keys = quiz.right if isinstance(quiz.right, tuple) else (str(quiz.right),)
        then = ", " + spoken("then") + " "
        right = (then if quiz.order else "; ").join(tell.words(options.get(key, key)) for key in keys)
    return together((tag("b", right), f". {tell.words(quiz.because)}"))
