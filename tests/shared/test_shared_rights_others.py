"""What a reviewer's and the keeper's credential get of the shared record, and what not."""

from __future__ import annotations

import psycopg
import pytest
from rights_kit import ALL, filled, refused
from shared_kit import Shared, server

__all__ = ["filled", "server"]
pytestmark = pytest.mark.long


@pytest.mark.parametrize("table", [*ALL, "sites", "reviewers", "erase_requests", "migrations", "settlements"])
@pytest.mark.parametrize(
    "words", ["INSERT INTO sinkside.{0} DEFAULT VALUES", "DELETE FROM sinkside.{0}", "TRUNCATE sinkside.{0}"]
)
def test_a_reviewer_writes_nothing(filled: Shared, table: str, words: str) -> None:
    """No table, and not after having said that the session may write."""
    refused(filled.reviewer, words.format(table))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE sinkside.events SET body = '{}'",
        "UPDATE sinkside.runs SET reason = 'x'",
        "UPDATE sinkside.reviewers SET school = 'South'",
        "CREATE TEMP TABLE mine (a integer)",
        "CREATE TABLE public.mine (a integer)",
        "CREATE TABLE sinkside.mine (a integer)",
        "SELECT lo_create(0)",
        "SELECT nextval('sinkside.erase_requests_number_seq')",
        "SELECT sinkside.erase_events(gen_random_uuid(), 'run-0', '{1}')",
        "SELECT sinkside.ask_erasure(gen_random_uuid(), 'T-01')",
        "SELECT sinkside.add_reviewer('room', '{North,South}', 'x')",
        "SELECT sinkside.make_months('2026-01-01', 1)",
        "SELECT * FROM sinkside.erase_requests",
        "SELECT * FROM sinkside.events_2026_03",
        "SET ROLE sinkside_owner",
    ],
)
def test_a_reviewer_cannot(filled: Shared, statement: str) -> None:
    """What a reviewer's credential is refused beside that."""
    refused(filled.reviewer, statement)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE sinkside.events SET body = '{}'",
        "DELETE FROM sinkside.events",
        "INSERT INTO sinkside.events SELECT * FROM sinkside.events LIMIT 0",
        "UPDATE sinkside.heads SET count = 1",
        "DELETE FROM sinkside.erasures",
        "DELETE FROM sinkside.conflicts",
        "INSERT INTO sinkside.settlements (site, stands) SELECT site, role FROM sinkside.sites LIMIT 0",
        "DELETE FROM sinkside.settlements",
        "UPDATE sinkside.sites SET role = 'x'",
        "CREATE ROLE mine",
        "SET ROLE sinkside_owner",
        "GRANT sinkside_owner TO current_user",
        "SELECT sinkside.refuse_plain('x')",
        "ALTER TABLE sinkside.events DISABLE TRIGGER keep_events",
    ],
)
def test_the_keeper_cannot(filled: Shared, statement: str) -> None:
    """The keeper erases and registers; rewriting what was kept is not among it."""
    refused(filled.keeper, statement)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE sinkside.events SET body = '{}' WHERE run = 'run-0'",
        "UPDATE sinkside.events SET seq = 99, body = NULL, salt = NULL, person = ''",
        "DELETE FROM sinkside.events",
    ],
)
def test_even_the_owner_of_the_database_is_stopped_at_first(filled: Shared, statement: str) -> None:
    """Whoever may do anything has to take the guard away before an event can be changed."""
    with (
        filled.admin.open() as admin,
        pytest.raises(psycopg.errors.RaiseException, match="an event is never"),
    ):
        admin.execute(statement)


def test_no_password_is_taken_plain(filled: Shared) -> None:
    """A function that would write a password into a log of statements refuses it."""
    with filled.keeper.open() as keeper, pytest.raises(psycopg.errors.RaiseException, match="SCRAM"):
        keeper.execute("SELECT sinkside.register_station(gen_random_uuid(), 'N', 's', 'a password')")


def test_nothing_kept_here_is_a_name_or_a_pin(filled: Shared) -> None:
    """No table has a column for either, and no function gives one."""
    with filled.admin.open() as admin:
        columns = admin.execute(
            "SELECT table_name || '.' || column_name FROM information_schema.columns "
            "WHERE table_schema = 'sinkside'"
        ).fetchall()
    named = {one for (one,) in columns if one.endswith((".name", ".pin"))}
    assert named == {"migrations.name", "answers.name", "readings.name", "settings.name"}
