"""The events of one act while they are made: each is folded at once, so that the next one sees its effect."""

from __future__ import annotations

from trainer.procedure.plan import ENDS, Plan
from trainer.run.clock import to_ms
from trainer.run.events import Body, Event, PlateMade, Stamp
from trainer.run.facts import Facts
from trainer.run.fold import apply
from trainer.run.ids import Ids
from trainer.run.ports import Bench
from trainer.run.state import State


class Batch:
    """Events of one moment, and the state that they come to. Nothing of it counts until it is kept."""

    def __init__(  # noqa: PLR0913, PLR0917 - what an act is made from, each its own
        self, plan: Plan, run: str, stamp: Stamp, ids: Ids, state: State | None, bench: Bench | None = None
    ) -> None:
        """Begin after `state`; None before the first event of a run. `bench`: of a rehearsal."""
        self.plan = plan
        self.bench = bench
        self.stamp = stamp
        self.events: list[Event] = []
        self._run = run
        self._ids = ids
        self._state = state

    @property
    def state(self) -> State:
        """The state after the last event."""
        if self._state is None:
            raise LookupError("a run has no state before its first event")
        return self._state

    def add(self, body: Body) -> State:
        """One more event, at the step at hand; the state after it."""
        event = self._event(body)
        self._state = apply(self.plan, self._state, event)
        self.events.append(event)
        return self._state

    def facts(self, state: State | None = None) -> Facts:
        """What formulas may ask of the run as it stands, or as it would with `state`."""
        bench, stamp = self.bench, self.stamp
        asked = None if bench is None else lambda: bench.measures(stamp)
        return Facts(state or self.state, asked)

    def tell_plate(self, *, always: bool = False) -> None:
        """In a rehearsal, say once what has become of the plate since that was last said."""
        made = None if self.bench is None else self.bench.plate_made(self.stamp, always=always)
        if made is not None and not any(isinstance(event.body, PlateMade) for event in self.events):
            self.add(made)

    def tried(self, body: Body) -> State:
        """The state that one more event would come to. Nothing of it is kept."""
        return apply(self.plan, self._state, self._event(body))

    def _event(self, body: Body) -> Event:
        return Event(
            id=self._ids.new(to_ms(self.stamp.at)),
            run=self._run,
            seq=1 if self._state is None else self._state.seq + 1,
            stamp=self.stamp,
            step=None if self._state is None or self._state.step in ENDS else self._state.step,
            body=body,
        )
