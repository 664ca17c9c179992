"""A trainee who knows the procedure by heart: presses the right keys, taking the words from the screen."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from sink import COLUMNS, NotShown, Sink

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.model import Quiz, Step
from trainer.procedure.plan import Plan
from trainer.procedure.text import in_language
from trainer.record.journal import StationJournal
from trainer.run import clock
from trainer.run.answers import options, right_keys
from trainer.run.events import Event, Stamp
from trainer.run.facts import Facts
from trainer.run.fold import fold
from trainer.run.situation import situation
from trainer.run.state import State
from trainer.run.waits import elapsed
from trainer.screens.letters import large

PIN = "481516"
INSTRUCTOR = "I-1"


def plan_of(procedure: str) -> Plan:
    """The plan of a shipped procedure."""
    return load(places.procedures_dir() / f"{procedure}.yaml").require()


def words_of(screen: str) -> str:
    """The words on a screen as one line, without what is drawn round them."""
    return " ".join(re.sub(r"[^\w\s.,:;!?'()%/°+-]", " ", screen).split())


def shows(act: str, screen: str) -> bool:
    """Whether the screen shows an act: its words, or its first word in large letters."""
    if words_of(act) in words_of(screen):
        return True
    drawn = large(act.split(maxsplit=1)[0], COLUMNS)
    return drawn is not None and all(row.rstrip() in screen for row in drawn)


@dataclass
class Trainee:
    """Works at a sink; looks into the record only to know what would be right.

    primary: the key that goes on. after: what follows each key where whole lines are read. rings: the words
    that say that a wait's time has come. typing: the words that ask for a number.
    """

    sink: Sink
    plan: Plan
    journal: StationJournal
    primary: str = " "
    after: str = ""
    rings: tuple[str, ...] = ("TIME", "OPEN")
    typing: str = "Type the number"

    def __post_init__(self) -> None:
        self.read: tuple[Event, ...] = ()
        self.known: tuple[int, State] | None = None

    def press(self, keys: str) -> None:
        """Press keys, and Enter where lines are read."""
        self.sink.press(keys + self.after)

    def events(self) -> tuple[Event, ...]:
        """What is kept of the only run, by a connection of its own; read again only where there is more."""
        with self.journal.reading() as connection:
            row = connection.execute("SELECT run FROM runs").fetchone()
            (count,) = connection.execute("SELECT count(*) FROM events").fetchone()
        if row and count != len(self.read):
            self.read = tuple(self.journal.events(str(row[0])))
        return self.read

    def now(self) -> Stamp:
        """The present moment by the program's clock."""
        real = clock.SystemClock().now()
        return Stamp(real.at, real.boot, real.ticks_ms + round(self.sink.offset * 1000))

    def state(self) -> State:
        """Where the run stands, by what is kept."""
        events = self.events()
        if self.known is None or self.known[0] != len(events):
            self.known = len(events), fold(self.plan, events)
        return self.known[1]

    def asks(self) -> str:
        """What the run asks for, in the words of `run.situation`."""
        return situation(self.plan, self.state(), self.now())

    def step(self) -> Step:
        """The step at hand."""
        return self.plan.steps[self.state().step]

    def work_until(self, holds: Callable[[State], bool], most: int = 600) -> None:
        """Do the right thing again and again until `holds` is true of the state."""
        for _ in range(most):
            if holds(self.state()):
                return
            self.do_right()
        raise NotShown(f"It did not come to that in {most} acts.\n{self.sink.text()}")

    def do_right(self) -> None:
        """One right act, and wait until the record and the screen have moved on."""
        before = len(self.events())
        asks = self.asks()
        self.see_step()
        _RIGHT.get(asks, Trainee.press_on)(self)
        self.sink.until(lambda _: len(self.events()) > before, f"the event of {asks}")

    def see_step(self) -> None:
        """Wait until the screen shows the step at hand. Raises NotShown where it does not fit."""
        state = self.state()
        step = self.plan.steps.get(state.step)
        if step is None or step.do is None or state.phase not in ("task", "waiting"):
            return
        act = in_language(step.do)
        self.sink.until(lambda screen: shows(act, screen), f"the act {act!r}")

    def press_on(self) -> None:
        """The one primary key."""
        self.press(self.primary)

    def accept(self) -> None:
        """A safety prompt: its signal word is spelled on the screen; Space does nothing."""
        hazard = self.step().hazard
        assert hazard is not None
        self.sink.until(lambda screen: hazard.signal.upper() in screen, f"the word {hazard.signal.upper()}")
        before = len(self.events())
        self.press_on()
        self.sink.read(0.1)
        assert len(self.events()) == before, "Space passed a safety prompt"
        self.press("a")

    def wait(self) -> None:
        """As long as is right; a countdown is sat out, a window left in its middle."""
        wait = self.state().wait
        assert wait is not None
        gone = elapsed(wait, self.now()) or 0.0
        match wait.amounts.form:
            case "countdown":
                self.sink.pass_time((wait.amounts.seconds or 0.0) - gone + 0.1)
            case "window":
                least, most = wait.amounts.at_least or 0.0, wait.amounts.at_most or 0.0
                self.sink.pass_time(max(0.0, (least + most) / 2 - gone))
            case "dose":
                self.sink.pass_time(2.0 * (wait.amounts.units or 0.0))
        if wait.amounts.form != "dose":
            self.sink.until(lambda screen: any(word in screen for word in self.rings), "the word that rings")
        self.press_on()

    def type_number(self, number: float) -> None:
        """Digits (drawn in figures of their own), then Enter."""
        self.sink.until(lambda screen: self.typing in screen, "a place to type the number")
        self.sink.press(f"{number:g}\r")

    def read_instrument(self) -> None:
        """The reading that a right run takes."""
        state = self.state()
        reading = self.step().reading
        assert reading is not None
        formula = self.plan.expression(state.step, "right")
        self.type_number(formula.number(Facts(state)) if formula else float(reading.right))

    def read_integrator(self) -> None:
        """What the integrator counted in a dose found half-way."""
        wait = self.state().wait
        assert wait is not None
        self.type_number(wait.amounts.units or 0.0)

    def pick_words(self, words: str) -> None:
        """The digit that stands before these words on the screen."""
        start = re.escape(words[:50].rsplit(" ", 1)[0] if len(words) > 50 else words)
        screen = self.sink.until(lambda text: re.search(rf"\d\W+{start}", text) is not None, words)
        self.press(re.findall(rf"(\d)\W+{start}", screen)[-1])

    def judge(self) -> None:
        """The answer on a good plate."""
        judge = self.step().judge
        assert judge is not None
        self.pick_words(in_language(judge.answers[judge.right]))

    def answer(self) -> None:
        """A quiz, by its words on the screen."""
        quiz = self.step().quiz
        assert quiz is not None
        if quiz.number is not None:
            self.type_number(float(right_keys(quiz)[0]))
            return
        self.pick_keys(quiz)
        if quiz.choice is None:
            self.press_on()

    def pick_keys(self, quiz: Quiz) -> None:
        """Each right option, in order."""
        offered = options(quiz, self.state().run)
        for key in right_keys(quiz):
            self.pick_words(in_language(offered[key]))

    def pick_next(self) -> None:
        """At solo: the right act among those offered."""
        offer = self.state().offer
        assert offer is not None
        self.press(str(offer.steps.index(offer.right) + 1))

    def sign(self) -> None:
        """The instructor comes to the sink."""
        self.press("s")
        self.sink.until(lambda screen: "Instructor's code" in screen, "the instructor's code")
        self.sink.press(INSTRUCTOR + "\r")
        self.sink.until(lambda screen: "Your word" in screen, "the instructor's word")
        self.press("1")
        screen = self.sink.until(lambda screen: "Your PIN" in screen, "the PIN")
        assert PIN not in screen
        self.sink.press(PIN + "\r")

    def leave_setting(self) -> None:
        """Go on without changing the shop's value."""
        self.press("l")


_RIGHT: dict[str, Callable[[Trainee], None]] = {
    "hazard": Trainee.accept,
    "waiting": Trainee.wait,
    "dose_reading": Trainee.read_integrator,
    "reading": Trainee.read_instrument,
    "judge": Trainee.judge,
    "quiz_one": Trainee.answer,
    "quiz_several": Trainee.answer,
    "quiz_order": Trainee.answer,
    "quiz_number": Trainee.answer,
    "picking": Trainee.pick_next,
    "sign_off": Trainee.sign,
    "offer": Trainee.leave_setting,
}
"""What to press for what the run asks for; the primary key for all the rest."""
