"""What happened in a run: one frozen dataclass a kind of event, and the envelope they are kept in.

Events are self-contained: stage, skill and verdict stand in them, so that scoring and every report read
events alone. A body is never changed once written; a new need is a new kind or a new `version`.
Times inside bodies are seconds (float). JSON and back in `wire`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import ClassVar, Literal

from trainer.run.frozen import frozen

Guidance = Literal["full", "cued", "solo"]
Verdict = Literal["ok", "miss", "slip"]
"""ok: as wanted. miss: plausible but not as wanted. slip: a slip of the keys, asked again, no finish."""
Value = bool | int | float | str
PRACTICE = "fault-practice"
"""What stands as the procedure of a run that is fault practice."""
BENCH = "bench"
"""Who signs in a rehearsal, where no instructor is near."""


@frozen
class Stamp:
    """When: UTC wall time as RFC 3339 with milliseconds and `Z`; boot id; boot-time clock in milliseconds."""

    at: str
    boot: str
    ticks_ms: int


@frozen
class Body:
    """What all bodies share. `kind` names them on disk; `version` counts changes of their shape."""

    kind: ClassVar[str] = ""
    version: ClassVar[int] = 1


@frozen
class RunOpened(Body):
    """The run begins. `settings` are the values used, by name, in the units the procedure declares.

    `station`: what the shop calls it; empty where it has no name. (Version 1 had no station.)
    """

    kind: ClassVar[str] = "run_opened"
    version: ClassVar[int] = 2
    trainee: str
    procedure: str
    revision: int
    content_hash: str
    guidance: Guidance
    rehearsal: bool
    settings: Mapping[str, float]
    language: str = "en"
    job: str = ""
    colour: str = ""
    station: str = ""


@frozen
class StepShown(Body):
    """A step came on the screen as the step to do. `task` is `none` or a task's key."""

    kind: ClassVar[str] = "step_shown"
    stage: str
    skill: str | None
    task: str
    plate: int
    visit: int


@frozen
class HintOpened(Body):
    """The trainee asked for the key points (at `cued` and `solo`)."""

    kind: ClassVar[str] = "hint_opened"


@frozen
class HazardAccepted(Body):
    """A safety prompt was read and accepted. `seconds`: how long it was on the screen."""

    kind: ClassVar[str] = "hazard_accepted"
    signal: str
    covers: tuple[str, ...]
    seconds: float


@frozen
class Confirmed(Body):
    """The trainee says that the act is done (or a worked result or an offer was seen and left)."""

    kind: ClassVar[str] = "confirmed"


@frozen
class WaitBegun(Body):
    """A wait starts. `form`: countdown, window or dose. Seconds; `units` for a dose."""

    kind: ClassVar[str] = "wait_begun"
    form: Literal["countdown", "window", "dose"]
    seconds: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    units: float | None = None


@frozen
class WaitWarned(Body):
    """The trainee was warned. `about`: early (wants to end too soon), closing, late, unknown (no time)."""

    kind: ClassVar[str] = "wait_warned"
    about: Literal["early", "closing", "late", "unknown"]


@frozen
class WaitEnded(Body):
    """A wait is over. `seconds`: elapsed, None where not known. `unwatched`: seconds nobody was watching.

    `outcome`: on_time; early or late (a window); said (a person decided, the time being unknown).
    `units`: of a dose, what the integrator counted (what was set, unless the trainee typed its reading).
    """

    kind: ClassVar[str] = "wait_ended"
    outcome: Literal["on_time", "early", "late", "said"]
    seconds: float | None
    unwatched: float = 0.0
    units: float | None = None


@frozen
class ReadingTaken(Body):
    """A number read off an instrument: as typed (`typed`, `typed_unit`) and in the reading's own unit."""

    kind: ClassVar[str] = "reading_taken"
    name: str
    value: float
    unit: str
    typed: str
    typed_unit: str
    verdict: Verdict
    keeps_run: bool = False


@frozen
class Judged(Body):
    """An observation. `right` is known only in a rehearsal (None in a wet run)."""

    kind: ClassVar[str] = "judged"
    name: str
    answer: str
    right: bool | None = None
    keeps_run: bool = False


@frozen
class QuizAnswered(Body):
    """A quiz answer: `form` choice, choices, number or order; keys as given, or the number as text."""

    kind: ClassVar[str] = "quiz_answered"
    name: str
    form: Literal["choice", "choices", "number", "order"]
    answer: tuple[str, ...]
    right: bool


@frozen
class WorkedOut(Body):
    """A value computed from others; `working` is what was shown."""

    kind: ClassVar[str] = "worked_out"
    name: str
    value: float
    unit: str
    working: str
    keeps_run: bool = False


@frozen
class SettingOffered(Body):
    """A new shop value was proposed. `fits`: within the setting's `between`."""

    kind: ClassVar[str] = "setting_offered"
    setting: str
    old: float
    new: float
    unit: str
    fits: bool


@frozen
class SettingChanged(Body):
    """An instructor took the offered value; it holds for the rest of this run and for the shop."""

    kind: ClassVar[str] = "setting_changed"
    setting: str
    old: float
    new: float
    unit: str
    by: str


@frozen
class SignedOff(Body):
    """An instructor's word on a step."""

    kind: ClassVar[str] = "signed_off"
    of: str
    by: str
    word: Literal["passed", "not_yet"]
    note: str = ""
    name: str | None = None


@frozen
class SignOffRefused(Body):
    """A PIN was wrong, or came while tries are slowed down."""

    kind: ClassVar[str] = "sign_off_refused"
    by: str
    reason: Literal["wrong_pin", "too_soon", "unknown"]


@frozen
class BenchReady(Body):
    """The bench of a rehearsal was made ready. Everything that is drawn there comes from `seed`.

    `artwork`: id of the job on the films; `film`: the one to be burned. `conditions`: the day, by name.
    `constants`: what the models worked with, by section and name (`lamp.warm_up`): a shop may change its own.
    """

    kind: ClassVar[str] = "bench_ready"
    seed: int
    artwork: str
    film: str
    conditions: Mapping[str, Value]
    constants: Mapping[str, Value]


@frozen
class BenchSet(Body):
    """A bench control was operated (rehearsal only)."""

    kind: ClassVar[str] = "bench_set"
    control: str
    value: Value


@frozen
class Moved(Body):
    """The run goes on to another step (or `done`). `why`: finished, again, guard, spoiled."""

    kind: ClassVar[str] = "moved"
    to: str
    why: Literal["finished", "again", "guard", "spoiled"]


@frozen
class NextOffered(Body):
    """At guidance solo: the acts to pick from, in the order shown."""

    kind: ClassVar[str] = "next_offered"
    steps: tuple[str, ...]
    right: str


@frozen
class NextPicked(Body):
    """At guidance solo: the act picked. `skill`: of the right act."""

    kind: ClassVar[str] = "next_picked"
    step: str
    right: bool
    skill: str | None = None


@frozen
class PlateMade(Body):
    """A plate came off the bench (rehearsal), with its sheet of measures."""

    kind: ClassVar[str] = "plate_made"
    plate: int
    passes: bool
    sheet: Mapping[str, Value] = field(default_factory=dict)


@frozen
class PlateSpoiled(Body):
    """The trainee gave a plate up. `plate`: its number; `back_to`: where the next one starts."""

    kind: ClassVar[str] = "plate_spoiled"
    plate: int
    stage: str
    reason: str
    back_to: str


@frozen
class Paused(Body):
    """The trainee is away; waits go on, since developer does."""

    kind: ClassVar[str] = "paused"


@frozen
class Resumed(Body):
    """Back at the screen. `after`: paused, or restart (the program was started again)."""

    kind: ClassVar[str] = "resumed"
    after: Literal["paused", "restart"]


@frozen
class NoteAdded(Body):
    """A remark by the trainee or, after class, by an instructor."""

    kind: ClassVar[str] = "note_added"
    by: str
    text: str


@frozen
class RunExcused(Body):
    """An instructor takes the run out of the statistics, with a reason."""

    kind: ClassVar[str] = "run_excused"
    by: str
    reason: str


@frozen
class CodeMistyped(Body):
    """An instructor says after class: what this run has under one code is another trainee's."""

    kind: ClassVar[str] = "code_mistyped"
    by: str
    from_: str
    to: str


@frozen
class RunHandedOver(Body):
    """Another trainee goes on with the work."""

    kind: ClassVar[str] = "run_handed_over"
    from_: str
    to: str


@frozen
class RunClosed(Body):
    """The run is over: `done`, or `stopped` with a reason."""

    kind: ClassVar[str] = "run_closed"
    how: Literal["done", "stopped"]
    reason: str = ""


@frozen
class Event:
    """One event in its envelope. `seq` counts from 1 in each run, without gaps. `id` is a UUIDv7."""

    id: str
    run: str
    seq: int
    stamp: Stamp
    step: str | None
    body: Body
