"""Fuzzed: events as they are kept, one by one and as a whole run."""

from __future__ import annotations

import json

from fuzz_kit import Target, can_be_said
from run_kit import RUN_ID, Sink

from trainer.record.packing import unpacked
from trainer.run import wire
from trainer.run.events import Event
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import JournalTrouble
from trainer.run.session import Run


def wires() -> Target:
    """One JSON text as an event and as a body."""

    def target(data: bytes) -> None:
        text = data.decode("utf-8", "replace")
        try:
            unpacked(text, "r", 1)
        except JournalTrouble as trouble:
            can_be_said(trouble)
        try:
            value = json.loads(text)
        except (ValueError, RecursionError):
            return
        _read(value)
        try:
            wire.body_from_json(value)
        except wire.WireError as error:
            can_be_said(error)

    return target


def _read(value: object) -> None:
    """As an event, which comes back the same."""
    try:
        event = wire.event_from_json(value)
    except wire.WireError:
        return
    assert wire.event_from_json(wire.event_to_json(event)) == event


class Held(FakeJournal):
    """A record that holds whatever it is told to, and takes anything more."""

    def __init__(self, events: tuple[Event, ...]) -> None:
        super().__init__()
        self.runs[RUN_ID] = list(events)


def histories() -> Target:
    """The events of a run, one JSON text a line, taken up as a run: whole, refused, or told."""
    plan = Sink.open().plan

    def target(data: bytes) -> None:
        try:
            events = tuple(unpacked(line, RUN_ID, 1) for line in data.decode("utf-8", "replace").splitlines())
            run = Run.take_up(plan, RUN_ID, journal=Held(events), clock=FakeClock())
        except JournalTrouble as trouble:
            can_be_said(trouble)
            return
        assert run.view().acts
        steps_back = 1
        while run.look_back(steps_back) is not None:
            steps_back += 1

    return target
