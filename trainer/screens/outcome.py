"""What came of a run, for its summary: from events alone, through the run's own scoring."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from trainer.procedure.plan import Plan
from trainer.record.heads import RunHead
from trainer.run.events import BENCH, Event, RunClosed, RunOpened, SignedOff, Stamp
from trainer.run.put_right import put_right
from trainer.run.scoring import Mark, Score, score
from trainer.run.view_parts import Parts
from trainer.screens import misses
from trainer.screens.words import span_text
from trainer.tongue import spoken


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
    """The summary of a run. head: first 12 letters of the chain's head, to be written down at the end.

    minutes: how long it took; `at_least` where the machine was started again, for how long nobody knows.
    """

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
    at_least: bool = False

    @property
    def took(self) -> str:
        """How long it took, in words."""
        time = span_text(self.minutes * 60)
        return spoken("at least {time}", time=time) if self.at_least else time


def outcome(events: Sequence[Event], head: RunHead, trouble: str = "", plan: Plan | None = None) -> Outcome:
    """Gather the outcome of a run from its events and the head of its chain. trouble: with a second place.

    plan: of its procedure, whose words are used; ids of steps stand for them where there is none.
    """
    from trainer.run.fold import fold  # it loads transitions, which a front end has only once a run is open

    parts = Parts(plan, fold(plan, events)) if plan is not None else None
    events = put_right(events)
    opened = next(event.body for event in events if isinstance(event.body, RunOpened))
    closed = next((event.body for event in events if isinstance(event.body, RunClosed)), None)
    marks = score(events)
    spans = [_counted(before.stamp, after.stamp) for before, after in pairwise(events)]
    return Outcome(
        run=events[0].run,
        trainee=opened.trainee,
        procedure=opened.procedure,
        guidance=opened.guidance,
        how=closed.how if closed else "open",
        reason=closed.reason if closed else "",
        began=events[0].stamp.at,
        minutes=sum(span for span in spans if span is not None) / 60_000,
        plates=marks.spoiled + 1,
        spoiled=marks.spoiled,
        skills=_skills(marks, events, parts),
        signed=_all_signed([event.body for event in events if isinstance(event.body, SignedOff)], parts),
        events=head.count,
        head=head.short,
        trouble=trouble,
        at_least=None in spans,
    )


def _counted(since: Stamp, now: Stamp) -> int | None:
    """Milliseconds between two events by the count that nobody can set; None where it began anew."""
    if since.boot != now.boot or now.ticks_ms < since.ticks_ms:
        return None
    return now.ticks_ms - since.ticks_ms


def _skills(marks: Score, events: Sequence[Event], parts: Parts | None) -> tuple[SkillLine, ...]:
    bodies = {event.id: event.body for event in events}

    def words(mark: Mark) -> str:
        body = bodies[mark.events[-1]]
        if parts is None:
            return misses.miss_without_plan(mark, body)
        return misses.miss(parts, mark, body)

    return tuple(
        SkillLine(
            skill=name or "",
            attempts=found.attempts,
            hits=found.hits,
            hints=found.hints,
            missed=tuple(dict.fromkeys(words(mark) for mark in found.marks if not mark.hit)),
        )
        for name, found in marks.skills.items()
    )


def _all_signed(bodies: Sequence[SignedOff], parts: Parts | None) -> tuple[str, ...]:
    """A line for each word; the same word said several times stands once, with how often."""
    said = Counter(_signed(body, parts) for body in bodies)
    return tuple(
        words if times == 1 else spoken("{words} ({number} times)", words=words, number=times)
        for words, times in said.items()
    )


def _signed(body: SignedOff, parts: Parts | None) -> str:
    word = spoken("passed") if body.word == "passed" else spoken("not yet")
    act = misses.act(parts, body.of) if parts else body.of
    who = spoken("bench") if body.by == BENCH else body.by
    return f"{act}: {word}, {who}" + (f". {spoken(body.note)}" if body.note else "")
