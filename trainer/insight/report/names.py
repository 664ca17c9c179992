"""What procedures, steps and skills are called, for people; an id stands for itself where nobody knows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.insight.facts import ProcedureFacts


@dataclass(frozen=True, slots=True)
class Names:
    """By procedure id, the facts of its newest revision."""

    facts: Mapping[str, ProcedureFacts] = field(default_factory=dict)

    def procedure(self, id_: str) -> str:
        """Its title."""
        known = self.facts.get(id_)
        return known.title if known is not None and known.title else id_

    def step(self, procedure: str, step: str) -> str:
        """What is done or asked at a step; of a safety prompt, the harm it names."""
        known = self.facts.get(procedure)
        if known is None:
            return step
        hazard = known.hazards.get(step)
        return hazard.harm if hazard is not None else known.step_words(step)

    def stage(self, procedure: str, stage: str) -> str:
        """Its title."""
        known = self.facts.get(procedure)
        return known.stages.get(stage, stage) if known is not None else stage

    def skill(self, skill: str) -> str:
        """What somebody can who has it; empty where no procedure says so."""
        return next(
            (known.skills[skill] for known in self.facts.values() if known.skills.get(skill)),
            "",
        )
