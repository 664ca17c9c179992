"""A run that was recorded under a mistyped code, read as if the right one had been typed.

Only runs of one pair of hands are put right so, once they are closed: all of such a run is one trainee's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from trainer.run import events as ev
from trainer.run.events import Event


def put_right(events: Iterable[Event]) -> tuple[Event, ...]:
    """The same events, under the code that an instructor said last; as they are where none did."""
    kept = tuple(events)
    said = [event.body for event in kept if isinstance(event.body, ev.CodeMistyped)]
    if not said:
        return kept
    wrong, right = {body.from_ for body in said}, said[-1].to
    return tuple(_under(event, wrong, right) for event in kept)


def _under(event: Event, wrong: set[str], right: str) -> Event:
    match event.body:
        case ev.RunOpened() as opened:
            return replace(event, body=replace(opened, trainee=right))
        case ev.NoteAdded(by=by) as note if by in wrong:
            return replace(event, body=replace(note, by=right))
        case _:
            return event
