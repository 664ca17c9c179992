"""Where a run stands: frozen, and made only by folding its events over its procedure (see `fold`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Literal

from trainer.procedure.plan import DONE
from trainer.run.events import Guidance, Stamp, WaitBegun
from trainer.run.frozen import frozen

Phase = Literal[
    "arrived",  # the run moved here, and the step is not shown yet
    "picking",  # solo: the next act is being picked
    "explained",  # solo: after the second wrong pick
    "task",  # the step is shown and asks for its task
    "waiting",  # its wait is running
    "answer",  # a quiz was answered, and the reason is shown
]

Kept = float | bool | str | tuple[str, ...]
"""A value that formulas may use: a number, the key of an answer, or several keys."""


@frozen
class Taken:
    """A value that was taken. `seq`: of its event. `lasts`: also when a plate is spoiled."""

    value: Kept
    unit: str
    seq: int
    lasts: bool = False


@frozen
class WaitState:
    """A wait that was begun.

    warned: what the trainee was warned about. unwatched: seconds while the program was down. found_halfway:
    it was taken up by a program that had not begun it. doubted: across such a gap the boot id changed or the
    clocks disagree, so nobody knows the time.
    """

    begun: Stamp
    amounts: WaitBegun
    warned: frozenset[str] = frozenset()
    unwatched: float = 0.0
    found_halfway: bool = False
    doubted: bool = False


@frozen
class Entry:
    """The last number typed at the step on the screen."""

    typed: str
    unit: str
    verdict: Literal["ok", "miss", "slip"]


@frozen
class Answered:
    """The quiz answer whose reason is on the screen."""

    given: tuple[str, ...]
    right: bool


@frozen
class Offer:
    """At solo, the acts to pick from, and those picked wrongly."""

    steps: tuple[str, ...]
    right: str
    wrong: tuple[str, ...] = ()


@frozen
class NewSetting:
    """A shop value that was proposed."""

    setting: str
    old: float
    new: float
    unit: str
    fits: bool


@frozen
class Passed:
    """A step that was shown. hint: its key points were asked for. said: what was typed or picked there."""

    step: str
    plate: int
    hint: bool = False
    said: tuple[str, ...] = ()


@frozen
class State:
    """Where a run stands after the event numbered `seq`.

    step: the step at hand, `done` or `stop` only for a moment or when closed. back_to: where a safety prompt
    that came out of turn leads. visit: how often this step was shown. shown: when the prompt on the screen
    appeared. plate_seq: the event that began the plate. values: by dotted name (`readings.vacuum`), all that
    were taken and still count; the last one holds. tries: finishes of each step since the plate began.
    accepted: safety prompts accepted since then. arrivals: the event that first led to each step on the way
    that still counts. quizzes: each step with an answered quiz, and the plate it was answered on.
    path: the steps shown, oldest first. notice: what the last act came to, a key of `views.NOTICES`.
    """

    run: str
    trainee: str
    guidance: Guidance
    rehearsal: bool
    language: str
    job: str
    colour: str
    settings: Mapping[str, float]
    seq: int
    last: Stamp
    shown: Stamp
    step: str
    phase: Phase = "arrived"
    plate: int = 1
    visits: Mapping[str, int] = field(default_factory=dict)
    plate_seq: int = 1
    values: Mapping[str, tuple[Taken, ...]] = field(default_factory=dict)
    tries: Mapping[str, int] = field(default_factory=dict)
    accepted: frozenset[str] = frozenset()
    arrivals: Mapping[str, int] = field(default_factory=dict)
    quizzes: Mapping[str, int] = field(default_factory=dict)
    back_to: str | None = None
    wait: WaitState | None = None
    entry: Entry | None = None
    answered: Answered | None = None
    offer: Offer | None = None
    new_setting: NewSetting | None = None
    working: str = ""
    refused: str = ""
    path: tuple[Passed, ...] = ()
    paused: bool = False
    closed: Literal["", "done", "stopped"] = ""
    reason: str = ""
    excused: bool = False
    notice: str = ""

    @property
    def visit(self) -> int:
        """How often the step at hand was shown."""
        return self.visits.get(self.step, 0)

    @property
    def work(self) -> str:
        """The step whose work is at hand: before it, a safety prompt may come out of turn."""
        return self.step if self.back_to in (None, DONE) else str(self.back_to)

    def taken(self, name: str) -> Taken | None:
        """The value that holds under a dotted name, if one was taken and still counts."""
        return self.values.get(name, (None,))[-1]
