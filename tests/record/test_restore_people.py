"""Whoever was erased after a backup does not come back with it, also where only a name was listed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from record_kit import Station, station_with_a_run
from tamper_kit import asked

from trainer.record.backup import backup
from trainer.record.people import People
from trainer.record.restore import Restoring, restore, restoring
from trainer.record.retention import erase_too_old
from trainer.record.verify import verify

AT = "2026-03-02T09:30:00.000Z"
WHO = "SELECT code, name FROM people ORDER BY code"
SEALS = "SELECT name, value FROM about WHERE name LIKE 'erased%'"


@pytest.fixture
def station(tmp_path: Path) -> Station:
    """A station with a run of T-01, and T-02 and I-2 who have done nothing yet; all in `kept.db` too."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        People(journal).add("T-02", "Somebody Listed")
        People(journal).add("I-2", "Somebody Signing", instructor=True, pin="804215")
    backup(station.path, tmp_path / "kept.db", AT)
    station.clock.pass_time(3600)
    return station


def put_back(station: Station, name: str = "kept.db") -> Restoring:
    """Restore a backup; how it was made ready."""
    station.clock.pass_time(3600)
    with restoring(station.path.parent.parent / name, station.path, AT) as ready:
        aside = restore(ready, AT)
    assert aside is not None
    for file in station.path.parent.glob(f"{aside.name}*"):
        file.unlink()
    assert verify(station.path).ok
    return ready


def erase(station: Station, *codes: str) -> None:
    """Take people out."""
    with station.open() as journal:
        for code in codes:
            People(journal).erase(code)


def test_a_person_listed_by_name_only_stays_erased(station: Station) -> None:
    """No event tells of it; the seal does. Name and PIN are nowhere in the file."""
    erase(station, "T-02", "I-2")
    assert put_back(station).people == 2
    assert asked(station.path, WHO) == [("T-01", "")]
    for word in (b"Somebody", b"T-02", b"$argon2"):
        assert word not in station.path.read_bytes()


def test_the_seals_go_on_with_what_is_put_back(station: Station) -> None:
    """The same backup once more, and nobody comes back; a backup made in between has them as well."""
    erase(station, "T-02")
    put_back(station)
    backup(station.path, station.path.parent.parent / "later.db", AT)
    assert put_back(station).people == 1
    assert put_back(station, "later.db").people == 0
    assert asked(station.path, WHO) == [("I-2", "Somebody Signing"), ("T-01", "")]


def test_somebody_else_under_the_same_code_is_let_be(station: Station) -> None:
    """A code given again later is another row: its own backup brings it back."""
    erase(station, "T-02")
    station.clock.pass_time(60)
    with station.open() as journal:
        People(journal).add("T-02", "Another")
    backup(station.path, station.path.parent.parent / "later.db", AT)
    assert put_back(station, "later.db").people == 0
    assert ("T-02", "Another") in asked(station.path, WHO)
    assert put_back(station).people == 1
    assert "T-02" not in dict(asked(station.path, WHO))


def test_whoever_came_after_an_older_backup_comes_back_with_a_newer_one(station: Station) -> None:
    """Not to be listed is no erasure: going back a day and forth again loses nobody."""
    with station.open() as journal:
        People(journal).add("T-03", "Came later")
    backup(station.path, station.path.parent.parent / "later.db", AT)
    assert put_back(station).people == 0
    assert "T-03" not in dict(asked(station.path, WHO))
    assert put_back(station, "later.db").people == 0
    assert ("T-03", "Came later") in asked(station.path, WHO)


def test_somebody_erased_by_age_stays_erased(station: Station) -> None:
    """Trainees of whom nothing is left go by the same path."""
    with station.open() as journal:
        assert erase_too_old(journal, date(2100, 1, 1)).people == ("T-01", "T-02")
    ready = put_back(station)
    assert (ready.people, ready.erased) == (2, 19)
    assert asked(station.path, WHO) == [("I-2", "Somebody Signing")]


def test_a_seal_says_nothing_of_anybody(station: Station) -> None:
    """Sixteen bytes and a time, which no list of what is known of the record shows."""
    erase(station, "T-02")
    ((name, at),) = asked(station.path, SEALS)
    assert len(bytes.fromhex(str(name).removeprefix("erased "))) == 16
    assert str(at) > AT[:4]
    with station.open() as journal:
        assert journal.about() == {}
