"""The run screen over the real run: a whole plate by keys alone, and no held key passes a prompt."""

from __future__ import annotations

from pathlib import Path

import pytest
from stage import PIN, Stage, press, settled, text
from stand_ins import ViewStation

from trainer.procedure.load import load
from trainer.run.events import Guidance, HazardAccepted, QuizAnswered, RunClosed
from trainer.run.fakes import FakeClock, FakeJournal, FakeSignOff
from trainer.run.session import Run
from trainer.run.situation import situation
from trainer.screens.widgets.countdown import Countdown
from trainer.screens.working import Working

PLATE = Path(__file__).parents[1] / "run" / "plate.yaml"
KEYS = {
    "picking": ["1", "2", "3", "4"],
    "hazard": ["a"],
    "judge": ["1"],
    "quiz_one": ["1"],
    "quiz_several": ["1", "3", "space"],
    "quiz_order": ["1", "2", "3", "space"],
    "quiz_number": ["4", "0", "space"],
    "reading": ["2", "2", "space"],
    "read-wedge": ["5", "space"],
    "sign_off": ["s", "i", "minus", "1", "enter", "1", *PIN, "enter"],
    "offer": ["l"],
}
"""Keys that go on from each situation; the first option is a right one wherever that matters here."""


class Bench:
    """A real run on a screen, with a clock that is told what time it is."""

    def __init__(self, guidance: Guidance = "full") -> None:
        self.clock, self.journal = FakeClock(), FakeJournal()
        self.plan = load(PLATE).require()
        self.run = Run.open(
            self.plan,
            run="run-1",
            trainee="T-01",
            guidance=guidance,
            settings={name: float(one.value) for name, one in self.plan.procedure.settings.items()},
            journal=self.journal,
            clock=self.clock,
        )
        station = ViewStation(FakeSignOff({"I-1": PIN}))
        self.screen = Working(station, self.run)  # type: ignore[arg-type] # as much of a station as is asked for
        self.stage = Stage(self.screen)

    @property
    def asks(self) -> str:
        """What the run asks for now."""
        return situation(self.plan, self.run.state, self.clock.now())

    def right_keys(self) -> list[str]:
        """Keys that go on from here: by the step, else by what is asked."""
        by_step = KEYS.get(self.run.state.step) if self.asks == "reading" else None
        return by_step or KEYS.get(self.asks, ["space"])

    def kinds(self) -> list[str]:
        """The kinds of events so far."""
        return [event.body.kind for event in self.journal.events("run-1")]


@pytest.mark.parametrize(
    "guidance", ["full", *(pytest.param(one, marks=pytest.mark.long) for one in ("cued", "solo"))]
)
async def test_a_whole_plate_by_keys_alone(guidance: Guidance) -> None:
    """Digits, Space, `a`, `s` and `l` bring a run from its first act to its end, at every guidance."""
    bench = Bench(guidance)
    async with bench.stage.run_test(size=(80, 24)) as pilot:
        for _ in range(300):
            if bench.run.state.closed:
                break
            bench.clock.pass_time(100 if bench.asks == "waiting" else 1)
            bench.screen.query_one(Countdown).tick()
            await settled(pilot)
            for key in bench.right_keys():
                bench.clock.pass_time(0.5)
                await press(pilot, key)
            await settled(pilot)
        assert bench.stage.results == ["closed"]
    closed = bench.journal.events("run-1")[-1].body
    assert isinstance(closed, RunClosed)
    assert closed.how == "done"


@pytest.mark.parametrize("key", ["space", "enter", "a", "1", "2"])
@pytest.mark.sweep(quick=2)
async def test_a_held_key_passes_no_prompt_and_answers_no_quiz(key: str) -> None:
    """A key that repeats 30 times a second for ten seconds accepts at most what it was pressed for."""
    bench = Bench()
    async with bench.stage.run_test(size=(80, 24)) as pilot:
        while bench.asks != "quiz_one":
            bench.clock.pass_time(100 if bench.asks == "waiting" else 1)
            for right in bench.right_keys():
                bench.clock.pass_time(0.5)
                await press(pilot, right)
            await settled(pilot)
            before = len(bench.journal.events("run-1"))
            step, asked = bench.run.state.step, bench.asks
            if asked in ("hazard", "quiz_one"):
                for _ in range(300):
                    bench.clock.pass_time(1 / 30)
                    bench.screen.action_pick(int(key)) if key.isdecimal() else bench.screen.action_act(
                        "accept" if key == "a" else "next"
                    )
                await settled(pilot)
                assert (bench.run.state.step, bench.asks) == (step, asked)
                taken = [event.body for event in bench.journal.events("run-1")[before:]]
                assert not any(isinstance(body, HazardAccepted | QuizAnswered) for body in taken)
                bench.clock.pass_time(1)


async def test_a_failing_record_loses_nothing_and_the_act_is_done_again() -> None:
    """When the record cannot be written the screen says so and stays; the next press does the act once."""
    bench = Bench()
    async with bench.stage.run_test(size=(80, 24)) as pilot:
        bench.clock.pass_time(1)
        bench.journal.fail()
        await pilot.press("space")
        assert "disk is full" in text(bench.stage)
        assert bench.run.state.step == "look-at-film"
        bench.clock.pass_time(1)
        await pilot.press("space")
        assert bench.run.state.step == "film-clean"
        assert bench.kinds().count("confirmed") == 1
