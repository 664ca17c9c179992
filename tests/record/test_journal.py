"""The journal keeps events durably, all or none, in order, and for one holder at a time."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from record_kit import (
    SHORT_RUN,
    SOURCE,
    Station,
    histories,
    opened,
    real_hash,
    short_run,
    shown,
    station_with_a_run,
)

from trainer.record import heads, second_place
from trainer.record.journal import OpenRun
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.ports import JournalTrouble, LeaseLost


def test_what_was_appended_is_read_back_after_opening_again(tmp_path: Path) -> None:
    """Every event comes back equal, in order, from a journal opened anew."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        assert list(journal.events("r1")) == station.kept["r1"]


@settings(max_examples=settings().max_examples // 5, suppress_health_check=[HealthCheck.too_slow])
@given(history=histories())
def test_any_history_is_read_back_and_verifies(
    history: list[tuple[str, list[tuple[str | None, e.Body]]]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Events of every kind with any text and number come back equal, and the chain of the record holds."""
    station = Station(tmp_path_factory.mktemp("history"))
    with station.open() as journal:
        for run, batch in history:
            station.keep(journal, run, *batch)
        for run, events in station.kept.items():
            assert list(journal.events(run)) == events
            assert journal.head_of(run).count == len(events)
    assert {finding.code for finding in verify(station.path).findings} <= {"procedure_missing"}


@pytest.mark.parametrize(
    "value", [7.066764604630422e16, 1e300, -(2.0**53), 2.0**53 - 1, 24.0, 2**53 - 1, True, "24"]
)
def test_a_value_comes_back_as_it_was(tmp_path: Path, value: e.Value) -> None:
    """Large floats, which RFC 8785 writes as digits, come back equal, and can be written again."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()), (None, e.BenchSet("timer", value)))
        back = journal.events("r1")
        assert list(back) == station.kept["r1"]
        journal.append(back)


def test_the_modes_that_make_an_append_durable_are_set(tmp_path: Path) -> None:
    """The connection has a rollback journal, synchronous EXTRA (3) and secure delete."""
    with Station(tmp_path).open() as journal, journal.reading() as connection:
        modes = [
            connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "secure_delete")
        ]
    assert modes == ["delete", 3, 1]


def test_an_append_is_in_the_file_when_it_returns(tmp_path: Path) -> None:
    """Another process reads the event while the journal that wrote it is still open."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
        code = (
            "import sqlite3, sys; print(*sqlite3.connect(sys.argv[1]).execute('SELECT max(seq) FROM events'))"
        )
        seen = subprocess.run(
            [sys.executable, "-c", code, str(station.path)], capture_output=True, text=True, check=True
        )
    assert seen.stdout.strip() == "(1,)"


def test_files_and_folder_are_private(tmp_path: Path) -> None:
    """Record, key, second place and reserve have mode 0600, their folder 0700; a wider record is narrowed."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
    modes = {path.name: path.stat().st_mode & 0o777 for path in station.path.parent.iterdir()}
    names = ["record.db", "record.db.key", "record.db.heads", "record.db.reserve"]
    assert modes == dict.fromkeys(names, 0o600)
    assert station.path.parent.stat().st_mode & 0o777 == 0o700
    station.path.chmod(0o644)
    station.open().close()
    assert station.path.stat().st_mode & 0o777 == 0o600


def test_the_same_events_again_change_nothing(tmp_path: Path) -> None:
    """Appending stored events again, also with new ones behind them, keeps each event once."""
    station = Station(tmp_path)
    with station.open() as journal:
        first = station.keep(journal, "r1", (None, opened()), ("draw-down", shown()))
        before = journal.head_of("r1")
        journal.append(first)
        journal.append(first[1:])
        assert journal.head_of("r1") == before
        journal.append([*first, station.event("r1", e.Confirmed(), "draw-down")])
        assert list(journal.events("r1")) == station.kept["r1"]
        journal.append([])
    assert verify(station.path).ok is False  # the procedure was never kept; nothing else
    assert [finding.code for finding in verify(station.path).findings] == ["procedure_missing"]


def test_another_event_in_a_taken_place_is_refused(tmp_path: Path) -> None:
    """An event with a taken number and another content is refused by run and number; nothing is kept."""
    station = Station(tmp_path)
    with station.open() as journal:
        first = station.keep(journal, "r1", (None, opened()), ("draw-down", shown()))
        other = [first[0], replace(first[1], body=e.Confirmed()), station.event("r1", e.Paused())]
        with pytest.raises(JournalTrouble, match="Event 2 of run r1 is in the record already"):
            journal.append(other)
        assert list(journal.events("r1")) == first


@pytest.mark.parametrize("place", [1, 2])
def test_a_gap_in_the_numbers_is_refused(tmp_path: Path, place: int) -> None:
    """A gap to what is kept, or inside the batch, is refused, and nothing of the batch is kept."""
    station = Station(tmp_path)
    with station.open() as journal:
        first = station.keep(journal, "r1", (None, opened()))
        batch = [station.event("r1", e.Paused()) for _ in range(4)]
        del batch[place - 1]
        with pytest.raises(JournalTrouble, match="does not follow"):
            journal.append(batch)
        assert list(journal.events("r1")) == first


def test_two_runs_in_one_append_are_refused(tmp_path: Path) -> None:
    """A batch with events of two runs is refused whole."""
    station = Station(tmp_path)
    with station.open() as journal:
        with pytest.raises(JournalTrouble, match="Nothing was kept"):
            journal.append([station.event("r1", opened()), station.event("r2", opened())])
        assert journal.open_runs() == []


def test_a_number_that_cannot_be_kept_refuses_the_whole_batch(tmp_path: Path) -> None:
    """NaN in the last event of a batch is refused in a sentence, and the first is not kept either."""
    station = Station(tmp_path)
    with station.open() as journal:
        bad = station.event("r1", e.WorkedOut("x", float("nan"), "units", "0/0"))
        first = replace(bad, seq=1, body=opened())
        with pytest.raises(JournalTrouble, match=r"Event 2 of run r1 \(worked_out\) holds something"):
            journal.append([first, replace(bad, seq=2)])
        with pytest.raises(JournalTrouble, match="no run r1"):
            journal.events("r1")


def test_the_later_holder_of_a_run_wins_and_the_older_is_told(tmp_path: Path) -> None:
    """After take_lease elsewhere the older journal is refused, keeps nothing, and can take the run back."""
    station = Station(tmp_path)
    with station.open() as older, station.open() as newer:
        station.keep(older, "r1", (None, opened()))
        newer.take_lease("r1")
        refused = station.event("r1", e.Paused())
        with pytest.raises(LeaseLost, match="another terminal"):
            older.append([refused])
        newer.append([refused])
        older.take_lease("r1")
        station.keep(older, "r1", (None, e.Resumed("paused")))
        with pytest.raises(LeaseLost):
            newer.append([replace(refused, seq=4, id="other")])
        assert [event.seq for event in newer.events("r1")] == [1, 2, 3]


def test_a_run_that_another_journal_opened_wants_a_lease_first(tmp_path: Path) -> None:
    """A program started again that forgets take_lease is refused rather than writing beside another one."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
    with station.open() as journal:
        event = station.event("r1", e.Resumed("restart"))
        with pytest.raises(LeaseLost):
            journal.append([event])
        journal.take_lease("r1")
        journal.append([event])
        assert journal.head_of("r1").count == 2


def test_terminals_write_at_the_same_time_without_losing_or_mixing(tmp_path: Path) -> None:
    """Four journals appending at once each keep their own run whole, and the chain of the record holds."""
    station = Station(tmp_path)
    station.open().close()
    runs = [f"r{number}" for number in range(4)]
    events = {
        run: [station.event(run, opened()), *(station.event(run, e.Paused()) for _ in range(20))]
        for run in runs
    }
    failures: list[JournalTrouble] = []

    def work(run: str) -> None:
        try:
            with station.open() as journal:
                journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
                for event in events[run]:
                    journal.append([event])
        except JournalTrouble as trouble:
            failures.append(trouble)

    threads = [threading.Thread(target=work, args=(run,)) for run in runs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    with station.open() as journal:
        assert {run: list(journal.events(run)) for run in runs} == events
    assert verify(station.path).findings == ()


def test_one_journal_can_be_used_from_several_threads(tmp_path: Path) -> None:
    """Threads sharing a journal object keep all their events."""
    station = Station(tmp_path)
    with station.open() as journal:
        events = {
            f"r{n}": [station.event(f"r{n}", opened()), station.event(f"r{n}", e.Paused())] for n in range(8)
        }
        threads = [threading.Thread(target=journal.append, args=(batch,)) for batch in events.values()]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert {run: list(journal.events(run)) for run in events} == events


def test_open_runs_are_told_with_where_they_stand(tmp_path: Path) -> None:
    """An open run shows who, what, where and when, after a hand-over the new trainee; closed ones go."""
    station = Station(tmp_path)
    with station.open() as journal:
        short_run(station, journal, "closed")
        first = station.keep(journal, "r1", (None, opened()), ("draw-down", shown(plate=2)))
        last = station.keep(journal, "r1", ("draw-down", e.RunHandedOver("T-01", "T-02")))
        station.keep(journal, "r2", (None, opened("T-03", rehearsal=True)))
        runs = journal.open_runs()
    assert [run.run for run in runs] == ["r2", "r1"]
    assert runs[0].rehearsal is True
    assert runs[0].step is None
    assert runs[1] == OpenRun(
        run="r1",
        trainee="T-02",
        procedure="invented",
        revision=3,
        content_hash=real_hash(),
        guidance="cued",
        rehearsal=False,
        step="draw-down",
        plate=2,
        opened_at=first[0].stamp.at,
        last_at=last[0].stamp.at,
        job="Tide card",
        colour="blue",
    )


def test_procedure_bytes_are_kept_once_and_given_back(tmp_path: Path) -> None:
    """The bytes come back by content hash; a hash kept again changes nothing; an unknown one is told."""
    station = Station(tmp_path)
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        journal.keep_procedure(real_hash(), b"other", "other", 9)
        assert journal.procedure(real_hash()) == SOURCE
        with pytest.raises(JournalTrouble, match="content hash ffffffffffff is not in the record"):
            journal.procedure("f" * 64)


def test_events_can_neither_be_changed_nor_deleted_by_hand(tmp_path: Path) -> None:
    """SQL that updates or deletes an event fails while the record's own rules stand."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()))
        with journal.reading() as connection:
            for statement in ("UPDATE events SET body = '{}'", "DELETE FROM events"):
                with pytest.raises(sqlite3.IntegrityError, match="an event is never"):
                    connection.execute(statement)


def test_marks_go_into_the_second_place(tmp_path: Path) -> None:
    """Opening, sign-off and end of a run each leave a line; the last has the head that head_of shows."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        head = journal.head_of("r1")
    read = second_place.read(station.path)
    assert read is not None
    assert [(mark.why, mark.count) for mark in read.marks] == [
        ("opened", 1),
        ("signed", len(SHORT_RUN) + 1),
        ("closed", len(SHORT_RUN) + 2),
    ]
    assert (read.marks[-1].head, read.marks[-1].number) == (head.head, head.number)
    assert head.short == head.head[:12]


def test_a_second_place_that_cannot_be_written_does_not_unsay_the_events(tmp_path: Path) -> None:
    """The append succeeds, the trouble is told, and the line is written once the way is free."""
    station = Station(tmp_path)
    where = second_place.path_of(station.path)
    with station.open() as journal:
        where.unlink()
        where.mkdir()
        station.keep(journal, "r1", (None, opened()))
        assert "could not be written" in journal.second_place_trouble
        where.rmdir()
        station.keep(journal, "r1", (None, e.RunClosed("stopped", "class is over")))
        assert journal.second_place_trouble == ""
    read = second_place.read(station.path)
    assert read is not None
    assert [mark.why for mark in read.marks] == ["opened", "closed"]


def test_closing_twice_is_no_error_and_use_after_it_is_told(tmp_path: Path) -> None:
    """A closed journal can be closed again; reading from it is a trouble in a sentence."""
    journal = Station(tmp_path).open()
    journal.close()
    journal.close()
    with pytest.raises(JournalTrouble, match="could not be read or written"):
        journal.open_runs()


def test_importing_the_journal_stays_light() -> None:
    """A fresh interpreter that imports the journal has loaded none of the slow libraries."""
    code = (
        "import sys, trainer.record.journal; slow = "
        "('argon2', 'pydantic', 'textual', 'rich', 'transitions', 'cel_expr_python'); "
        "print([name for name in slow if name in sys.modules])"
    )
    seen = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert seen.stdout.strip() == "[]"


def _hints(path: Path) -> int:
    with closing(sqlite3.connect(path)) as other:
        return int(other.execute("SELECT visit_hints FROM standing").fetchone()[0])


@pytest.mark.parametrize("who", ["another", "itself"])
def test_what_was_changed_between_two_acts_is_read_anew(tmp_path: Path, who: str) -> None:
    """Where a run stands is kept at hand from act to act only as long as nobody else has written."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()), ("draw-down", shown()))
        station.keep(journal, "r1", ("draw-down", e.HintOpened()))
        assert _hints(station.path) == 1
        if who == "another":
            with closing(sqlite3.connect(station.path)) as other, other:
                other.execute("UPDATE standing SET visit_hints = 40")
        else:
            with journal.changing() as (connection, _, _now):
                connection.execute("UPDATE standing SET visit_hints = 40")
        station.keep(journal, "r1", ("draw-down", e.HintOpened()))
        assert _hints(station.path) == 41


def test_an_act_that_was_refused_leaves_nothing_at_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Worked in and taken back: the next act goes on from what is kept, and counts nothing twice."""

    def fails(*_: object) -> None:
        raise sqlite3.OperationalError("the disk is gone")

    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()), ("draw-down", shown()))
        hint = station.event("r1", e.HintOpened(), "draw-down")
        with monkeypatch.context() as broken:
            broken.setattr(heads, "save", fails)
            with pytest.raises(JournalTrouble):
                journal.append([hint])
        journal.append([hint])
        assert _hints(station.path) == 1
        assert journal.head_of("r1").count == 3
