"""A whole plate of the two-burn procedure done right in Spanish, without a screen: all that is shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.run.answers import options, right_keys
from trainer.run.events import Guidance
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import PinVerdict
from trainer.run.session import Run
from trainer.run.situation import situation
from trainer.run.view import RunView

Some = TypeVar("Some")
PLAN: Plan = load(places.procedures_dir() / "negative-plate-two-burns.yaml").require()


class Spanish:
    """A wet run in Spanish, over a clock and a journal of its own."""

    def __init__(self, guidance: Guidance = "full") -> None:
        self.clock, self.journal = FakeClock(), FakeJournal()
        self.run = Run.open(
            PLAN,
            run="run-1",
            trainee="T-01",
            guidance=guidance,
            settings={},
            journal=self.journal,
            clock=self.clock,
            job="Tarjeta",
            colour="negro",
            language="es",
        )

    @property
    def asks(self) -> str:
        """What the run asks for now."""
        return situation(PLAN, self.run.state, self.clock.now())

    def typed(self) -> list[str]:
        """What is typed at a row of lines to do the right thing; an empty line is the primary act."""
        step = PLAN.steps.get(self.run.state.step)
        if self.asks == "hazard":
            return ["a"]
        if self.asks == "picking" and self.run.state.offer:
            return [str(self.run.state.offer.steps.index(self.run.state.offer.right) + 1)]
        if self.asks == "sign_off":
            return ["s", "I-1", "1", "271828"]
        if step and step.judge and self.asks == "judge":
            return [str(list(step.judge.answers).index(step.judge.right) + 1)]
        if step and step.reading and self.asks == "reading":
            formula = PLAN.expression(step.id, "right")
            return [f"{formula.number(self.run.facts()) if formula else float(str(step.reading.right)):g}"]
        if step and step.quiz and self.asks.startswith("quiz"):
            if step.quiz.number:
                return [right_keys(step.quiz)[0]]
            shown = list(options(step.quiz, self.run.state.run))
            places_of = [str(shown.index(one) + 1) for one in right_keys(step.quiz)]
            return places_of if step.quiz.choice else [*places_of, ""]
        return [""]

    def wait_over(self) -> None:
        """Let the time go by that is right for the wait at hand."""
        wait = self.run.state.wait
        if wait is not None and self.asks == "waiting":
            amounts = wait.amounts
            self.clock.pass_time((amounts.seconds or amounts.at_least or 30) + 1)

    def views(self) -> Iterator[RunView]:
        """Every moment of the run, to its end."""
        while not self.run.state.closed:
            yield self.run.view()
            self.clock.pass_time(1)
            if self.asks == "waiting":
                self.wait_over()
                yield self.run.view()
            for line in self.typed()[:1] if self.asks == "sign_off" else self.typed():
                self._act(line)
                yield self.run.view()
                self.clock.pass_time(1)

    def _act(self, line: str) -> None:
        acts: dict[str, Callable[[], object]] = {"a": self.run.accept, "": self.run.next}
        if line == "s":
            self.run.sign("I-1", PinVerdict("right"), "passed")
        elif line in acts:
            acts[line]()
        elif self.asks in ("reading", "quiz_number"):
            self.run.enter(line)
        else:
            self.run.pick(int(line))
