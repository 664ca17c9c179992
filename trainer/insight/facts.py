"""What a procedure says, as far as findings need it: plain values, taken from a plan once and handed on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trainer.procedure.model import TASKS, Hazard, Quiz, Ready, Step
from trainer.procedure.plan import ENDS, Plan
from trainer.procedure.text import in_language


@dataclass(frozen=True, slots=True)
class StepFacts:
    """A step. task: `none` or the task's key. words: its act, or what it asks.

    can_miss: False of a reading that is good whatever it is.
    """

    id: str
    stage: str
    skill: str | None
    task: str
    words: str
    can_miss: bool = True


@dataclass(frozen=True, slots=True)
class HazardFacts:
    """A safety prompt. words: how many there are to read in harm and avoid."""

    step: str
    harm: str
    words: int
    covers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class QuestionFacts:
    """A quiz question.

    options: key and words of each, none where a number is wanted. right: as the record keeps a right answer.
    safety: of the skill `safety`, or asked at a step that a safety prompt covers.
    """

    name: str
    step: str
    ask: str
    form: str  # choice, choices, number, order
    options: tuple[tuple[str, str], ...]
    right: tuple[str, ...]
    safety: bool


@dataclass(frozen=True, slots=True)
class SupplyFacts:
    """What is used up, per plate or per run."""

    item: str
    amount: float
    unit: str
    per: str


@dataclass(frozen=True, slots=True)
class ProcedureFacts:
    """A procedure at one content hash. steps: in file order. stages: titles by id.

    plate_taken: the steps that come after those to which a spoiled plate sends the run: a plate is in hand.
    refresh_after: seconds.
    """

    id: str
    revision: int
    content_hash: str
    title: str
    skills: Mapping[str, str]
    stages: Mapping[str, str]
    steps: Mapping[str, StepFacts]
    hazards: Mapping[str, HazardFacts]
    questions: Mapping[str, QuestionFacts]
    supplies: tuple[SupplyFacts, ...]
    plate_taken: tuple[str, ...]
    ready: Ready | None
    refresh_after: float | None

    def step_words(self, step: str) -> str:
        """How a step is called in a sentence: its own words, else its id."""
        known = self.steps.get(step)
        return known.words if known is not None and known.words else step


Facts = Mapping[str, ProcedureFacts]
"""By content hash."""


def newest(facts: Facts) -> dict[str, ProcedureFacts]:
    """By procedure id, the one of the highest revision (of equal ones the last that `facts` names)."""
    found: dict[str, ProcedureFacts] = {}
    for one in facts.values():
        if one.id not in found or one.revision >= found[one.id].revision:
            found[one.id] = one
    return found


def facts_of(plan: Plan) -> ProcedureFacts:
    """The facts of a plan, in English as all of the instructor's rooms."""
    made = plan.procedure
    steps = {id_: _step(plan, step) for id_, step in plan.steps.items()}
    starts = tuple(dict.fromkeys(stage.new_plate_from for stage in made.stages if stage.new_plate_from))
    return ProcedureFacts(
        id=made.id,
        revision=made.revision,
        content_hash=plan.content_hash,
        title=in_language(made.title),
        skills={name: in_language(words) for name, words in made.skills.items()},
        stages={stage.id: in_language(stage.title) for stage in made.stages},
        steps=steps,
        hazards={
            id_: _hazard(id_, step.hazard) for id_, step in plan.steps.items() if step.hazard is not None
        },
        questions={
            step.quiz.name: _question(plan, id_, step, step.quiz)
            for id_, step in plan.steps.items()
            if step.quiz is not None
        },
        supplies=tuple(
            SupplyFacts(in_language(one.item), float(one.amount), one.unit, one.per) for one in made.supplies
        ),
        plate_taken=tuple(dict.fromkeys(_after(plan, starts))),
        ready=made.ready,
        refresh_after=None if made.refresh_after is None else made.refresh_after.to("s"),
    )


def _after(plan: Plan, starts: Iterable[str]) -> Iterable[str]:
    """The steps that come after those at which a plate begins."""
    for start in starts:
        leads = (plan.next_of[start], *(way.to for way in plan.ways.get(start, ())))
        yield from (step for step in leads if step not in ENDS)


def _step(plan: Plan, step: Step) -> StepFacts:
    task = next((name for name in TASKS if getattr(step, name) is not None), "none")
    words = in_language(step.do)
    if not words and step.quiz is not None:
        words = in_language(step.quiz.ask)
    if not words and step.judge is not None:
        words = in_language(step.judge.ask)
    can_miss = step.reading is None or step.reading.ok is not None
    return StepFacts(step.id, plan.stage_of[step.id].id, step.skill, task, words, can_miss)


def _hazard(id_: str, hazard: Hazard) -> HazardFacts:
    harm = in_language(hazard.harm)
    avoid = " ".join(in_language(one) for one in hazard.avoid)
    return HazardFacts(id_, harm, len(f"{harm} {avoid}".split()), hazard.covers)


def _question(plan: Plan, id_: str, step: Step, quiz: Quiz) -> QuestionFacts:
    form, keyed = next(
        (
            (name, words)
            for name, words in (("choice", quiz.choice), ("choices", quiz.choices), ("order", quiz.order))
            if words is not None
        ),
        ("number", {}),
    )
    right = quiz.right if isinstance(quiz.right, tuple) else (quiz.right,)
    return QuestionFacts(
        name=quiz.name,
        step=id_,
        ask=in_language(quiz.ask),
        form=form,
        options=tuple((key, in_language(words)) for key, words in keyed.items()),
        right=tuple(str(key) for key in right),
        safety=step.skill == "safety" or bool(plan.covered_by.get(id_)),
    )
