"""What a run needs from outside, as Protocols. The fakes are in `fakes`, the real ones in rooms above."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, Protocol

from trainer.procedure.text import one_line
from trainer.run.events import BenchReady, Event, PlateMade, Stamp, Value
from trainer.run.frozen import frozen


class Trouble(Exception):  # noqa: N818 - it is shown to people by this name
    """Something outside failed. `args[0]` is a sentence: what is wrong, where, what to do.

    It may name a path or quote a row of the database: it is safe to show, whatever was in them.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(one_line(sentence))


class JournalTrouble(Trouble):
    """The record could not be read or written; nothing of the refused append was kept."""


class LeaseLost(JournalTrouble):
    """Another terminal has taken up this run."""


class Clock(Protocol):
    """Wall time, boot id, and a clock that goes on while the machine sleeps."""

    def now(self) -> Stamp:
        """The present moment."""
        ...


class Journal(Protocol):
    """Where events are kept."""

    def append(self, events: Sequence[Event]) -> None:
        """Keep all of `events` (of one run, seq going on from what is kept), or none.

        They are durable when this returns. Raises JournalTrouble.
        """
        ...

    def events(self, run: str) -> Sequence[Event]:
        """All events of a run, in order. Raises JournalTrouble."""
        ...


@frozen
class BenchRefused:
    """Why a control cannot be operated: a sentence, and the control to see to first (empty: none)."""

    sentence: str
    control: str = ""


@frozen
class PinVerdict:
    """What a PIN check found. `wait`: seconds until another try is looked at."""

    verdict: Literal["right", "wrong_pin", "too_soon", "unknown"]
    wait: float = 0.0


class SignOff(Protocol):
    """Checks an instructor's PIN. Slow by design: call it off the screen's loop."""

    def check(self, instructor: str, pin: str) -> PinVerdict:
        """Look at one try, and record it."""
        ...


class Bench(Protocol):
    """The simulated bench of a rehearsal. Where it stands is the fold of the run's events, as the run is."""

    def made_ready(self) -> BenchReady:
        """What the record says of it, once, when the run is opened."""
        ...

    def follow(self, events: Sequence[Event]) -> None:
        """These events were kept."""
        ...

    def hinders(self, control: str, value: Value, now: Stamp) -> BenchRefused | None:
        """Why a control cannot be set to that now; None where it can."""
        ...

    def measures(self, now: Stamp) -> Mapping[str, Value]:
        """The plate's measures as they stand, by name; only those that there are."""
        ...

    def plate_made(self, now: Stamp, *, always: bool) -> PlateMade | None:
        """The plate with its sheet, where it was burned, treated or gummed since it was last told.

        always: also where anything else was done to it, since this is the end of it.
        """
        ...

    def counted(self, now: Stamp) -> float:
        """What the integrator shows, in units."""
        ...
