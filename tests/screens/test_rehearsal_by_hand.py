"""A whole rehearsal of the two-burn procedure by keys alone: every act by hand, in ten minutes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest
from stage import Stage, press, settled
from stand_ins import ViewStation
from textual.pilot import Pilot

from trainer import places
from trainer.procedure.load import load
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walker import Walker
from trainer.run.acts import seen
from trainer.run.answers import options, right_keys
from trainer.run.clock import to_ms
from trainer.run.events import PlateMade, RunClosed
from trainer.run.fakes import FakeSignOff
from trainer.screens.rehearsing import Rehearsing

A_PRESS = 2.0
"""Seconds from one press to the next of somebody who knows the work and reads each act: from memory."""
NO_HANDS = ("hazard", "waiting", "answer", "worked", "offer", "offer_idle")
TEN_MINUTES = 600.0


@dataclass
class Hands:
    """Does what is right at each moment, by the keys that a trainee has."""

    walker: Walker
    screen: Rehearsing
    pilot: Pilot[Any]

    async def key(self, *names: str) -> None:
        """Press keys, with a person's time between them."""
        for name in names:
            self.walker.clock.pass_time(A_PRESS)
            self.screen.time_goes_by()
            await press(self.pilot, name)

    async def go_on(self) -> None:
        """One moment of the run: the controls, then what is asked."""
        asks = self.walker.asks
        if asks not in NO_HANDS:
            for name, value in self.walker.plan.steps[self.walker.run.state.step].bench.items():
                formula = self.walker.plan.expression(self.walker.run.state.step, f"bench.{name}")
                right = value if formula is None else formula.value(self.walker.run.facts())
                await self.operate(name, right)
        await self.answer(self.walker.asks)  # rubbing starts a clock

    async def operate(self, name: str, right: object) -> None:
        """Go to a control and put it where it belongs, waiting where the bench makes one wait."""
        for _ in range(4):
            await self.find(name)
            control = self.screen.control
            assert control is not None
            if control.value == right and not (control.held and not control.going):
                return
            if control.kind == "number":
                await self.type(float(str(right)))
            else:
                keys = [option.key for option in control.options]
                await self.key(str(keys.index(str(right)) + 1))
            control = self.screen.control
            if self.screen.bench.busy and (control is None or control.value != right):
                await self.key("e")

    async def find(self, name: str) -> None:
        """Mark a control."""
        for _ in range(40):
            if self.screen.at == name:
                return
            await self.key("c")
        raise AssertionError(f"{name} cannot be reached at {self.walker.run.state.step}")

    async def type(self, number: float) -> None:
        """Type a number, and enter it."""
        names = {".": "full_stop", "-": "minus"}
        await self.key(*(names.get(sign, sign) for sign in f"{number:.5g}"), "space")

    async def answer(self, asks: str) -> None:
        """What is asked now."""
        plan, run = self.walker.plan, self.walker.run
        step = plan.steps[run.state.step]
        if self.screen.control is not None and asks in ("reading", "judge"):
            while self.screen.control is not None:
                await self.key("c")
        if asks == "hazard":
            await self.key("a")
        elif asks == "waiting":
            await self.key("e", "space")
        elif asks == "reading" and step.reading:
            formula = plan.expression(step.id, "right")
            await self.type(formula.number(run.facts()) if formula else float(str(step.reading.right)))
        elif asks == "judge" and step.judge:
            await self.key(str(list(step.judge.answers).index(seen(plan, step.id, run.facts())) + 1))
        elif asks == "quiz_number" and step.quiz:
            await self.type(float(str(step.quiz.right)))
        elif asks.startswith("quiz") and step.quiz:
            shown = list(options(step.quiz, run.state.run))
            picks = [str(shown.index(right) + 1) for right in right_keys(step.quiz)]
            await self.key(*picks, *(["space"] if step.quiz.choice is None else []))
        elif asks == "offer":
            await self.key("l")
        else:
            await self.key("space")


@pytest.mark.long
async def test_a_whole_plate_by_hand() -> None:
    """Keys alone make a plate that passes; with time at 5x, and to the end of waits, in ten minutes."""
    plan = load(places.procedures_dir() / "negative-plate-two-burns.yaml").require()
    settings = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    walker = Walker.start(Walk("by-hand", plan.procedure.id, rehearsal=True), plan, settings)
    began = to_ms(walker.clock.now().at)
    assert walker.rehearsal is not None
    station: Any = ViewStation(FakeSignOff({}))
    screen = Rehearsing(station, walker.rehearsal)
    stage = Stage(screen)
    async with stage.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        hands = Hands(walker, screen, pilot)
        await hands.key("f")
        for _ in range(400):
            if walker.run.state.closed:
                break
            await hands.go_on()
        await settled(pilot)
        assert stage.results == ["closed"]
    bodies = [event.body for event in walker.events]
    assert isinstance(bodies[-1], RunClosed)
    assert bodies[-1].how == "done"
    last = [body for body in bodies if isinstance(body, PlateMade)][-1]
    assert last.passes
    assert walker.run.state.plate == 1
    assert (to_ms(walker.clock.now().at) - began) / 1000 <= TEN_MINUTES
