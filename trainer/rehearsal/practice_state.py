"""Where fault practice stands: the fold of its events. Nothing is drawn here but from what they say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from trainer.bench.faults import CATALOGUE
from trainer.rehearsal.practice_view import Asks
from trainer.run.events import Event, QuizAnswered, RunClosed, RunOpened, Stamp, StepShown
from trainer.run.fault_events import PracticeMeasured, PracticePlate
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble


@frozen
class Named:
    """A fault that was asked about: the class answered, was that right, and was the remedy."""

    fault: str
    answer: str
    right: bool
    remedy: bool | None = None


@frozen
class PracticeState:
    """Where practice stands. asked_at: when the question at hand came."""

    trainee: str = ""
    seq: int = 0
    asked_at: Stamp | None = None
    plate: PracticePlate | None = None
    measured: tuple[str, ...] = ()
    named: tuple[Named, ...] = ()
    right: int = 0
    asked: int = 0
    closed: bool = False

    @property
    def left(self) -> tuple[str, ...]:
        """Hidden faults that were not asked about yet, by id."""
        hidden = self.plate.faults if self.plate is not None else ()
        told = {one.fault for one in self.named}
        return tuple(fault for fault in hidden if fault not in told)

    @property
    def asks(self) -> Asks:
        """What is asked for now."""
        if self.closed:
            return "closed"
        if self.named and self.named[-1].remedy is None:
            return "remedy"
        return "cause" if self.left else "next"


def fold(events: Iterable[Event]) -> PracticeState:
    """The state after these events. Raises JournalTrouble where they are not practice's."""
    state = PracticeState()
    for event in events:
        state = apply(state, event)
    return state


def apply(state: PracticeState, event: Event) -> PracticeState:
    """The state after one more event. Raises JournalTrouble where it does not follow."""
    if event.seq != state.seq + 1:
        raise JournalTrouble("An event of this practice is missing. Begin another practice.")
    asked = isinstance(event.body, StepShown | QuizAnswered)
    return replace(_after(state, event), seq=event.seq, asked_at=event.stamp if asked else state.asked_at)


def _after(state: PracticeState, event: Event) -> PracticeState:
    match event.body:
        case RunOpened(trainee=trainee):
            return replace(state, trainee=trainee)
        case PracticePlate() as plate:
            return replace(state, plate=plate, measured=(), named=())
        case PracticeMeasured(measure=measure):
            return replace(state, measured=(*state.measured, measure))
        case QuizAnswered(name="cause", answer=answer, right=right):
            fault = next((one for one in state.left if CATALOGUE[one].alike == event.step), "")
            named = (*state.named, Named(fault, answer[0], right))
            return replace(state, named=named, asked=state.asked + 1, right=state.right + right)
        case QuizAnswered(right=right) if state.named:
            named = (*state.named[:-1], replace(state.named[-1], remedy=right))
            return replace(state, named=named, asked=state.asked + 1, right=state.right + right)
        case RunClosed():
            return replace(state, closed=True)
    return state
