"""What a walk file says, as frozen data: its top, its acts, its expectations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from trainer.procedure.problems import Path
from trainer.procedure.quantity import Quantity
from trainer.run.events import Guidance, Value

Pin = Literal["right", "wrong"]
Word = Literal["confirm", "accept", "points", "pause", "resume", "leave_setting"]
"""Acts that need nothing but their name."""


@dataclass(frozen=True, slots=True)
class Press:
    """An act that needs nothing but its name."""

    word: Word


@dataclass(frozen=True, slots=True)
class Right:
    """The right act: `count` times, or until `to` (a step's id, or `to-end`) is reached."""

    count: int = 0
    to: str = ""


@dataclass(frozen=True, slots=True)
class PassTime:
    """Time goes by."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Restart:
    """The program goes down, and is started again after so many seconds."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Operate:
    """Controls of the bench, each with the value it is set to, one after the other."""

    controls: tuple[tuple[str, str | float], ...]


@dataclass(frozen=True, slots=True)
class Read:
    """A number read off an instrument; `unit` is empty where the reading's own is meant."""

    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Judge:
    """A judgement, by its key."""

    key: str


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer to a question: keys, or a number."""

    keys: tuple[str, ...] = ()
    number: Read | None = None


@dataclass(frozen=True, slots=True)
class Pick:
    """At solo, the next act."""

    step: str


@dataclass(frozen=True, slots=True)
class Sign:
    """An instructor's word."""

    by: str
    word: Literal["passed", "not_yet"]
    note: str = ""
    pin: Pin = "right"


@dataclass(frozen=True, slots=True)
class TakeSetting:
    """An instructor takes an offered setting."""

    by: str
    pin: Pin = "right"


@dataclass(frozen=True, slots=True)
class Say:
    """An act with a text: a plate spoiled or a run stopped (why), a note, a hand-over (to whom)."""

    act: Literal["spoil", "stop", "note", "hand_over"]
    text: str


@dataclass(frozen=True, slots=True)
class Refused:
    """The act inside must be refused."""

    act: Act


@dataclass(frozen=True, slots=True)
class Marks:
    """Hits out of how many."""

    hits: int
    of: int


@dataclass(frozen=True, slots=True)
class Bound:
    """A measure is expected over an amount, or under it."""

    word: Literal["over", "under"]
    amount: Quantity | float


@dataclass(frozen=True, slots=True)
class Expected:
    """One thing that must be so. `name` is empty where the kind says it all. `path`: where it is written."""

    kind: str
    name: str
    value: bool | float | str | tuple[str, ...] | Quantity | Marks | Bound | None
    path: Path


@dataclass(frozen=True, slots=True)
class Check:
    """Expectations, looked at here and now."""

    expected: tuple[Expected, ...]


Act = (
    Press
    | Right
    | PassTime
    | Restart
    | Operate
    | Read
    | Judge
    | Answer
    | Pick
    | Sign
    | TakeSetting
    | Say
    | Refused
    | Check
)


@dataclass(frozen=True, slots=True)
class Placed:
    """An act and where it is written."""

    act: Act
    path: Path


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk as its file says it. `settings` in the procedure's units, by name.

    rehearsal: on the simulated bench, on a day with these `conditions` over the usual ones.
    """

    name: str
    procedure: str
    guidance: Guidance = "full"
    trainee: str = "T-01"
    language: str = "en"
    job: str = ""
    colour: str = ""
    rehearsal: bool = False
    conditions: Mapping[str, Value] = field(default_factory=dict)
    settings: Mapping[str, float] = field(default_factory=dict)
    acts: tuple[Placed, ...] = ()
    expected: tuple[Expected, ...] = ()
