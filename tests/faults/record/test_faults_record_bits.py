"""Bits flipped and tails cut off in every file of a record: told, or harmless; never silent."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, nullcontext
from pathlib import Path
from typing import cast

import pytest
from plate_station import plate_station
from record_kit import Station, opened, short_run, shown
from run_kit import Sink

from trainer.procedure.problems import ProcedureProblems
from trainer.record import chain, second_place, store
from trainer.record import journal as journal_module
from trainer.record import verify as verify_module
from trainer.record.journal import StationJournal
from trainer.record.verify import verify
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import JournalTrouble, Trouble

Events = dict[str, object]


def _content(record: Path) -> Events:
    """All that a reader of the record gets to see: every run's events, and the open runs."""
    with StationJournal(record, FakeClock(), make=False) as journal:
        seen: Events = {run: journal.events(run) for run in ("r1", "r2")}
        seen["open"] = journal.open_runs()
    return seen


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small record: one run closed, one open."""
    station = Station(tmp_path_factory.mktemp("whole"))
    with station.open() as journal:
        short_run(station, journal, "r1")
        station.keep(journal, "r2", (None, opened("T-02")), ("draw-down", shown()))
    return station.path


def _silent(record: Path, wanted: Events) -> str:
    """'' where the damage is told or harmless; else what was read instead, with nobody told."""
    told = ""
    try:
        found = verify(record).findings
        told = found[0].message if found else ""
        seen = _content(record)  # where `verify` tells too: reading gives a sentence, or what can be read
    except JournalTrouble as trouble:
        told, seen = str(trouble), wanted
    if told and not told.endswith("."):
        return f"no sentence: {told}"
    return "" if told or seen == wanted else "another content"


def _damaged(whole: Path, folder: Path, name: str, data: bytes) -> Path:
    """A copy of the record with one of its files replaced."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(whole.parent, folder, ignore=shutil.ignore_patterns("*.reserve"))
    (folder / name).write_bytes(data)
    return folder / whole.name


def _flips(data: bytes, every: int) -> Iterator[bytes]:
    """One bit flipped in each `every`-th byte, another bit each time."""
    for place in range(0, len(data), every):
        yield data[:place] + bytes([data[place] ^ 1 << place % 8]) + data[place + 1 :]


def _cuts(data: bytes, every: int) -> Iterator[bytes]:
    """The file cut off at each `every`-th byte."""
    for place in range(0, len(data), every):
        yield data[:place]


def _silences(whole: Path, folder: Path, name: str, every: int) -> list[str]:
    """Flips at each `every`-th byte; a page of a database (4096 bytes) is cut in nine places at the most."""
    wanted, data = _content(whole), (whole.parent / name).read_bytes()
    changed = [*_flips(data, every), *_cuts(data, max(every, 499) if name == whole.name else every)]
    records = (_damaged(whole, folder / "copy", name, other) for other in changed)
    return [told for told in (_silent(record, wanted) for record in records) if told]


@pytest.mark.parametrize(
    ("name", "every"), [("record.db", 2503), ("record.db.key", 5), ("record.db.heads", 29)]
)
def test_no_damage_to_a_file_is_silent(whole: Path, tmp_path: Path, name: str, every: int) -> None:
    """Bits flipped and tails cut off here and there in each file: told or harmless."""
    assert _silences(whole, tmp_path, name, every) == []


@pytest.mark.long(seconds=8)
@pytest.mark.parametrize(("name", "every"), [("record.db", 83), ("record.db.key", 1), ("record.db.heads", 3)])
def test_no_damage_anywhere_is_silent(whole: Path, tmp_path: Path, name: str, every: int) -> None:
    """The same all over each file, densely."""
    assert _silences(whole, tmp_path, name, every) == []


def test_an_integrity_check_alone_would_be_silent(
    whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: without the digests, a word changed in an event passes where no table for reading has it."""
    data = bytearray(whole.read_bytes())
    data[data.index(b'"covers":["draw') + len(b'"covers":["')] ^= 1
    record = _damaged(whole, tmp_path / "copy", whole.name, bytes(data))
    assert _silent(record, _content(whole)) == ""
    monkeypatch.setattr(verify_module, "check_run", lambda *_: [])
    monkeypatch.setattr(journal_module, "_altered", lambda *_: False)
    assert _silent(record, _content(whole)) == "another content"


def _hot(whole: Path, folder: Path) -> tuple[Path, bytes]:
    """A record in the middle of a transaction that has begun to reach the file, and its rollback journal."""
    record = _damaged(whole, folder / "source", whole.name, whole.read_bytes())
    with closing(sqlite3.connect(record, isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("PRAGMA cache_spill = 1")
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("UPDATE runs SET job = hex(randomblob(9000))")
        connection.execute("UPDATE people SET name = hex(randomblob(9000))")
        shutil.copytree(record.parent, folder / "hot")
        connection.execute("ROLLBACK")
    hot = folder / "hot" / record.name
    return hot, hot.with_name(hot.name + "-journal").read_bytes()


def test_no_damage_to_the_journal_of_a_stopped_transaction_is_silent(whole: Path, tmp_path: Path) -> None:
    """A hot rollback journal with flipped bits or a cut tail: rolled back whole, told, or harmless."""
    hot, data = _hot(whole, tmp_path)
    wanted = _content(whole)
    for number, other in enumerate([data, *_flips(data, 997), *_cuts(data, 1009)]):
        copy = tmp_path / str(number)
        shutil.copytree(hot.parent, copy)
        (copy / f"{hot.name}-journal").write_bytes(other)
        assert _silent(copy / hot.name, wanted) == "", number


def test_a_removed_key_or_second_place_is_named(whole: Path, tmp_path: Path) -> None:
    """Of a file that is gone, the sentence gives its name."""
    for path_of in (chain.key_path, second_place.path_of):
        record = _damaged(whole, tmp_path / "copy", whole.name, whole.read_bytes())
        path_of(record).unlink()
        assert any(str(path_of(record)) in finding.message for finding in verify(record).findings)


@pytest.fixture(scope="module")
def worked_at(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of a station whose record holds a run of the plate, left in the middle."""
    folder = tmp_path_factory.mktemp("station")
    clock = FakeClock()
    with plate_station(folder, clock) as station:
        run = station.open_run("plate", "T-01")
        Sink(run.plan, run, clock, cast("FakeJournal", station.journal)).until("draw-down")
    return folder


def _go_on(folder: Path) -> str:
    """Go on with the run as a terminal does: what is said where that cannot be done, else nothing."""
    clock = FakeClock("2026-03-02T12:00:00.000Z", ticks_ms=12_000_000)
    try:
        with plate_station(folder, clock) as station:
            station.trainees()
            for left in station.open_runs():
                run = station.take_up(left.run)
                run.view()
                clock.pass_time(1.0)
                run.note("Gone on with")
                station.outcome(left.run)
    except (Trouble, ProcedureProblems) as told:
        return str(told)
    return ""


def _goes_on_or_says_why(worked_at: Path, folder: Path, every: int) -> int:
    """Flip and cut the record here and there, and go on with each; in how many something was said."""
    data = (worked_at / "record.db").read_bytes()
    said = []
    for other in [*_flips(data, every), *_cuts(data, every * 3)]:
        record = _damaged(worked_at / "record.db", folder / "copy", "record.db", other)
        said.append(_go_on(record.parent))
    assert all(not told or told.rstrip().endswith(".") for told in said), said
    return sum(map(bool, said))


def test_a_damaged_record_is_gone_on_with_or_says_why(worked_at: Path, tmp_path: Path) -> None:
    """With bits flipped and tails cut off a terminal goes on, or a sentence stands there; no other error."""
    assert _goes_on_or_says_why(worked_at, tmp_path, 20_011) > 2


def test_a_journal_that_lets_errors_through_is_found_out(
    worked_at: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: where the database's errors are made no sentences, a damaged record ends with one of them."""
    data = (worked_at / "record.db").read_bytes()
    torn = data[:4096] + b"\xa5" * (len(data) - 4096)
    record = _damaged(worked_at / "record.db", tmp_path / "copy", "record.db", torn)
    assert "is damaged" in _go_on(record.parent)
    for module in (store, journal_module):
        monkeypatch.setattr(module, "troubles", lambda _: nullcontext())
    with pytest.raises(sqlite3.DatabaseError):
        _go_on(record.parent)


@pytest.mark.long
def test_a_record_damaged_anywhere_is_gone_on_with_or_says_why(worked_at: Path, tmp_path: Path) -> None:
    """The same all over the file, densely."""
    assert _goes_on_or_says_why(worked_at, tmp_path, 499) > 20
