"""What a step asks, how long it takes and when it leads elsewhere: in the author's own words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.procedure.graph import steps_of
from trainer.procedure.model import TASKS, Amount, Hazard, Procedure, Reading, Step, Wait
from trainer.procedure.quantity import Quantity
from trainer.procedure.text import Text, in_language
from trainer.procedure.units import shown, sign

SIGNALS = {"danger": "DANGER", "warning": "WARNING", "caution": "CAUTION"}
KINDS = {
    "hazard": "safety prompt",
    "wait": "wait",
    "reading": "reading",
    "judge": "judgement",
    "quiz": "question",
    "work_out": "worked out",
    "offer_setting": "offered setting",
    "sign_off": "sign-off",
}
"""What each task is called in the guide."""

_WORDS = {"passed": "passed", "not_yet": "not yet"}
_KEY = r"'([a-z][a-z0-9_]*)'"
_EQUAL = re.compile(rf"answers\.([a-z][a-z0-9_]*)\s*(==|!=)\s*{_KEY}")
_AMONG = re.compile(r"answers\.([a-z][a-z0-9_]*)\s+in\s+\[([^\[\]]*)\]")


@dataclass(frozen=True)
class Teller:
    """Tells the parts of one procedure in one language."""

    procedure: Procedure
    language: str = "en"
    _answers: dict[str, Mapping[str, Text]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        answers = {name: words for step in steps_of(self.procedure).values() for name, words in _asked(step)}
        object.__setattr__(self, "_answers", answers)

    def words(self, text: Text | None) -> str:
        """A text on one line, its blanks as one."""
        return " ".join(in_language(text, self.language).split())

    def act(self, step: Step) -> str:
        """The act; where a step has none, what its task asks."""
        if step.do is not None:
            return self.words(step.do)
        if step.hazard is not None:
            return self.words(step.hazard.harm)
        if step.judge is not None:
            return self.words(step.judge.ask)
        if step.quiz is not None:
            return self.words(step.quiz.ask)
        return self._by_task(step)

    def _by_task(self, step: Step) -> str:
        if step.wait is not None:
            return "Wait."
        if step.reading is not None:
            return "Read the instrument."
        if step.work_out is not None:
            return self.words(step.work_out.show)
        if step.offer_setting is not None:
            return f"A new value for the shop: {self.setting(step.offer_setting.setting)}."
        return "An instructor looks at it."

    def task(self, step: Step) -> str:
        """What the task is, in a few words; empty where the act is only confirmed."""
        kind = kind_of(step)
        if step.hazard is not None:
            return self.hazard(step.hazard)
        if step.wait is not None:
            return self.wait(step.wait)
        if step.reading is not None:
            return self.reading(step.reading)
        if step.judge is not None and step.do is not None:
            return f"{KINDS[kind]}: {self.words(step.judge.ask)}"
        if step.quiz is not None and step.do is not None:
            return f"{KINDS[kind]}: {self.words(step.quiz.ask)}"
        if step.work_out is not None:
            return f"{KINDS[kind]}, in {sign(step.work_out.unit) or step.work_out.unit}"
        if step.sign_off is not None:
            return f"{KINDS[kind]} of {step.sign_off.of}"
        return KINDS.get(kind, "")

    def hazard(self, hazard: Hazard) -> str:
        """Where a safety prompt stands: before which steps, and whether before the end."""
        end = ", and before the end" if hazard.always else ""
        return f"{SIGNALS[hazard.signal]}, before {', '.join(hazard.covers)}{end}"

    def wait(self, wait: Wait) -> str:
        """How long a wait is."""
        if wait.for_ is not None:
            return f"wait {self.amount(wait.for_)}"
        if wait.dose is not None:
            return f"dose {self.amount(wait.dose)}"
        least = f"at least {self.amount(wait.at_least)}" if wait.at_least is not None else ""
        most = f"at most {self.amount(wait.at_most)}" if wait.at_most is not None else ""
        return f"wait {', '.join(part for part in (least, most) if part)}"

    def reading(self, reading: Reading) -> str:
        """What number is read, and until when it is asked again."""
        again = f", again until {flat(reading.ok)}" if reading.ok is not None else ""
        return f"reading in {sign(reading.unit) or reading.unit}{again}"

    def amount(self, amount: Amount) -> str:
        """An amount; of a setting the value that the file gives it, and its label."""
        if isinstance(amount, Quantity):
            return str(amount)
        room, _, name = amount.partition(".")
        setting = self.procedure.settings.get(name) if room == "settings" else None
        if setting is None:
            return amount
        return f"{shown(float(setting.value), setting.unit)} ({self.words(setting.label)})"

    def setting(self, name: str) -> str:
        """A setting by its label and the value that the file gives it."""
        setting = self.procedure.settings.get(name)
        if setting is None:
            return name
        return f"{self.words(setting.label)} ({shown(float(setting.value), setting.unit)})"

    def when(self, formula: str) -> str:
        """A condition: where it only looks at an answer, the words of that answer; else as it is written."""
        written = flat(formula)
        if found := _EQUAL.fullmatch(written):
            name, sign, key = found.groups()
            return ("not " if sign == "!=" else "") + self._answer(name, key)
        if found := _AMONG.fullmatch(written):
            keys = re.findall(_KEY, found[2])
            return " or ".join(self._answer(found[1], key) for key in keys) or written
        return written

    def _answer(self, name: str, key: str) -> str:
        words = self._answers.get(name, {}).get(key, _WORDS.get(key, key))
        return f"“{self.words(words)}”"


def kind_of(step: Step) -> str:
    """The key of the step's task; `act` where it has none."""
    return next((task for task in TASKS if getattr(step, task) is not None), "act")


def flat(formula: str) -> str:
    """A formula on one line."""
    return " ".join(formula.split())


def _asked(step: Step) -> list[tuple[str, Mapping[str, Text]]]:
    """What is answered at a step, with the words of each answer."""
    if step.judge is not None:
        return [(step.judge.name, step.judge.answers)]
    if step.quiz is not None:
        return [(step.quiz.name, step.quiz.choice or step.quiz.choices or step.quiz.order or {})]
    return []
