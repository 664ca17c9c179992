"""Each trouble with the record is a sentence at the start or in the run, and mended the work goes on."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from deaths import HELPERS, HERE
from faulty_disk import Disk, Fault, faulty
from plate_station import plate_station

from trainer.record import chain
from trainer.record.verify import verify
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble


@dataclass(frozen=True)
class Trouble:
    """Something wrong with the files. said: part of the sentence. do: make it, and give what mends it."""

    name: str
    said: str
    do: Callable[[Path], Callable[[], object]]


def _replaced(path: Path, content: bytes) -> Callable[[], object]:
    """Other content in a file's place; what puts the old one back."""
    before = path.read_bytes()
    path.write_bytes(content)
    return lambda: path.write_bytes(before)


def _newer(record: Path) -> Callable[[], object]:
    with closing(sqlite3.connect(record, isolation_level=None)) as connection:
        connection.execute("INSERT INTO migrations VALUES (99, 'later', '')")

    def mend() -> None:
        with closing(sqlite3.connect(record, isolation_level=None)) as connection:
            connection.execute("DELETE FROM migrations WHERE number = 99")

    return mend


def _key_gone(record: Path) -> Callable[[], object]:
    key = chain.key_path(record)
    away = key.with_name("away")
    key.rename(away)
    return lambda: away.rename(key)


def _folder_in_place(record: Path) -> Callable[[], object]:
    away = record.with_name("away")
    record.rename(away)
    record.mkdir()

    def mend() -> None:
        record.rmdir()
        away.rename(record)

    return mend


def _torn(record: Path) -> Callable[[], object]:
    data = record.read_bytes()
    return _replaced(record, data[:4096] + b"\xa5" * (len(data) - 4096))


AT_THE_START = [
    Trouble("a newer schema", "Install the newer version", _newer),
    Trouble("a lost key", "Put the right key back", _key_gone),
    Trouble(
        "another key",
        "belongs to another record",
        lambda record: _replaced(chain.key_path(record), b"00" * 32),
    ),
    Trouble("another file", "not a Sinkside record", lambda record: _replaced(record, b"format: 1\n" * 99)),
    Trouble("a folder", "Name a file", _folder_in_place),
    Trouble("a damaged file", "go on with a backup", _torn),
]


@pytest.mark.parametrize("trouble", AT_THE_START, ids=lambda trouble: trouble.name)
def test_a_trouble_at_the_start_is_told_and_mended_the_run_goes_on(tmp_path: Path, trouble: Trouble) -> None:
    """The station says what to do instead of opening; mended, the run that was open is taken up."""
    clock, record = FakeClock(), tmp_path / "record.db"
    with plate_station(tmp_path, clock) as station:
        run = station.open_run("plate", "T-01").state.run
    mend = trouble.do(record)
    with pytest.raises(JournalTrouble, match=trouble.said):
        plate_station(tmp_path, clock)
    mend()
    with plate_station(tmp_path, clock) as station:
        assert station.take_up(run).state.run == run
    assert verify(record).ok


@contextmanager
def _held(record: Path) -> Iterator[None]:
    """Another program holds the record for itself."""
    code = (
        "import sqlite3, sys\n"
        "held = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "held.execute('BEGIN EXCLUSIVE')\n"
        "print('held', flush=True)\n"
        "sys.stdin.read()\n"
        "held.execute('ROLLBACK')\n"
        "held.close()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(record)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "held\n"
        yield
        program.communicate()


def test_a_locked_record_is_told_at_the_start_and_in_the_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Held by another program for longer than one waits: a sentence both times; let go, both work."""
    monkeypatch.setattr("trainer.record.store.BUSY_SECONDS", 0.1)
    clock, record = FakeClock(), tmp_path / "record.db"
    with plate_station(tmp_path, clock) as station:
        run = station.open_run("plate", "T-01")
        with _held(record):
            state = run.state
            with pytest.raises(JournalTrouble, match="in use by another program"):
                run.note("The gauge sticks")
            assert run.state is state
            with pytest.raises(JournalTrouble, match="in use by another program"):
                plate_station(tmp_path, clock)
        run.note("The gauge sticks")
        plate_station(tmp_path, clock).close()
    assert verify(record).ok


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (Fault("full", lasting=True), "Free some space"),
        (Fault("io", lasting=True), "still attached"),
        (Fault("busy", lasting=True), "close whatever has the record open"),
    ],
    ids=["full", "io", "busy"],
)
def test_a_failing_disk_is_told_in_the_run_and_mended_it_goes_on(
    tmp_path: Path, fault: Fault, said: str
) -> None:
    """The act is refused in a sentence that says what to do, the step stays, and mended the act is taken."""
    clock, record, disk = FakeClock(), tmp_path / "record.db", Disk()
    with faulty(disk), plate_station(tmp_path, clock) as station:
        run = station.open_run("plate", "T-01")
        state = run.state
        disk.break_at(fault, 2 if fault.kind == "io" else 1)
        with pytest.raises(JournalTrouble, match=said):
            run.note("The gauge sticks")
        assert run.state is state
        disk.mend()
        run.note("The gauge sticks")
        assert run.state is not state
    assert verify(record).ok


def test_a_folder_that_turns_read_only_is_told_and_mended_it_goes_on() -> None:
    """Without the right to write there the act is refused in a sentence; with the right back it is kept."""
    with tempfile.TemporaryDirectory() as folder:
        if os.geteuid() == 0:
            os.chown(folder, 65534, 65534)
        said = subprocess.run(
            [sys.executable, str(HERE / "readonly_run.py"), folder],
            capture_output=True,
            text=True,
            check=False,
            env={**os.environ, "PYTHONPATH": os.pathsep.join([*map(str, HELPERS), *sys.path])},
        )
    refused, kept = said.stdout.splitlines()
    assert refused.startswith("refused: The record ")
    assert refused.endswith(".")
    assert kept == "kept: 2"
