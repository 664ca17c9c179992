"""What came of a run, for its summary: from events alone, through the run's own scoring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.record.heads import RunHead
from trainer.run.clock import to_ms
from trainer.run.events import Event, RunClosed, RunOpened, SignedOff
from trainer.run.scoring import Score, score


@dataclass(frozen=True, slots=True)
class SkillLine:
    """One skill (empty: work of none): tries, those as wanted, and how often key points were asked for."""

    skill: str
    attempts: int
    hits: int
    hints: int
    missed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """The summary of a run. head: first 12 letters of the chain's head, to be written down at the end."""

    run: str
    trainee: str
    procedure: str
    guidance: str
    how: str
    reason: str
    began: str
    minutes: float
    plates: int
    spoiled: int
    skills: tuple[SkillLine, ...]
    signed: tuple[str, ...]
    events: int
    head: str
    trouble: str = ""


def outcome(events: Sequence[Event], head: RunHead, trouble: str = "") -> Outcome:
    """Gather the outcome of a run from its events and the head of its chain. trouble: with a second place."""
    opened = next(event.body for event in events if isinstance(event.body, RunOpened))
    closed = next((event.body for event in events if isinstance(event.body, RunClosed)), None)
    marks = score(events)
    first, last = events[0].stamp.at, events[-1].stamp.at
    return Outcome(
        run=events[0].run,
        trainee=opened.trainee,
        procedure=opened.procedure,
        guidance=opened.guidance,
        how=closed.how if closed else "open",
        reason=closed.reason if closed else "",
        began=first,
        minutes=max(0, to_ms(last) - to_ms(first)) / 60_000,
        plates=marks.spoiled + 1,
        spoiled=marks.spoiled,
        skills=_skills(marks),
        signed=tuple(_signed(event.body) for event in events if isinstance(event.body, SignedOff)),
        events=head.count,
        head=head.short,
        trouble=trouble,
    )


def _skills(marks: Score) -> tuple[SkillLine, ...]:
    return tuple(
        SkillLine(
            skill=name or "",
            attempts=found.attempts,
            hits=found.hits,
            hints=found.hints,
            missed=tuple(dict.fromkeys(f"{mark.step}: {mark.words}" for mark in found.marks if not mark.hit)),
        )
        for name, found in marks.skills.items()
    )


def _signed(body: SignedOff) -> str:
    word = "passed" if body.word == "passed" else "not yet"
    return f"{body.of}: {word}, {body.by}" + (f". {body.note}" if body.note else "")
