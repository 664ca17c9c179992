"""At which steps attempts were missed: where somebody who needs help is to be shown. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from trainer.insight.glance import AttemptSeen
from trainer.screens.review import saying
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Item, Opens, Words

Step = tuple[str, str]
"""Procedure and step."""
AtStep = tuple[Step, list[AttemptSeen]]
MOST = 2
"""Steps named under a skill: more are on the page of its attempts."""


def by_step(found: Iterable[AttemptSeen]) -> list[AtStep]:
    """Attempts by step, those missed most first."""
    steps: dict[Step, list[AttemptSeen]] = {}
    for one in found:
        steps.setdefault((one.procedure, one.step), []).append(one)
    return sorted(steps.items(), key=lambda item: -misses(item[1]))


def misses(tries: Iterable[AttemptSeen]) -> int:
    """How many attempts were no hit; what nobody marks is none."""
    return sum(bool(one.mark) and not one.hit for one in tries)


def by_skill(found: Iterable[AttemptSeen]) -> Mapping[str, list[AtStep]]:
    """The same of each skill."""
    skills: dict[str, list[AttemptSeen]] = {}
    for one in found:
        skills.setdefault(one.skill, []).append(one)
    return {skill: by_step(tries) for skill, tries in skills.items()}


def told(desk: Desk, steps: Sequence[AtStep], most: int = MOST) -> list[Item]:
    """The steps missed most, a line each; opened, the step over all trainees."""
    items: list[Item] = []
    for step, tries in steps[:most]:
        if not (missed := misses(tries)):
            break
        said = f"missed {saying.of(missed, len(tries))}{_not_alone(desk, step)}: {desk.step(*step)}"
        items.append(Words(said, first="     ", style="$quiet", opens=Opens("step", step), short=True))
    return items


def _not_alone(desk: Desk, step: Step) -> str:
    """Where the step itself stands out: then it is looked at before the trainee is."""
    review = desk.review
    if review is None:
        return ""
    asked = {(one.procedure, one.name) for one in review.questions if (one.procedure, one.step) == step}
    for one in review.findings:
        if one.kind == "step-trips" and one.keys == step:
            return ", as nearly everybody does"
        if one.kind == "question-bad" and one.keys in asked:
            return ", at a question to look at first"
    return ""
