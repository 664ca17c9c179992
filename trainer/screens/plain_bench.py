"""A rehearsal in lines of text: how a control is set is said in words, `pump on` or `units 24`."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from trainer.run.ports import Trouble
from trainer.run.refusals import Refused
from trainer.run.view import RunView
from trainer.screens import plain_words
from trainer.screens.lines import Lines
from trainer.screens.plain import TICK, PlainRun

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView, ControlView
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.screens.station import Station

RINGS = {"light_out": "The light has gone out.", "zero": "The needle stands at zero."}
WORDS = (
    "pump on            set a control: its name, then where to",
    "units 24           set a control that takes a number",
    "let go             hands off what is only done while it is kept up",
    "wait               straight to the end of what goes on",
    "wait 30            let 30 seconds go by",
    "speed 5            let time go five times as fast in waits; speed 1 as it is",
    "look               what is to be seen on the film or the plate",
    "bench              all controls, where they stand, and what the instruments show",
)
"""What a rehearsal takes beside the words of every run."""


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

    def _show(self, view: RunView) -> None:
        """Say what is new: the step, its controls, what the bench shows."""
        bench = self._rehearsal.bench()
        news = (plain_words.say(view), bench.controls, bench.notice)
        if news == self._shown:
            return
        self._shown = news
        lines = plain_words.say(view)
        seen = self._rehearsal.described() if self._looks(view) else ()
        for line in (*lines[:-1], *bench_lines(bench, view), *(f"  {one}" for one in seen), lines[-1]):
            self._lines.say(line)

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
            self._lines.say(RINGS.get(ring) or plain_words.ring(self._run.view(), ring))

    def _ticks(self) -> tuple[str, ...]:
        return self._rehearsal.tick()

    def _take(self, line: str) -> None:
        """A line for the bench, else one for the run."""
        word, _, rest = line.partition(" ")
        match word.lower():
            case "bench":
                self._say_bench()
            case "look":
                for seen in self._rehearsal.described() or ("There is nothing to see yet.",):
                    self._lines.say(f"  {seen}")
            case "wait":
                self._wait(rest)
            case "speed":
                self._attempt(lambda: self._rehearsal.set_speed(number(rest)))
            case "let" | "let-go":
                self._attempt(self._rehearsal.let_go)
            case "h" | "help":
                super()._take(line)
                self._lines.say("And at the bench:")
                for row in WORDS:
                    self._lines.say(f"  {row}")
            case _:
                found = control_of(line, self._rehearsal.bench()) if len(line) > 1 else None
                if found is None:
                    super()._take(line)
                else:
                    control, said = found
                    self._attempt(lambda: self._rehearsal.set(control.name, position(control, said)))

    def _close(self, view: RunView) -> None:
        """What the plate shows and which act made it so, then the summary of the run."""
        from trainer.rehearsal import after  # it makes plates anew: only at the end of a rehearsal
        from trainer.rehearsal.measure_words import measured

        if self._rehearsal.work().stage != "raw":
            sheet = self._rehearsal.sheet()
            verdict = "would be good" if sheet.passes else "would not be good"
            self._lines.say(f"Plate {view.plate} {verdict} to print from.")
            for line in (measured(one) for one in sheet.lines if one.ok is False):
                self._lines.say(f"  Not good: {line.label}, {line.shown} (wanted: {line.wanted})")
        try:
            said = after.told(self._rehearsal, self._station.journal.events(view.run))
        except Trouble as told:
            self._lines.say(f"! {told}")
        else:
            for row in said.lines:
                self._lines.say(row)
        super()._close(view)

    def _wait(self, rest: str) -> None:
        if not rest.strip():
            gone = self._rehearsal.to_the_end()
            self._lines.say(f"{gone:.0f} s went by." if gone else "There is nothing to wait for.")
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
    lines = [f"! {bench.notice}"] if bench.notice else []
    if bench.controls:
        lines.append("At the bench, by name and where to:")
        lines += [f"  {control_line(control)}" for control in bench.controls]
    return [*lines, *instruments(bench)]


def control_line(control: ControlView) -> str:
    """A control in a line: `pump (off, on): off`."""
    takes = ", ".join(option.label for option in control.options)
    if control.kind == "number":
        takes = f"{control.least:g} to {control.most:g} {control.unit}"
    stands = control.done or control.shown
    return f"{control.label.lower()} ({takes}): {stands}{', goes on' if control.going else ''}"


def instruments(bench: BenchView) -> list[str]:
    """What is lit, and what is seen."""
    lit = [f"  {gauge.label}: {gauge.shown}" for gauge in bench.gauges if gauge.lit]
    return [*lit, *(f"  {sign}" for sign in bench.signs)]


def control_of(line: str, bench: BenchView) -> tuple[ControlView, str] | None:
    """The control that a line begins with, and the rest of the line; of two that fit, the longer name."""
    said = " ".join(line.lower().replace("_", " ").replace("=", " ").split())
    fitting = [
        control
        for control in (*bench.controls, *bench.others)
        if said == control.label.lower() or said.startswith(f"{control.label.lower()} ")
    ]
    if not fitting:
        return None
    control = max(fitting, key=lambda one: len(one.label))
    return control, said[len(control.label) :].strip()


def position(control: ControlView, said: str) -> str | float:
    """What a control is to be set to. Raises Refused where that cannot be told."""
    if control.kind == "number":
        return number(said.removesuffix(control.unit.lower()))
    wanted = said.replace("-", " ")
    for option in control.options:
        if wanted in (option.label.lower(), option.key):
            return option.key
    takes = ", ".join(option.label for option in control.options)
    raise Refused(
        f"{control.label} takes: {takes}. Type for instance: {control.label.lower()} {takes.split(', ')[-1]}"
    )


def number(said: str) -> float:
    """A number as it was typed. Raises Refused."""
    from trainer.run import answers

    return answers.number(said.strip())
