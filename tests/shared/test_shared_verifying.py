"""The shared record looked over: every tampering that shows, and what only a station's key shows."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from record_kit import Station, short_run
from shared_kit import Login, Shared, carry, insert, server, shared
from tamper_kit import LAST, whole_record

from trainer.record import chain
from trainer.record.findings import Report
from trainer.record.shared import stations
from trainer.record.shared.connecting import connected
from trainer.record.shared.verifying import look_over, verify

if TYPE_CHECKING:
    from trainer.record.shared.connecting import Connection

__all__ = ["server", "shared"]
pytestmark = pytest.mark.long

Tamper = Callable[["Connection", str], None]


def looked_over(login: Login, *keys: chain.ChainKey) -> Report:
    """What verify finds with a credential."""
    with connected(login.address) as connection:
        return verify(connection, keys=keys)


def problems(report: Report) -> set[tuple[str, str | None, int | None]]:
    """What is wrong, shortly."""
    return {(one.code, one.run, one.seq) for one in report.findings if one.severity == "problem"}


def tampered(shared: Shared, change: Tamper) -> None:
    """Change something at the first station as whoever may do anything, past the guards."""
    with shared.admin.open() as admin:
        admin.execute("SET session_replication_role = replica")  # no trigger of ours is asked
        change(admin, shared.one.site)


def sql(*statements: str) -> Tamper:
    """Statements with the station's id as %(site)s; each changes something."""

    def do(connection: Connection, site: str) -> None:
        for statement in statements:
            assert connection.execute(statement, {"site": site}).rowcount != 0, statement

    return do


def swap(connection: Connection, site: str) -> None:
    """Body, salt and digest of two events, each in the other's place."""
    rows = connection.execute(
        "SELECT body, salt, digest FROM sinkside.events "
        "WHERE site = %s AND run = 'r1' AND seq IN (4, 5) ORDER BY seq",
        (site,),
    ).fetchall()
    for seq, row in zip((5, 4), rows, strict=True):
        where = "WHERE site = %s AND run = 'r1' AND seq = %s"
        connection.execute(
            f"UPDATE sinkside.events SET body = %s, salt = %s, digest = %s {where}",  # noqa: S608 - ours
            (*row, site, seq),
        )


def fitting(connection: Connection, site: str) -> None:
    """Another reading with a digest that fits, and a table for reading that says the same."""
    sql(
        _SET.format("""body = replace(body, '"value":17', '"value":18')""", 7),
        _SET.format("digest = sha256(salt || convert_to(body, 'UTF8'))", 7),
        "UPDATE sinkside.readings SET value = 18 WHERE site = %(site)s AND run = 'r1' AND seq = 7",
    )(connection, site)


_GONE = "DELETE FROM sinkside.events WHERE site = %(site)s AND run = 'r1' AND seq "
_SET = "UPDATE sinkside.events SET {} WHERE site = %(site)s AND run = 'r1' AND seq = {}"

TAMPERING: dict[str, tuple[Tamper, tuple[str, str | None, int | None]]] = {
    "a body": (
        sql(_SET.format("body = replace(body, '\"value\":17', '\"value\":21')", 7)),
        ("body_altered", "r1", 7),
    ),
    "one in the middle gone": (sql(_GONE + "= 5"), ("missing", "r1", 5)),
    "the end gone": (sql(_GONE + f"> {LAST - 2}"), ("cut_off", "r1", LAST - 1)),
    "a run's events gone": (sql(_GONE + "> 0"), ("run_missing", "r1", 1)),
    "a run gone whole": (
        sql(_GONE + "> 0", "DELETE FROM sinkside.heads WHERE site = %(site)s AND run = 'r1'"),
        ("run_not_listed", "r1", None),
    ),
    "another's work": (sql(_SET.format("person = 'T-07'", 6)), ("person_altered", "r1", 6)),
    "emptied": (sql(_SET.format("body = NULL, salt = NULL", 6)), ("emptied", "r1", 6)),
    "the line of an erasure gone": (
        sql("DELETE FROM sinkside.erasures WHERE site = %(site)s"),
        ("emptied", "r0", 1),
    ),
    "two exchanged": (swap, ("moved", "r1", 4)),
    "the head of the end": (sql(_SET.format("head = 'x'", LAST)), ("list_altered", "r1", LAST)),
    "the number in the list": (
        sql("UPDATE sinkside.heads SET number = 9 WHERE site = %(site)s AND run = 'r2'"),
        ("run_missing", None, None),
    ),
    "a row for reading": (
        sql("UPDATE sinkside.attempts SET outcome = 'ok' WHERE site = %(site)s AND run = 'r1' AND seq = 7"),
        ("projection", "r1", 7),
    ),
    "a row for reading gone": (
        sql("DELETE FROM sinkside.runs WHERE site = %(site)s AND run = 'r2'"),
        ("projection", "r2", None),
    ),
    "a run that never was": (
        sql("INSERT INTO sinkside.settings VALUES (%(site)s, 'rx', 'exposure', 3)"),
        ("run_not_listed", "rx", None),
    ),
    "a procedure": (
        sql("UPDATE sinkside.procedures SET source = 'x' WHERE site = %(site)s"),
        ("procedure_altered", None, None),
    ),
    "a procedure gone": (
        sql("DELETE FROM sinkside.procedures WHERE site = %(site)s"),
        ("procedure_missing", "r1", None),
    ),
    "no text at all": (
        sql(_SET.format("body = 'x', digest = sha256(salt || convert_to('x', 'UTF8'))", 6)),
        ("unreadable", "r1", 6),
    ),
}


SEVERAL = {"a run gone whole", "the line of an erasure gone", "two exchanged", "a procedure gone"}
"""What touches more than one event or run; all else is told by one line."""


@pytest.fixture
def kept(shared: Shared, tmp_path: Path) -> Path:
    """A record with everything in it, forwarded by the first station; the others forwarded a run each."""
    record = whole_record(tmp_path / "one")
    carry(record, shared.one)
    for login in (shared.two, shared.far):
        station = Station(tmp_path / login.site)
        with station.open() as journal:
            short_run(station, journal, "r1")  # the same name of a run at several stations is no trouble
        carry(station.path, login)
    return record


def test_what_was_forwarded_is_as_it_was_written(shared: Shared, kept: Path) -> None:
    """Nothing found by the keeper, and by the reviewer about the two stations it sees; the links hold too."""
    key = chain.read_key(kept)
    assert key is not None
    report = looked_over(shared.keeper, key)
    assert report.ok, report.as_text()
    assert (report.runs, report.erased) == (6, LAST)
    assert looked_over(shared.reviewer).runs == 5
    assert report.findings == ()


def test_every_way_of_tampering_is_told(shared: Shared, kept: Path) -> None:
    """Exactly the event that was touched is named, at the station it is of; the others are well."""
    told: dict[str, object] = {}
    for name, (change, wanted) in TAMPERING.items():
        with shared.admin.open() as admin, admin.transaction(force_rollback=True):
            admin.execute("SET session_replication_role = replica")
            change(admin, shared.one.site)
            admin.execute("SET LOCAL ROLE sinkside_owner")
            report = look_over(admin, stations.places(admin))
        found = problems(report)
        alone = found == {wanted} or (name in SEVERAL and wanted in found)
        if not alone or not all(one.message.startswith("North, sink 1: ") for one in report.findings):
            told[name] = report.as_text()
    assert told == {}
    del kept


def test_an_altered_event_taints_no_other(shared: Shared, kept: Path) -> None:
    """One altered body: one problem."""
    change, wanted = TAMPERING["a body"]
    tampered(shared, change)
    assert problems(looked_over(shared.reviewer)) == {wanted}
    del kept


def test_what_only_the_stations_key_shows(shared: Shared, kept: Path) -> None:
    """A body with a digest that fits, tables and all: the server cannot tell. With the key it is told."""
    tampered(shared, fitting)
    key = chain.read_key(kept)
    assert key is not None
    assert looked_over(shared.keeper).ok
    assert problems(looked_over(shared.keeper, key)) == {("header_altered", "r1", 7)}


def test_another_stations_key_is_not_used(shared: Shared, kept: Path, tmp_path: Path) -> None:
    """A key is told by its fingerprint; one that is no station's changes nothing."""
    other = chain.make_key(tmp_path / "other.db")
    assert looked_over(shared.keeper, other).ok
    del kept


def test_what_did_not_fit_is_told_with_both_digests(shared: Shared, kept: Path) -> None:
    """A conflict stays a problem; what was kept first stands."""
    row = {"site": shared.one.site, "kind": "event", "id": "01a2", "run": "r1", "seq": 4}
    with shared.one.open() as one:
        one.execute(*insert("conflicts", {**row, "kept_digest": b"\x01" * 32, "digest": b"\x02" * 32}))
    report = looked_over(shared.reviewer)
    assert problems(report) == {("conflict_event", "r1", 4)}
    assert "010101010101" in report.as_text()
    assert "020202020202" in report.as_text()
    assert json.loads(report.as_json())["ok"] is False
    del kept


def test_a_list_that_goes_back_is_kept_and_told(shared: Shared, kept: Path) -> None:
    """A station that was put back from an older backup tells fewer events: the counts here stay."""
    with shared.one.open() as one:
        one.execute("UPDATE sinkside.heads SET count = 3 WHERE run = 'r1'")
        one.execute("UPDATE sinkside.heads SET head = 'x' WHERE run = 'r2'")
        one.execute("UPDATE sinkside.contacts SET runs = 1, key_fingerprint = 'other'")
        assert one.execute("SELECT count FROM sinkside.heads WHERE run = 'r1'").fetchone() == (LAST,)
        assert one.execute("SELECT runs FROM sinkside.contacts").fetchone() == (4,)
    found = problems(looked_over(shared.keeper))
    assert {code for code, *_ in found} == {"conflict_head", "conflict_list", "conflict_key"}
    assert {run for code, run, _ in found if code == "conflict_head"} == {"r1", "r2"}
    del kept


def test_what_is_not_forwarded_yet_is_a_note(shared: Shared, kept: Path) -> None:
    """Runs that the station has opened and not sent yet are no problem."""
    with shared.one.open() as one:
        one.execute("UPDATE sinkside.contacts SET runs = 7")
    report = looked_over(shared.keeper)
    assert report.ok
    assert [one.code for one in report.findings] == ["not_forwarded"]
    assert "3 runs that the station has opened are not forwarded yet" in report.as_text()
    del kept
