"""What fault practice's marks are called in the language spoken: classes of faults, remedies, skills."""

from __future__ import annotations

from trainer.bench.faults import CATALOGUE, CLASSES
from trainer.procedure.text import one_line
from trainer.run.events import QuizAnswered
from trainer.tongue import marked, spoken

_SKILLS = {
    "film": marked("Finds and covers what must not print"),
    "handling": marked("Handles plate and film without harm to either"),
    "register": marked("Punches and loads so that everything falls into register"),
    "contact": marked("Gets film and plate into contact all over"),
    "exposure": marked("Gives the dose, proves it and corrects it"),
    "developing": marked("Develops evenly and stops in time"),
    "finishing": marked("Rinses, gums and keeps the plate"),
}
"""The skills under which faults are marked, as the shipped procedures call them."""


def skills() -> dict[str, str]:
    """What each skill is called."""
    return {key: spoken(said) for key, said in _SKILLS.items()}


def missed(alike: str, body: QuizAnswered) -> str:
    """A wrong answer in a line: what it was, and what was said instead, a cause or a remedy."""
    fault = spoken(CLASSES[alike].title) if alike in CLASSES else one_line(alike)
    said = [_cause(one) if body.name == "cause" else _remedy(one) for one in body.answer]
    return spoken("{fault}: said {answer}", fault=fault, answer="; ".join(said))


def _cause(alike: str) -> str:
    return spoken(CLASSES[alike].title) if alike in CLASSES else one_line(alike)


def _remedy(fault: str) -> str:
    return spoken(CATALOGUE[fault].remedy) if fault in CATALOGUE else one_line(fault)
