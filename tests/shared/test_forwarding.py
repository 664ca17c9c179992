"""A station's record in the shared one: whole, once, by the station's own credential, at a real server."""

from __future__ import annotations

import json
from contextlib import closing
from pathlib import Path
from sqlite3 import connect

import pytest
from forwarding_kit import as_station, compare, forwarded, wrong
from postgres_kit import Postgres
from record_kit import Station, opened, short_run, shown, station_with_a_run
from shared_kit import Shared, running, shared

from trainer.cli import main
from trainer.record import erase
from trainer.record.chain import read_key
from trainer.record.shared import state
from trainer.record.shared.connecting import connected
from trainer.record.shared.erasing import erase_person
from trainer.record.shared.one_at_a_time import AnotherForwards, alone
from trainer.record.shared.troubles import SharedTrouble
from trainer.record.verify import verify
from trainer.run import events as e

pytestmark = pytest.mark.long
__all__ = ["shared"]


@pytest.fixture
def server() -> Postgres:
    """The server of this process."""
    return running()


@pytest.fixture
def station(tmp_path: Path) -> Station:
    """A station with two short runs and one that is open."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        short_run(station, journal, "r2", "T-02")
        station.keep(journal, "r3", (None, opened("T-03")), ("draw-down", shown()))
    return station


def test_all_of_a_record_arrives_once_and_verifies(shared: Shared, station: Station) -> None:
    """Events, tables, lists and procedures are those of the record; a second contact sends nothing."""
    assert forwarded(station, shared.one).new == 2 * 19 + 2
    assert compare(station.path, shared) == []
    assert wrong(shared, station.path) == []
    again = forwarded(station, shared.one)
    assert (again.new, again.conflicts) == (0, 0)
    now = state.read(station.path)
    assert now is not None
    assert (now.site, now.waiting, now.trouble) == (shared.one.site, 0, "")


def test_what_is_done_later_follows(shared: Shared, station: Station) -> None:
    """An open run goes on between contacts: its new events come, and its rows are those it has now."""
    forwarded(station, shared.one)
    with station.open() as journal:
        journal.take_lease("r3")
        station.keep(journal, "r3", ("draw-down", e.Confirmed()))
        station.keep(journal, "r3", ("read-gauge", shown("reading")))
    assert forwarded(station, shared.one).new == 2
    assert compare(station.path, shared) == []
    assert wrong(shared, station.path) == []


def test_two_stations_with_the_same_run_stay_apart(shared: Shared, station: Station, tmp_path: Path) -> None:
    """Two stations, each with its own credential: neither's rows touch the other's."""
    other = Station(tmp_path / "other")
    with other.open() as journal:
        short_run(other, journal, "r1", "T-09")
    forwarded(station, shared.one)
    forwarded(other, shared.two)
    assert compare(station.path, shared) == []
    assert compare(other.path, shared, shared.two) == []
    assert wrong(shared, station.path, other.path) == []


def test_another_body_under_a_known_id_is_kept_as_a_conflict(shared: Shared, station: Station) -> None:
    """A record changed by hand after it was forwarded, and told again: what was there stays, beside it."""
    forwarded(station, shared.one)
    with closing(connect(station.path)) as record:
        record.execute("DROP TRIGGER events_never_change")
        record.execute("UPDATE events SET digest = x'00', body = '{}' WHERE run = 'r1' AND seq = 3")
        record.commit()
    with connected(shared.one.address) as one:
        one.execute("UPDATE sinkside.cursors SET last = 0, id = ''")
    contact = forwarded(station, shared.one)
    assert (contact.new, contact.conflicts) == (0, 1)
    with connected(shared.keeper.address) as keeper:
        rows = keeper.execute("SELECT kind, run, seq, kept_digest <> digest, body FROM sinkside.conflicts")
        assert rows.fetchall() == [("event", "r1", 3, True, "{}")]
        kept = keeper.execute("SELECT body FROM sinkside.events WHERE run = 'r1' AND seq = 3").fetchone()
    assert kept is not None
    assert kept[0] != "{}"
    now = state.read(station.path)
    assert now is not None
    assert now.conflicts == 1


def test_a_record_put_back_from_a_backup_that_went_on(shared: Shared, station: Station) -> None:
    """Another event where one stands is a conflict; everything else of that record arrives."""
    before = station.path.read_bytes()
    with station.open() as journal:
        journal.take_lease("r3")
        station.keep(journal, "r3", ("draw-down", e.Confirmed()))
    forwarded(station, shared.one)
    station.path.write_bytes(before)
    station.kept["r3"].pop()
    with station.open() as journal:
        journal.take_lease("r3")
        station.keep(journal, "r3", ("draw-down", e.HintOpened()), ("draw-down", e.Confirmed()))
    contact = forwarded(station, shared.one)
    assert (contact.new, contact.conflicts) == (1, 1)
    with connected(shared.keeper.address) as keeper:
        kinds = keeper.execute("SELECT kind, seq FROM sinkside.conflicts ORDER BY kind").fetchall()
    assert ("place", 3) in kinds


def test_what_no_shared_record_can_hold_is_kept_aside(shared: Shared, station: Station) -> None:
    """An id that is none, written into the file by hand, holds nothing up and is not lost without a word."""
    with closing(connect(station.path)) as record:
        record.execute("DROP TRIGGER events_never_change")
        record.execute("UPDATE events SET id = 'mine' || char(0) WHERE run = 'r1' AND seq = 3")
        record.execute("UPDATE runs SET reason = 'a' || char(0) WHERE run = 'r1'")
        record.commit()
    contact = forwarded(station, shared.one)
    assert (contact.new, contact.conflicts) == (2 * 19 + 1, 1)
    with connected(shared.keeper.address) as keeper:
        rows = keeper.execute("SELECT kind, id, run, seq FROM sinkside.conflicts").fetchall()
    assert rows == [("unfit", "mine\ufffd", "r1", 3)]


def test_an_erasure_by_the_keeper_reaches_the_station(shared: Shared, station: Station) -> None:
    """Asked for at the shared record, carried out at the next contact: nothing is left, chains still hold."""
    forwarded(station, shared.one)
    with station.open() as journal:  # not forwarded yet when it is asked for
        short_run(station, journal, "r4", "T-02")
    with connected(shared.keeper.address) as keeper:
        erase_person(keeper, "T-02", "North")
    contact = forwarded(station, shared.one)
    assert contact.erased == 2 * 19
    assert b"T-02" not in station.path.read_bytes()
    assert [one for one in verify(station.path).findings if one.severity == "problem"] == []
    assert compare(station.path, shared) == []
    assert wrong(shared, station.path) == []
    with connected(shared.keeper.address) as keeper:
        left = keeper.execute(
            "SELECT (SELECT count(*) FROM sinkside.events WHERE person = 'T-02' OR strpos(body, 'T-02') > 0),"
            "(SELECT count(*) FROM sinkside.erase_requests WHERE site = %s AND code <> '')",
            (shared.one.site,),
        ).fetchone()
    assert left == (0, 0)


def test_somebody_whose_run_goes_on_with_another_is_waited_for(shared: Shared, station: Station) -> None:
    """Until that run is closed nothing said in it of the first one goes up; then it is carried out."""
    with station.open() as journal:
        journal.take_lease("r3")
        station.keep(journal, "r3", ("draw-down", e.RunHandedOver("T-03", "T-04")))
    with connected(shared.keeper.address) as keeper:
        erase_person(keeper, "T-03", "North")
    contact = forwarded(station, shared.one)
    assert "T-04" in contact.waits
    with connected(shared.keeper.address) as keeper:
        count = "SELECT count(*) FROM sinkside.events WHERE person = 'T-03' OR strpos(body, 'T-03') > 0"
        assert keeper.execute(count).fetchone() == (0,)
    with station.open() as journal:
        journal.take_lease("r3")
        station.keep(journal, "r3", ("draw-down", e.RunClosed("stopped", "no time")))
    done = forwarded(station, shared.one)
    assert (done.erased, done.waits) == (3, "")
    assert b"T-03" not in station.path.read_bytes()
    assert compare(station.path, shared) == []
    assert wrong(shared, station.path) == []


def test_an_erasure_at_the_station_goes_up(shared: Shared, station: Station) -> None:
    """Its sealed lines are told, and what was not forwarded before goes up without body."""
    with station.open() as journal:
        erase.erase_person(journal, "T-01")
    forwarded(station, shared.one)
    assert compare(station.path, shared) == []
    assert wrong(shared, station.path) == []
    with connected(shared.keeper.address) as keeper:
        lines = keeper.execute("SELECT origin, run FROM sinkside.erasures").fetchall()
    assert lines == [("station", "r1")]


def test_the_shared_record_put_back_from_a_backup_is_told_again(shared: Shared, station: Station) -> None:
    """The cursor that counts is there: what it lost since its backup comes again."""
    forwarded(station, shared.one)
    with connected(shared.admin.address) as admin:  # as it was before anything came
        tables = ("events", "heads", "cursors", "procedures", "contacts", "runs", "visits", "attempts")
        rest = ("answers", "readings", "exposures", "plates", "signatures", "settings")
        admin.execute(f"TRUNCATE {', '.join(f'sinkside.{one}' for one in (*tables, *rest))}")
    assert forwarded(station, shared.one).new == 2 * 19 + 2
    assert compare(station.path, shared) == []


def test_another_stations_credential_is_refused(shared: Shared, station: Station) -> None:
    """A record that was one station's is not forwarded as another's."""
    forwarded(station, shared.one)
    with pytest.raises(SharedTrouble, match="another station's"):
        forwarded(station, shared.two)


def test_one_forwards_at_a_time(shared: Shared, station: Station) -> None:
    """A second forwarder of the same record is told at once."""
    with alone(station.path), pytest.raises(AnotherForwards):
        forwarded(station, shared.one)


def test_tries_of_pins_are_told_as_counts(shared: Shared, station: Station) -> None:
    """By day and what was found; no code, no PIN."""
    with closing(connect(station.path)) as record:
        record.executemany(
            "INSERT INTO pin_tries (instructor, at, boot, ticks_ms, found) VALUES ('I-1', ?, '', 0, ?)",
            [("2026-03-02T09:00:00.000Z", "wrong_pin")] * 3 + [("no day", "wrong_pin")],
        )
        record.commit()
    forwarded(station, shared.one)
    with connected(shared.keeper.address) as keeper:
        rows = keeper.execute("SELECT day::text, found, tries FROM sinkside.pin_tries").fetchall()
    assert rows == [("2026-03-02", "wrong_pin", 3)]


def test_the_command_forwards_and_says_so(
    shared: Shared, station: Station, capsys: pytest.CaptureFixture[str]
) -> None:
    """`record forward --json`: a line for a program; the password shows nowhere."""
    as_station(station.path, shared, shared.one)
    command = ["record", "--record", str(station.path), "forward"]
    main([*command, "--json"], standalone_mode=False)
    told = json.loads(capsys.readouterr().out)
    assert (told["new"], told["waiting"], told["site"]) == (40, 0, shared.one.site)
    main(command, standalone_mode=False)
    said = capsys.readouterr()
    assert "has all of this station's" in said.out
    assert (shared.one.address.password or "?") not in said.out + said.err


def test_a_key_proves_the_chain_at_the_shared_record(shared: Shared, station: Station) -> None:
    """One event altered at the server, by whoever may, is named."""
    forwarded(station, shared.one)
    with connected(shared.admin.address) as admin:
        admin.execute("ALTER TABLE sinkside.events DISABLE TRIGGER USER")
        admin.execute("UPDATE sinkside.events SET stored = 'x' WHERE run = 'r1' AND seq = 4")
    assert read_key(station.path) is not None
    assert any("event 4 " in told.lower() or "Event 4 " in told for told in wrong(shared, station.path))
