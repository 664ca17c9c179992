"""Does the acts of a walk on a run: a clock that is told the time, a record in memory, no PINs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trainer.procedure.plan import Plan
from trainer.procedure.problems import Path, nearest
from trainer.procedure.units import plain
from trainer.rehearsal import walk_expect, walk_right
from trainer.rehearsal.walk_model import (
    Act,
    Answer,
    Check,
    Judge,
    Operate,
    PassTime,
    Pick,
    Placed,
    Press,
    Read,
    Refused,
    Restart,
    Right,
    Say,
    Sign,
    TakeSetting,
    Walk,
)
from trainer.rehearsal.walk_trouble import Stumble
from trainer.run import session
from trainer.run.clock import to_ms
from trainer.run.events import Event, Stamp
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import PinVerdict
from trainer.run.situation import situation

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal

RUN = "walk"
"""The id of the run; the same each time, so that what is drawn from it is the same too."""
MOST_ACTS = 2_000
"""Right acts in one go; a walk that needs more goes round in circles."""
MOST_AT_BENCH = 400
"""The same in a rehearsal, where a plate may be measured at every act."""
_BREATH = 0.5
_TICKS_AN_ACT = 3_600
MOST_TICKS = 100_000
"""So many ticks a whole walk has; after them, each act's time goes by at once."""
_MOST_DAYS = 100
"""What a walk lasts at most: more than any work takes, and no walk comes to the end of the calendar."""
_WRONG = "wrong"
"""At solo, any act that is not right and was not picked before."""
_RESTING = ("answer", "explained")


@dataclass(slots=True)
class Walker:
    """One walk under way."""

    plan: Plan
    run: session.Run
    clock: FakeClock
    journal: FakeJournal
    rehearsal: Rehearsal | None = None
    ticks: int = 0
    _begun_ms: int = field(init=False)

    def __post_init__(self) -> None:
        self._begun_ms = to_ms(self.events[0].stamp.at)

    @classmethod
    def start(cls, walk: Walk, plan: Plan, settings: dict[str, float]) -> Walker:
        """Open the run of a walk."""
        clock, journal = FakeClock(), FakeJournal()
        if walk.rehearsal:
            from trainer.rehearsal.rehearsal import Rehearsal  # NumPy: 80 ms, which a wet walk does not need

            rehearsal = Rehearsal.open(
                plan,
                run=RUN,
                trainee=walk.trainee,
                guidance=walk.guidance,
                settings=settings,
                journal=journal,
                clock=clock,
                job=walk.job,
                colour=walk.colour,
                language=walk.language,
                conditions=walk.conditions,
                longest_gap=None,
            )
            return cls(plan, rehearsal.run, clock, journal, rehearsal)
        run = session.Run.open(
            plan,
            run=RUN,
            trainee=walk.trainee,
            guidance=walk.guidance,
            settings=settings,
            journal=journal,
            clock=clock,
            job=walk.job,
            colour=walk.colour,
            language=walk.language,
        )
        return cls(plan, run, clock, journal)

    @property
    def events(self) -> tuple[Event, ...]:
        """What was recorded so far."""
        return self.journal.events(RUN)

    @property
    def asks(self) -> str:
        """What the run asks for now (`run.situation`)."""
        return situation(self.plan, self.run.state, self._stamp())

    def do(self, placed: Placed) -> None:
        """Do one act of the walk. Raises Stumble where it cannot be done."""
        self._do(placed.act, placed.path)

    def pass_time(self, seconds: float) -> None:
        """Let time go by, with the ticks that a screen gives: one a second, and fewer in more than an hour.

        Raises Stumble where a walk cannot last that long.
        """
        self._must_not_last(seconds)
        left, longest = seconds, max(1.0, seconds / _TICKS_AN_ACT)
        while left > 0:
            part = min(longest, left) if self.ticks < MOST_TICKS else left
            self.ticks += 1
            self.clock.pass_time(part)
            if self.rehearsal is None:
                self.run.tick()
            else:
                self.rehearsal.tick()
            left -= part

    def breathe(self) -> None:
        """Leave the keys alone for a moment."""
        self.pass_time(_BREATH)

    def press(self) -> None:
        """The primary key, after a moment."""
        self.breathe()
        self.run.next()

    def pick_key(self, key: str) -> None:
        """Pick the option with this key. Raises Stumble where there is none."""
        choice = self.run.view().choice
        options = () if choice is None else choice.options
        for place, option in enumerate(options, start=1):
            if option.key == key:
                self.breathe()
                self.run.pick(place)
                return
        known = [option.key for option in options]
        raise Stumble(
            "W11",
            f"`{key}` is none of the answers of {self._here()}.",
            f"Write one of {', '.join(known)}." if known else "Nothing is picked there.",
        )

    def enter(self, read: Read) -> None:
        """Type a number."""
        self.breathe()
        self.run.enter(f"{read.value:.6f}".rstrip("0").rstrip("."), read.unit)

    def _do(self, act: Act, path: Path) -> None:
        if isinstance(act, Check):
            walk_expect.look(self, act.expected)
            return
        if isinstance(act, Refused):
            self._must_refuse(act, path)
            return
        if isinstance(act, Right):
            self._right(act)
            return
        try:
            self._act(act)
        except session.Refused as refused:
            raise Stumble("W10", f"Refused at {self._here()}: {refused}", self._instead()) from refused
        except session.TooSoon as soon:
            raise Stumble(
                "W10", f"Refused at {self._here()}: too soon.", "Write `- pass: 1 s` before it."
            ) from soon

    def _act(self, act: Act) -> None:
        match act:
            case Press(word):
                self._press_word(word)
            case PassTime(seconds):
                self.pass_time(seconds)
            case Restart(seconds):
                self._restart(seconds)
            case Sign():
                self.run.sign(act.by, _verdict(act.pin), act.word, act.note)
            case Operate(controls):
                self._operate(controls)
            case TakeSetting(by, pin):
                self.run.take_setting(by, _verdict(pin))
            case Say():
                self._say(act)
            case _:
                self._respond(act)

    def _respond(self, act: Act) -> None:
        """Answer what the step asks."""
        match act:
            case Read():
                self._needs("a reading", "reading", "dose_reading")
                self.enter(act)
            case Judge(key):
                self._needs("a judgement", "judge")
                self.pick_key(key)
            case Answer():
                self._answer(act)
            case Pick(step):
                self._pick(step)
            case _:
                raise TypeError(f"no act of a walk: {act!r}")

    def _operate(self, controls: tuple[tuple[str, str | float], ...]) -> None:
        if self.rehearsal is None:
            raise TypeError("only a walk that is a rehearsal operates a bench")
        for name, value in controls:
            self.rehearsal.set(name, value)

    def _stamp(self) -> Stamp:
        return self.clock.now() if self.rehearsal is None else self.rehearsal.clock.now()

    def _press_word(self, word: str) -> None:
        self.breathe()
        match word:
            case "confirm":
                self.run.next()
            case "accept":
                self.run.accept()
            case "points":
                self.run.points()
            case "pause":
                self.run.pause()
            case "resume":
                self.run.resume()
            case _:
                self.run.leave_setting()

    def _say(self, act: Say) -> None:
        self.breathe()
        match act.act:
            case "spoil":
                self.run.spoil(act.text)
            case "stop":
                self.run.stop(act.text)
            case "note":
                self.run.note(act.text)
            case "hand_over":
                self.run.hand_over(act.text)

    def _answer(self, act: Answer) -> None:
        self._needs("a question", "quiz_one", "quiz_several", "quiz_order", "quiz_number")
        if act.number is not None:
            self.enter(act.number)
        else:
            for key in act.keys:
                self.pick_key(key)
            if self.asks in ("quiz_several", "quiz_order"):
                self.press()
        self.rest()

    def _pick(self, step: str) -> None:
        self._needs("the next act", "picking")
        offer = self.run.state.offer
        wrong = (
            [] if offer is None else [one for one in offer.steps if one not in (offer.right, *offer.wrong)]
        )
        self.pick_key(wrong[0] if step == _WRONG and wrong else step)
        self.rest()

    def rest(self) -> None:
        """Read the reason that is shown, and leave it."""
        if self.asks in _RESTING:
            self.press()

    def _must_not_last(self, seconds: float) -> None:
        """Raises Stumble where so many more are too many."""
        gone = (to_ms(self.clock.now().at) - self._begun_ms) / 1000
        days = (gone + seconds) / 86_400
        if days > _MOST_DAYS:
            raise Stumble(
                "W03",
                f"Here {plain(days)} days would have gone by; a walk lasts {_MOST_DAYS} days at most.",
                "Write a shorter time, in the walk or in the step that is waited at.",
            )

    def _restart(self, seconds: float) -> None:
        self._must_not_last(seconds)
        self.clock.pass_time(seconds)
        if self.rehearsal is None:
            self.run = session.Run.take_up(self.plan, RUN, journal=self.journal, clock=self.clock)
            return
        taken_up = type(self.rehearsal).take_up(
            self.plan, RUN, journal=self.journal, clock=self.clock, longest_gap=None
        )
        self.rehearsal, self.run = taken_up, taken_up.run

    def _right(self, act: Right) -> None:
        if act.to and act.to != "to-end" and act.to not in self.plan.steps:
            near = nearest(act.to, self.plan.steps)
            raise Stumble(
                "W06",
                f"The procedure has no step `{act.to[:60]}`.",
                f"Write `right: to {near}`, if that is meant."
                if near
                else "Look at the procedure's step ids.",
            )
        most = MOST_ACTS if self.rehearsal is None else MOST_AT_BENCH
        for _ in range(act.count or most):
            if act.to and self._is_at(act.to):
                return
            if self.run.state.closed:
                raise self._closed_before(act)
            walk_right.do_right(self)
        if act.to and not self._is_at(act.to):
            raise Stumble(
                "W12",
                f"{most:,} right acts did not lead to `{act.to}`.",
                "The right answers go round in circles: look at `right`, `go` and `then` on the way.",
            )

    def _is_at(self, step: str) -> bool:
        state = self.run.state
        if step == "to-end" or state.closed:
            return bool(state.closed) and step == "to-end"
        return state.step == step and state.phase not in ("picking", "explained")

    def _closed_before(self, act: Right) -> Stumble:
        if act.to:
            return Stumble(
                "W12",
                f"The run was closed, and `{act.to}` was not reached.",
                "Right acts do not lead there: write the acts that do, or another step.",
            )
        return Stumble("W13", "The run is closed already.", "Write fewer right acts, or `right: to-end`.")

    def _must_refuse(self, act: Refused, path: Path) -> None:
        before = len(self.events)
        try:
            self._do(act.act, path)
        except Stumble as stumble:
            if stumble.code in ("W10", "W11", "W13") and len(self.events) == before:
                return
            raise
        raise Stumble(
            "W10", f"The act was taken at {self._here()}, and should have been refused.", self._instead()
        )

    def _needs(self, what: str, *situations: str) -> None:
        if self.asks == "closed":
            raise Stumble(
                "W13", "The run is closed already.", "Delete the act, or what closed the run before it."
            )
        if self.asks not in situations:
            raise Stumble("W11", f"{self._here(capital=True)} does not ask for {what}.", self._instead())

    def _here(self, *, capital: bool = False) -> str:
        state = self.run.state
        if state.closed:
            return "The end" if capital else "the end"
        return f"{'The' if capital else 'the'} step `{state.step}`"

    def _instead(self) -> str:
        """What the run asks for, for an author whose act does not fit."""
        return f"It asks for {walk_right.wanted(self.asks, self.plan.steps.get(self.run.state.step))}."


def _verdict(pin: str) -> PinVerdict:
    return PinVerdict("right" if pin == "right" else "wrong_pin")
