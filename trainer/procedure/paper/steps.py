"""A step on paper: the act, what makes or breaks it, what is ticked, read, timed, answered or signed."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainer.procedure.charts.told import SIGNALS, Teller
from trainer.procedure.graph import DONE
from trainer.procedure.model import Hazard, Judge, OfferSetting, Quiz, Reading, Step, Wait
from trainer.procedure.paper.tags import Html, Piece, blank, box, rows, tag, together
from trainer.procedure.text import Text
from trainer.procedure.units import shown

_SIGNS = ((">=", "≥"), ("<=", "≤"), ("!=", "≠"), ("==", "="), ("&&", "and"), ("||", "or"))


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
        words = act or "Read this before you go on."
        done = box() if step.hazard is None else Html("")
        return tag("h3", number, done, Html(" "), words)

    def _told(self, step: Step) -> Iterator[Html]:
        if step.aside:
            yield tag("p", "Only when another step sends you here.", class_="quiet lead")
        yield rows(map(self.tell.words, step.key_points))
        if step.why is not None:
            yield tag("p", tag("b", "Why: "), self.tell.words(step.why))
        if step.picture is not None and (drawn := self.pictures.get(step.picture)):
            yield tag("pre", "\n".join(drawn), aria_label="Drawing")

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
            yield tag("p", blank(f"{self.plainly(step.work_out.from_)} =", unit=step.work_out.unit))
        elif step.offer_setting is not None:
            yield self._offer(step.offer_setting)
        elif step.sign_off is not None:
            yield tag("p", f"For step {self.numbers.get(step.sign_off.of, step.sign_off.of)}: ")
            yield tag(
                "p", box("passed"), "   ", box("not yet"), "   ", blank("Signed"), blank("Note", "long")
            )

    def _hazard(self, hazard: Hazard) -> Html:
        covers = ", ".join(self.numbers.get(one, one) for one in hazard.covers)
        before = f"Before {covers}{' and before the end' if hazard.always else ''}."
        return tag(
            "div",
            tag("p", SIGNALS[hazard.signal], class_="signal"),
            tag("p", self.tell.words(hazard.harm), class_="harm"),
            rows(map(self.tell.words, hazard.avoid)),
            tag("p", box("I have read it, and I do it so."), "  ", blank("Initials", "short"), before),
            class_=f"hazard {hazard.signal}",
        )

    def _wait(self, wait: Wait) -> Html:
        if wait.dose is not None:
            return tag("p", f"Dose: {self.tell.amount(wait.dose)}.  ", blank("Integrator shows", "short"))
        said = self.tell.wait(wait)
        return tag("p", f"{said[0].upper()}{said[1:]}.  ", blank("Begun at"), blank("Ended at"))

    def _reading(self, reading: Reading) -> Iterator[Html]:
        yield tag("p", blank("Reading", unit=reading.unit), blank("again", unit=reading.unit))
        if reading.ok is not None:
            yield tag("p", f"Good when {self.plainly(reading.ok)}.")
        if reading.miss is not None:
            yield tag("p", f"If not: {self.tell.words(reading.miss)}")

    def _judge(self, judge: Judge, *, asked: bool) -> Iterator[Html]:
        if asked:
            yield tag("p", tag("b", self.tell.words(judge.ask)))
        yield self._answers(judge.answers)

    def _quiz(self, quiz: Quiz, *, asked: bool) -> Iterator[Html]:
        if asked:
            yield tag("p", tag("b", self.tell.words(quiz.ask)))
        if quiz.number is not None:
            yield tag("p", blank("Answer", unit=quiz.number.unit))
            return
        options = quiz.choice or quiz.choices or quiz.order or {}
        if quiz.choices is not None:
            yield tag("p", "All that hold:", class_="quiet lead")
        elif quiz.order is not None:
            yield tag("p", "Number them, first to last:", class_="quiet lead")
        keys = sorted(options, key=lambda key: hashlib.sha256(f"{self.mixed}{key}".encode()).digest())
        yield self._answers({key: options[key] for key in keys})

    def _answers(self, options: Mapping[str, Text]) -> Html:
        return rows((box(self.tell.words(words)) for words in options.values()), class_="plain")

    def _offer(self, offer: OfferSetting) -> Html:
        setting = self.tell.procedure.settings[offer.setting]
        least, most = (shown(float(limit), setting.unit) for limit in setting.between)
        said = f"{self.plainly(offer.from_)}; from {least} to {most}."
        return tag("p", said, "  ", blank("New value"), blank("Instructor"))

    def _ways(self, step: Step) -> Iterator[Html]:
        ways: list[Piece] = [f"If {self._when(go.when)}: {self._to(go.to)}" for go in step.go]
        if step.aside or step.then is not None:
            ways.append(f"{'Else' if ways else 'Then'} {self._to(self.next_of[step.id])}")
        yield rows(ways, class_="ways points")

    def _when(self, formula: str) -> str:
        told = self.tell.when(formula)
        return told if "“" in told else self.plainly(formula)

    def _to(self, target: str) -> str:
        if target in self.numbers:
            return f"go to {self.numbers[target]}."
        return "the work is done." if target == DONE else "stop here."

    def plainly(self, formula: str) -> str:
        """A formula with signs as people write them, and settings by their labels."""
        said = re.sub(
            r"settings\.(\w+)", lambda found: self.tell.setting(found[1]), " ".join(formula.split())
        )
        said = re.sub(r"tries\('([a-z0-9-]+)'\)", self._tries, said)
        said = re.sub(r"(?:readings|worked|answers)\.(\w+)", lambda found: found[1].replace("_", " "), said)
        for sign, shown_as in _SIGNS:
            said = said.replace(sign, shown_as)
        return said

    def _tries(self, found: re.Match[str]) -> str:
        return f"tries of {self.numbers.get(found[1], found[1])}"


def right_answer(quiz: Quiz, tell: Teller) -> Html:
    """What is right and why, for whoever looks over the sheet."""
    if quiz.number is not None and isinstance(quiz.right, int | float):
        right = shown(float(quiz.right), quiz.number.unit)
        right += (
            f", within {shown(float(quiz.number.within), quiz.number.unit)}" if quiz.number.within else ""
        )
    else:
        options = quiz.choice or quiz.choices or quiz.order or {}
        keys = quiz.right if isinstance(quiz.right, tuple) else (str(quiz.right),)
        right = (", then " if quiz.order else "; ").join(tell.words(options.get(key, key)) for key in keys)
    return together((tag("b", right), f". {tell.words(quiz.because)}"))
