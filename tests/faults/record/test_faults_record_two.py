"""Two and more at once: on one record, on one run, one trainee in two runs, a whole class."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from deaths import HELPERS, HERE
from history_kit import summed, wrong_with
from plate_station import plate_station

from trainer.record.verify import verify
from trainer.run.fakes import FakeClock
from trainer.run.ports import LeaseLost
from trainer.run.session import Run


def _class(record: Path, writers: int, acts: int, pause: float, *how: str) -> tuple[int, str, list[str]]:
    """Let writers work at once; exit status, what was told of errors, and what is wrong with the record."""
    path = os.pathsep.join([*(str(folder) for folder in HELPERS), *sys.path])
    done = subprocess.run(
        [sys.executable, str(HERE / "class_room.py"), str(record), str(writers), str(acts), str(pause), *how],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": path},
    )
    history = summed(done.stdout.splitlines(keepends=True))
    if not how:
        assert len(history.acks) == writers * (acts + 1), done.stderr
    return done.returncode, done.stderr, wrong_with(record, history)


def test_programs_that_start_together_begin_one_record(tmp_path: Path) -> None:
    """Four programs that start at once make one record with one key, and none is refused."""
    assert _class(tmp_path / "station" / "record.db", 4, 5, 0.0) == (0, "", [])


@pytest.mark.long
def test_a_class_of_thirty_writes_at_its_pace(tmp_path: Path) -> None:
    """Thirty programs, five events a second each: no error, nothing lost, no gap, and it verifies."""
    assert _class(tmp_path / "station" / "record.db", 30, 20, 0.2) == (0, "", [])


def test_transactions_that_lock_late_are_found_out(tmp_path: Path) -> None:
    """Sabotage: with a deferred BEGIN the same class has errors."""
    status, told, _ = _class(tmp_path / "station" / "record.db", 6, 40, 0.0, "deferred")
    assert status == 1
    assert "in use by another program" in told


@pytest.fixture
def clock() -> FakeClock:
    """The clock of both terminals of a station."""
    return FakeClock()


def _act(run: Run, clock: FakeClock) -> None:
    """An act that can be done anywhere."""
    clock.pass_time(1.0)
    run.note("The gauge sticks")


def test_the_first_terminal_is_told_when_a_second_takes_its_run(tmp_path: Path, clock: FakeClock) -> None:
    """The first's next act is refused in a sentence and keeps nothing; it can take the run back in turn."""
    with plate_station(tmp_path, clock) as first, plate_station(tmp_path, clock) as second:
        here = first.open_run("plate", "T-01")
        assert second.to_go_on("plate", "T-01") == here.state.run
        there = second.take_up(here.state.run)
        kept, state = first.journal.events(here.state.run), here.state
        with pytest.raises(LeaseLost, match="taken up at another terminal"):
            _act(here, clock)
        assert here.state is state
        assert first.journal.events(here.state.run) == kept
        _act(there, clock)
        back = first.take_up(here.state.run)
        assert back.state.step == there.state.step
        with pytest.raises(LeaseLost):
            _act(there, clock)
    assert verify(tmp_path / "record.db").ok


def test_a_tick_of_a_terminal_that_lost_its_run_keeps_nothing(tmp_path: Path, clock: FakeClock) -> None:
    """Redrawing goes on harmlessly at a terminal whose run was taken up elsewhere."""
    with plate_station(tmp_path, clock) as first, plate_station(tmp_path, clock) as second:
        here = first.open_run("plate", "T-01")
        second.take_up(here.state.run)
        kept = first.journal.events(here.state.run)
        assert here.tick() == ()
        assert first.journal.events(here.state.run) == kept


def test_one_trainee_has_two_runs_at_once(tmp_path: Path, clock: FakeClock) -> None:
    """The same trainee at two terminals in two runs: both are kept, and both can be gone on with."""
    with plate_station(tmp_path, clock) as first, plate_station(tmp_path, clock) as second:
        runs = [terminal.open_run("plate", "T-01") for terminal in (first, second)]
        for run in runs:
            _act(run, clock)
        assert {one.run for one in first.open_runs()} == {run.state.run for run in runs}
        assert first.to_go_on("plate", "T-01") is None  # which of the two, a person says
    assert verify(tmp_path / "record.db").ok
