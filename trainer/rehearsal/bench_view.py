"""What a rehearsal shows of its bench, as plain frozen data: every front end draws only this."""

from __future__ import annotations

from typing import Literal

from trainer.run.frozen import frozen

Busy = Literal["", "wait", "light", "gauge", "hand"]
"""What is waited for, if anything: the run's wait, the light, the gauge, something held."""


@frozen
class Choice:
    """One of the words of a control."""

    key: str
    label: str


@frozen
class ControlView:
    """A control of the bench. Where it stands is shown, where it ought to stand never is.

    held: done for as long as it is kept up; going: kept up now; done: in words, how much of it is done.
    touched: operated since this step was shown.
    """

    name: str
    label: str
    doc: str
    kind: Literal["switch", "choice", "number"]
    value: str | float
    shown: str
    options: tuple[Choice, ...] = ()
    unit: str = ""
    least: float = 0.0
    most: float = 0.0
    held: bool = False
    touched: bool = False
    going: bool = False
    done: str = ""


@frozen
class Gauge:
    """An instrument. lit: it has something to show."""

    name: str
    label: str
    value: float
    unit: str
    least: float
    most: float
    shown: str
    lit: bool = True


@frozen
class BenchView:
    """The bench at a moment.

    controls: those of the step at hand; others: all the rest. signs: what is seen and no picture shows.
    notice: one sentence that is news. seconds: bench time since the rehearsal began. speed: how fast it
    goes while something is waited for. shown: what lies before the trainee. starts: the clock of the step's
    wait starts with one of its controls. idle: a sentence where it runs, and what it runs for is not done.
    """

    controls: tuple[ControlView, ...]
    others: tuple[ControlView, ...]
    gauges: tuple[Gauge, ...]
    signs: tuple[str, ...]
    notice: str
    seconds: float
    speed: float
    busy: Busy
    stage: Literal["raw", "exposed", "developed", "gummed"]
    shown: Literal["film", "plate"]
    starts: bool = False
    idle: str = ""
