"""The fakes hold to the contracts of the real ones."""

from __future__ import annotations

import subprocess
import sys

import pytest
from run_kit import Sink

from trainer.run import events as ev
from trainer.run.clock import to_ms
from trainer.run.events import Event, Stamp
from trainer.run.fakes import FakeClock, FakeJournal, FakeSignOff
from trainer.run.fold import apply
from trainer.run.ports import Clock, Journal, JournalTrouble, SignOff

STAMP = Stamp("2026-03-02T09:00:00.000Z", "boot-1", 1)


def event(seq: int, run: str = "run-1") -> Event:
    """An event of a number."""
    return Event(f"id-{seq}", run, seq, STAMP, None, ev.Confirmed())


def test_fakes_are_what_the_ports_want() -> None:
    """Each fake can stand where its port is wanted."""
    clock: Clock = FakeClock()
    journal: Journal = FakeJournal()
    sign_off: SignOff = FakeSignOff({})
    assert all((clock, journal, sign_off))


def test_fake_clock_goes_as_told() -> None:
    """Time goes by on both clocks; a jump moves only the wall; a reboot gives another boot and few ticks."""
    clock = FakeClock()
    first = clock.now()
    assert clock.now() == first
    clock.pass_time(1.5)
    second = clock.now()
    assert (second.ticks_ms - first.ticks_ms, to_ms(second.at) - to_ms(first.at)) == (1500, 1500)
    clock.jump_wall(-60)
    assert clock.now().ticks_ms == second.ticks_ms
    assert to_ms(clock.now().at) - to_ms(second.at) == -60_000
    clock.reboot(30)
    assert clock.now().boot != first.boot
    assert clock.now().ticks_ms < first.ticks_ms


def test_fake_journal_keeps_all_or_none() -> None:
    """An append that fails, or does not go on from what is kept, keeps nothing."""
    journal = FakeJournal()
    journal.append([event(1), event(2)])
    for wrong in ([event(4)], [event(3), event(5)], [event(3), event(4, "run-2")], [event(2)]):
        with pytest.raises(JournalTrouble):
            journal.append(wrong)
        assert journal.events("run-1") == (event(1), event(2))
    journal.fail(2)
    for _ in range(2):
        with pytest.raises(JournalTrouble):
            journal.append([event(3)])
    journal.append([event(3)])
    journal.append([])
    assert [kept.seq for kept in journal.events("run-1")] == [1, 2, 3]
    with pytest.raises(JournalTrouble):
        journal.events("run-2")


def test_fake_sign_off_tells_right_from_wrong() -> None:
    """A PIN is right, wrong, of nobody, or too soon, and every try is remembered."""
    pins = FakeSignOff({"I-1": "274913"})
    assert pins.check("I-1", "274913").verdict == "right"
    assert pins.check("I-1", "274914").verdict == "wrong_pin"
    assert pins.check("I-2", "274913").verdict == "unknown"
    pins.slowed = 30
    assert (pins.check("I-1", "274913").verdict, pins.check("I-1", "").wait) == ("too_soon", 30)
    assert len(pins.tries) == 5


@pytest.mark.parametrize(
    "body",
    [
        ev.BenchSet("pump", "on"),
        ev.PlateMade(1, passes=True, sheet={"solid_step": 6.0}),
        ev.NoteAdded("T-01", "so"),
    ],
)
def test_events_of_other_rooms_change_nothing(body: ev.Body) -> None:
    """Events of the bench and remarks change nothing about where a run stands but its place in the record."""
    sink = Sink.open().until("expose")
    state = sink.run.state
    kept = Event("id", state.run, state.seq + 1, sink.clock.now(), state.step, body)
    after = apply(sink.plan, state, kept)
    assert (after.seq, after.last) == (kept.seq, kept.stamp)
    assert after.step == state.step
    assert after.values == state.values
    assert after.phase == state.phase


def test_importing_a_run_stays_light() -> None:
    """A fresh interpreter that imports the session loads no screen, no database and no number cruncher."""
    heavy = ("textual", "rich", "sqlite3", "numpy", "pydantic", "cel_expr_python", "uuid6", "argon2")
    code = f"import sys, trainer.run.session; print([name for name in {heavy!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
