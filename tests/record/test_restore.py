"""Restoring: the backup is looked over first, what is lost is told, and the present record is kept aside."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner
from record_kit import CLOSED, SHORT_RUN, Station, opened, short_run
from tamper_kit import asked, flip_a_bit, other_key

from trainer.cli import main
from trainer.record import chain, second_place
from trainer.record.backup import backup, files_of
from trainer.record.people import People
from trainer.record.restore import restore, restoring
from trainer.record.verify import verify
from trainer.run.ports import JournalTrouble, LeaseLost

AT = "2026-03-02T09:30:00.000Z"
EVERY = "SELECT run, seq, id, body FROM events ORDER BY run, seq"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Station:
    """A station with a closed run, an open one, and a backup of both in `kept.db`. Not to be changed."""
    made = Station(tmp_path_factory.mktemp("whole"))
    with made.open() as journal:
        short_run(made, journal, "r1")
        made.keep(journal, "r2", (None, opened("T-02")), *SHORT_RUN[:3])
    backup(made.path, made.path.parent.parent / "kept.db", AT)
    return made


@pytest.fixture
def station(whole: Station, tmp_path: Path) -> Station:
    """A copy of it, later on that day."""
    shutil.copytree(whole.path.parent.parent, tmp_path, dirs_exist_ok=True)
    made = Station(tmp_path)
    made.clock.pass_time(3600)
    made.kept = {run: list(events) for run, events in whole.kept.items()}
    return made


def put_back(station: Station) -> Path | None:
    """Restore the backup."""
    with restoring(station.path.parent.parent / "kept.db", station.path, AT) as ready:
        return restore(ready, AT)


def test_a_record_that_is_gone_comes_back(station: Station, tmp_path: Path) -> None:
    """With key and second place; it verifies and can be gone on with."""
    before = asked(station.path, EVERY)
    shutil.rmtree(station.path.parent)
    station.path.parent.mkdir()
    assert put_back(station) is None
    assert asked(station.path, EVERY) == before
    assert [file.stat().st_mode & 0o777 for file in files_of(station.path)] == [0o600] * 3
    with station.open() as journal:
        journal.take_lease("r2")
        station.keep(journal, "r2", *SHORT_RUN[3:], CLOSED)
    assert verify(station.path).ok
    del tmp_path


def test_what_came_after_the_backup_is_told_and_kept_aside(station: Station) -> None:
    """Run, who and which events; the present record is a whole record beside, and both verify."""
    with station.open() as journal:
        journal.take_lease("r2")
        station.keep(journal, "r2", *SHORT_RUN[3:5])
        short_run(station, journal, "r3", "T-03")
    present = asked(station.path, EVERY)
    with restoring(station.path.parent.parent / "kept.db", station.path, AT) as ready:
        assert ready.lost is not None
        assert [one.words() for one in ready.lost] == [
            "run r2 (T-02): events 5 to 6",
            "run r3 (T-03): events 1 to 19",
        ]
        aside = restore(ready, AT)
    assert aside is not None
    assert aside.name == "record.db.aside-20260302-093000"
    assert asked(aside, EVERY) == present
    assert asked(station.path, EVERY) == present[:23]
    assert verify(aside).ok
    assert verify(station.path).ok


def test_a_terminal_that_is_open_meanwhile_damages_nothing(station: Station) -> None:
    """Who has a run on a screen is told at the next act; a new run at that terminal goes into the record."""
    with station.open() as journal:
        journal.take_lease("r2")
        put_back(station)
        with pytest.raises(LeaseLost):
            station.keep(journal, "r2", SHORT_RUN[3])
        short_run(station, journal, "r4", "T-04")
        assert [run.run for run in journal.open_runs()] == ["r2"]
    assert verify(station.path).ok


def test_whoever_was_erased_since_does_not_come_back(station: Station) -> None:
    """A backup from before an erasure: the person is erased from what is put back, links and all."""
    with station.open() as journal:
        People(journal).rename("T-01", "Somebody")
    backup(station.path, station.path.parent.parent / "later.db", AT)
    with station.open() as journal:
        People(journal).erase("T-01")
    with restoring(station.path.parent.parent / "later.db", station.path, AT) as ready:
        assert ready.erased == 19
        restore(ready, AT)
    assert asked(station.path, "SELECT count(*) FROM events WHERE body IS NOT NULL AND run = 'r1'") == [(0,)]
    assert asked(station.path, "SELECT code FROM people") == [("T-02",)]
    assert b"Somebody" not in station.path.read_bytes()
    assert verify(station.path).ok


def newer(path: Path) -> None:
    """A backup by a newer program."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("INSERT INTO migrations VALUES (99, 'later', 'x')")
        connection.commit()


def foreign(path: Path) -> None:
    """A database of another program."""
    path.unlink()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE mine (a)")
        connection.commit()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (flip_a_bit, "was altered"),
        (other_key, "is not the one of this record"),
        (newer, "newer Sinkside"),
        (foreign, "another program"),
        (lambda path: path.write_bytes(path.read_bytes()[:8192]), "damaged"),
        (lambda path: path.write_bytes(b""), "holds nothing yet"),
        (lambda path: path.unlink(), "There is no record"),
        (lambda path: second_place.path_of(path).unlink(), "second place"),
    ],
    ids=["altered", "other key", "newer", "foreign", "cut", "empty", "missing", "no second place"],
)
def test_a_backup_that_is_not_whole_is_refused(
    spoil: Callable[[Path], None], words: str, station: Station, tmp_path: Path
) -> None:
    """The present record stays byte for byte, and nothing is left beside it."""
    spoil(tmp_path / "kept.db")
    before = {file.name: file.read_bytes() for file in station.path.parent.iterdir()}
    with pytest.raises(JournalTrouble, match=words):
        put_back(station)
    assert {file.name: file.read_bytes() for file in station.path.parent.iterdir()} == before


def test_a_backup_without_its_key_takes_the_one_that_is_there(station: Station, tmp_path: Path) -> None:
    """The key of the present record; without any the restore is refused."""
    chain.key_path(tmp_path / "kept.db").unlink()
    put_back(station)
    assert verify(station.path).ok
    chain.key_path(station.path).unlink()
    with pytest.raises(JournalTrouble, match="is missing"):
        put_back(station)


def test_a_backup_of_another_record_is_refused(station: Station, tmp_path: Path) -> None:
    """Begun with another key: terminals that are open would go on with the wrong one."""
    other = Station(tmp_path / "other")
    with other.open() as journal:
        short_run(other, journal, "r9")
    with (
        pytest.raises(JournalTrouble, match="no backup of"),
        restoring(other.path, station.path, AT) as ready,
    ):
        restore(ready, AT)
    with (
        pytest.raises(JournalTrouble, match="is the record itself"),
        restoring(station.path, station.path, AT),
    ):
        pass


def test_a_record_that_nobody_can_read_is_moved_aside(station: Station) -> None:
    """A damaged file is no place to put anything into: it is kept as it is, and the backup takes its name."""
    station.path.write_bytes(b"\0" * 4096)
    with restoring(station.path.parent.parent / "kept.db", station.path, AT) as ready:
        assert ready.lost is None
        aside = restore(ready, AT)
    assert aside is not None
    assert aside.read_bytes() == b"\0" * 4096
    assert verify(station.path).ok


def test_the_command_asks_before_it_changes_anything(station: Station, tmp_path: Path) -> None:
    """Without a yes the record stays; with one it says what is where."""
    with station.open() as journal:
        short_run(station, journal, "r3", "T-03")
    call = ["record", "--record", str(station.path), "restore", str(tmp_path / "kept.db")]
    asked_for = CliRunner().invoke(main, call, input="n\n")
    assert asked_for.exit_code == 1
    assert "19 events that the backup has not" in asked_for.stderr
    assert len(asked(station.path, EVERY)) == 42
    done = CliRunner().invoke(main, [*call, "--yes"])
    assert done.exit_code == 0, done.output
    assert done.stdout.startswith(f"Restored: {station.path}, 2 runs, 23 events.\n")
    assert len(asked(station.path, EVERY)) == 23
