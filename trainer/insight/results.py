"""What is found in a class's record: plain values, for screens, reports and exports.

Nothing here computes, and nothing here imports polars. Every row says how much it rests on (`n`) and which
runs (`runs`, ids in the order in which they were opened; equal to a tuple of the same ids). Seconds,
millilitres, UTC.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

SkillState = Literal["too few", "needs help", "coming on", "steady"]
"""too few: not enough attempts to say anything. The others: by the rule that the guide page states."""
Level = Literal["act", "watch", "know"]
"""act: do something about it. watch: look again next week. know: good to know (somebody is ready)."""
Subject = Literal["trainee", "skill", "step", "hazard", "question", "station", "supply", "class"]


@dataclass(frozen=True, slots=True)
class Interval:
    """From `low` to `high` at a confidence of 95 %, by `method` (an id of the guide page on methods)."""

    low: float
    high: float
    method: str


@dataclass(frozen=True, slots=True)
class Rate:
    """`k` of `n`, with its interval.

    chance_below: that the true rate is under `line`; None where no line is held.
    """

    k: int
    n: int
    interval: Interval
    line: float | None = None
    chance_below: float | None = None

    @property
    def share(self) -> float | None:
        """k / n; None of nothing."""
        return self.k / self.n if self.n else None


@dataclass(frozen=True, slots=True)
class Spread:
    """Median and quartiles (type 7) of `n` values; None of nothing."""

    n: int
    median: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class SkillRow:
    """A trainee at a skill. recent: of the last ten attempts. peers: everybody else's rate at it."""

    trainee: str
    skill: str
    rate: Rate
    recent: Rate
    peers: Rate
    state: SkillState
    hints: int
    faults: int
    last_at: datetime | None
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step of a procedure, over all trainees. again: visits that ended in being asked again."""

    procedure: str
    stage: str
    step: str
    visits: int
    trainees: int
    active: Spread
    hesitation: Spread
    misses: Rate
    hints: int
    slips: int
    again: int
    spoiled: int
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class HazardRow:
    """A safety prompt.

    needed: seconds it takes to read. fast: accepted in less than that. missed: passed by.
    """

    procedure: str
    step: str
    shown: int
    seconds: Spread
    needed: float
    fast: Rate
    missed: int
    trainees_fast: tuple[str, ...]
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class Option:
    """An answer that can be given. taken: how often, first tries only."""

    key: str
    words: str
    right: bool
    taken: int


@dataclass(frozen=True, slots=True)
class QuestionRow:
    """A question: first answers only, one a trainee.

    discrimination: corrected point-biserial; None: none can be told.

    remarks: ids such as `check-key`, `nobody-takes`, `everybody-right`, `wrong-one-popular`.
    """

    procedure: str
    name: str
    step: str
    ask: str
    first_right: Rate
    all_right: Rate
    discrimination: float | None
    discrimination_interval: Interval | None
    options: tuple[Option, ...]
    safety: bool
    remarks: tuple[str, ...]
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class Reliability:
    """Of all questions of a procedure together.

    alpha is KR-20 for right and wrong; None where it cannot be told.
    """

    procedure: str
    questions: int
    trainees: int
    alpha: float | None
    interval: Interval | None
    sem: float | None
    provisional: bool


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The `nth` run (or plate) of a trainee."""

    nth: int
    value: float
    run: str


@dataclass(frozen=True, slots=True)
class CurveRow:
    """How a trainee's time (or plates used) falls with practice: T = first * n ** slope, unit model.

    plates used: those given up in a run and the one it ended with, so that there is a logarithm of it.
    rate: 2 ** slope, what is left of it at each doubling. None where fewer than four runs tell.
    """

    trainee: str
    procedure: str
    what: Literal["active time", "plates used"]
    points: Sequence[CurvePoint]
    first: float | None
    slope: float | None
    rate: float | None
    rate_interval: Interval | None


@dataclass(frozen=True, slots=True)
class RunHeld:
    """A run held against the rule. why_not: empty where it counts."""

    run: str
    at: datetime
    why_not: str


@dataclass(frozen=True, slots=True)
class ReadyRow:
    """Who may work alone, by the procedure's own rule.

    good: of the wet runs at solo that were closed within the time.
    """

    trainee: str
    procedure: str
    rule: str
    wanted: int
    counted: int
    met: bool
    good: Rate
    held: Sequence[RunHeld]


@dataclass(frozen=True, slots=True)
class QuizDue:
    """A question worth asking again, and from when on (a suggestion from memory, no deadline)."""

    procedure: str
    name: str
    at: datetime


@dataclass(frozen=True, slots=True)
class RefreshRow:
    """When a trainee should do a procedure again.

    due_at: the deadline of the procedure; None where it has none.
    """

    trainee: str
    procedure: str
    last_at: datetime
    due_at: datetime | None
    overdue: bool
    quizzes: tuple[QuizDue, ...]
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class WasteRow:
    """Of one supply in wet runs.

    wasted: on plates that were given up, not passed, or left when the run was stopped.
    """

    procedure: str
    item: str
    unit: str
    used: float
    wasted: float
    plates: int
    plates_wasted: int
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class SpoiledRow:
    """Plates given up, by where and why. rehearsal: on the bench, which costs nothing."""

    procedure: str
    stage: str
    step: str
    reason: str
    rehearsal: bool
    plates: int
    trainees: tuple[str, ...]
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class ChartPoint:
    """One value of a control chart. moving_range: from the value before; None for the first."""

    at: datetime
    value: float
    moving_range: float | None
    run: str
    out: bool


@dataclass(frozen=True, slots=True)
class ChartRow:
    """Individuals and moving range of a station, 3-sigma, limits from the first `baseline` points.

    what: `wedge` (steps, brought to the exposure in force) or `seconds per unit`. None where there are
    too few.
    """

    station: str
    procedure: str
    what: Literal["wedge", "seconds per unit"]
    unit: str
    points: Sequence[ChartPoint]
    baseline: int
    centre: float | None
    low: float | None
    high: float | None
    range_high: float | None
    drifts: bool


@dataclass(frozen=True, slots=True)
class AgreementRow:
    """Sign-offs against the marks that the record has. Empty `by`: all instructors together.

    kappa: None where it is not defined (a margin is empty).
    """

    by: str
    passed_clean: int
    passed_missed: int
    not_yet_clean: int
    not_yet_missed: int
    kappa: float | None
    interval: Interval | None
    provisional: bool
    runs: Sequence[str]

    @property
    def n(self) -> int:
        """How many sign-offs."""
        return self.passed_clean + self.passed_missed + self.not_yet_clean + self.not_yet_missed


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that stands out.

    words: one sentence, with its figures. why: what the sentence rests on, and how sure.

    subject, keys: what it is about, for instance ("skill", ("T-03", "contact")); a screen opens it by them.
    """

    kind: str
    level: Level
    subject: Subject
    keys: tuple[str, ...]
    words: str
    why: str
    n: int
    method: str
    p: float | None
    runs: Sequence[str]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of the record is looked at; None or empty: all.

    since, until: of the opening of a run, until excluded.
    """

    trainees: tuple[str, ...] = ()
    procedures: tuple[str, ...] = ()
    kind: Literal["wet", "rehearsal"] | None = None
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Review:
    """All that is found. excused: runs that an instructor took out; shown, never counted.

    provisional: the class is too small for more than a first impression. titles: of procedures, by id.
    """

    wanted: Wanted
    at: datetime
    runs: int = 0
    trainees: tuple[str, ...] = ()
    excused: tuple[str, ...] = ()
    invented: bool = False
    provisional: bool = True
    titles: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    skills: tuple[SkillRow, ...] = ()
    steps: tuple[StepRow, ...] = ()
    hazards: tuple[HazardRow, ...] = ()
    questions: tuple[QuestionRow, ...] = ()
    reliability: tuple[Reliability, ...] = ()
    curves: tuple[CurveRow, ...] = ()
    ready: tuple[ReadyRow, ...] = ()
    refresh: tuple[RefreshRow, ...] = ()
    waste: tuple[WasteRow, ...] = ()
    spoiled: tuple[SpoiledRow, ...] = ()
    charts: tuple[ChartRow, ...] = ()
    agreement: tuple[AgreementRow, ...] = ()
    troubles: tuple[str, ...] = ()
    """Sentences on what of the record could not be read; the rest is found all the same."""
