"""Many events quickly: an invented class worked once, and its runs copied under new ids, at other times."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import cycle
from pathlib import Path

from trainer.record.filling import Contents, fill
from trainer.rehearsal.invented.making import Class, make_class
from trainer.run.clock import from_ms, to_ms
from trainer.run.events import Event
from trainer.run.fakes import FakeClock
from trainer.run.ids import Ids


@cache
def worked() -> Class:
    """Some 6,000 events of 20 runs; the same each time."""
    return make_class(7, 20, rehearsals=False, plant=False, processes=1)


def copied(run: tuple[Event, ...], ids: Ids, shift_ms: int) -> tuple[Event, ...]:
    """A run under new ids, so much later."""
    begins = to_ms(run[0].stamp.at) + shift_ms
    name = ids.new(begins)
    return tuple(
        replace(
            event,
            run=name,
            id=ids.new(to_ms(event.stamp.at) + shift_ms),
            stamp=replace(event.stamp, at=from_ms(to_ms(event.stamp.at) + shift_ms)),
        )
        for event in run
    )


def runs_of(events: int, shift_ms: int = 0) -> Iterator[tuple[Event, ...]]:
    """Whole runs until there are so many events; the last one may be more."""
    ids = Ids()
    made = 0
    for run in cycle(worked().runs):
        if made >= events:
            return
        one = copied(run, ids, shift_ms)
        made += len(one)
        yield one


def record_of(path: Path, events: int, shift_ms: int = 0) -> int:
    """A record with so many events, chains and tables and all; how many there are."""
    contents = Contents(runs_of(events, shift_ms), worked().sources, ("I-1", "I-2"), {})
    return fill(path, FakeClock(), contents).events
