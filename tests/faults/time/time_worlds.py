"""Worlds in which clocks misbehave, and what a wait may say in them.

A world knows the true time. Its clocks are the system's own as the program reads them: a wall clock that
anybody may set, a count that goes on in a suspend, one that does not, a boot id. The program's real
`SystemClock` reads them, so nothing between the kernel's answers and the screen is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from unittest.mock import patch

from run_kit import RUN_ID, Sink, plan_of

from trainer.run import clock
from trainer.run import events as ev
from trainer.run.events import Stamp
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.fold import fold
from trainer.run.session import Run

WAITS = ("let-it-draw", "expose", "let-it-soften")
"""A countdown, a dose and a window of the test plate."""
TOLERANCE = 0.005
"""Seconds: clocks are read in whole milliseconds."""
TICK = 0.25
BOOTTIME = 7
SPRING = clock.to_ms("2026-03-29T00:59:30.000Z")
"""Half a minute before summer time begins in most of Europe (Directive 2000/84/EC: 01:00 UTC)."""


class World(FakeClock):
    """The true time, and clocks that may not tell it.

    counts_sleep: there is a count that goes on in a suspend, as on Linux.
    """

    def __init__(self, boot_file: Path, *, counts_sleep: bool = True, begins_ms: int = SPRING) -> None:
        super().__init__()
        self.counts_sleep = counts_sleep
        self.true_ms = 0
        self._wall_offset_ms = begins_ms
        self._booted_ms = -3_600_000
        self._asleep_ms = 0
        self._frozen_ms = 0
        self._boot_file = boot_file
        self.clock_class: type[clock.SystemClock] = clock.SystemClock
        self.doubtful = False
        """Whether a wait may say that its time is unknown."""
        self._touched = False
        self._name_boot()

    # The clocks as the kernel has them

    def time_ns(self) -> int:
        """The wall clock."""
        return (self.true_ms + self._wall_offset_ms) * 1_000_000

    def monotonic_ns(self) -> int:
        """The count that stands still in a suspend."""
        return (self.true_ms - self._booted_ms - self._asleep_ms - self._frozen_ms) * 1_000_000

    def clock_gettime_ns(self, which: int) -> int:
        """The count that goes on in a suspend."""
        assert which == BOOTTIME
        return (self.true_ms - self._booted_ms - self._frozen_ms) * 1_000_000

    @contextmanager
    def real(self) -> Iterator[None]:
        """Inside, the program's clock reads this world."""
        names = {"time_ns": self.time_ns, "monotonic_ns": self.monotonic_ns}
        if self.counts_sleep:
            kernel = SimpleNamespace(**names, clock_gettime_ns=self.clock_gettime_ns, CLOCK_BOOTTIME=BOOTTIME)
        else:
            kernel = SimpleNamespace(**names)
        with patch.object(clock, "time", kernel), patch.object(clock, "_BOOT_ID", self._boot_file):
            self.start_program()
            yield

    def start_program(self) -> None:
        """A program that starts has a clock of its own."""
        self._program = self.clock_class()

    def now(self) -> Stamp:
        """What the program's clock says."""
        return self._program.now()

    # What happens in the world

    def pass_time(self, seconds: float) -> None:
        """Time goes by."""
        self.true_ms += round(seconds * 1000)

    def jump_wall(self, seconds: float) -> None:
        """Somebody sets the wall clock."""
        self._wall_offset_ms += round(seconds * 1000)
        self._touched = True
        # Where no count goes on in a suspend, a wall clock set forward cannot be told from one.
        self.doubtful |= not self.counts_sleep and seconds > 0

    def suspend(self, seconds: float) -> None:
        """The lid is closed for a while."""
        self.pass_time(seconds)
        self._asleep_ms += round(seconds * 1000)
        self.doubtful |= not self.counts_sleep

    def freeze(self, seconds: float) -> None:
        """The whole machine is held (a virtual one): no count sees it, the wall clock is put right after."""
        self.pass_time(seconds)
        self._frozen_ms += round(seconds * 1000)
        self._touched = True

    def reboot(self, down_seconds: float = 60.0) -> None:
        """The machine starts again."""
        self.pass_time(down_seconds)
        self._booted_ms = self.true_ms - 10_000
        self._asleep_ms = self._frozen_ms = 0
        self._boots += 1
        self._name_boot()
        self.doubtful = True

    def restarted(self) -> None:
        """A program was started again: clocks that were touched since may be disbelieved."""
        self.start_program()
        self.doubtful |= self._touched or not self.counts_sleep

    def _name_boot(self) -> None:
        if self.counts_sleep:
            self._boot_file.write_text(f"boot-{self._boots}\n", encoding="ascii")
        else:
            self._boot_file.unlink(missing_ok=True)


@dataclass(frozen=True)
class Attack:
    """One thing that happens in the middle of a wait."""

    does: str
    seconds: float = 0.0

    def __repr__(self) -> str:
        return f"{self.does}({self.seconds:g})"


class Wait:
    """A run in the middle of one wait of the test plate, in a world; `check` is the oracle."""

    def __init__(self, world: World, step: str, run_class: type[Run] = Run) -> None:
        self.world = world
        self.step = step
        journal = FakeJournal()
        plan = plan_of("plate")
        run = run_class.open(
            plan, run=RUN_ID, trainee="T-01", guidance="full", settings={}, journal=journal, clock=world
        )
        self.sink = Sink(plan, run, world, journal).until(step)
        self.sink.right()  # begins the wait
        self.begun_ms = world.true_ms
        self.unwatched = 0.0

    @property
    def truth(self) -> float:
        """Seconds that the wait has really been."""
        return (self.world.true_ms - self.begun_ms) / 1000

    def suffer(self, attack: Attack) -> None:
        """Let it happen, then look at what the wait says."""
        match attack.does:
            case "watched":
                for _ in range(round(attack.seconds / TICK)):
                    self.world.pass_time(TICK)
                    self.sink.run.tick()
            case "stopped":  # a process that is stopped: time goes by, and no tick is seen
                self.world.pass_time(attack.seconds)
            case "wall":
                self.world.jump_wall(attack.seconds)
            case "suspend":
                self.world.suspend(attack.seconds)
            case "restart":
                self._down(lambda: self.world.pass_time(attack.seconds))
            case "reboot":
                self._down(lambda: self.world.reboot(attack.seconds))
            case "freeze":
                self._down(lambda: self.world.freeze(attack.seconds))
            case other:
                raise AssertionError(f"no such attack: {other}")
        self.sink.run.tick()
        self.check()

    def _down(self, happens: Callable[[], None]) -> None:
        """The program is down while it happens, and comes back with nothing but the record."""
        before = self.world.true_ms
        happens()
        self.unwatched += (self.world.true_ms - before) / 1000
        self.world.restarted()
        self.sink.restart()

    def check(self) -> None:
        """The wait goes on, and says the truth or that nobody knows."""
        state = self.sink.run.state
        assert (state.step, state.phase) == (self.step, "waiting"), "the wait ended by itself"
        wait = self.sink.run.view().wait
        assert wait is not None
        if wait.state == "unknown":
            assert self.world.doubtful, "the time is called unknown without a reason"
            assert (wait.elapsed, wait.remaining) == (None, None)
            return
        assert wait.elapsed is not None
        assert wait.elapsed >= 0, "the time is less than nothing"
        assert abs(wait.elapsed - self.truth) <= TOLERANCE, (
            f"the wait is shown as {wait.elapsed} s and has been {self.truth} s"
        )
        assert wait.unwatched >= self.unwatched - TOLERANCE, "nobody was watching for longer than is shown"
        self._check_goal(wait.remaining, wait.state)

    def _check_goal(self, remaining: float | None, shown: str) -> None:
        goal = {"let-it-draw": 90.0, "let-it-soften": 30.0}.get(self.step)
        if goal is None:
            assert remaining is None
            return
        if abs(self.truth - goal) > TOLERANCE:
            assert (shown == "running") is (self.truth < goal), f"shown as {shown} after {self.truth} s"
        if shown == "running":
            assert remaining is not None
            assert abs(remaining - (goal - self.truth)) <= TOLERANCE

    def go_on(self) -> None:
        """The run goes on to its end, and its record is in order."""
        self._end_wait()
        self.sink.to_end()
        assert self.sink.run.state.closed == "done"
        events = self.sink.events
        assert [event.seq for event in events] == list(range(1, len(events) + 1))
        assert [event.id for event in events] == sorted(event.id for event in events), "ids do not rise"
        assert fold(self.sink.plan, events) == self.sink.run.state
        for body in self.sink.bodies(ev.WaitEnded):
            assert (body.seconds or 0) >= 0
            assert body.unwatched >= 0
        for accepted in self.sink.bodies(ev.HazardAccepted):
            assert accepted.seconds >= 0

    def _end_wait(self) -> None:
        """End it as a trainee would; the seconds that are kept are the true ones, or none."""
        before = len(self.sink.bodies(ev.WaitEnded))
        for _ in range(5):
            self.sink.right()
            ended = self.sink.bodies(ev.WaitEnded)[before:]
            if ended:
                break
        (body,) = ended
        if body.seconds is not None:
            assert abs(body.seconds - self.truth) <= TOLERANCE, (
                f"the record says {body.seconds} s where it was {self.truth} s"
            )
        else:
            assert self.world.doubtful
