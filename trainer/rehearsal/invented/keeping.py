"""A record in memory whose ids are drawn from a seed: the same class again is the same to the byte."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from trainer.run.clock import to_ms
from trainer.run.events import Event
from trainer.run.frozen import replace
from trainer.run.ids import Ids
from trainer.run.ports import JournalTrouble


class Kept:
    """The events of one run (`run.ports.Journal`), each under an id of its own seed."""

    def __init__(self, drawn: Random) -> None:
        self._ids = Ids(bits=drawn.getrandbits)
        self._events: list[Event] = []

    def append(self, events: Sequence[Event]) -> None:
        """Keep `events`. Raises JournalTrouble where they do not follow."""
        for event in events:
            if event.seq != len(self._events) + 1:
                raise JournalTrouble(f"Event {event.seq} does not follow event {len(self._events)}.")
            self._events.append(replace(event, id=self._ids.new(to_ms(event.stamp.at))))

    def events(self, run: str) -> tuple[Event, ...]:
        """All of them."""
        del run
        return tuple(self._events)
