"""The parts of forwarding that need no server: waits, pieces, the cursor, one at a time, how it stands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from record_kit import CLOSED, SHORT_RUN, Station, opened, station_with_a_run

from trainer.record import about
from trainer.record.journal import StationJournal
from trainer.record.migrations import MIGRATIONS
from trainer.record.shared import cursor as cursors
from trainer.record.shared import state
from trainer.record.shared.backoff import Backoff
from trainer.record.shared.batches import EventRow, next_batch, reading, something_waits, together
from trainer.record.shared.cursor import Cursor
from trainer.record.shared.forwarder import Contact, Forwarder, Stopped
from trainer.record.shared.watching import EVERY_SECONDS, watch
from trainer.run.fakes import FakeClock
from trainer.run.ports import Trouble
from trainer.screens.sinkside import SinksideApp
from trainer.screens.station import Station as RunStation
from trainer.screens.ticket import Wanted


@pytest.fixture
def station(tmp_path: Path) -> Station:
    """A station with two runs worked on in turns."""
    station = Station(tmp_path)
    with station.open() as journal:
        for run in ("r1", "r2"):
            station.keep(journal, run, (None, opened()), SHORT_RUN[0])
        for act in (*SHORT_RUN[1:], CLOSED):
            for run in ("r1", "r2"):
                station.keep(journal, run, act)
    return station


def test_waits_grow_by_doubling_and_are_drawn_between_nothing_and_that() -> None:
    """Full jitter (M. Brooker, "Exponential Backoff And Jitter", 2015): random(0, min(cap, base * 2^n))."""
    most = Backoff(2.0, 300.0, lambda: 1.0)
    assert [most.failed() for _ in range(9)] == [2, 4, 8, 16, 32, 64, 128, 256, 300]
    half = Backoff(2.0, 300.0, lambda: 0.5)
    assert [half.failed(), half.failed()] == [1, 2]
    half.succeeded()
    assert half.failed() == 1
    many = Backoff(2.0, 300.0, lambda: 0.0, failures=5000)
    assert many.failed() == 0


def test_pieces_are_whole_runs_up_to_their_moment_and_say_each_event_once(station: Station) -> None:
    """However small the pieces, together they are all events, none twice, each run with its last rows."""
    with reading(station.path) as connection:
        cursor, ahead, parts = Cursor(), dict[str, int](), []
        more = True
        while more:
            part = next_batch(connection, cursor, (), ahead, 3)
            for run in part.runs:
                last = max(row[1] for row in part.events if row[0] == run)
                assert last == 19, "a run that is told is told to its end"
            ahead.update(part.ahead)
            cursor, more = part.cursor, part.more
            parts.append(part)
    whole = together(parts)
    assert len(whole.events) == len({row[2] for row in whole.events}) == 2 * 19
    assert sorted(str(row[0]) for row in whole.tables["runs"]) == ["r1", "r2"]
    assert whole.cursor.last == 2 * 19


def test_a_piece_takes_in_what_follows_of_its_last_run(tmp_path: Path) -> None:
    """With one terminal at work, nothing is read twice: the cursor is behind all that the piece told."""
    station = Station(tmp_path)
    with station.open() as journal:
        for run in ("r1", "r2", "r3"):
            station.keep(journal, run, (None, opened()), *SHORT_RUN, CLOSED)
    each = len(SHORT_RUN) + 2
    told: list[EventRow] = []
    with reading(station.path) as connection:
        cursor = Cursor()
        for ends in (each, 2 * each, 3 * each):
            part = next_batch(connection, cursor, (), {}, each - 1)
            cursor, told = part.cursor, [*told, *part.events]
            assert (cursor.last, part.ahead) == (ends, {})
            assert cursors.agreed(connection, cursor) == cursor
    assert [row[:2] for row in told] == [(run, seq + 1) for run in ("r1", "r2", "r3") for seq in range(each)]


def test_a_cursor_is_believed_only_where_the_record_has_that_event(station: Station) -> None:
    """Another id at that place, or another schema of the tables, and everything is told again."""
    with reading(station.path) as connection:
        (ident,) = connection.execute("SELECT id FROM events WHERE rowid = 5").fetchone()
        told = Cursor(5, ident, 0, len(MIGRATIONS))
        assert cursors.agreed(connection, told) == told
        assert cursors.agreed(connection, Cursor(5, "another", 0, len(MIGRATIONS))) == Cursor()
        assert cursors.agreed(connection, Cursor(500, ident, 0, len(MIGRATIONS))) == Cursor()
        assert cursors.agreed(connection, Cursor(5, ident, 0, 1)) == Cursor()
        assert cursors.agreed(connection, None) == Cursor()


@pytest.mark.parametrize("nonsense", ["", "1 2", "a b c d", "-1 0 0 x", "[]", "{}", '{"at": 3}', "\x1b[31m"])
def test_nonsense_among_what_is_known_of_the_record_is_no_trouble(station: Station, nonsense: str) -> None:
    """Written there by hand: forwarding begins anew, and how it stands is unknown."""
    with StationJournal(station.path, FakeClock()) as journal, journal.changing() as (connection, _, _now):
        about.write(connection, cursors.FORWARDED, nonsense)
        about.write(connection, state.LAST_CONTACT, nonsense)
    now = state.read(station.path)
    assert now is not None
    assert (now.waiting, now.at, now.trouble, now.conflicts) == (2 * 19, "", "", 0)


class Made(Forwarder):
    """Contacts that go as told."""

    def __init__(self, outcomes: Iterator[Contact | Trouble]) -> None:
        self.made = 0
        self._outcomes = outcomes

    def contact(self, told: object = None) -> Contact:
        """The next one."""
        del told
        self.made += 1
        came = next(self._outcomes)
        if isinstance(came, Trouble):
            raise came
        return came


def test_watching_tries_again_after_troubles_and_ends_when_told(station: Station) -> None:
    """A contact that fails is followed by a longer wait; one that succeeds by the usual one."""
    waits: list[float] = []

    def wait(seconds: float) -> bool:
        waits.append(seconds)
        return len(waits) > 5

    went: list[Contact | Trouble] = [
        Contact(1),
        Trouble("No."),
        Trouble("No."),
        Contact(2),
        Stopped("Ended."),
    ]
    forwarder = Made(iter(went))
    told: list[Contact | Trouble] = []
    watch(station.path, forwarder, wait, backoff=Backoff(4.0, 300.0, lambda: 0.5), told=told.append)
    assert waits == [0.0, EVERY_SECONDS, 2.0, 4.0, EVERY_SECONDS]
    assert told == went[:4]


def test_something_waits_until_it_is_told(tmp_path: Path) -> None:
    """A new record has nothing; one event and something waits, until the cursor is there."""
    station = station_with_a_run(tmp_path)
    with reading(station.path) as connection:
        assert something_waits(connection)
        batch = next_batch(connection, Cursor(), (), {})
        with StationJournal(station.path, FakeClock()) as journal, journal.changing() as (writing, _, _now):
            cursors.write(writing, batch.cursor)
        assert not something_waits(connection)


async def test_the_start_screen_says_in_one_line_how_it_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a shared record named: its line above the keys, which stay; without one, no line."""
    from trainer.screens.forwarding import Forwarding
    from trainer.screens.start import Standing
    from trainer.screens.widgets.keys import Keys

    with RunStation.open(record=tmp_path / "r.db", clock=FakeClock()) as station:
        monkeypatch.setenv("SINKSIDE_SHARED", "nonsense")
        app = SinksideApp(station, Wanted(), None)
        app.forwarding = Forwarding(station.journal.path, station.clock)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            line = app.screen.query_one(Standing)
            assert line.shown == "Shared record: not asked yet."
            assert (line.region.y, app.screen.query_one(Keys).region.y) == (22, 23)
        app.forwarding.end()
        monkeypatch.delenv("SINKSIDE_SHARED")
        plain = SinksideApp(station, Wanted(), None)
        async with plain.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            assert not plain.screen.query(Standing)
