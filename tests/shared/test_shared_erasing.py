"""One person erased from the shared record: here at once, at the stations when they are in touch."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

import pytest
from record_kit import SHORT_RUN, Station, opened, short_run
from shared_kit import Login, Shared, carry, insert, server, shared

from trainer.record import verify as at_station
from trainer.record.after_class import AfterClass, Instructor
from trainer.record.mistyped import to_put_right
from trainer.record.people import People
from trainer.record.shared import erasing
from trainer.record.shared.connecting import connected
from trainer.record.shared.stations import states
from trainer.record.shared.verifying import verify
from trainer.run import events as e
from trainer.run.fakes import FakeSignOff
from trainer.run.ids import Ids
from trainer.run.ports import Trouble

__all__ = ["server", "shared"]
pytestmark = pytest.mark.long


class Class:
    """Two sinks in north and one in south; T-01 worked at all three, T-02 at north's first too."""

    def __init__(self, shared: Shared, folder: Path) -> None:
        self.shared = shared
        self.at = {}
        for login, people in (
            (shared.one, ("T-01", "T-02")),
            (shared.two, ("T-01",)),
            (shared.far, ("T-01",)),
        ):
            station = Station(folder / login.site)
            with station.open() as journal:
                for number, who in enumerate(people):
                    short_run(station, journal, f"r{number}", who)
                station.keep(journal, "rx", (None, opened("T-05")), *SHORT_RUN[:3])
                station.keep(journal, "rx", ("draw-down", e.RunHandedOver("T-05", "T-01")))
                station.keep(
                    journal, "rx", ("draw-down", e.Confirmed()), ("draw-down", e.RunClosed("stopped"))
                )
            carry(station.path, login)
            self.at[login.site] = station

    def texts(self, login: Login) -> str:
        """Every body of a station that the shared record still has, and every row for reading."""
        with self.shared.admin.open() as admin:
            bodies = admin.execute("SELECT body, person FROM sinkside.events WHERE site = %s", (login.site,))
            found = [str(bodies.fetchall())]
            for table in (
                "runs",
                "visits",
                "attempts",
                "plates",
                "signatures",
                "conflicts",
                "erase_requests",
            ):
                rows = admin.execute(
                    f"SELECT * FROM sinkside.{table} WHERE site = %s",  # noqa: S608 - ours
                    (login.site,),
                )
                found.append(str(rows.fetchall()))
        return "".join(found)

    def forward(self, login: Login) -> None:
        """The station is in touch: it erases whom it is asked to, then tells how its record stands."""
        station = self.at[login.site]
        with login.open() as own, station.open() as journal:
            asked = own.execute(
                "SELECT number, code FROM sinkside.erase_requests WHERE done_at IS NULL"
            ).fetchall()
            for number, who in asked:
                People(journal).erase(who)
                done = "UPDATE sinkside.erase_requests SET code = '', done_at = now() WHERE number = %s"
                own.execute(done, (number,))
        carry(station.path, login)


@pytest.fixture
def room(shared: Shared, tmp_path: Path) -> Class:
    """The class, forwarded."""
    return Class(shared, tmp_path)


def test_the_keeper_erases_a_person_of_a_school(room: Class) -> None:
    """Gone from all of the school's stations at once; another school's person of that code stays."""
    keeper = room.shared.keeper
    with connected(keeper.address) as connection:
        done = erasing.erase_person(connection, "t-01", "North")
        assert [(one.place.station, one.events) for one in done] == [("sink 1", 22), ("sink 2", 22)]
        assert verify(connection).ok
    for login in (room.shared.one, room.shared.two):
        left = room.texts(login).replace("'T-01'", "asked", 1)  # the request itself, until it is carried out
        assert "T-01" not in left
        assert "T-05" in left
    assert "T-02" in room.texts(room.shared.one)
    assert "erase" not in room.texts(room.shared.far)
    assert room.texts(room.shared.far).count("T-01") > 20


def test_it_reaches_the_stations_at_their_next_contact(room: Class) -> None:
    """Each erases in its own record, its chains hold, the code goes from the request, all is well here."""
    keeper = room.shared.keeper
    with connected(keeper.address) as connection:
        erasing.erase_person(connection, "T-01", "North")
        assert [one.to_erase for one in states(connection)] == [1, 1, 0]
        room.forward(room.shared.one)
        room.forward(room.shared.two)
        assert [one.to_erase for one in states(connection)] == [0, 0, 0]
        report = verify(connection)
        assert report.ok, report.as_text()
        assert [one.asked for one in states(connection)] == [0, 0, 0]
    for login in (room.shared.one, room.shared.two):
        assert "T-01" not in room.texts(login)
        local = at_station.verify(room.at[login.site].path)
        assert local.ok, local.as_text()
        assert local.erased == 22


def test_a_station_that_sends_before_it_erased_brings_nothing_back(room: Class) -> None:
    """Bodies stay gone. Its tables for reading come again, which is told until it has erased too."""
    with connected(room.shared.keeper.address) as connection:
        erasing.erase_person(connection, "T-01", "North")
        carry(room.at[room.shared.one.site].path, room.shared.one)
        report = verify(connection)
        assert report.ok, report.as_text()
        assert {one.code for one in report.findings} == {"erasure_waits"}
        with room.shared.admin.open() as admin:
            body = "SELECT count(*) FROM sinkside.events WHERE site = %s AND body LIKE '%%\"T-01\"%%'"
            assert admin.execute(body, (room.shared.one.site,)).fetchone() == (0,)
        room.forward(room.shared.one)
        assert verify(connection).findings == ()


def test_what_a_station_erased_waits_for_the_keeper(room: Class) -> None:
    """A station's credential erases nothing here: it says what it erased, and the keeper carries that out."""
    one = room.shared.one
    with room.at[one.site].open() as journal:
        People(journal).erase("T-02")
    carry(room.at[one.site].path, one)
    with connected(room.shared.keeper.address) as connection:
        assert "T-02" in room.texts(one)
        assert [state.asked for state in states(connection)] == [19, 0, 0]
        assert {found.code for found in verify(connection).findings} == {"erasure_waits"}
        done = erasing.erase_asked(connection)
        assert [(erased.place.words, erased.events, erased.runs) for erased in done] == [
            ("North, sink 1", 19, 1)
        ]
        assert verify(connection).findings == ()
        assert erasing.erase_asked(connection) == []
    assert "T-02" not in room.texts(one)


def test_an_instructors_word_stays_on_the_trainees_record(room: Class) -> None:
    """Sign-offs belong to the trainees: the instructor's code stays there, here as at the station."""
    with connected(room.shared.keeper.address) as connection:
        assert [one.events for one in erasing.erase_person(connection, "I-1", "North")] == [0, 0]
    assert '"by":"I-1"' in room.texts(room.shared.one)


def test_erasing_again_changes_nothing(room: Class) -> None:
    """One request waits, and nothing more goes."""
    with connected(room.shared.keeper.address) as connection:
        erasing.erase_person(connection, "T-01", "North", "sink 2")
        again = erasing.erase_person(connection, "T-01", "North", "sink 2")
        assert [one.events for one in again] == [0]
        assert [one.to_erase for one in states(connection)] == [0, 1, 0]


@pytest.mark.parametrize(("who", "school"), [("no/code", "North"), ("T-01", "Nowhere")])
def test_what_cannot_be_erased_is_said(room: Class, who: str, school: str) -> None:
    """A code that is none, a school that is not there: a sentence."""
    with connected(room.shared.keeper.address) as connection, pytest.raises(Trouble):
        erasing.erase_person(connection, who, school)


def test_what_a_conflict_kept_goes_too(room: Class) -> None:
    """A body that did not fit is of the same person, and is erased with the others."""
    site = room.shared.one.site
    with room.shared.one.open() as own:
        own.execute(
            "INSERT INTO sinkside.conflicts (site, kind, id, run, seq, digest, person, salt, body) "
            "VALUES (%s, 'event', 'x', 'r0', 4, 'd', 'T-01', 's', 'secret of T-01')",
            (site,),
        )
    with connected(room.shared.keeper.address) as connection:
        erasing.erase_person(connection, "T-01", "North")
    assert "secret of" not in room.texts(room.shared.one)


def test_an_erasure_waits_for_a_batch_that_is_on_its_way(room: Class) -> None:
    """A batch that began first, and could not see the request, is kept and erased; no body slips through."""
    one, keeper = room.shared.one, room.shared.keeper
    done: list[int] = []

    def erase() -> None:
        with connected(keeper.address) as connection:
            done.extend(
                erased.events for erased in erasing.erase_person(connection, "T-01", "North", "sink 1")
            )

    late = {"site": one.site, "run": "r9", "seq": 1, "id": Ids().new(1_772_000_000_000), "stored": ""}
    late |= {"digest": b"", "head": b"", "person": "T-01", "salt": b"s", "body": "{}"}
    with one.open() as own, room.shared.admin.open() as admin:
        with own.transaction():
            own.execute("SELECT 1 FROM sinkside.contacts FOR SHARE")  # as forwarding begins a piece
            asked = Thread(target=erase)
            asked.start()
            waits = (
                "SELECT 1 FROM pg_stat_activity "
                "WHERE datname = current_database() AND wait_event_type = 'Lock'"
            )
            while not admin.execute(waits).fetchone() and asked.is_alive():
                pass
            assert own.execute("SELECT code FROM sinkside.erase_requests").fetchall() == []
            own.execute(*insert("events", late))
        asked.join()
    assert done == [23]
    assert "T-01" not in room.texts(one).replace("'T-01'", "asked", 1)


def test_a_mistyped_code_is_erased_with_whose_it_was(shared: Shared, tmp_path: Path) -> None:
    """Put right at the station after it was sent, the tables here follow; erased here, no text of it is left.

    Whoever's code it was instead stays, and so does what the other did under it when that one is erased.
    """
    station = Station(tmp_path)
    with station.open() as journal:
        for run, who in (("r1", "T-02"), ("r2", "T-13"), ("r3", "T-02"), ("r4", "T-40")):
            short_run(station, journal, run, who)
    carry(station.path, shared.one)
    with station.open() as journal:
        acts = AfterClass(journal, FakeSignOff({"I-1": "271828"}), station.clock)
        acts.put_right(to_put_right(journal, "T-02", "T-13", ["r1"]), Instructor("I-1", "271828"))
    carry(station.path, shared.one)
    with shared.admin.open() as admin:
        assert admin.execute("SELECT run, trainee FROM sinkside.runs ORDER BY run").fetchall() == [
            ("r1", "T-13"),
            ("r2", "T-13"),
            ("r3", "T-02"),
            ("r4", "T-40"),
        ]
    with connected(shared.keeper.address) as connection:
        assert verify(connection).ok
        each = len(SHORT_RUN) + 2
        assert next(one.events for one in erasing.erase_person(connection, "T-02", "North")) == each
        assert verify(connection).ok
        assert next(one.events for one in erasing.erase_person(connection, "T-13", "North")) == 2 * each + 1
        assert verify(connection).ok
        left = connection.execute(
            "SELECT DISTINCT run FROM sinkside.events WHERE body IS NOT NULL"
        ).fetchall()
    assert left == [("r4",)]
