"""The shared record set up: doing it again, by somebody who is no superuser, months, schemas, columns."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path
from threading import Thread
from uuid import UUID

import psycopg
import pytest
import uuid6
from forwarding_kit import compare, forwarded
from postgres_kit import Postgres
from record_kit import station_with_a_run
from shared_kit import TODAY, Login, Shared, carry, insert, login, made, server, shared

from trainer.record import schema
from trainer.record.shared import migrations, mirror, stations
from trainer.record.shared.address import parse_address
from trainer.record.shared.arriving import month_of
from trainer.record.shared.connecting import connect, connected, site_of
from trainer.record.shared.setup import add_keeper, make_months, setup
from trainer.record.shared.troubles import NotLetIn, Unreachable, WrongSchema
from trainer.record.shared.verifying import verify
from trainer.run.ids import Ids

__all__ = ["server", "shared"]
pytestmark = pytest.mark.long


def test_setting_up_again_changes_nothing(shared: Shared, tmp_path: Path) -> None:
    """Rows, rules and credentials stay; two keepers at once do not hinder each other."""
    station = station_with_a_run(tmp_path)
    carry(station.path, shared.one)
    failed: list[BaseException] = []

    def again() -> None:
        try:
            with connected(shared.admin.address) as connection:
                setup(connection, "here", TODAY)
        except BaseException as error:  # noqa: BLE001 - told below
            failed.append(error)

    both = [Thread(target=again) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert failed == []
    with connected(shared.reviewer.address) as connection:
        report = verify(connection)
        assert report.ok
        assert report.events > 0


def test_whoever_owns_the_database_and_may_make_roles_can_set_up() -> None:
    """No superuser is wanted: so it is where somebody else runs the server. A server that is new to it."""
    with Postgres() as fresh:
        with psycopg.connect(fresh.address(), autocommit=True) as first:
            first.execute("CREATE ROLE lesser LOGIN CREATEROLE PASSWORD 'lesser-word'")
            first.execute("CREATE DATABASE school OWNER lesser")
        given = fresh.address("lesser", "lesser-word", "school")
        with connected(parse_address(given, source="t", secret_place=True), check=False) as connection:
            for _ in range(2):
                assert setup(connection, "here", TODAY).schema == len(migrations.MIGRATIONS)
            role, password = add_keeper(connection, "office")
        with connected(login(fresh, "school", role, password).address) as connection:
            place, role, password = stations.register(connection, "North", "sink 1")
        with connected(login(fresh, "school", role, password).address) as connection:
            assert site_of(connection) == place.site


def test_a_database_of_another_schema_is_refused(shared: Shared) -> None:
    """Newer: install the newer program. Older, or none: the keeper sets up. Each in a sentence."""
    with shared.admin.open() as admin:
        admin.execute("INSERT INTO sinkside.migrations (number, name) VALUES (99, 'later')")
    with pytest.raises(WrongSchema, match="newer Sinkside"):
        connect(shared.one.address)
    with connected(shared.admin.address, check=False) as connection:
        with pytest.raises(WrongSchema, match="nothing was changed"):
            setup(connection, "here", TODAY)
        connection.execute("DELETE FROM sinkside.migrations WHERE number > 1")
    with pytest.raises(WrongSchema, match="has schema 1"):
        connect(shared.one.address)
    with psycopg.connect(shared.server.address(), autocommit=True) as first:
        first.execute(f"CREATE DATABASE {shared.database}_empty")
    empty = parse_address(shared.server.address(database=f"{shared.database}_empty"), source="t")
    with pytest.raises(WrongSchema, match="not set up"):
        connect(empty)


def test_a_migration_that_fails_leaves_nothing(shared: Shared, monkeypatch: pytest.MonkeyPatch) -> None:
    """One transaction each, with the row that records it."""
    monkeypatch.setattr(migrations, "MIGRATIONS", (*migrations.MIGRATIONS, "wrong"))
    monkeypatch.setattr(
        migrations, "source", lambda _: "CREATE TABLE sinkside.half (a integer); SELECT 1 / 0"
    )
    with shared.admin.open() as admin:
        with pytest.raises(psycopg.errors.DivisionByZero):
            migrations.migrate(admin, "here")
        assert admin.execute("SELECT to_regclass('sinkside.half')").fetchone() == (None,)
        assert migrations.applied(admin) == len(migrations.MIGRATIONS) - 1


def test_tables_for_reading_have_the_stations_columns(shared: Shared) -> None:
    """The same columns in the same order, kinds and keys; what changes there, changes here."""
    kinds = {"TEXT": "text", "INTEGER": "bigint", "REAL": "double precision"}
    with closing(sqlite3.connect(":memory:")) as memory, shared.admin.open() as admin:
        for statement in schema.PROJECTIONS:
            memory.execute(statement)
        for table in schema.READ:
            wanted = [
                (name, kinds[kind], bool(must))
                for _, name, kind, must, *_ in memory.execute(f"PRAGMA table_info({table})")
            ]
            there = admin.execute(
                "SELECT column_name, data_type, is_nullable = 'NO' FROM information_schema.columns "
                "WHERE table_schema = 'sinkside' AND table_name = %s ORDER BY ordinal_position",
                (table,),
            ).fetchall()
            assert there == [("site", "uuid", True), *wanted], table
            assert [name for name, *_ in wanted] == list(mirror.COLUMNS[table])


def test_every_key_begins_with_the_site(shared: Shared) -> None:
    """So that rows can be distributed by station: keys have the site, foreign keys lead to `sites` alone."""
    with shared.admin.open() as admin:
        keys = admin.execute(
            "SELECT conrelid::regclass::text, pg_get_constraintdef(oid) FROM pg_constraint "
            "WHERE connamespace = 'sinkside'::regnamespace AND contype IN ('p', 'u', 'f') AND conparentid = 0"
        ).fetchall()
    apart = {"sinkside.migrations", "sinkside.sites", "sinkside.reviewers"}  # small, the same on every node
    for table, words in keys:
        assert table in apart or "KEY (site" in words or "UNIQUE (site" in words, (table, words)
        assert "FOREIGN KEY" not in words or words.endswith("REFERENCES sinkside.sites(site)"), (table, words)


@pytest.mark.parametrize("at", ["1970-01-01", "2026-03-01", "2026-03-31", "2024-02-29", "9999-12-31"])
def test_the_month_is_that_of_the_id(shared: Shared, at: str) -> None:
    """Milliseconds in the first 48 bits of a UUIDv7 (RFC 9562, 5.7), against Python's calendar and uuid6."""
    day = date.fromisoformat(at)
    ms = (day.toordinal() - date(1970, 1, 1).toordinal()) * 86_400_000
    made_id = Ids().new(ms)
    with shared.admin.open() as admin:
        for one in {ms, ms + 86_399_999}:
            ident = UUID(Ids().new(one))
            found = admin.execute("SELECT sinkside.month_of(%s)", (ident,)).fetchone()
            assert found == (day.replace(day=1),)
            assert month_of([str(ident)]) == day.replace(day=1), "a station works it out as the server does"
        now = uuid6.uuid7()
        found = admin.execute("SELECT sinkside.month_of(%s)", (now,)).fetchone()
    assert found == (date.fromtimestamp(now.time / 1000).replace(day=1),)  # noqa: DTZ012 - tests run in UTC
    assert UUID(made_id).version == 7
    assert month_of([str(now)]) == found[0]


def test_ids_of_several_months_and_of_none_are_the_servers_to_place() -> None:
    """The last millisecond of a month and the first of the next; the last that an id can hold, in 10889."""
    last = date(2026, 4, 1).toordinal() - date(1970, 1, 1).toordinal()
    march, april = (Ids().new(last * 86_400_000 - late) for late in (1, 0))
    assert (month_of([march]), month_of([april])) == (date(2026, 3, 1), date(2026, 4, 1))
    assert month_of([april, march]) is None
    assert month_of(["ffffffff-ffff-7000-8000-000000000000"]) is None


def _event(shared: Shared, who: Login, at: date, seq: int) -> None:
    """An event whose id is of that day."""
    ms = (at.toordinal() - date(1970, 1, 1).toordinal()) * 86_400_000
    row = {
        "site": who.site,
        "run": "r1",
        "seq": seq,
        "id": Ids().new(ms),
        "stored": "",
        "digest": b"",
        "head": b"",
    }
    with who.open() as own:
        own.execute(*insert("events", {**row, "person": "T-01", "salt": b"", "body": "{}"}))
    del shared


def _lies_in(shared: Shared) -> dict[str, int]:
    with shared.admin.open() as admin:
        found = admin.execute(
            "SELECT tableoid::regclass::text, count(*) FROM sinkside.events GROUP BY 1"
        ).fetchall()
    return {name.removeprefix("sinkside."): many for name, many in found}


def test_months_are_made_ahead_and_nothing_is_ever_refused(shared: Shared) -> None:
    """Fourteen months; what comes before or after them waits in the one for the rest, and is moved."""
    _event(shared, shared.one, date(2026, 3, 9), 1)
    _event(shared, shared.one, date(2027, 5, 31), 2)
    _event(shared, shared.two, date(2027, 6, 1), 1)
    _event(shared, shared.two, date(1971, 1, 1), 2)
    assert _lies_in(shared) == {"events_2026_03": 1, "events_2027_05": 1, "events_other": 2}
    with shared.admin.open() as admin:
        kept = admin.execute("SELECT id, kept_at FROM sinkside.events ORDER BY id").fetchall()
    with connected(shared.keeper.address) as connection:
        assert make_months(connection, date(2027, 5, 1)) == 1
        assert make_months(connection, date(2027, 5, 1)) == 0
    assert _lies_in(shared) == {
        "events_2026_03": 1,
        "events_2027_05": 1,
        "events_2027_06": 1,
        "events_other": 1,
    }
    with shared.admin.open() as admin:
        assert admin.execute("SELECT id, kept_at FROM sinkside.events ORDER BY id").fetchall() == kept
    _event(shared, shared.two, date(2027, 6, 30), 3)
    _event(shared, shared.two, date(1971, 1, 1), 4)
    with shared.one.open() as one, pytest.raises(psycopg.errors.InsufficientPrivilege):
        one.execute("SELECT count(seq) FROM sinkside.events_2027_06")
    with shared.admin.open() as admin, pytest.raises(psycopg.errors.RaiseException, match="never deleted"):
        admin.execute("DELETE FROM sinkside.events WHERE month = '2027-06-01'")


def test_a_retired_station_is_out_at_once_and_can_come_back(shared: Shared) -> None:
    """One that is connected writes no more; a new credential lets it in again, the old one does not."""
    with shared.one.open() as inside, connected(shared.keeper.address) as keeper:
        assert site_of(inside) == shared.one.site
        place = stations.retire(keeper, "North", "sink 1")
        assert site_of(inside) is None
        row = {"site": place.site, "key_fingerprint": "x", "runs": 1, "erasures": 0}
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            inside.execute(*insert("contacts", row))
        with pytest.raises(NotLetIn, match="does not take this credential"):
            connect(shared.one.address)
        _, role, password = stations.renew(keeper, "North", "sink 1")
        with pytest.raises(NotLetIn):
            connect(shared.one.address)
    with connected(login(shared.server, shared.database, role, password).address) as again:
        assert site_of(again) == shared.one.site


def test_after_a_total_loss_stations_send_everything_again(shared: Shared, tmp_path: Path) -> None:
    """An empty database, the station registered with the id it has: all of its runs are there once more."""
    station = station_with_a_run(tmp_path)
    assert forwarded(station, shared.one).new > 0
    anew = made(shared.server)
    with connected(anew.keeper.address) as keeper:
        place, role, password = stations.register(keeper, "North", "sink 9", shared.one.site.replace("-", ""))
        again = login(anew.server, anew.database, role, password, place)
        assert forwarded(station, again).new > 0
        assert compare(station.path, anew, again) == []
        assert verify(keeper).ok


def test_a_reviewer_has_the_schools_given_last(shared: Shared) -> None:
    """Several schools at once; given anew they are replaced, taken away nobody gets in."""
    with connected(shared.keeper.address) as keeper:
        role, password = stations.add_reviewer(keeper, "two", ["North", "South"])
        both = login(shared.server, shared.database, role, password)
        with connected(both.address) as connection:
            assert {place.school for place in stations.places(connection)} == {"North", "South"}
        role, password = stations.add_reviewer(keeper, "two", ["South"])
        south = login(shared.server, shared.database, role, password)
        with connected(south.address) as connection:
            assert {place.school for place in stations.places(connection)} == {"South"}
            assert [one.to_erase for one in stations.states(connection)] == [0]
        with pytest.raises(NotLetIn):
            connect(both.address)
        stations.remove_reviewer(keeper, "two")
    with pytest.raises(NotLetIn):
        connect(south.address)


def test_a_server_that_is_not_there_is_told_as_passing(server: Postgres) -> None:
    """A port where nobody listens: try again later."""
    made_one = made(server)
    nowhere = {**made_one.one.address.settings, "port": "1"}
    address = type(made_one.one.address)(nowhere, "the test", (), "secret-word")
    with pytest.raises(Unreachable) as told:
        connect(address)
    assert told.value.passing
    assert "secret-word" not in str(told.value)
