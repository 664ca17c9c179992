"""Definitions of what is asked: questions, judgements and readings as interactions (Data 2.4.4.1, App. C)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from trainer.procedure.model import Judge, Quiz, Step
from trainer.procedure.text import Text
from trainer.record.exports.forms import is_language
from trainer.record.exports.naming import Json
from trainer.record.exports.vocabulary import QUESTION

ITEM, RANGE = "[,]", "[:]"
"""Between the items of a response; between the ends of a range."""
_TYPE_OF = {"choice": "choice", "choices": "choice", "order": "sequencing", "number": "numeric"}


UNKNOWN = "und"
"""The language of a text that does not say in which it is (RFC 5646, section 4.1)."""


def words(text: Text) -> Json:
    """A text of a procedure as a language map."""
    if isinstance(text, str):
        return {UNKNOWN: text}
    return {code if is_language(code) else UNKNOWN: said for code, said in text.items()}


def number(value: float) -> str:
    """A number as a response has it: `5`, `5.5`; never an exponent."""
    whole = int(value)
    return str(whole) if whole == value else f"{value:.12f}".rstrip("0").rstrip(".")


def joined(items: Iterable[str]) -> str:
    """Items of a response."""
    return ITEM.join(items)


def _choices(options: Mapping[str, Text]) -> list[Json]:
    return [{"id": key, "description": words(text)} for key, text in options.items()]


def question(form: str, step: Step | None) -> Json:
    """The definition of a quiz. step: None where the procedure's file cannot be read any more."""
    found: Json = {"type": QUESTION, "interactionType": _TYPE_OF.get(form, "other")}
    quiz = step.quiz if step is not None else None
    if quiz is None:
        return found
    found["description"] = words(quiz.ask)
    options = quiz.choice or quiz.choices or quiz.order
    if options is not None:
        found["choices"] = _choices(options)
    return {**found, "correctResponsesPattern": [_pattern(quiz)]}


def _pattern(quiz: Quiz) -> str:
    """What is right: an item, items, or a range of numbers."""
    if isinstance(quiz.right, tuple):
        return joined(quiz.right)
    if isinstance(quiz.right, str) or quiz.number is None:
        return str(quiz.right)
    within = quiz.number.within
    return f"{number(quiz.right - within)}{RANGE}{number(quiz.right + within)}"


def judgement(step: Step | None) -> Json:
    """The definition of an observation. What is right depends on the plate: there is no pattern."""
    found: Json = {"type": QUESTION, "interactionType": "choice"}
    judge: Judge | None = step.judge if step is not None else None
    if judge is None:
        return found
    return {**found, "description": words(judge.ask), "choices": _choices(judge.answers)}


def measure(name: str) -> Json:
    """The definition of a number read off an instrument. What is good may depend on other readings."""
    return {"type": QUESTION, "interactionType": "numeric", "name": {"en": name}}


def pick(steps: Iterable[str], right: str) -> Json:
    """The definition of picking what comes next at guidance solo."""
    return {
        "type": QUESTION,
        "interactionType": "choice",
        "choices": [{"id": step} for step in sorted(set(steps))],
        "correctResponsesPattern": [right],
    }
