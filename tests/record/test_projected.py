"""The tables for review say what the run's own rules say, and have the names that the frames have."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import Phase, settings
from hypothesis.stateful import run_state_machine_as_test
from marks_kit import marks_by_the_rules, marks_of, why_not, why_not_by_the_rules, worked_in
from record_kit import opened
from run_kit import RUN_ID, Sink
from test_random_runs import RandomRun

from trainer.insight.frames import SCHEMAS
from trainer.record import schema
from trainer.record.rebuild import dump
from trainer.run import events as e
from trainer.run.events import Event
from trainer.run.fakes import FakeClock


def test_the_tables_begin_with_the_columns_of_the_frames() -> None:
    """Each table for reading has the frame's columns, in its order; a few of its own come after them."""
    assert list(SCHEMAS) == sorted(SCHEMAS, key=schema.READ.index)
    with worked_in() as connection:
        for table, frame in SCHEMAS.items():
            columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
            assert columns[: len(frame)] == list(frame), table


def test_truths_are_whole_numbers_and_times_are_texts() -> None:
    """What a frame calls true or false is an INTEGER here, a time a TEXT, and a number what it is."""
    kinds = {
        "Boolean": "INTEGER",
        "Datetime": "TEXT",
        "String": "TEXT",
        "Int64": "INTEGER",
        "Float64": "REAL",
    }
    with worked_in() as connection:
        for table, frame in SCHEMAS.items():
            there = {row[1]: row[2] for row in connection.execute(f"PRAGMA table_info({table})")}
            wanted = {name: kinds[str(kind).split("(")[0]] for name, kind in frame.items()}
            assert wanted.items() <= there.items(), table


class Projected(RandomRun):
    """Anybody doing anything at a run: the tables have the marks and the readiness of the run's own rules."""

    def teardown(self) -> None:
        """Compare, also after words and an excuse that came after class."""
        if not hasattr(self, "sink"):
            return
        events = list(self.sink.events)
        assert_told_alike(self.sink, events)
        if self.sink.run.state.closed:
            for body in (
                e.SignedOff("last-look", "I-1", "not_yet"),
                e.SignedOff("take-plate", "I-1", "passed"),
                e.SignedOff("last-look", "I-2", "passed", "Seen again."),
                e.NoteAdded("I-1", "Well done."),
                e.RunExcused("I-1", "A helper spoke."),
            ):
                events.append(later(self.sink.clock, events, body))
                assert_told_alike(self.sink, events)


def test_a_word_after_class_stands_for_the_last_one_alone() -> None:
    """ "Not yet", then "passed", at the sink; a word after class takes the second one's mark, not both."""
    clock, events = FakeClock(), list[Event]()
    bodies = (
        opened(),
        e.StepShown("vacuum", "contact", "sign_off", 1, 1),
        e.SignedOff("draw-down", "I-1", "not_yet"),
        e.SignedOff("draw-down", "I-1", "passed"),
        e.RunClosed("done"),
        e.SignedOff("draw-down", "I-2", "not_yet"),
    )
    for number, body in enumerate(bodies, 1):
        clock.pass_time(60)
        events.append(Event(f"e-{number}", RUN_ID, number, clock.now(), "draw-down", body))
    with worked_in(events) as connection:
        told = marks_of(connection, RUN_ID)
    assert [(seq, hit) for seq, _, _, hit, *_ in told] == [(3, 0), (6, 0)]
    assert told == marks_by_the_rules(events)


def later(clock: FakeClock, events: Sequence[Event], body: e.Body) -> Event:
    """One more event of a run, an hour on."""
    clock.pass_time(3_600)
    return Event(f"{events[-1].id}+", events[0].run, events[-1].seq + 1, clock.now(), None, body)


def assert_told_alike(sink: Sink, events: Sequence[Event]) -> None:
    """Marks and readiness from the tables, and from the events."""
    rule, now = sink.plan.procedure.ready, sink.clock.now()
    assert rule is not None
    with worked_in(events) as connection:
        assert marks_of(connection, RUN_ID) == marks_by_the_rules(events)
        assert why_not(connection, rule, RUN_ID, now) == why_not_by_the_rules(rule, events, now)
        whole = dump(connection)
    with worked_in(events, batch=3) as connection:
        assert dump(connection) == whole


def test_marks_and_readiness_are_those_of_the_rules() -> None:
    """Random runs: mark for mark, and the same reason why a run does not count."""
    run_state_machine_as_test(
        Projected, settings=settings(max_examples=12, stateful_step_count=25, deadline=None)
    )


@pytest.mark.long
def test_marks_and_readiness_are_those_of_the_rules_at_length() -> None:
    """The same with many more runs."""
    run_state_machine_as_test(
        Projected,
        settings=settings(
            max_examples=150, stateful_step_count=50, deadline=None, phases=[Phase.explicit, Phase.generate]
        ),
    )
