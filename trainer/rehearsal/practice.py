"""Fault practice: a plate with one or two hidden faults. The trainee looks, names the cause, then the remedy.

It is kept as a run of its own kind: opened and closed like a run, a question shown and answered like a quiz,
so that marks, people, exports and erasure work unchanged. The step of a question is the class of the fault.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from secrets import randbelow
from typing import Final

from trainer.bench.artwork import Job
from trainer.bench.faults import CATALOGUE, CLASSES
from trainer.bench.measures import Line, Sheet
from trainer.bench.plate import Burn, Work
from trainer.bench.settings import BenchSettings
from trainer.procedure.text import one_line
from trainer.rehearsal import practice_plates
from trainer.rehearsal.measure_words import label, measured
from trainer.rehearsal.practice_choice import Tally, offered, remedies, tally
from trainer.rehearsal.practice_plates import HiddenPlate, hide
from trainer.rehearsal.practice_state import PracticeState, apply
from trainer.rehearsal.practice_view import Measured, PracticeOption, PracticeView
from trainer.run.clock import to_ms
from trainer.run.events import (
    PRACTICE,
    Body,
    Event,
    Guidance,
    QuizAnswered,
    RunClosed,
    RunOpened,
    Stamp,
    StepShown,
)
from trainer.run.fault_events import PracticeMeasured
from trainer.run.ids import Ids
from trainer.run.ports import Clock, Journal
from trainer.run.refusals import Refused, TooSoon
from trainer.tongue import marked, spoken

GUARD_MS: Final = 400
"""A key this soon after a question came is not taken: it was meant for the one before."""
_SEEDS: Final = 2**32
_LEFT: Final = marked("left a plate of practice")
_GUIDANCE: Final[Guidance] = "solo"
_ASK_CAUSE: Final = marked("What is wrong with this plate?")
_ASK_ONE: Final = marked("Two things are wrong with this plate. What is one of them?")
_ASK_OTHER: Final = marked("There is another fault. What else is wrong?")
_ASK_REMEDY: Final = marked("What do you do about it?")


class Practice:
    """Fault practice of one trainee, kept in the record answer by answer. Make one with `open`."""

    def __init__(
        self, run: str, seed: int, found: Tally, settings: BenchSettings, keeping: tuple[Journal, Clock]
    ) -> None:
        """Use `open`."""
        self.settings = settings
        self.seed = seed
        self._run = run
        self._found = found
        self._journal, self._clock = keeping
        self._ids = Ids()
        self._state = PracticeState()
        self._plate: HiddenPlate | None = None
        self._sheet: Sheet | None = None
        self._had: tuple[str, ...] = ()
        self._film_out = False

    @classmethod
    def open(  # noqa: PLR0913 - all named where it is called
        cls,
        *,
        run: str,
        trainee: str,
        journal: Journal,
        clock: Clock,
        settings: BenchSettings,
        past: Sequence[Event] = (),
        seed: int | None = None,
        language: str = "en",
        station: str = "",
    ) -> Practice:
        """Begin, with the first plate. Raises Trouble.

        past: what the record holds of the trainee. With a seed it is not looked at, so that a class gets the
        same plates.
        """
        found = tally(past if seed is None else ())
        seed = randbelow(_SEEDS) if seed is None else seed
        practice = cls(run, seed, found, settings, (journal, clock))
        opened = RunOpened(
            *(trainee, PRACTICE, 1, "", _GUIDANCE),
            rehearsal=True,
            settings={},
            language=language,
            station=station,
        )
        practice._another(opened)
        return practice

    @property
    def job(self) -> Job:
        """The artwork, and the size of the plate."""
        return self._at_hand().job

    @property
    def run(self) -> str:
        """Its id in the record."""
        return self._run

    @property
    def state(self) -> PracticeState:
        """Where it stands."""
        return self._state

    @property
    def plate(self) -> int:
        """The number of the plate, from 1: another picture where it differs."""
        return self._at_hand().told.plate

    def work(self) -> Work:
        """What was done to the plate: for looking at it."""
        return self._at_hand().work

    def film(self) -> Burn | None:
        """The job's own film under its mask, clean, while it is looked at: what should be on the plate."""
        at_hand = self._at_hand()
        return practice_plates.film(at_hand) if self._film_out else None

    @property
    def film_is_out(self) -> bool:
        """Whether the film is looked at and not the plate."""
        return self._film_out

    def swap(self) -> None:
        """The job's film before the trainee, or the plate again. Not counted: at the sink it lies there."""
        self._film_out = not self._film_out

    def view(self) -> PracticeView:
        """All that a front end shows now, but the picture."""
        state, job = self._state, self.job
        lines = () if state.closed else self._lines()
        return PracticeView(
            plate=self.plate,
            job=spoken(one_line(job.title)),
            film=spoken(one_line(job.film(self._at_hand().told.film).label)),
            width=job.width,
            height=job.height,
            asks=state.asks,
            ask=spoken(self._ask()),
            options=self._options(),
            measures=tuple(
                PracticeOption(line.name, label(line.name))
                for line in lines
                if line.name not in state.measured
            ),
            measured=tuple(measured(line) for name in state.measured for line in lines if line.name == name),
            told=self._told(),
            right=state.right,
            asked=state.asked,
            acts=_ACTS[state.asks],
        )

    def measure(self, name: str) -> Measured:
        """Take one measure of the plate; it is counted. Raises Refused, Trouble."""
        self._open()
        for line in self._lines():
            if line.name == name:
                if name not in self._state.measured:
                    self._keep(PracticeMeasured(self.plate, name))
                return measured(line)
        raise Refused(spoken("There is no measure `{name}` of a plate.", name=one_line(name)[:40]))

    def pick(self, place: int) -> None:
        """Answer what is asked, by the option's place from 1. Raises Refused, TooSoon, Trouble."""
        self._open()
        options = self._options()
        if not options:
            raise Refused(spoken("Nothing is asked now. Go on to another plate."))
        if not 1 <= place <= len(options):
            raise Refused(spoken("Pick from 1 to {most}.", most=len(options)))
        self._not_too_soon()
        key = options[place - 1].key
        if self._state.asks == "cause":
            self._name_cause(key)
        else:
            self._name_remedy(key)

    def next(self) -> None:
        """Another plate, once all is named. Raises Refused, Trouble."""
        self._open()
        if self._state.asks != "next":
            raise Refused(spoken("Say first what is wrong with this plate, and what to do about it."))
        self._another()

    def close(self) -> None:
        """End the practice; what was answered is kept. Nothing where it is closed. Raises Trouble."""
        if not self._state.closed:
            done = self._state.asks == "next"
            self._keep(RunClosed("done") if done else RunClosed("stopped", _LEFT))

    def _name_cause(self, alike: str) -> None:
        at_hand = self._asked_about()
        hidden = [CATALOGUE[fault].alike for fault in self._state.left]
        right = alike in hidden
        shown_first: tuple[Body, ...] = ()
        if right and alike != at_hand:
            at_hand, shown_first = alike, (self._shown(alike),)
        self._keep(*shown_first, QuizAnswered("cause", "choice", (alike,), right), step=at_hand)

    def _name_remedy(self, fault: str) -> None:
        about = self._state.named[-1].fault
        answered = QuizAnswered("remedy", "choice", (fault,), fault == about)
        self._keep(answered, step=CATALOGUE[about].alike)
        if self._state.asks == "cause":
            self._keep(self._shown(self._asked_about()), step=self._asked_about())

    def _another(self, *before: Body) -> None:
        number = 1 if self._plate is None else self._plate.told.plate + 1
        hidden = hide(number, self.seed, self._found, self.settings, self._had)
        self._had = tuple(CATALOGUE[fault].alike for fault in hidden.told.faults)
        first = CATALOGUE[hidden.told.faults[0]].alike
        self._keep(*before, hidden.told, step=None)
        self._plate, self._sheet, self._film_out = hidden, None, False
        self._keep(self._shown(first), step=first)

    def _shown(self, alike: str) -> StepShown:
        """The question about a fault comes: the mark goes to its skill."""
        fault = next(one for one in self._state.left if CATALOGUE[one].alike == alike)
        number = self._state.plate.plate if self._state.plate is not None else 1
        return StepShown(PRACTICE, CATALOGUE[fault].skill, "quiz", number, 1)

    def _asked_about(self) -> str:
        return CATALOGUE[self._state.left[0]].alike

    def _ask(self) -> str:
        match self._state.asks:
            case "cause":
                if self._state.named:
                    return _ASK_OTHER
                return _ASK_ONE if len(self._state.left) > 1 else _ASK_CAUSE
            case "remedy":
                return _ASK_REMEDY
            case _:
                return ""

    def _options(self) -> tuple[PracticeOption, ...]:
        state = self._state
        if state.plate is None:
            return ()
        dice = Random(f"{self.seed} {self.plate} {state.asks} {len(state.named)}")  # noqa: S311 - an order of options
        if state.asks == "cause":
            hidden = [CATALOGUE[fault].alike for fault in state.plate.faults]
            keys = offered(self._asked_about(), dice, hidden)
            return tuple(PracticeOption(key, spoken(CLASSES[key].title)) for key in keys)
        if state.asks == "remedy":
            keys = remedies(state.named[-1].fault, dice)
            return tuple(PracticeOption(key, spoken(CATALOGUE[key].remedy)) for key in keys)
        return ()

    def _told(self) -> tuple[str, ...]:
        """What came of the last answer: was it right, what it is, what shows it, what to do."""
        if not self._state.named:
            return ()
        last = self._state.named[-1]
        fault = CATALOGUE[last.fault]
        if last.remedy is None:
            fault_is = f"{spoken(CLASSES[fault.alike].title)}. {spoken(fault.looks)}"
            return (
                spoken("Right: {fault}", fault=fault_is)
                if last.right
                else spoken("No: {fault}", fault=fault_is),
            )
        remedy = spoken(fault.remedy)
        said = spoken("Right.") if last.remedy else spoken("Better: {remedy}", remedy=remedy)
        done = spoken("Here it was: {act}", act=spoken(fault.acts))
        return tuple(line for line in (said, done, spoken(fault.caution)) if line)

    def _lines(self) -> tuple[Line, ...]:
        if self._sheet is None:
            self._sheet = self._at_hand().sheet(self.settings)
        return self._sheet.lines

    def _at_hand(self) -> HiddenPlate:
        if self._plate is None:
            raise LookupError("practice has a plate as soon as it is open")
        return self._plate

    def _open(self) -> None:
        if self._state.closed:
            raise Refused(spoken("This practice is over."))

    def _not_too_soon(self) -> None:
        now, last = self._clock.now(), self._state.asked_at
        if last is None or last.boot != now.boot:
            return
        gone = now.ticks_ms - last.ticks_ms
        if 0 <= gone < GUARD_MS:
            raise TooSoon((GUARD_MS - gone) / 1000)

    def _keep(self, *bodies: Body, step: str | None = None) -> None:
        """Keep events, then move. Raises Trouble: nothing has changed then."""
        stamp, state = self._clock.now(), self._state
        events = []
        for body in bodies:
            event = self._event(body, state.seq + 1, stamp, step)
            state = apply(state, event)
            events.append(event)
        self._journal.append(events)
        self._state = state
        for event in events:
            self._found.add(event)

    def _event(self, body: Body, seq: int, stamp: Stamp, step: str | None) -> Event:
        return Event(self._ids.new(to_ms(stamp.at)), self._run, seq, stamp, step, body)


_ACTS: Final = {
    "cause": ("pick", "measure", "close"),
    "remedy": ("pick", "measure", "close"),
    "next": ("next", "measure", "close"),
    "closed": (),
}
