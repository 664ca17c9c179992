"""A record of the first schema is brought up: what is kept stays, the tables for reading are whole."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from first_kit import first_record
from record_kit import Station

from trainer.record import migrations
from trainer.record.journal import StationJournal
from trainer.record.rebuild import dump, rebuild
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble
from trainer.run.wire import body_from_json, body_to_json

KEPT_ONCE = ("events", "heads", "station", "procedures", "people", "erasures", "leases", "pin_tries")


def asked(path: Path, question: str) -> list[tuple[object, ...]]:
    """The rows that a question to the file gives."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(question).fetchall()


def kept_once(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of what is kept once."""
    return {table: asked(path, f"SELECT * FROM {table} ORDER BY 1, 2") for table in KEPT_ONCE}  # noqa: S608


def dumped(path: Path) -> list[str]:
    """The whole file, in statements."""
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.iterdump())


def test_the_kept_record_is_one_of_the_first_schema(tmp_path: Path) -> None:
    """What the other tests bring up has the tables of the first migration, and no others."""
    path = first_record(tmp_path)
    assert asked(path, "SELECT number, name FROM migrations") == [(1, "first_tables")]
    with closing(sqlite3.connect(":memory:")) as connection:
        migrations.first_tables(connection)
        made = connection.execute("SELECT name, sql FROM sqlite_schema ORDER BY name").fetchall()
    assert asked(path, "SELECT name, sql FROM sqlite_schema ORDER BY name") == made


def test_an_early_record_is_brought_up(tmp_path: Path) -> None:
    """What is kept once stays to the byte; the tables are those that a rebuild makes; the record verifies."""
    path = first_record(tmp_path)
    before = kept_once(path)
    with StationJournal(path, FakeClock()) as journal:
        (run,) = journal.open_runs()
        assert (run.run, run.trainee, run.step) == ("r3", "T-03", "draw-down")
        assert journal.about() == {}
        with journal.reading() as connection:
            tables = dump(connection)
    assert kept_once(path) == before
    assert [finding.code for finding in verify(path).findings] == ["procedure_missing"]
    rebuild(path)
    with closing(sqlite3.connect(path)) as connection:
        assert dump(connection) == tables
    assert [row[0] for row in asked(path, "SELECT name FROM migrations")] == [
        "first_tables",
        "tables_for_review",
    ]
    closed = asked(path, "SELECT run, closed, closed_at IS NULL, station, excused FROM runs ORDER BY run")
    assert closed == [
        ("r1", "stopped", 0, "", ""),
        ("r2", "done", 0, "", "fire drill"),
        ("r3", "", 1, "", ""),
        ("w0", "done", 0, "", ""),
    ]


def test_an_early_record_verifies_and_is_rebuilt_as_it_lies(tmp_path: Path) -> None:
    """Looking it over changes nothing and finds nothing but what it lacks; a rebuild brings it up first."""
    path = first_record(tmp_path)
    before = path.read_bytes()
    assert [finding.code for finding in verify(path).findings] == ["procedure_missing"]
    assert path.read_bytes() == before
    assert rebuild(path, "2026-03-02T09:00:00.000Z").runs == 4
    assert asked(path, "SELECT at FROM migrations WHERE number = 2") == [("2026-03-02T09:00:00.000Z",)]
    assert [finding.code for finding in verify(path).findings] == ["procedure_missing"]


def test_what_was_erased_stays_so(tmp_path: Path) -> None:
    """Of two people who were erased nothing comes back into the tables for reading."""
    path = first_record(tmp_path)
    StationJournal(path, FakeClock()).close()
    with closing(sqlite3.connect(path)) as connection:
        rows = [row for table in dump(connection).values() for row in table]
    assert not {"T-08", "T-09", "r0"} & {cell for row in rows for cell in row}
    assert ("r1", "T-02") in {row[:2] for row in rows}


def test_an_early_record_is_gone_on_with(tmp_path: Path) -> None:
    """A run of the first schema takes more events, and its tables stay those of a rebuild."""
    path = first_record(tmp_path)
    station = Station(tmp_path)
    with StationJournal(path, station.clock) as journal:
        station.kept["r3"] = list(journal.events("r3"))
        journal.take_lease("r3")
        station.keep(journal, "r3", ("draw-down", e.HintOpened()), ("draw-down", e.Moved("burn", "finished")))
        with journal.reading() as connection:
            tables = dump(connection)
    rebuild(path)
    with closing(sqlite3.connect(path)) as connection:
        assert dump(connection) == tables
    assert [finding.code for finding in verify(path).findings] == ["procedure_missing"]


def test_one_bad_run_does_not_shut_the_others_out(tmp_path: Path) -> None:
    """An event that cannot be read is left out; `verify` names it, and every other run is there."""
    path = first_record(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER events_never_change")
        connection.execute("UPDATE events SET body = '{' WHERE run = 'r2' AND seq = 4")
        connection.commit()
    with StationJournal(path, FakeClock()) as journal:
        assert [run.run for run in journal.open_runs()] == ["r3"]
        with pytest.raises(JournalTrouble, match="Event 4 of run r2"):
            journal.events("r2")
    assert asked(path, "SELECT run FROM runs ORDER BY run") == [("r1",), ("r2",), ("r3",), ("w0",)]
    assert ("body_altered", "r2", 4) in {(one.code, one.run, one.seq) for one in verify(path).findings}


def test_a_migration_that_fails_leaves_the_record_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All in one transaction: where the last statement fails, schema, tables and rows are the first ones."""
    path = first_record(tmp_path)
    before = dumped(path)

    def fails(connection: sqlite3.Connection) -> None:
        migrations.tables_for_review(connection)
        connection.execute("no statement")

    monkeypatch.setattr(migrations, "MIGRATIONS", (migrations.first_tables, fails))
    with pytest.raises(JournalTrouble):
        StationJournal(path, FakeClock())
    assert dumped(path) == before


def test_an_opening_of_version_1_is_read() -> None:
    """A body that was written before runs had a station is read, with a station that has no name."""
    now = e.RunOpened("T-01", "invented", 3, "aa", "cued", rehearsal=False, settings={"exposure": 24.0})
    written = body_to_json(now)
    assert written["version"] == 2
    first = {key: value for key, value in written.items() if key != "station"} | {"version": 1}
    assert body_from_json(first) == now
    for wrong in ({**first, "station": ""}, {**written, "version": 1}, {**first, "version": 2}):
        with pytest.raises(ValueError, match="station"):
            body_from_json(wrong)
