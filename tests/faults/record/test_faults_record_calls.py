"""The k-th call to the storage fails, for every k: the act is refused in a sentence; mended, it works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import cast

import pytest
from faulty_disk import Disk, Fault, faulty
from history_kit import Witness, summed, wrong_with
from record_kit import Station
from run_kit import RUN_ID, Sink, plan_of

from trainer.record.journal import StationJournal
from trainer.record.verify import verify
from trainer.run.events import Event
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import JournalTrouble, LeaseLost
from trainer.run.session import Run

FAULTS = [
    Fault("full", lasting=True),
    Fault("io"),
    Fault("io", lasting=True),
    Fault("io", late=True),
    Fault("io", late=True, lasting=True),
    Fault("busy", lasting=True),
]
NAMES = [
    f"{fault.kind}{'-lasting' if fault.lasting else ''}{'-late' if fault.late else ''}" for fault in FAULTS
]


@dataclass
class Bench:
    """A run at a sink whose record lies on a faulty disk, and everything that was said about it."""

    record: Path
    disk: Disk
    sink: Sink
    journal: StationJournal
    lines: list[str]
    refusals: list[str] = field(default_factory=list)

    def act(self, fault: Fault) -> None:
        """The right act with the first call failing, then the second, and so on until it is taken."""
        for call in count(1):
            state, kept = self.sink.run.state, self._kept()
            self.disk.break_at(fault, call)
            try:
                self.sink.right()
            except JournalTrouble as trouble:
                self.disk.mend()
                self.refusals.append(str(trouble))
                assert self.sink.run.state is state
                if self._kept() != kept:
                    self._take_up_what_was_kept_after_all(fault)
                    return
            else:
                self.disk.mend()
                assert self.sink.run.state is not state
                return

    def _kept(self) -> list[tuple[object, ...]]:
        """The very rows: thousands of looks, for which events would be read from JSON each time."""
        with self.journal.reading() as connection:
            return connection.execute("SELECT * FROM events ORDER BY run, seq").fetchall()

    def _take_up_what_was_kept_after_all(self, fault: Fault) -> None:
        """The journal was removed and that told to have failed: the one way for a refused act to be kept."""
        assert (self.disk.fired, fault.late, fault.lasting) == ("remove", True, True)
        self.lines[-1] = self.lines[-1].replace("refused", "doubt")
        with pytest.raises(LeaseLost, match="take the run up again"):
            self.sink.right()
        self.sink.restart()


@contextmanager
def bench(folder: Path) -> Iterator[Bench]:
    """A run of the test plate over the real journal, opened while all is well."""
    station, disk, lines = Station(folder), Disk(), list[str]()
    plan, clock = plan_of("plate"), FakeClock()
    with faulty(disk), StationJournal(station.path, clock) as journal:
        journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
        witness = cast("FakeJournal", Witness(journal, lines.append))
        run = Run.open(
            plan, run=RUN_ID, trainee="T-01", guidance="full", settings={}, journal=witness, clock=clock
        )
        yield Bench(station.path, disk, Sink(plan, run, clock, witness), journal, lines)


@pytest.mark.parametrize("fault", FAULTS, ids=NAMES)
@pytest.mark.sweep(quick=2)
def test_no_call_that_fails_moves_a_run(tmp_path: Path, fault: Fault) -> None:
    """Whichever call fails: a sentence, nothing kept, the run where it was; mended, the act is taken."""
    with bench(tmp_path) as place:
        for _ in range(3):
            place.act(fault)
    assert len(place.refusals) > 3
    assert all(str(place.record) in said for said in place.refusals)
    assert wrong_with(place.record, summed(place.lines)) == []


@pytest.mark.long(seconds=6)
@pytest.mark.parametrize("fault", FAULTS, ids=NAMES)
def test_no_call_that_fails_in_a_whole_run_loses_anything(tmp_path: Path, fault: Fault) -> None:
    """The same through every act of a run to its end."""
    with bench(tmp_path) as place:
        while not place.sink.run.state.closed:
            place.act(fault)
    assert wrong_with(place.record, summed(place.lines)) == []


def _make_and_open(record: Path, disk: Disk, fault: Fault, call: int) -> str:
    """Make a record while the `call`-th call fails; what failed ('' for nothing). Mended, it opens."""
    clock = FakeClock()
    with faulty(disk):
        disk.break_at(fault, call)
        with suppress(JournalTrouble):
            StationJournal(record, clock).close()
        fired = disk.fired
        disk.mend()
        StationJournal(record, clock).close()
    assert verify(record).ok
    return fired


@pytest.mark.long
@pytest.mark.parametrize("fault", FAULTS, ids=NAMES)
def test_no_call_that_fails_spoils_a_record_that_is_being_made(tmp_path: Path, fault: Fault) -> None:
    """Whichever call fails at the first opening: a sentence or nothing; the next opening makes the rest."""
    disk = Disk()
    fired = [
        call
        for call in range(1, 400, 3)
        if _make_and_open(tmp_path / str(call) / "record.db", disk, fault, call)
    ]
    assert len(fired) > 1


def test_a_journal_that_swallows_an_error_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: an append that takes a failing disk for a good one is seen by the same check."""
    real = StationJournal.append

    def careless(journal: StationJournal, events: Sequence[Event]) -> None:
        with suppress(JournalTrouble):
            real(journal, events)

    monkeypatch.setattr(StationJournal, "append", careless)
    with bench(tmp_path) as place:
        place.disk.break_at(Fault("io"), 1)
        place.sink.right()
        place.disk.mend()
    found = wrong_with(place.record, summed(place.lines))
    assert any(told.startswith("acknowledged and not kept") for told in found)


def test_a_commit_in_doubt_that_is_taken_for_refused_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: without the look at what a failed append left, a refused act turns out to be kept."""
    monkeypatch.setattr(StationJournal, "_are_kept", lambda *_: False)
    with bench(tmp_path) as place, pytest.raises(AssertionError):
        place.act(Fault("io", late=True))
    assert "refused and kept" in wrong_with(place.record, summed(place.lines))
