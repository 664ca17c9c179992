"""What is hidden in an invented class, for the review to find: planted from the seed."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.rehearsal.invented.chance import dice
from trainer.run.clock import from_ms

MAIN = "negative-plate-two-burns"
"""The procedure that most runs go through, and that everything is planted in."""
SKILLS = ("contact", "exposure", "developing", "finishing", "register")
STEPS = {
    "measure-developer": "developing",
    "developer-warmth": "developing",
    "read-gauge": "contact",
    "rinse-face": "finishing",
    "rub": "developing",
}
"""Readings and waits, each with its skill."""
QUESTIONS = {
    "ask-clear": "film",
    "ask-interrupted": "handling",
    "ask-emulsion": "contact",
    "ask-low-gauge": "contact",
    "ask-cold-lamp": "exposure",
    "ask-first-mask": "register",
    "ask-phone": "finishing",
    "ask-back": "finishing",
    "ask-thick": "finishing",
    "ask-fan": "safety",
}
"""Questions with one right answer, each with its skill."""
_WEAK = 3


@dataclass(frozen=True, slots=True)
class Weakness:
    """A trainee who is weak at one skill."""

    trainee: str
    skill: str


@dataclass(frozen=True, slots=True)
class Drift:
    """A station whose lamp gives less and less: `steps` of the wedge in all, evenly between two moments."""

    station: str
    steps: float
    from_ms: int
    to_ms: int

    def steps_at(self, at_ms: int) -> float:
        """Steps lost so far."""
        gone = (at_ms - self.from_ms) / (self.to_ms - self.from_ms)
        return self.steps * min(1.0, max(0.0, gone))


@dataclass(frozen=True, slots=True)
class Planted:
    """All that is planted; empty and None in a class with nothing planted.

    ambiguous: a step that is misread by everybody, whatever they can do. question: the step of a question
    whose answers tell nothing of what a trainee knows. Both are of `procedure`.
    """

    procedure: str = MAIN
    weak: tuple[Weakness, ...] = ()
    ambiguous: str = ""
    question: str = ""
    drift: Drift | None = None

    def lines(self) -> tuple[str, ...]:
        """It in sentences."""
        said = [f"{one.trainee} is weak at {one.skill}." for one in self.weak]
        if self.ambiguous:
            said.append(f"The step {self.ambiguous} of {self.procedure} trips everybody.")
        if self.question:
            said.append(f"The question at {self.question} of {self.procedure} tells nothing.")
        if self.drift is not None:
            since, until = (from_ms(ms)[:10] for ms in (self.drift.from_ms, self.drift.to_ms))
            steps = f"{self.drift.steps:.1f} steps"
            said.append(
                f"The lamp at {self.drift.station} loses {steps} of the wedge from {since} to {until}."
            )
        return tuple(said) or ("Nothing is planted in this class.",)


def planted(
    seed: int, trainees: tuple[str, ...], stations: tuple[str, ...], term: tuple[int, int]
) -> Planted:
    """What the seed plants, each where it stands by itself. term: first and last moment, ms since 1970."""
    drawn = dice(seed, "planted")
    ambiguous = drawn.choice(list(STEPS))
    skills = drawn.sample([skill for skill in SKILLS if skill != STEPS[ambiguous]], _WEAK)
    weak = zip(drawn.sample(trainees, _WEAK), skills, strict=True)
    half = (term[0] + term[1]) // 2
    drift = Drift(drawn.choice(stations), round(drawn.uniform(1.6, 2.0), 1), half, term[1])
    return Planted(
        weak=tuple(sorted((Weakness(*one) for one in weak), key=lambda one: one.trainee)),
        ambiguous=ambiguous,
        question=drawn.choice([step for step, skill in QUESTIONS.items() if skill not in skills]),
        drift=drift,
    )
