"""What a station's credential gets of the shared record, and what not: real logins on a real server.

Row security, its order against functions that leak, and what COPY, ON CONFLICT and RETURNING need: PostgreSQL
manual, sections 5.9 (row security policies) and 41.5 (rules and privileges), pages INSERT and COPY.
"""

from __future__ import annotations

import psycopg
import pytest
from rights_kit import ALL, READ, filled, others, refused
from shared_kit import Login, Shared, insert, server

__all__ = ["filled", "server"]
pytestmark = pytest.mark.long


def sites_seen(login: Login, table: str) -> set[str]:
    """The stations whose rows of a table a login sees."""
    with login.open() as connection:
        return {str(row[0]) for row in connection.execute(f"SELECT site FROM sinkside.{table}")}  # noqa: S608


@pytest.mark.parametrize("table", ALL)
def test_each_sees_its_own(filled: Shared, table: str) -> None:
    """A station sees its own rows, a reviewer those of its school, the keeper all."""
    one, two, far = filled.one.site, filled.two.site, filled.far.site
    assert sites_seen(filled.one, table) == {one}
    assert sites_seen(filled.far, table) == {far}
    assert sites_seen(filled.reviewer, table) == {one, two}
    assert sites_seen(filled.keeper, table) == {one, two, far}


@pytest.mark.parametrize("table", ALL)
def test_a_station_cannot_write_anothers_rows(filled: Shared, table: str) -> None:
    """Not a new row, and what is said does not tell whether the row is there."""
    words = set()
    for run in ("run-1", "never-was"):
        for known in ("DO NOTHING",):
            words.add(refused(filled.one, *insert(table, others(filled.two.site, run)[table], known)))
    assert len(words) == 1
    assert "row-level security" in words.pop()


@pytest.mark.parametrize("table", ["heads", "contacts", "pin_tries", *READ])
def test_a_station_cannot_take_over_anothers_rows_by_a_conflict(filled: Shared, table: str) -> None:
    """INSERT ... ON CONFLICT DO UPDATE on a key that another station has is refused, and changes nothing."""
    key = {"contacts": "site", "pin_tries": "site, day, found", "heads": "site, run", "runs": "site, run"}
    key |= {"plates": "site, run, plate", "settings": "site, run, name"}
    column = {"heads": "count", "contacts": "runs", "pin_tries": "tries", "runs": "events"}.get(table, "site")
    with filled.admin.open() as admin:
        before = admin.execute(f"SELECT * FROM sinkside.{table} ORDER BY 1, 2, 3").fetchall()  # noqa: S608
    row = others(filled.two.site, "run-1")[table]
    update = f"({key.get(table, 'site, run, seq')}) DO UPDATE SET {column} = excluded.{column}"
    refused(filled.one, *insert(table, row, update))
    with filled.admin.open() as admin:
        assert admin.execute(f"SELECT * FROM sinkside.{table} ORDER BY 1, 2, 3").fetchall() == before  # noqa: S608


@pytest.mark.parametrize("table", ["heads", "contacts", "pin_tries", *READ])
def test_a_station_cannot_move_its_rows_to_another(filled: Shared, table: str) -> None:
    """An update that would put a row under another's id is refused."""
    refused(filled.one, f"UPDATE sinkside.{table} SET site = %s", (filled.two.site,))  # noqa: S608


def test_a_station_changes_nobody_elses_tables_for_reading(filled: Shared) -> None:
    """UPDATE and DELETE without a condition reach its own rows only."""
    with filled.one.open() as one, one.transaction(force_rollback=True):
        assert one.execute("UPDATE sinkside.runs SET reason = 'x'").rowcount == 1
        assert one.execute("DELETE FROM sinkside.visits").rowcount > 0
        assert one.execute("DELETE FROM sinkside.runs WHERE run <> 'run-0'").rowcount == 0


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE sinkside.events SET body = '{}'",
        "UPDATE sinkside.events SET body = NULL, salt = NULL, person = ''",
        "DELETE FROM sinkside.events",
        "TRUNCATE sinkside.events",
        "DELETE FROM sinkside.heads",
        "DELETE FROM sinkside.erasures",
        "UPDATE sinkside.erasures SET seqs = '1'",
        "DELETE FROM sinkside.conflicts",
        "UPDATE sinkside.conflicts SET kind = 'head'",
        "UPDATE sinkside.procedures SET source = ''",
        "DELETE FROM sinkside.pin_tries",
        "SELECT body FROM sinkside.events",
        "SELECT salt FROM sinkside.events",
        "SELECT person FROM sinkside.events",
        "SELECT * FROM sinkside.events",
        "SELECT count(*) FROM sinkside.events WHERE person = 'T-01'",
        "SELECT body FROM sinkside.conflicts",
        "COPY sinkside.events (body) TO STDOUT",
        "COPY (SELECT body FROM sinkside.events) TO STDOUT",
        "COPY sinkside.runs FROM PROGRAM 'true'",
        "COPY (SELECT 1) TO '/never'",
        "SELECT pg_read_file('/etc/hostname')",
        "SELECT * FROM sinkside.events_other",
        "SELECT * FROM sinkside.events_2026_03",
        "INSERT INTO sinkside.events_2026_03 SELECT * FROM sinkside.events_2026_03",
        "SELECT * FROM sinkside.reviewers",
        "SELECT last_value FROM sinkside.erase_requests_number_seq",
        "INSERT INTO sinkside.erase_requests (site, code) SELECT sinkside.my_site(), 'T-01'",
        "INSERT INTO sinkside.sites (site, school, station, role) VALUES (gen_random_uuid(), 'a', 'b', 'c')",
        "UPDATE sinkside.sites SET school = 'South'",
        "SELECT sinkside.make_months('2026-01-01', 1)",
        "SELECT sinkside.erase_events(sinkside.my_site(), 'run-0', '{1}')",
        "SELECT sinkside.ask_erasure(sinkside.my_site(), 'T-01')",
        "SELECT sinkside.register_station(gen_random_uuid(), 'a', 'b', 'c')",
        "SELECT sinkside.renew_station(sinkside.my_site(), 'c')",
        "SELECT sinkside.retire_station(sinkside.my_site())",
        "SELECT sinkside.add_reviewer('me', '{North}', 'x')",
        "INSERT INTO sinkside.migrations (number, name) VALUES (99, 'x')",
        "CREATE TABLE sinkside.mine (a integer)",
        "CREATE TABLE public.mine (a integer)",
        "CREATE SCHEMA mine",
        "CREATE ROLE mine",
        "SET ROLE sinkside_owner",
        "SET ROLE sinkside_keeper",
        "SET SESSION AUTHORIZATION sinkside_owner",
        "ALTER TABLE sinkside.events DISABLE ROW LEVEL SECURITY",
        "ALTER TABLE sinkside.events DISABLE TRIGGER keep_events",
        "DROP POLICY station_adds ON sinkside.events",
        "GRANT sinkside_keeper TO current_user",
        "SELECT lo_create(0)",
        "SELECT lo_from_bytea(0, 'x')",
        "SELECT * FROM pg_authid",
    ],
)
def test_a_station_cannot(filled: Shared, statement: str) -> None:
    """What a station's credential is refused, one by one; the rows are as they were."""
    refused(filled.one, statement)


def test_what_comes_back_of_an_insert_is_no_body(filled: Shared) -> None:
    """RETURNING gives the readable columns of the station's own row, and no more."""
    statement, row = insert("events", {**others(filled.one.site, "run-9")["events"], "seq": 90})
    refused(filled.one, f"{statement} RETURNING body", row)
    with filled.one.open() as one, one.transaction(force_rollback=True):
        assert one.execute(f"{statement} RETURNING seq", row).fetchone() == (90,)


def test_copy_straight_into_a_guarded_table_is_refused(filled: Shared) -> None:
    """COPY FROM would go past the rules, so PostgreSQL does not let it."""
    with filled.one.open() as one, pytest.raises(psycopg.errors.FeatureNotSupported):
        one.execute("COPY sinkside.runs FROM STDIN")


def test_a_station_cannot_turn_the_rules_off(filled: Shared) -> None:
    """With row_security off a query that the rules would touch fails, and shows nothing."""
    refused(filled.one, "SET row_security = off; SELECT count(seq) FROM sinkside.events")


def test_a_function_that_leaks_is_asked_after_the_rules(filled: Shared) -> None:
    """A cheap function of one's own in the condition gets to see one's own rows only."""
    seen: list[str] = []
    with filled.one.open() as one:
        one.add_notice_handler(lambda told: seen.append(told.message_primary or ""))
        one.execute(
            "CREATE FUNCTION pg_temp.leak(run text) RETURNS boolean LANGUAGE plpgsql COST 0.0000001 AS "
            "$$ BEGIN RAISE NOTICE '%', run; RETURN true; END $$"
        )
        one.execute("SELECT count(seq) FROM sinkside.events WHERE pg_temp.leak(run)")
        # an error that would come up on another's row does not come up
        one.execute(
            "SELECT seq FROM sinkside.visits WHERE 1 / (CASE WHEN run = 'run-1' THEN 0 ELSE 1 END) > 0"
        )
    assert set(seen) == {"run-0"}


def test_statistics_tell_nothing_of_others(filled: Shared) -> None:
    """The planner's statistics, which hold values of rows, are not shown of guarded tables."""
    with filled.one.open() as one:
        shown = one.execute("SELECT count(*) FROM pg_stats WHERE schemaname = 'sinkside'").fetchone()
    with filled.admin.open() as admin:
        there = admin.execute("SELECT count(*) FROM pg_stats WHERE schemaname = 'sinkside'").fetchone()
    assert there is not None
    assert there[0] > 50
    assert shown is not None
    assert filled.two.site not in str(shown)
    with filled.one.open() as one:
        values = one.execute(
            "SELECT most_common_vals::text, tablename FROM pg_stats WHERE schemaname = 'sinkside'"
        )
        assert {table for _, table in values.fetchall()} <= {"migrations"}


def test_a_station_says_not_when_the_server_got_it(filled: Shared) -> None:
    """The time at which an event came is the server's own."""
    row = {**others(filled.one.site, "run-8")["events"], "kept_at": "2020-01-01"}
    refused(filled.one, *insert("events", row))


def test_a_station_makes_no_line_of_the_keepers(filled: Shared) -> None:
    """An erasure said to be the keeper's would make an emptied event look right."""
    row = {**others(filled.one.site, "run-0")["erasures"], "origin": "keeper"}
    refused(filled.one, *insert("erasures", row))


def test_a_stations_cursor_is_its_own(filled: Shared) -> None:
    """How far another station has forwarded is neither seen nor moved."""
    insert_row = "INSERT INTO sinkside.cursors (site, last, id, erasure, schema) VALUES (%s, 1, '', 0, 1)"
    for login in (filled.one, filled.two):
        with login.open() as own:
            own.execute(insert_row, (login.site,))
    assert sites_seen(filled.one, "cursors") == {filled.one.site}
    refused(filled.one, f"{insert_row} ON CONFLICT (site) DO UPDATE SET last = 0", (filled.far.site,))
    refused(filled.one, "UPDATE sinkside.cursors SET site = %s", (filled.far.site,))
    refused(filled.one, "DELETE FROM sinkside.cursors")


def test_whom_another_station_is_to_erase_is_not_told(filled: Shared) -> None:
    """A request is for one station; it is answered, and neither made nor taken back."""
    with filled.keeper.open() as keeper:
        for login in (filled.one, filled.two):
            keeper.execute("SELECT sinkside.ask_erasure(%s, 'T-88')", (login.site,))
    assert sites_seen(filled.one, "erase_requests") == {filled.one.site}
    refused(filled.one, "DELETE FROM sinkside.erase_requests")
    refused(filled.one, "UPDATE sinkside.erase_requests SET asked_at = now()")
    refused(filled.reviewer, "SELECT code FROM sinkside.erase_requests")
    assert sites_seen(filled.reviewer, "erase_requests") == {filled.one.site, filled.two.site}
    with filled.one.open() as own:
        assert own.execute("UPDATE sinkside.erase_requests SET code = '', done_at = now()").rowcount == 1
    with filled.keeper.open() as keeper:
        left = keeper.execute(
            "SELECT site::text FROM sinkside.erase_requests WHERE done_at IS NULL"
        ).fetchall()
    assert left == [(filled.two.site,)]
