"""What the tests of findings about work share: facts of one small procedure, and rows of its acts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import numpy as np
from insight_kit import START, frames

from trainer.insight.facts import HazardFacts, ProcedureFacts, QuestionFacts, StepFacts, SupplyFacts
from trainer.insight.joined import Joined, joined

Row = dict[str, object]

STEPS = tuple(f"read-{number}" for number in range(1, 13))
QUESTIONS = tuple(f"asked_{number}" for number in range(1, 13))


def facts() -> dict[str, ProcedureFacts]:
    """Of the procedure `plate`: twelve readings and questions, a prompt of forty words, supplies."""
    steps = [StepFacts(one, "vacuum", "contact", "reading", f"Read {one}.") for one in STEPS]
    steps += [StepFacts(f"ask-{one}", "vacuum", "film", "quiz", f"{one}?") for one in QUESTIONS]
    steps += [
        StepFacts("mind", "vacuum", None, "hazard", ""),
        StepFacts("take", "vacuum", None, "none", "Take."),
    ]
    one = ProcedureFacts(
        id="plate",
        revision=1,
        content_hash="",
        title="The plate",
        skills={"contact": "Contact", "film": "Film"},
        stages={"vacuum": "Vacuum"},
        steps={step.id: step for step in steps},
        hazards={"mind": HazardFacts("mind", "Glass breaks.", 40, ("take",))},
        questions={
            name: QuestionFacts(
                name,
                f"ask-{name}",
                f"{name}?",
                "choice",
                (("a", "Right"), ("b", "Wrong"), ("c", "No")),
                ("a",),
                safety=False,
            )
            for name in QUESTIONS
        },
        supplies=(
            SupplyFacts("plate", 1, "each", "plate"),
            SupplyFacts("developer", 75, "mL", "plate"),
            SupplyFacts("gloves", 1, "each", "run"),
        ),
        plate_taken=("take",),
        ready=None,
        refresh_after=None,
    )
    return {one.id: one}


def runs(count: int, trainees: int) -> list[Row]:
    """Runs r000 on, a day apart, by the trainees in turn."""
    return [
        {
            "run": f"r{number:03}",
            "trainee": f"T-{number % trainees + 1:02}",
            "opened_at": START + timedelta(days=number),
        }
        for number in range(count)
    ]


def read_by(
    of_runs: Sequence[Row],
    rates: Sequence[float],
    seed: int,
    worst: dict[str, tuple[int, float]] | None = None,
) -> Joined:
    """Each run reads every step once, and misses at the step's rate.

    worst: a trainee who misses one step (its place) at a rate of his or her own.
    """
    drawn = np.random.default_rng(seed)
    attempts, visits = [], []
    for run in of_runs:
        trainee = str(run["trainee"])
        place, own = (worst or {}).get(trainee, (-1, 0.0))
        for number, step in enumerate(STEPS):
            rate = own if number == place else rates[number]
            row: Row = {"run": run["run"], "trainee": trainee, "step": step, "at": run["opened_at"]}
            attempts.append(row | {"hit": bool(drawn.random() >= rate)})
            visits.append(row | {"hesitation": float(drawn.lognormal(1.5, 0.4))})
    return joined(frames(runs=of_runs, attempts=attempts, visits=visits))


def asked_of(of_runs: Sequence[Row], able: Sequence[float], bad: int | None, seed: int) -> Joined:
    """Each run asks every question once; who is abler is right more often, but at the bad one."""
    drawn = np.random.default_rng(seed)
    answers: list[Row] = []
    for number, run in enumerate(of_runs):
        odds = able[number % len(able)]
        for place, name in enumerate(QUESTIONS):
            own = -0.4 - 0.6 * (odds - 1) if place == bad else odds
            right = bool(drawn.random() < 1 / (1 + np.exp(-own)))
            answers.append(
                {
                    "run": run["run"],
                    "trainee": run["trainee"],
                    "name": name,
                    "step": f"ask-{name}",
                    "seq": place,
                    "answer": '["a"]' if right else '["b"]',
                    "right": right,
                }
            )
    return joined(frames(runs=of_runs, answers=answers))
