"""What a run shows now, as plain frozen data: both front ends (screens, lines of text) draw only this."""

from __future__ import annotations

from typing import Literal

from trainer.run.frozen import frozen

ActName = Literal[
    "next",  # the one primary key: confirm, begin or end a wait, enter what was typed
    "accept",  # a safety prompt
    "pick",  # digits: an answer, a judgement, the next act at solo
    "unit",  # another unit for the number being typed
    "points",  # ask for key points
    "picture",
    "back",  # look back
    "pause",
    "spoil",
    "sign",  # the instructor's sign-off, or taking an offered setting
    "leave_setting",  # go on without changing the setting
    "hand_over",
    "note",
    "stop",
    "operate",  # a rehearsal's control: its next position, or begin and end what is held for a time
    "control",  # the next control, where there are several
    "controls",  # all controls of the bench, or only those of the step
    "speed",  # how fast simulated time runs
    "to_end",  # simulated time at once to the end of what goes on
    "plate",  # look at the plate, or at the film on the light table
    "loupe",  # move the loupe over it
    "magnify",
]


@frozen
class Option:
    """Something to pick: its digit is where it stands, counted from 1.

    picked: picked so far, or at solo tried already. place: where order counts, as the how-manieth it was
    picked, from 1; else 0.
    """

    key: str
    words: str
    picked: bool = False
    place: int = 0


@frozen
class HazardView:
    """A safety prompt."""

    signal: Literal["danger", "warning", "caution"]
    harm: str
    avoid: tuple[str, ...]


@frozen
class WaitView:
    """A wait.

    state: ready (not begun), running, due (a countdown is over, a window is open), closing (the window is
    about to close), late (the window has closed), unknown (the time is not known: a person decides).
    elapsed, remaining: seconds; remaining counts to the end of a countdown, to the opening of a window, then
    to its closing; None for a dose and where unknown. units: of a dose. estimate: seconds expected.
    unwatched: seconds that went by while the program was down. early_asked: ending early was tried once.
    """

    form: Literal["countdown", "window", "dose"]
    state: Literal["ready", "running", "due", "closing", "late", "unknown"]
    elapsed: float | None = None
    remaining: float | None = None
    seconds: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    units: float | None = None
    estimate: float | None = None
    unwatched: float = 0.0
    early_asked: bool = False


@frozen
class NumberView:
    """A number to type: a reading, or a quiz's number. units: the unit it is kept in first, then its kin."""

    units: tuple[str, ...]
    last: str = ""
    verdict: Literal["", "miss", "slip"] = ""
    say: str = ""


@frozen
class ChoiceView:
    """A judgement, a quiz or solo's next act. several: all that hold; ordered: in order of picking."""

    ask: str
    options: tuple[Option, ...]
    several: bool = False
    ordered: bool = False


@frozen
class AnswerView:
    """What is said after a quiz answer (or a wrong pick at solo); the primary key goes on."""

    right: bool
    given: str
    wanted: str
    because: str


@frozen
class WorkedView:
    """A computed value with its working."""

    rule: str
    working: str
    result: str


@frozen
class OfferView:
    """A proposed shop value. fits: within its limits; limits in words."""

    label: str
    old: str
    new: str
    fits: bool
    limits: str


@frozen
class SignView:
    """A sign-off: what is signed for; last: what came of the last try, in words.

    bench: a rehearsal, where no instructor is near and the bench judges the plate; the primary key goes on.
    """

    of: str
    last: str = ""
    bench: bool = False


@frozen
class RunView:
    """All that a front end shows of a run at a moment.

    place: stage number, number of stages; step number and number of steps in the stage (asides not counted).
    at most one of hazard .. sign is set; `choice` with `picking_next` is solo's choice of the next act.
    `acts` are the acts that are taken now, in the order the footer shows them.
    """

    run: str
    trainee: str
    procedure: str
    title: str
    guidance: Literal["full", "cued", "solo"]
    rehearsal: bool
    job: str
    colour: str
    plate: int
    stage: str
    stage_number: int
    stages: tuple[str, ...]
    step: str
    step_number: int
    steps_in_stage: int
    aside: bool
    act: str
    key_points: tuple[str, ...]
    points_hidden: bool
    why: str
    picture: str | None
    acts: tuple[ActName, ...]
    hazard: HazardView | None = None
    wait: WaitView | None = None
    number: NumberView | None = None
    choice: ChoiceView | None = None
    picking_next: bool = False
    answer: AnswerView | None = None
    worked: WorkedView | None = None
    offer: OfferView | None = None
    sign: SignView | None = None
    paused: bool = False
    closed: Literal["", "done", "stopped"] = ""
    quiz_question: str = ""
    notice: str = ""
