"""What goes wrong with a disk, a file or a key is a sentence that says what, where and what to do."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from record_kit import SOURCE, Station, opened, real_hash, short_run, shown, station_with_a_run

from trainer.record import chain, migrations, schema
from trainer.record.journal import StationJournal
from trainer.record.rebuild import rebuild
from trainer.record.store import connect, trouble_of
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.ports import JournalTrouble


def _record(folder: Path) -> Station:
    return station_with_a_run(folder)


def _sentence(trouble: pytest.ExceptionInfo[JournalTrouble], path: Path) -> str:
    """The trouble's sentence, seen to name the file, to end as sentences do and to say what to do."""
    sentence: str = trouble.value.args[0]
    assert str(path) in sentence
    assert sentence.endswith(".")
    assert sentence.count(".") >= 2
    return sentence


def test_a_missing_folder_is_made(tmp_path: Path) -> None:
    """Folders that are missing are made, the record's own with mode 0700."""
    path = tmp_path / "a" / "b" / "record.db"
    StationJournal(path, Station(tmp_path).clock).close()
    assert path.is_file()
    assert path.parent.stat().st_mode & 0o777 == 0o700


def test_a_missing_record_is_told_where_none_is_to_be_made(tmp_path: Path) -> None:
    """With make=False a missing record is a sentence, and neither file nor folder is made."""
    path = tmp_path / "a" / "record.db"
    with pytest.raises(JournalTrouble) as trouble:
        StationJournal(path, Station(tmp_path).clock, make=False)
    assert "There is no record" in _sentence(trouble, path)
    assert not path.parent.exists()


def test_a_folder_in_the_records_place_is_told(tmp_path: Path) -> None:
    """A folder named as the record is a sentence."""
    with pytest.raises(JournalTrouble) as trouble:
        StationJournal(tmp_path, Station(tmp_path).clock)
    assert "is a folder" in _sentence(trouble, tmp_path)


def test_a_file_in_the_folders_place_is_told(tmp_path: Path) -> None:
    """A file where the folder should be is a sentence."""
    (tmp_path / "file").write_text("x")
    path = tmp_path / "file" / "record.db"
    with pytest.raises(JournalTrouble) as trouble:
        StationJournal(path, Station(tmp_path).clock)
    _sentence(trouble, path)


@pytest.mark.parametrize("content", [b"format: 1\nid: a procedure file, not a record\n" * 20, b"\xff" * 4096])
def test_a_file_that_is_no_record_is_told_and_left_alone(tmp_path: Path, content: bytes) -> None:
    """Another kind of file is a sentence, and its content stays as it was."""
    path = tmp_path / "record.db"
    path.write_bytes(content)
    for use in (
        lambda: StationJournal(path, Station(tmp_path).clock),
        lambda: verify(path),
        lambda: rebuild(path),
    ):
        with pytest.raises(JournalTrouble) as trouble:
            use()
        assert "not a Sinkside record" in _sentence(trouble, path)
    assert path.read_bytes() == content


def test_another_programs_database_is_told_and_left_alone(tmp_path: Path) -> None:
    """A SQLite file without our mark is a sentence, and no table is made in it."""
    path = tmp_path / "record.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    with pytest.raises(JournalTrouble) as trouble:
        StationJournal(path, Station(tmp_path).clock)
    assert "another program" in _sentence(trouble, path)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT name FROM sqlite_schema").fetchall() == [("recipes",)]


def test_a_newer_schema_is_refused_and_left_alone(tmp_path: Path) -> None:
    """A record of a newer Sinkside is refused by journal, verify and rebuild with both schema numbers."""
    station = _record(tmp_path)
    newer = len(migrations.MIGRATIONS) + 1
    with closing(sqlite3.connect(station.path)) as connection:
        connection.execute("INSERT INTO migrations VALUES (?, 'something_new', '')", (newer,))
        connection.commit()
    before = station.path.read_bytes()
    for use in (station.open, lambda: verify(station.path), lambda: rebuild(station.path)):
        with pytest.raises(JournalTrouble) as trouble:
            use()
        assert f"newer Sinkside (schema {newer}; this one knows {newer - 1})" in _sentence(
            trouble, station.path
        )
    assert station.path.read_bytes() == before


def test_migrations_are_recorded_and_each_is_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A later migration is applied once, with its row; one that fails leaves the record at the one before."""
    station = _record(tmp_path)

    def adds_a_table(connection: sqlite3.Connection) -> None:
        connection.execute("CREATE TABLE added (x INTEGER) STRICT")

    def fails(connection: sqlite3.Connection) -> None:
        connection.execute("CREATE TABLE half (x INTEGER) STRICT")
        connection.execute("CREATE TABLE half (x INTEGER) STRICT")

    monkeypatch.setattr(migrations, "MIGRATIONS", (*migrations.MIGRATIONS, adds_a_table, fails))
    with pytest.raises(JournalTrouble):
        station.open()
    with closing(sqlite3.connect(station.path)) as connection:
        rows = connection.execute("SELECT number, name FROM migrations ORDER BY number").fetchall()
        tables = {
            name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        }
    assert rows == [(1, "first_tables"), (2, "tables_for_review"), (3, "adds_a_table")]
    assert "added" in tables
    assert "half" not in tables


def test_every_table_is_strict(tmp_path: Path) -> None:
    """No table takes a text where a number is declared."""
    station = _record(tmp_path)
    with closing(sqlite3.connect(station.path)) as connection:
        flags = connection.execute(
            "SELECT name, strict FROM pragma_table_list WHERE schema = 'main'"
        ).fetchall()
    assert {name for name, strict in flags if not strict and not name.startswith("sqlite_")} == set()
    assert len(flags) > len(schema.PROJECTED)


def test_a_damaged_record_is_told(tmp_path: Path) -> None:
    """A record with its pages overwritten is a sentence that says to keep the file and take a backup."""
    station = _record(tmp_path)
    data = station.path.read_bytes()
    station.path.write_bytes(data[:4096] + os.urandom(len(data) - 4096))
    with pytest.raises(JournalTrouble) as trouble:
        station.open()
    assert "damaged" in _sentence(trouble, station.path)


def test_a_record_in_use_is_told_after_waiting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another program holds the record an append waits, then says so; afterwards it works."""
    station = Station(tmp_path)
    monkeypatch.setattr("trainer.record.store.BUSY_SECONDS", 0.05)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
        event = station.event("r1", shown(), "a")
        with closing(sqlite3.connect(station.path, isolation_level=None)) as other:
            other.execute("BEGIN EXCLUSIVE")
            with pytest.raises(JournalTrouble) as trouble:
                journal.append([event])
            assert "in use by another program" in _sentence(trouble, station.path)
            other.execute("ROLLBACK")
        journal.append([event])
        assert journal.head_of("r1").count == 2


def test_a_full_disk_is_told_and_work_goes_on_when_there_is_space(tmp_path: Path) -> None:
    """An append that does not fit says so and keeps nothing; the same append works once there is space."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
        with journal.reading() as connection:
            pages = connection.execute("PRAGMA page_count").fetchone()[0]
            connection.execute(f"PRAGMA max_page_count = {pages}")
        large = station.event("r1", e.NoteAdded("T-01", "x" * 20_000))
        with pytest.raises(JournalTrouble) as trouble:
            journal.append([large])
        assert "disk is full" in _sentence(trouble, station.path)
        assert journal.head_of("r1").count == 1
        with journal.reading() as connection:
            connection.execute(f"PRAGMA max_page_count = {pages * 10}")
        journal.append([large])
        assert list(journal.events("r1")) == station.kept["r1"]
    assert {finding.code for finding in verify(station.path).findings} == {"procedure_missing"}


def test_a_connection_that_may_not_write_is_told(tmp_path: Path) -> None:
    """An append that SQLite refuses as read-only says so and keeps nothing."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
        with journal.reading() as connection:
            connection.execute("PRAGMA query_only = ON")
        with pytest.raises(JournalTrouble) as trouble:
            station.keep(journal, "r1", ("a", shown()))
        assert "read-only" in _sentence(trouble, station.path)
        assert journal.head_of("r1").count == 1


def _said_without_rights(use: Callable[[], object]) -> str:
    """What is said when `use` is done by an account without special rights, in a process of its own."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        if os.geteuid() == 0:
            os.setuid(65534)
        try:
            said = f"done: {use()}"
        except JournalTrouble as trouble:
            said = f"trouble: {trouble.args[0]}"
        finally:
            os.write(writer, said.encode())
            os._exit(0)
    os.close(writer)
    os.waitpid(child, 0)
    with os.fdopen(reader) as told:
        return told.read()


def test_an_account_without_rights_is_told() -> None:
    """A record in a folder that may not be written is a sentence for writing, and can be looked over."""
    with tempfile.TemporaryDirectory() as folder:
        station = _record(Path(folder))
        free = Path(folder)
        for path in (free, station.path.parent):
            path.chmod(0o555)
        for path in station.path.parent.iterdir():
            path.chmod(0o444)
        opened_anew = _said_without_rights(lambda: Station(free).open())
        made_anew = _said_without_rights(lambda: Station(free / "station" / "deeper").open())
        looked_over = _said_without_rights(lambda: verify(station.path).as_text())
        for path in (free, station.path.parent):
            path.chmod(0o755)
    assert opened_anew.startswith(f"trouble: The record {station.path} cannot be written: ")
    assert made_anew.startswith("trouble: The record ")
    assert "Permission denied" in made_anew
    assert looked_over.endswith("everything is as it was written.")


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda path: path.unlink(), "is missing"),
        (lambda path: path.write_text("none"), "is not a key"),
        (lambda path: path.write_text("00" * 32), "belongs to another record"),
    ],
)
def test_a_record_without_its_key_is_not_written(
    tmp_path: Path, spoil: Callable[[Path], object], said: str
) -> None:
    """A lost, spoiled or exchanged key is a sentence that says to put it back; no other key is made."""
    station = _record(tmp_path)
    where = chain.key_path(station.path)
    right = where.read_bytes()
    spoil(where)
    with pytest.raises(JournalTrouble) as trouble:
        station.open()
    assert said in _sentence(trouble, where)
    where.write_bytes(right)
    station.open().close()


def test_a_key_left_by_a_start_that_died_is_taken(tmp_path: Path) -> None:
    """A key without a record, as a first start killed between the two leaves it, becomes the record's key."""
    station = Station(tmp_path)
    station.path.parent.mkdir()
    left = chain.make_key(station.path)
    station.open().close()
    assert chain.read_key(station.path) == left


def test_old_sqlite_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A Python whose SQLite knows no STRICT tables is told to be replaced."""
    monkeypatch.setattr("trainer.record.store.sqlite3.sqlite_version_info", (3, 34, 1))
    with pytest.raises(JournalTrouble, match=r"needs 3\.37 or newer"):
        Station(tmp_path).open()


@pytest.mark.parametrize(
    "code", [code for code in dir(sqlite3) if code.startswith("SQLITE_") and code.count("_") == 1]
)
def test_every_error_code_of_sqlite_has_a_sentence(code: str) -> None:
    """Each primary result code gives a sentence that names the file and says what to do."""
    error = sqlite3.OperationalError("words of SQLite")
    error.sqlite_errorcode = getattr(sqlite3, code)
    sentence = trouble_of(error, Path("/x/record.db")).args[0]
    assert "/x/record.db" in sentence
    assert sentence.endswith(".")
    assert sentence.count(".") >= 2


def test_a_connection_that_fails_to_open_is_closed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a refused file nothing keeps it open."""
    path = tmp_path / "record.db"
    path.write_bytes(b"no record" * 500)
    made: list[sqlite3.Connection] = []

    real = sqlite3.connect

    def noted(
        database: str, *, uri: bool, timeout: float, isolation_level: None, check_same_thread: bool
    ) -> sqlite3.Connection:
        made.append(
            real(
                database,
                uri=uri,
                timeout=timeout,
                isolation_level=isolation_level,
                check_same_thread=check_same_thread,
            )
        )
        return made[0]

    monkeypatch.setattr("trainer.record.store.sqlite3.connect", noted)
    with pytest.raises(JournalTrouble):
        connect(path)
    assert len(made) == 1
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        made[0].execute("SELECT 1")


def test_an_altered_event_is_not_gone_on_with(tmp_path: Path) -> None:
    """Reading a run for going on looks at each event's digest: one changed word in one event is told."""
    station = _record(tmp_path)
    data = station.path.read_bytes()
    station.path.write_bytes(data.replace(b"Good contact", b"Food contact"))
    with station.open() as journal, pytest.raises(JournalTrouble) as trouble:
        journal.events("r1")
    assert "Event 18 of run r1 was altered" in _sentence(trouble, station.path)


def test_an_altered_procedure_is_not_gone_on_with(tmp_path: Path) -> None:
    """The bytes that runs are bound to are held against their content hash before they are used."""
    station = _record(tmp_path)
    with closing(sqlite3.connect(station.path)) as connection:
        connection.execute("UPDATE procedures SET source = ?", (SOURCE.replace(b"in", b"on"),))
        connection.commit()
    with station.open() as journal, pytest.raises(JournalTrouble) as trouble:
        journal.procedure(real_hash())
    assert "was altered" in _sentence(trouble, station.path)


@pytest.mark.parametrize("left", [None, b""])
def test_a_record_cut_off_to_nothing_is_told_and_not_begun_anew(tmp_path: Path, left: bytes | None) -> None:
    """A record removed or emptied while its second place tells of runs is a sentence; put back, it works."""
    station = _record(tmp_path)
    whole = station.path.read_bytes()
    station.path.unlink()
    if left is not None:
        station.path.write_bytes(left)
    for _ in range(2):  # what the first try made does not open the way for the second
        with pytest.raises(JournalTrouble) as trouble:
            station.open()
        assert "Put the record back" in _sentence(trouble, station.path)
    station.path.write_bytes(whole)
    with station.open() as journal:
        assert list(journal.events("r1")) == station.kept["r1"]


def test_a_second_place_alone_without_runs_lets_a_record_begin(tmp_path: Path) -> None:
    """A start that died while it made a record leaves an empty second place; the next makes the rest."""
    station = Station(tmp_path)
    station.open().close()
    station.path.unlink()
    with station.open() as journal:
        short_run(station, journal, "r1")
    assert verify(station.path).ok
