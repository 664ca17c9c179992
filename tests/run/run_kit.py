"""What the tests of the run share: a plan, and a sink with a clock and a record that are told what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import TypeVar

from trainer.procedure.load import load, load_bytes
from trainer.procedure.plan import Plan
from trainer.run import answers
from trainer.run.events import Body, Event, Guidance
from trainer.run.facts import Facts
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import PinVerdict
from trainer.run.session import Run
from trainer.run.situation import situation

RIGHT = PinVerdict("right")
WRONG = PinVerdict("wrong_pin")
RUN_ID = "run-1"
HERE = Path(__file__).parent
B = TypeVar("B", bound=Body)


@cache
def plan_of(name: str) -> Plan:
    """A plan of this folder, read once."""
    return load(HERE / f"{name}.yaml").require()


@cache
def plan_with(old: str, new: str) -> Plan:
    """The test plate with one piece of its text written otherwise."""
    text = (HERE / "plate.yaml").read_text(encoding="utf-8")
    if old not in text:
        raise AssertionError(f"plate.yaml does not say {old!r}")
    return load_bytes(text.replace(old, new).encode(), "plate.yaml").require()


def with_cover(plan: Plan, step: str, *hazards: str) -> Plan:
    """The plan with `step` covered by `hazards` as well, wherever they stand."""
    return replace(plan, covered_by={**plan.covered_by, step: (*plan.covered_by.get(step, ()), *hazards)})


@dataclass
class Sink:
    """A run with its clock and its record; `right` does the right act, whatever it is."""

    plan: Plan
    run: Run
    clock: FakeClock = field(default_factory=FakeClock)
    journal: FakeJournal = field(default_factory=FakeJournal)

    @classmethod
    def open(
        cls,
        guidance: Guidance = "full",
        *,
        plan: Plan | None = None,
        estimate: float | None = None,
        language: str = "en",
        run_class: type[Run] = Run,
    ) -> Sink:
        """A run of the test plate, or of another plan, at its first step."""
        plan = plan or plan_of("plate")
        clock, journal = FakeClock(), FakeJournal()
        run = run_class.open(
            plan,
            run=RUN_ID,
            trainee="T-01",
            guidance=guidance,
            settings={},
            journal=journal,
            clock=clock,
            language=language,
            estimate=estimate,
        )
        return cls(plan, run, clock, journal)

    def restart(self, down: float = 0.0) -> None:
        """The program goes down and comes back after `down` seconds, with nothing but the record."""
        self.clock.pass_time(down)
        self.run = type(self.run).take_up(self.plan, RUN_ID, journal=self.journal, clock=self.clock)

    def settle(self) -> None:
        """Long enough after a prompt that the next act is taken."""
        self.clock.pass_time(0.5)

    def right(self) -> None:
        """The right act, after half a second."""
        self.settle()
        run, state = self.run, self.run.state
        match situation(self.plan, state, self.clock.now()):
            case "hazard":
                run.accept()
            case "reading":
                run.enter(self._reading())
            case "judge" | "quiz_one" | "quiz_several" | "quiz_order" | "quiz_number":
                self._answer()
            case "picking":
                run.pick(self._place(state.step))
            case "waiting":
                self.sit_out()
            case "dose_reading":
                run.enter("24")
            case "wait_unknown":
                run.pick(1)
            case "offer":
                run.leave_setting()
            case "sign_off":
                run.sign("I-1", RIGHT, "passed")
            case _:
                run.next()

    def sit_out(self) -> None:
        """Let a running wait come to its right moment, and end it."""
        wait = self.run.view().wait
        if wait is not None and wait.remaining is not None and wait.state == "running":
            self.clock.pass_time(wait.remaining)
        self.run.next()

    def until(self, step: str) -> Sink:
        """Right acts until `step` is shown (or the run is over)."""
        for _ in range(300):
            if self.run.view().step == step or self.run.state.closed:
                return self
            self.right()
        raise AssertionError(f"{step} was not reached in 300 acts")

    def to_end(self) -> Sink:
        """Right acts to the end."""
        return self.until("no step has this name")

    @property
    def events(self) -> tuple[Event, ...]:
        """What the record holds."""
        return self.journal.events(RUN_ID)

    def bodies(self, kind: type[B]) -> list[B]:
        """What the record holds of one kind."""
        return [event.body for event in self.events if isinstance(event.body, kind)]

    def kinds(self, since: int = 0) -> list[str]:
        """The kinds of the events after the first `since`."""
        return [event.body.kind for event in self.events[since:]]

    def _reading(self) -> str:
        step = self.plan.steps[self.run.state.step]
        right = self.plan.expression(step.id, "right")
        if right is not None:
            return str(right.number(Facts(self.run.state)))
        return str(step.reading.right) if step.reading else ""

    def _place(self, key: str) -> int:
        choice = self.run.view().choice
        keys = [option.key for option in choice.options] if choice else []
        return keys.index(key) + 1

    def _is_picked(self, key: str) -> bool:
        choice = self.run.view().choice
        return choice is not None and any(option.picked for option in choice.options if option.key == key)

    def _answer(self) -> None:
        step = self.plan.steps[self.run.state.step]
        if step.judge is not None:
            self.run.pick(self._place(step.judge.right))
        elif step.quiz is not None and step.quiz.number is not None:
            self.run.enter(answers.right_keys(step.quiz)[0])
        elif step.quiz is not None:
            self._pick_all(answers.right_keys(step.quiz), submit=step.quiz.choice is None)

    def _pick_all(self, keys: Iterable[str], *, submit: bool) -> None:
        for key in keys:
            if not self._is_picked(key):
                self.run.pick(self._place(key))
        if submit:
            self.run.next()
