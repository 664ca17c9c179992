"""Killed, or without power, at any moment of a restore or a backup: one record or the other is there."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from names_kit import Files, all_recorded, left_behind
from power_kit import Recorder
from record_kit import CLOSED, SHORT_RUN, Station, opened, station_with_a_run

from trainer.record import backup as backups
from trainer.record import chain, store
from trainer.record import restore as restores
from trainer.record.backup import backup, files_of, take_names
from trainer.record.people import People
from trainer.record.restore import restore, restoring
from trainer.record.verify import verify

AT = "2026-03-02T09:30:00.000Z"
ASIDE = "record.db.aside-20260302-093000"
DRAWN = 2
"""States after a power cut that are looked at for each thing asked of the disk."""

Ids = frozenset[str]
Check = Callable[[Path], str]
"""What is wrong in a folder; empty where nothing is."""


@pytest.fixture
def station(tmp_path: Path) -> Station:
    """A record that went on after a backup (`kept.db` in the folder above), and erased somebody since."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r2", (None, opened("T-02")), *SHORT_RUN[:3])
    backup(station.path, tmp_path / "kept.db", AT)
    with station.open() as journal:
        journal.take_lease("r2")
        station.keep(journal, "r2", *SHORT_RUN[3:], CLOSED)
        People(journal).erase("T-01")
    return station


def of(record: Path) -> Ids:
    """The events of a record."""
    with closing(sqlite3.connect(record)) as connection:
        return frozenset(ident for (ident,) in connection.execute("SELECT id FROM events"))


def whole(record: Path) -> Ids | None:
    """The events of a record that is as it was written; None where it is not there, or not whole."""
    if not record.exists() or not chain.key_path(record).exists():
        return None
    if any(finding.severity == "problem" for finding in verify(record).findings):
        return None
    return of(record)


def each(recorder: Recorder, folder: Path, check: Check, drawn: int = DRAWN) -> tuple[int, str]:
    """Put each state into a folder and look at it; how many, and the first thing that is wrong."""
    count = 0
    place = folder / "left"
    for files in left_behind(recorder, 31, drawn):
        count += 1
        _put(place, files)
        if wrong := check(place):
            return count, wrong
    return count, ""


def _put(place: Path, files: Files) -> None:
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir()
    for name, content in files.items():
        (place / name).write_bytes(content)


def recorder_of(folder: Path) -> Recorder:
    """What lies in a folder, before anything is asked."""
    return Recorder(*(path for path in folder.iterdir() if path.suffix != ".reserve"))


def put_back(station: Station) -> Recorder:
    """Restore the backup, and write down everything."""
    recorder = recorder_of(station.path.parent)
    kept = station.path.parent.parent / "kept.db"
    with all_recorded(recorder, station.path.parent), restoring(kept, station.path, AT) as ready:
        restore(ready, AT)
    return recorder


def one_or_the_other(former: Ids, new: Ids) -> Check:
    """The check of a record whose content is exchanged in place."""

    def check(place: Path) -> str:
        here = whole(place / "record.db")
        if here == former:
            return ""
        if here != new:
            return "neither is there"
        return "" if whole(place / ASIDE) == former else "the new one is there, and the former nowhere"

    return check


def found_in(station: Station, tmp_path: Path, drawn: int = DRAWN) -> tuple[int, str]:
    """Restore with everything written down; how many states were looked at, and what is wrong."""
    former, new = whole(station.path), whole(tmp_path / "kept.db")
    assert former is not None
    assert new is not None
    recorder = put_back(station)
    assert whole(station.path) == new
    return each(recorder, tmp_path, one_or_the_other(former, new), drawn)


@pytest.mark.long(seconds=9)
def test_a_restore_leaves_the_former_record_or_the_new_one(station: Station, tmp_path: Path) -> None:
    """At every moment; and once the new one is there, the former one is whole beside it."""
    looked_at, wrong = found_in(station, tmp_path)
    assert wrong == ""
    assert looked_at > 100


def content_first(half: Path, record: Path) -> None:
    """Sabotage: the content of the record, and only then the second place and the key."""
    with closing(store.opened(half)) as source, closing(store.connect(record, make=False)) as target:
        source.backup(target)
    put_what_belongs_to_it(half, record)


def by_hand(half: Path, record: Path) -> None:
    """Sabotage: the content as bytes, by no transaction."""
    put_what_belongs_to_it(half, record)
    with closing(store.connect(record, make=False)) as target:
        target.execute("PRAGMA journal_mode = OFF")
        with closing(store.opened(half)) as source:
            source.backup(target)


put_what_belongs_to_it = restores._put_what_belongs_to_it


@pytest.mark.long(seconds=2)
@pytest.mark.parametrize("sabotaged", [content_first, by_hand])
def test_a_restore_in_another_order_is_found_out(
    station: Station, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sabotaged: Callable[[Path, Path], None]
) -> None:
    """Sabotage: some moment has neither record whole."""
    monkeypatch.setattr(restores, "_put_what_belongs_to_it", sabotaged)
    _, wrong = found_in(station, tmp_path, 0)
    assert wrong == "neither is there"


def spoiled_or_new(spoiled: bytes, new: Ids) -> Check:
    """The check of a record that cannot be read, and whose file is exchanged."""

    def check(place: Path) -> str:
        record, aside = place / "record.db", place / ASIDE
        if not record.exists():
            return "no record is there"
        if record.read_bytes() == spoiled:
            return ""
        if whole(record) != new:
            return "neither is there"
        return "" if aside.read_bytes() == spoiled else "the new one is there, and the former nowhere"

    return check


def found_in_spoiled(station: Station, tmp_path: Path) -> tuple[int, str]:
    """The same where the present record cannot be read."""
    new = whole(tmp_path / "kept.db")
    assert new is not None
    spoiled = b"\0" * 8192
    station.path.write_bytes(spoiled)
    recorder = put_back(station)
    assert whole(station.path) == new
    return each(recorder, tmp_path, spoiled_or_new(spoiled, new), 20)


@pytest.mark.long(seconds=2)
def test_a_record_that_nobody_can_read_is_there_until_the_backup_is(station: Station, tmp_path: Path) -> None:
    """Its name is never empty, so that no station begins a new record there; its bytes are kept aside."""
    looked_at, wrong = found_in_spoiled(station, tmp_path)
    assert wrong == ""
    assert looked_at > 5


def moved_first(half: Path, record: Path, aside: Path) -> None:
    """Sabotage: everything moved away, and then the backup put there."""
    for file, name in zip(files_of(record), files_of(aside), strict=True):
        file.replace(name)
    take_names(half, record)


@pytest.mark.long(seconds=2)
def test_a_record_that_is_moved_away_first_is_found_out(
    station: Station, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: some moment has none."""
    monkeypatch.setattr(restores, "_exchange_file", moved_first)
    assert found_in_spoiled(station, tmp_path)[1] == "no record is there"


def nothing_or(name: str, new: Ids) -> Check:
    """The check of a name that nobody had."""

    def check(place: Path) -> str:
        there = place / name
        return "" if not there.exists() or whole(there) == new else "half a record is there"

    return check


def found_in_backup(station: Station, tmp_path: Path, links: bool = True) -> tuple[int, str]:
    """Make a backup with everything written down."""
    folder = tmp_path / "backups"
    folder.mkdir()
    recorder = Recorder(station.path)  # only read, and by its own name
    with all_recorded(recorder, folder, links):
        backup(station.path, folder / "one.db", AT)
    new = whole(station.path)
    assert new is not None
    return each(recorder, tmp_path, nothing_or("one.db", new), 20)


@pytest.mark.long(seconds=2)
@pytest.mark.parametrize("links", [True, False], ids=["links", "no links"])
def test_a_backup_is_whole_or_not_there(station: Station, tmp_path: Path, links: bool) -> None:
    """Whatever has the backup's name verifies, with its key; also where a file has one name only."""
    looked_at, wrong = found_in_backup(station, tmp_path, links)
    assert wrong == ""
    assert looked_at > 3


@pytest.mark.long(seconds=2)
def test_a_restore_where_no_record_is_leaves_none_or_a_whole_one(station: Station, tmp_path: Path) -> None:
    """The machine was exchanged: the same for the names of a new record."""
    new = whole(tmp_path / "kept.db")
    assert new is not None
    for file in station.path.parent.iterdir():
        file.unlink()
    looked_at, wrong = each(put_back(station), tmp_path, nothing_or("record.db", new), 20)
    assert wrong == ""
    assert looked_at > 3


def unsynced(path: Path, content: bytes) -> None:
    """Sabotage: a file that nobody sees to the disk."""
    with os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
        file.write(content)


def record_first(half: Path, to: Path) -> None:
    """Sabotage: the record gets its name before what it needs."""
    for staged_file, path in zip(files_of(half), files_of(to), strict=True):
        path.hardlink_to(staged_file)


@pytest.mark.long(seconds=3)
@pytest.mark.parametrize(("name", "sabotaged"), [("_write", unsynced), ("take_names", record_first)])
def test_a_backup_that_is_named_too_early_is_found_out(
    station: Station,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    sabotaged: Callable[..., None],
) -> None:
    """Sabotage: some moment has a backup without its key."""
    monkeypatch.setattr(backups, name, sabotaged)
    assert found_in_backup(station, tmp_path)[1] == "half a record is there"
