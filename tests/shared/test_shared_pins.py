"""A thousand wrong PINs at a station: nobody gets in, each is written down, the count is forwarded."""

from __future__ import annotations

import sqlite3
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest
from forwarding_kit import forwarded
from record_kit import Station, short_run
from shared_kit import Shared, server, shared

from trainer.record import store
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.record.shared.connecting import connected
from trainer.record.shared.stations import states

__all__ = ["server", "shared"]
pytestmark = pytest.mark.long
PIN = "804215"
TRIES = 1_000
"""Ten thousand are tried in tests/faults/record, where nothing is forwarded."""


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Station:
    """A station with one instructor and one run, its disk not waited for: no power goes in this test."""
    modes = store._set_modes

    def hasty(connection: sqlite3.Connection) -> None:
        modes(connection)
        connection.execute("PRAGMA synchronous = OFF")

    monkeypatch.setattr(store, "_set_modes", hasty)
    made = Station(tmp_path)
    with made.open() as journal:
        People(journal).add("I-1", "Somebody with a name", instructor=True, pin=PIN)
        short_run(made, journal, "r1")
    return made


def test_wrong_pins_leave_their_count(station: Station, shared: Shared) -> None:
    """Guessed over two days with real hashes, also for codes that nobody has; no code and no PIN goes up."""
    told: Counter[str] = Counter()
    typed = "letmein7"  # somebody may type anything for a code, a PIN even
    for number in range(TRIES):
        if number == TRIES // 2:
            station.clock.pass_time(86_400)
        who = "I-1" if number % 10 else typed
        told[PinCheck(station.path, station.clock).check(who, f"{number:06}").verdict] += 1
    assert told["right"] == 0
    assert told.total() == TRIES
    assert told["wrong_pin"] <= 7, "five, and what a day lets through"
    with closing(sqlite3.connect(station.path)) as kept:
        listed = Counter(found for (found,) in kept.execute("SELECT found FROM pin_tries"))
    assert listed == told
    forwarded(station, shared.one)
    forwarded(station, shared.one)
    with connected(shared.reviewer.address) as connection:
        rows = connection.execute("SELECT day, found, tries FROM sinkside.pin_tries").fetchall()
        assert states(connection)[0].wrong == TRIES
    counted: Counter[str] = Counter()
    for _, found, tries in rows:
        counted[found] += tries
    assert counted == told
    assert len({day for day, *_ in rows}) == 2
    with shared.admin.open() as admin:
        everything = "".join(
            str(admin.execute(f"SELECT * FROM sinkside.{table}").fetchall())  # noqa: S608 - its own tables
            for (table,) in admin.execute(
                "SELECT relname FROM pg_class "
                "WHERE relnamespace = 'sinkside'::regnamespace AND relkind IN ('r', 'p')"
            ).fetchall()
        )
    assert "sink 1" in everything
    for secret in (PIN, typed, typed.upper(), "argon2", "Somebody with a name"):
        assert secret not in everything


def test_a_count_does_not_go_down(shared: Shared) -> None:
    """A list of tries that was shortened at the station does not shorten the count here."""
    with shared.one.open() as own:
        row = (shared.one.site, "2026-03-02", "wrong_pin", 40)
        own.execute("INSERT INTO sinkside.pin_tries (site, day, found, tries) VALUES (%s, %s, %s, %s)", row)
        own.execute("UPDATE sinkside.pin_tries SET tries = 3")
        assert own.execute("SELECT tries FROM sinkside.pin_tries").fetchone() == (40,)
