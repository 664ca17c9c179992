"""A rehearsal in lines of text: how a control is set is said in words, `pump on` or `units 24`."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from trainer.rehearsal import hands
from trainer.run.measured import unit_words
from trainer.run.ports import Trouble
from trainer.run.view import RunView
from trainer.screens import plain_words
from trainer.screens.bench_typed import command_of, control_of, help_lines, number, position
from trainer.screens.lines import Lines
from trainer.screens.plain import TICK, PlainRun
from trainer.tongue import marked, spoken

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView, ControlView
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.screens.station import Station

RINGS = {"light_out": marked("The light has gone out."), "zero": marked("The needle stands at zero.")}


class PlainRehearsal(PlainRun):
    """A rehearsal, in lines."""

    go_on = "sinkside run --rehearsal --plain"

    def __init__(
        self,
        station: Station,
        rehearsal: Rehearsal,
        lines: Lines,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        super().__init__(station, rehearsal.run, lines, sleep)
        self._rehearsal = rehearsal
        self._shown: tuple[object, ...] = ()
        self._step_said: tuple[str, ...] = ()

    def _show(self, view: RunView) -> None:
        """Say what is new: the step, its controls, what the bench shows. The same step is not said again."""
        bench = self._rehearsal.bench()
        lines = plain_words.say(view, by_hand=bench.starts)
        news = (lines, bench.controls, bench.notice, bench.idle)
        if news == self._shown:
            return
        self._shown = news
        step = () if lines == self._step_said else lines[:-1]
        self._step_said = lines
        seen = self._rehearsal.described() if self._looks(view) else ()
        for line in (*step, *bench_lines(bench, view), *(f"  {one}" for one in seen), lines[-1]):
            self._lines.say(line)

    def view(self) -> RunView:
        """The run as it stands: the bench's instruments show the procedure's own units."""
        return self._run.view()

    def _looks(self, view: RunView) -> bool:
        """Is something asked that is seen at the bench?"""
        step = self._run.plan.steps.get(view.step)
        return step is not None and (step.judge is not None or step.reading is not None)

    def _next_line(self) -> str:
        """The next line; meanwhile the bench goes on, and rings."""
        while True:
            line = self._lines.read(TICK if self._rehearsal.bench().busy else None)
            if line is not None:
                self._say_rings()
                return line
            self._say_rings()

    def _say_rings(self) -> None:
        for ring in self._tick():
            self._lines.say(spoken(RINGS.get(ring, "")) or plain_words.ring(self._run.view(), ring))

    def _ticks(self) -> tuple[str, ...]:
        return self._rehearsal.tick()

    def _take(self, line: str) -> None:
        """A line for the bench, else one for the run."""
        command, rest = command_of(line)
        match command:
            case "bench":
                self._say_bench()
            case "look":
                for seen in self._rehearsal.described() or (spoken("There is nothing to see yet."),):
                    self._lines.say(f"  {seen}")
            case "wait":
                self._wait(rest)
            case "speed":
                self._attempt(lambda: self._rehearsal.set_speed(number(rest)))
            case "let":
                self._attempt(self._rehearsal.let_go)
            case _:
                self._operate(line)

    def _operate(self, line: str) -> None:
        """A line that sets a control, else one for the run; the help has the bench's words too."""
        found = control_of(line, self._rehearsal.bench()) if len(line) > 1 else None
        if found is not None:
            self._set(*found)
            return
        super()._take(line)
        if plain_words.asks_for_help(line):
            self._lines.say(spoken("And at the bench:"))
            for row in help_lines():
                self._lines.say(f"  {row}")

    def _set(self, control: ControlView, said: str) -> None:
        """A control to its position; the clock that it starts runs also where the line was typed ahead."""
        too_soon = 0.0

        def act() -> None:
            nonlocal too_soon
            too_soon = hands.operate(self._rehearsal, control.name, position(control, said))

        if self._attempt(act) and too_soon:
            self._sleep(too_soon)
            self._attempt(self._run.next)

    def _close(self, view: RunView) -> None:
        """What the plate shows and which act made it so, then the summary of the run."""
        from trainer.rehearsal import after  # it makes plates anew: only at the end of a rehearsal

        raw = self._rehearsal.work().stage == "raw"
        good = view.plate == 1 if raw else self._say_verdict(view)
        if not good:
            self._lines.say(spoken("Finding out what made it so: a few seconds."))
        try:
            said = after.told(self._rehearsal, self._station.journal.events(view.run))
        except Trouble as told:
            self._lines.say(f"! {told}")
        else:
            for row in said.lines:
                self._lines.say(row)
        super()._close(view)

    def _say_verdict(self, view: RunView) -> bool:
        """Is the plate good, and what is not good about it?"""
        from trainer.rehearsal.measure_words import measured

        sheet = self._rehearsal.sheet()
        self._lines.say(
            spoken("Plate {number} would be good to print from.", number=view.plate)
            if sheet.passes
            else spoken("Plate {number} would not be good to print from.", number=view.plate)
        )
        for line in (measured(one) for one in sheet.lines if one.ok is False):
            bad = spoken("Not good: {measure}, {value}", measure=line.label, value=line.shown)
            self._lines.say(f"  {bad} " + spoken("(wanted: {wanted})", wanted=line.wanted))
        return sheet.passes

    def _wait(self, rest: str) -> None:
        if not rest.strip():
            gone = self._rehearsal.to_the_end()
            went = spoken("{seconds} s went by.", seconds=f"{gone:.0f}")
            self._lines.say(went if gone else spoken("There is nothing to wait for."))
        else:
            self._attempt(lambda: self._rehearsal.pass_time(number(rest)))
        self._say_rings()
        for row in instruments(self._rehearsal.bench()):
            self._lines.say(row)

    def _say_bench(self) -> None:
        bench = self._rehearsal.bench()
        for control in (*bench.controls, *bench.others):
            self._lines.say(f"  {control_line(control)}")
        for row in instruments(bench):
            self._lines.say(row)


def bench_lines(bench: BenchView, view: RunView) -> list[str]:
    """The controls of the step and what the bench shows."""
    if view.hazard or view.answer or view.picking_next:
        return []
    lines = [f"! {said}" for said in (bench.notice, bench.idle) if said]
    if bench.controls:
        lines.append(spoken("At the bench, by name and where to:"))
        lines += [f"  {control_line(control)}" for control in bench.controls]
    return [*lines, *instruments(bench)]


def control_line(control: ControlView) -> str:
    """A control in a line: `pump (off, on): off`."""
    takes = ", ".join(option.label for option in control.options)
    if control.kind == "number":
        takes = spoken(
            "{least} to {most} {unit}",
            least=f"{control.least:g}",
            most=f"{control.most:g}",
            unit=unit_words(control.unit),
        )
    stands = control.done or control.shown
    goes_on = spoken(", goes on") if control.going else ""
    return f"{control.label.lower()} ({takes}): {stands}{goes_on}"


def instruments(bench: BenchView) -> list[str]:
    """What is lit, and what is seen."""
    lit = [f"  {gauge.label}: {gauge.shown}" for gauge in bench.gauges if gauge.lit]
    return [*lit, *(f"  {sign}" for sign in bench.signs)]
