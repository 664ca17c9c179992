"""Backups: made while the record is in use, whole, and good to go on with."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner
from record_kit import SHORT_RUN, SOURCE, Station, opened, real_hash, station_with_a_run
from tamper_kit import asked, flip_a_bit, other_key, whole_record

from trainer.cli import main
from trainer.record import backup as room
from trainer.record import chain, second_place
from trainer.record.backup import backup, files_of
from trainer.record.findings import Report
from trainer.record.journal import StationJournal
from trainer.record.verify import verify
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble

AT = "2026-03-02T09:30:00.000Z"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record of four runs; not to be changed."""
    return whole_record(tmp_path_factory.mktemp("whole"))


def test_a_backup_is_a_record_that_can_be_gone_on_with(whole: Path, tmp_path: Path) -> None:
    """It verifies, has the same events, is for this account only, and its open run takes one more act."""
    made = backup(whole, tmp_path / "kept.db", AT)
    assert made.report.ok
    assert [file.stat().st_mode & 0o777 for file in files_of(made.path)] == [0o600] * 3
    every = "SELECT * FROM events ORDER BY run, seq"
    assert asked(made.path, every) == asked(whole, every)
    station = Station(tmp_path)
    with StationJournal(made.path, station.clock) as journal:
        station.kept["r3"] = list(journal.events("r3"))
        journal.take_lease("r3")
        station.clock.pass_time(60)
        station.keep(journal, "r3", ("draw-down", SHORT_RUN[3][1]))
    assert verify(made.path).ok
    assert sorted(file.name for file in tmp_path.iterdir() if file.name.startswith(".")) == []


def test_a_backup_is_made_while_somebody_works(tmp_path: Path) -> None:
    """With a run open, and between its acts; the acts that come after are not in it, and it is whole."""
    station = Station(tmp_path)
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        station.keep(journal, "r1", (None, opened()), SHORT_RUN[0])
        for number, step in enumerate(SHORT_RUN[1:4]):
            made = backup(station.path, tmp_path / f"kept-{number}.db", AT)
            assert made.report.events == number + 2
            station.keep(journal, "r1", step)
    assert verify(station.path).ok


def test_a_backup_is_made_although_an_act_is_half_written(tmp_path: Path) -> None:
    """A transaction that is not ended is not in it, and the backup waits for nobody who only reads."""
    station = station_with_a_run(tmp_path)
    with closing(sqlite3.connect(station.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE leases SET holder = 'x'")
        made = backup(station.path, tmp_path / "kept.db", AT)
        other.execute("ROLLBACK")
    assert made.report.ok
    assert asked(made.path, "SELECT 1 FROM leases WHERE holder = 'x'") == []


def test_a_folder_gets_a_copy_named_by_the_time(whole: Path, tmp_path: Path) -> None:
    """So that one line in a timetable makes a backup a day."""
    assert backup(whole, tmp_path, AT).path == tmp_path / "record-20260302-093000.db"


def test_a_copy_without_the_key(whole: Path, tmp_path: Path) -> None:
    """It was looked over with the key, which then stays behind; with the key put beside it, it is whole."""
    made = backup(whole, tmp_path / "kept.db", AT, with_key=False)
    assert not chain.key_path(made.path).exists()
    with pytest.raises(JournalTrouble, match="is missing"):
        StationJournal(made.path, FakeClock())
    shutil.copy(chain.key_path(whole), chain.key_path(made.path))
    assert verify(made.path).ok


@pytest.mark.parametrize("number", [0, 1, 2])
def test_nothing_is_written_over(number: int, whole: Path, tmp_path: Path) -> None:
    """Where any of the three files is there, all stays as it is."""
    there = files_of(tmp_path / "kept.db")[number]
    there.write_text("mine", encoding="utf-8")
    with pytest.raises(JournalTrouble, match="is there already"):
        backup(whole, tmp_path / "kept.db", AT)
    assert there.read_text(encoding="utf-8") == "mine"
    assert [file.name for file in tmp_path.iterdir() if "kept" in file.name] == [there.name]


def test_a_file_that_comes_in_between_is_left(whole: Path, tmp_path: Path) -> None:
    """A name that is taken while the copy is looked over: nothing is written over, nothing is left behind."""
    there = tmp_path / "kept.db"

    def look(half: Path, record: Path, refused: str) -> Report:
        there.write_text("mine", encoding="utf-8")
        return looked_over(half, record, refused)

    looked_over = room.looked_over
    with patch.object(room, "looked_over", look), pytest.raises(JournalTrouble, match="cannot be written"):
        backup(whole, there, AT)
    assert there.read_text(encoding="utf-8") == "mine"
    assert [file.name for file in tmp_path.iterdir() if "kept" in file.name] == ["kept.db"]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (flip_a_bit, "was altered"),
        (other_key, "is not the one of this record"),
        (lambda path: chain.key_path(path).unlink(), "is missing"),
        (lambda path: second_place.path_of(path).unlink(), "second place"),
        (lambda path: path.write_bytes(b"nothing of ours" * 99), "not a Sinkside record"),
        (lambda path: path.write_bytes(b""), "holds nothing yet"),
        (lambda path: path.unlink(), "There is no record"),
    ],
    ids=["altered", "other key", "no key", "no second place", "foreign", "empty", "missing"],
)
def test_a_record_that_is_not_whole_gives_no_backup(
    spoil: object, words: str, whole: Path, tmp_path: Path
) -> None:
    """A backup is only kept of what is as it was written; a sentence says what is wrong."""
    record = shutil.copytree(whole.parent, tmp_path / "spoiled") / whole.name
    assert callable(spoil)
    spoil(record)
    (tmp_path / "out").mkdir()
    with pytest.raises(JournalTrouble, match=words):
        backup(record, tmp_path / "out" / "kept.db", AT)
    assert list((tmp_path / "out").iterdir()) == []


def test_a_newer_record_gives_no_backup(whole: Path, tmp_path: Path) -> None:
    """What this program does not know it does not copy and call whole."""
    record = shutil.copytree(whole.parent, tmp_path / "newer") / whole.name
    with closing(sqlite3.connect(record)) as connection:
        connection.execute("INSERT INTO migrations VALUES (99, 'later', 'x')")
        connection.commit()
    with pytest.raises(JournalTrouble, match="newer Sinkside"):
        backup(record, tmp_path / "kept.db", AT)


def test_a_full_disk_is_told(whole: Path, tmp_path: Path) -> None:
    """The sentence names the disk that is full, and nothing is left there."""
    (tmp_path / "out").mkdir()
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    with patch("os.fsync", side_effect=full), pytest.raises(JournalTrouble, match="out is full"):
        backup(whole, tmp_path / "out" / "kept.db", AT)
    assert list((tmp_path / "out").iterdir()) == []


def test_the_command_says_what_was_kept(whole: Path, tmp_path: Path) -> None:
    """Path, runs and events on stdout; a folder that is not there ends with 1 and a sentence."""
    call = ["record", "--record", str(whole), "backup"]
    made = CliRunner().invoke(main, [*call, str(tmp_path / "kept.db"), "--without-key"])
    assert made.stdout == (
        f"Backed up: {tmp_path / 'kept.db'}, 4 runs, 60 events, everything as it was written.\n"
    )
    assert "key is not with it" in made.stderr
    missing = CliRunner().invoke(main, [*call, str(tmp_path / "none" / "kept.db")])
    assert (missing.exit_code, missing.stdout) == (1, "")
    assert "No file can be made" in missing.stderr
