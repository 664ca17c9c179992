"""An invented trainee at one run: how long something takes, and whether it goes right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING, Final

from trainer.procedure.model import Step
from trainer.procedure.plan import Plan
from trainer.rehearsal.invented.chance import logistic, spread
from trainer.rehearsal.invented.keeping import Kept
from trainer.rehearsal.invented.people import Sort, Trainee, ease
from trainer.rehearsal.invented.planted import Planted
from trainer.rehearsal.invented.stations import Station
from trainer.rehearsal.invented.term import Session
from trainer.rehearsal.invented.term_clock import TermClock
from trainer.run.session import Run
from trainer.run.situation import situation, task_of
from trainer.run.state import State

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal

BREATH: Final = 0.6
"""Seconds between two presses at least."""
_AMBIGUOUS: Final = 0.42
"""The chance of a hit at the step that trips everybody, which also takes longer by a factor."""
_PUZZLES: Final = 2.3
_AGAIN: Final = 0.6
_AWAY: Final = 0.008
_MEDIAN: Final[Mapping[str, float]] = {
    "none": 11.0,
    "reading": 9.0,
    "judge": 8.0,
    "quiz": 14.0,
    "wait": 6.0,
    "work_out": 7.0,
    "offer_setting": 8.0,
    "sign_off": 70.0,
    "hazard": 6.0,
}
"""Seconds a usual trainee takes at a step the first time."""
SIGMA: Final = 0.45


@dataclass(slots=True)
class Hand:
    """A trainee at work. `misses`: since the plate began, what did not go as it should."""

    plan: Plan
    run: Run
    clock: TermClock
    kept: Kept
    who: Trainee
    session: Session
    station: Station
    planted: Planted
    drawn: Random
    rehearsal: Rehearsal | None = None
    misses: int = 0
    tempo: float = 1.0

    def takes_over(self, who: Trainee) -> None:
        """This trainee has the work from here on."""
        self.who = who
        self.tempo = who.pace * (1 + self.session.practice) ** -who.quickens

    @property
    def state(self) -> State:
        """Where the run stands."""
        return self.run.state

    @property
    def step(self) -> Step:
        """The step at hand."""
        return self.plan.steps[self.state.step]

    @property
    def asks(self) -> str:
        """What the run asks for now."""
        stamp = self.clock.now() if self.rehearsal is None else self.rehearsal.clock.now()
        return situation(self.plan, self.state, stamp)

    def pass_time(self, seconds: float) -> None:
        """Let time go by."""
        self.clock.pass_time(max(0.0, seconds))

    def think(self, factor: float = 1.0) -> None:
        """Read, do what is to be done, come back to the keys; ask for the key points or go away at times."""
        step, drawn = self.step, self.drawn
        median = _MEDIAN.get(task_of(step), 8.0) * self.tempo * factor
        if self.is_ambiguous:
            median *= _PUZZLES
        if self.state.visit > 1:
            median *= _AGAIN
        seconds = max(BREATH, spread(drawn, median, SIGMA))
        if drawn.random() < self._hint_chance():
            self.pass_time(max(BREATH, seconds * drawn.uniform(0.2, 0.6)))
            if "points" in self.run.view().acts:
                self.run.points()
        if drawn.random() < _AWAY:
            self.pass_time(BREATH)
            self.run.pause()
            self.pass_time(spread(drawn, 60, 0.8))
            self.run.resume()
        self.pass_time(seconds)

    def _hint_chance(self) -> float:
        if self.session.guidance == "full" or not self.step.key_points:
            return 0.0
        missing = 1 - self.chance("act")
        return 0.3 if self.is_ambiguous else 0.35 * missing

    @property
    def is_ambiguous(self) -> bool:
        """Is the step at hand the one that was planted to trip everybody?"""
        return self.plan.procedure.id == self.planted.procedure and self.state.step == self.planted.ambiguous

    def chance(self, sort: Sort, step: Step | None = None) -> float:
        """The chance of a hit at a step; the one at hand where none is named."""
        at = step or self.step
        if (
            sort != "act"
            and self.plan.procedure.id == self.planted.procedure
            and at.id == self.planted.ambiguous
        ):
            return _AMBIGUOUS
        place = ease(self.who.seed, self.plan.procedure.id, at.id)
        return logistic(self.who.logit(sort, at.skill, self.session.practice) + place)

    def hits(self, sort: Sort, step: Step | None = None) -> bool:
        """Does it go right this time?"""
        hit = self.drawn.random() < self.chance(sort, step)
        if not hit and sort != "pick":
            self.misses += 1
        return hit
