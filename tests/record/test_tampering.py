"""Copies of a record, each tampered with in one way: `verify` names run and event of each."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from record_kit import SHORT_RUN, Station, opened, short_run, shown

from trainer.procedure.text import unclean
from trainer.record import chain, heads, schema, second_place
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.rebuild import rebuild
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble

LAST = len(SHORT_RUN) + 2
"""The last event of a short run."""

Found = set[tuple[str, str | None, int | None]]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record of three runs: r1 and r2 closed, r3 open; and one erased person's run before them."""
    station = Station(tmp_path_factory.mktemp("whole"))
    with station.open() as journal:
        short_run(station, journal, "r0", "T-09")
        People(journal).erase("T-09")
        short_run(station, journal, "r1")
        short_run(station, journal, "r2", "T-02")
        station.keep(
            journal, "r3", (None, opened("T-03")), ("draw-down", shown()), ("draw-down", e.Confirmed())
        )
    return station.path


@pytest.fixture
def record(whole: Path, tmp_path: Path) -> Path:
    """A copy of the record to tamper with."""
    shutil.copytree(whole.parent, tmp_path / "copy")
    return tmp_path / "copy" / whole.name


@dataclass(frozen=True)
class Tampering:
    """A way to tamper, and what is to be found: code, run, event."""

    name: str
    do: Callable[[Path], None]
    found: Found


Statement = str | tuple[str, tuple[object, ...]]


def sql(*statements: Statement) -> Callable[[Path], None]:
    """Run statements with the append-only rules lifted and put back, as somebody who knows the file would."""

    def do(path: Path) -> None:
        with closing(sqlite3.connect(path)) as connection:
            for name in schema.EVENT_TRIGGERS:
                connection.execute(f"DROP TRIGGER {name}")
            for statement in statements:
                text, values = (statement, ()) if isinstance(statement, str) else statement
                assert connection.execute(text, values).rowcount != 0, text
            for rule in schema.EVENT_TRIGGERS.values():
                connection.execute(rule)
            connection.commit()

    return do


def _asked(path: Path, question: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(question).fetchall()


def _fitting_body(path: Path) -> None:
    """Another reading, with the digest computed anew: only the key is missing to the forger."""
    ((salt, body),) = _asked(path, "SELECT salt, body FROM events WHERE run = 'r1' AND seq = 7")
    forged = body.replace("17", "21")
    values = (forged, chain.digest_of(salt, forged.encode()))
    sql(("UPDATE events SET body = ?, digest = ? WHERE run = 'r1' AND seq = 7", values))(path)


def _swap_bodies(path: Path) -> None:
    """Body, salt and digest of two events, each in the other's place."""
    four, five = _asked(
        path, "SELECT salt, body, digest FROM events WHERE run = 'r1' AND seq IN (4, 5) ORDER BY seq"
    )
    update = "UPDATE events SET salt = ?, body = ?, digest = ? WHERE run = 'r1' AND seq = ?"
    sql((update, (*five, 4)), (update, (*four, 5)))(path)


def _cut_with_list(path: Path) -> None:
    """The tail cut off, and the list made to fit as far as that goes without the key."""
    ((head,),) = _asked(path, "SELECT head FROM events WHERE run = 'r1' ORDER BY seq DESC LIMIT 1 OFFSET 1")
    sql(
        ("DELETE FROM events WHERE run = 'r1' AND seq = ?", (LAST,)),
        ("UPDATE heads SET count = ?, head = ? WHERE run = 'r1'", (LAST - 1, head)),
    )(path)


def _list_again(path: Path, count: int, head: bytes) -> None:
    """The row of r1 in the list of runs, made to fit by somebody with the key."""
    key = chain.read_key(path)
    assert key is not None
    with closing(sqlite3.connect(path)) as connection:
        row = heads.row_of(connection, "r1")
        assert row is not None
        heads.save(connection, key, replace(row, count=count, head=head, marked=count))
        connection.commit()


def _cut_with_key(path: Path) -> None:
    """The tail cut off by somebody with the key: only the second place knows."""
    ((head,),) = _asked(path, "SELECT head FROM events WHERE run = 'r1' ORDER BY seq DESC LIMIT 1 OFFSET 1")
    sql(("DELETE FROM events WHERE run = 'r1' AND seq = ?", (LAST,)))(path)
    _list_again(path, LAST - 1, head)
    rebuild(path)


def _rewrite_with_key(path: Path) -> None:
    """Run r1 written anew from event 7 on by somebody with the key; nothing in the record shows it."""
    key = chain.read_key(path)
    assert key is not None
    ((head,),) = _asked(path, "SELECT head FROM events WHERE run = 'r1' AND seq = 6")
    asked = "SELECT seq, id, stored, salt, body FROM events WHERE run = 'r1' AND seq >= 7 ORDER BY seq"
    updates: list[Statement] = []
    for seq, ident, stored, salt, body in _asked(path, asked):
        forged = body.replace('"value":17', '"value":18')
        header = chain.Header(seq, ident, stored, chain.digest_of(salt, forged.encode()))
        head = chain.linked(key.mac, head, header.encoded())
        update = "UPDATE events SET body = ?, digest = ?, head = ? WHERE run = 'r1' AND seq = ?"
        updates.append((update, (forged, header.digest, head, seq)))
    sql(*updates)(path)
    _list_again(path, LAST, head)
    rebuild(path)


def _other_key(path: Path) -> None:
    chain.key_path(path).unlink()
    chain.make_key(path)


def _lines(change: Callable[[list[str]], list[str]]) -> Callable[[Path], None]:
    def do(path: Path) -> None:
        where = second_place.path_of(path)
        where.write_text("".join(change(where.read_text().splitlines(keepends=True))))

    return do


def _flip_a_bit(path: Path) -> None:
    """One bit of the text of a note in r1, as a bad disk would."""
    data = bytearray(path.read_bytes())
    data[data.index(b"Good contact")] ^= 1
    path.write_bytes(data)


def _spoil_key(path: Path) -> None:
    chain.key_path(path).write_text("none")


def _foreign_run(path: Path) -> None:
    """A row of a run that never was, put into a projection."""
    with closing(sqlite3.connect(path)) as connection:
        row = connection.execute("SELECT * FROM runs WHERE run = 'r3'").fetchone()
        connection.execute(f"INSERT INTO runs VALUES ({', '.join('?' * len(row))})", ("rx", *row[1:]))  # noqa: S608
        connection.commit()


TAMPERINGS = [
    Tampering(
        "an altered body",
        sql("UPDATE events SET body = replace(body, '21.5', '22.5') WHERE run = 'r1' AND seq = 8"),
        {("body_altered", "r1", 8)},
    ),
    Tampering("an altered body with a fitting digest", _fitting_body, {("header_altered", "r1", 7)}),
    Tampering(
        "an altered salt",
        sql("UPDATE events SET salt = zeroblob(32) WHERE run = 'r1' AND seq = 3"),
        {("body_altered", "r1", 3)},
    ),
    Tampering(
        "an altered time",
        sql("UPDATE events SET stored = '2020-01-01T00:00:00.000Z' WHERE run = 'r2' AND seq = 6"),
        {("header_altered", "r2", 6)},
    ),
    Tampering(
        "an altered id",
        sql("UPDATE events SET id = 'another' WHERE run = 'r2' AND seq = 6"),
        {("header_altered", "r2", 6)},
    ),
    Tampering(
        "an altered link",
        sql("UPDATE events SET head = zeroblob(32) WHERE run = 'r2' AND seq = 6"),
        {("header_altered", "r2", 6)},
    ),
    Tampering(
        "an altered link at the end",
        sql(("UPDATE events SET head = zeroblob(32) WHERE run = 'r2' AND seq = ?", (LAST,))),
        {("header_altered", "r2", LAST)},
    ),
    Tampering(
        "a first event deleted",
        sql("DELETE FROM events WHERE run = 'r1' AND seq = 1"),
        {("missing", "r1", 1)},
    ),
    Tampering(
        "two middle events deleted",
        sql("DELETE FROM events WHERE run = 'r1' AND seq IN (5, 6)"),
        {("missing", "r1", 5), ("missing", "r1", 6)},
    ),
    Tampering(
        "a tail cut off",
        sql("DELETE FROM events WHERE run = 'r3' AND seq >= 2"),
        {("cut_off", "r3", 2)},
    ),
    Tampering(
        "a tail cut off together with the list",
        _cut_with_list,
        {("list_altered", "r1", None), ("cut_off", "r1", LAST)},
    ),
    Tampering("a tail cut off with the key", _cut_with_key, {("cut_off", "r1", LAST)}),
    Tampering(
        "a run written anew with the key",
        _rewrite_with_key,
        {("rewritten", "r1", LAST - 1), ("rewritten", "r1", LAST)},
    ),
    Tampering(
        "all events of a run deleted",
        sql("DELETE FROM events WHERE run = 'r2'"),
        {("run_missing", "r2", 1)},
    ),
    Tampering(
        "a middle run deleted from everywhere",
        sql(
            "DELETE FROM events WHERE run = 'r2'",
            "DELETE FROM heads WHERE run = 'r2'",
            "DELETE FROM runs WHERE run = 'r2'",
        ),
        {("run_missing", "r2", None)},
    ),
    Tampering(
        "the last run deleted from everywhere",
        sql("DELETE FROM events WHERE run = 'r3'", "DELETE FROM heads WHERE run = 'r3'"),
        {("run_missing", "r3", None)},
    ),
    Tampering(
        "the last run deleted and counted out",
        sql(
            "DELETE FROM events WHERE run = 'r3'",
            "DELETE FROM heads WHERE run = 'r3'",
            "UPDATE station SET runs = runs - 1",
        ),
        {("list_altered", None, None), ("run_missing", "r3", None)},
    ),
    Tampering("two events' bodies swapped", _swap_bodies, {("moved", "r1", 4), ("moved", "r1", 5)}),
    Tampering(
        "two events swapped",
        sql(
            "UPDATE events SET seq = 99 WHERE run = 'r1' AND seq = 4",
            "UPDATE events SET seq = 4 WHERE run = 'r1' AND seq = 5",
            "UPDATE events SET seq = 5 WHERE run = 'r1' AND seq = 99",
        ),
        {("moved", "r1", 4), ("moved", "r1", 5)},
    ),
    Tampering(
        "an event deleted and the rest re-numbered",
        sql(
            "DELETE FROM events WHERE run = 'r3' AND seq = 2",
            "UPDATE events SET seq = 2 WHERE run = 'r3' AND seq = 3",
        ),
        {("moved", "r3", 2), ("cut_off", "r3", 3)},
    ),
    Tampering(
        "an event moved to another run",
        sql("UPDATE events SET run = 'r3', seq = 4, person = 'T-03' WHERE run = 'r1' AND seq = 4"),
        {("missing", "r1", 4), ("added", "r3", 4), ("moved", "r3", 4)},
    ),
    Tampering(
        "a run under another name",
        sql("UPDATE events SET run = 'rx' WHERE run = 'r2'"),
        {("run_missing", "r2", 1), ("run_not_listed", "rx", None)},
    ),
    Tampering(
        "the list with another order",
        sql(
            "UPDATE heads SET number = 99 WHERE run = 'r1'",
            "UPDATE heads SET number = 2 WHERE run = 'r2'",
            "UPDATE heads SET number = 3 WHERE run = 'r1'",
        ),
        {("list_altered", "r1", None), ("list_altered", "r2", None), ("list_altered", "r3", None)},
    ),
    Tampering(
        "another person's act",
        sql("UPDATE events SET person = 'T-05' WHERE run = 'r1' AND seq = 7"),
        {("person_altered", "r1", 7)},
    ),
    Tampering(
        "an event emptied like an erased one",
        sql("UPDATE events SET body = NULL, salt = NULL WHERE run = 'r1' AND seq = 7"),
        {("emptied", "r1", 7)},
    ),
    Tampering(
        "an event emptied with a made-up erasure",
        sql(
            "UPDATE events SET body = NULL, salt = NULL WHERE run = 'r1' AND seq = 7",
            "INSERT INTO erasures SELECT 2, at, 'r1', '7', mac FROM erasures",
            "UPDATE station SET erasures = 2",
        ),
        {("list_altered", None, None), ("erasure_altered", "r1", None), ("emptied", "r1", 7)},
    ),
    Tampering(
        "the line of an erasure deleted",
        sql("DELETE FROM erasures"),
        {("erasure_altered", None, None), *(("emptied", "r0", seq) for seq in range(1, LAST + 1))},
    ),
    Tampering("another key", _other_key, {("key_other", None, None)}),
    Tampering("a lost key", lambda path: chain.key_path(path).unlink(), {("key_missing", None, None)}),
    Tampering(
        "a spoiled key",
        _spoil_key,
        {("key_unreadable", None, None)},
    ),
    Tampering(
        "the second place cut short",
        _lines(lambda lines: lines[:-2]),
        {("second_place_short", "r2", LAST), ("second_place_short", "r3", 1)},
    ),
    Tampering(
        "the second place deleted",
        lambda path: second_place.path_of(path).unlink(),
        {("second_place_missing", None, None)},
    ),
    Tampering(
        "a line of the second place altered",
        _lines(lambda lines: [*lines[:-2], lines[-2].replace(lines[-2].split()[-1], "0" * 64), lines[-1]]),
        {("rewritten", "r2", LAST)},
    ),
    Tampering(
        "a line of the second place spoiled",
        _lines(lambda lines: ["\x00\x1b[2J\n", *lines]),
        {("second_place_altered", None, None)},
    ),
    Tampering("a flipped bit", _flip_a_bit, {("body_altered", "r1", LAST - 1)}),
    Tampering(
        "an altered projection",
        sql("UPDATE readings SET verdict = 'ok' WHERE run = 'r1' AND seq = 7"),
        {("projection", "r1", 7)},
    ),
    Tampering(
        "a row taken out of a projection",
        sql("DELETE FROM attempts WHERE run = 'r2' AND seq = 5"),
        {("projection", "r2", 5)},
    ),
    Tampering(
        "a run's row altered",
        sql("UPDATE runs SET closed = 'done' WHERE run = 'r3'"),
        {("projection", "r3", None)},
    ),
    Tampering(
        "a projection of a run that never was",
        _foreign_run,
        {("projection", "rx", None)},
    ),
    Tampering(
        "an altered procedure",
        sql("UPDATE procedures SET source = x'00'"),
        {("procedure_altered", None, None)},
    ),
    Tampering(
        "a procedure taken out",
        sql("DELETE FROM procedures"),
        {("procedure_missing", run, None) for run in ("r1", "r2", "r3")},
    ),
]


@pytest.mark.parametrize("tampering", TAMPERINGS, ids=lambda tampering: tampering.name)
def test_a_tampered_copy_is_told_exactly(record: Path, tampering: Tampering) -> None:
    """Each way of tampering is found with its code, run and event, and nothing else is."""
    tampering.do(record)
    report = verify(record)
    assert {(one.code, one.run, one.seq) for one in report.findings} == tampering.found
    for finding in report.findings:
        assert finding.run is None or finding.run in finding.message
        assert finding.seq is None or str(finding.seq) in finding.message
        assert finding.message.endswith(".")


def test_the_whole_record_has_nothing_to_tell(whole: Path) -> None:
    """The record that all the copies are made of verifies without a finding, and is counted."""
    report = verify(whole)
    assert report.findings == ()
    assert (report.runs, report.events, report.erased) == (4, 3 * LAST + 3, LAST)
    assert (
        report.as_text()
        == "4 runs, 60 events (19 of them erased with the person): everything is as it was written."
    )


def test_looking_over_changes_nothing(record: Path) -> None:
    """Neither the record nor anything beside it differs after `verify`."""
    before = {path.name: path.read_bytes() for path in record.parent.iterdir()}
    verify(record)
    assert {path.name: path.read_bytes() for path in record.parent.iterdir()} == before


def test_a_report_is_told_in_lines_and_in_json(record: Path) -> None:
    """The text has a line for each finding and one that sums up; the JSON says the same."""
    sql("DELETE FROM events WHERE run = 'r1' AND seq = 5")(record)
    report = verify(record)
    assert report.ok is False
    assert report.as_text().splitlines() == [
        "problem: Run r1: event 5 is missing.",
        f"4 runs, {report.events} events ({LAST} of them erased with the person): 1 problem found.",
    ]
    told = json.loads(report.as_json())
    assert told["ok"] is False
    assert told["findings"] == [
        {
            "severity": "problem",
            "code": "missing",
            "run": "r1",
            "seq": 5,
            "message": "Run r1: event 5 is missing.",
        }
    ]


def test_without_the_key_bodies_and_numbers_are_still_checked(record: Path) -> None:
    """With the key lost an altered body and a missing event are found all the same."""
    chain.key_path(record).unlink()
    sql(
        "UPDATE events SET body = replace(body, '21.5', '22.5') WHERE run = 'r1' AND seq = 8",
        "DELETE FROM events WHERE run = 'r2' AND seq = 5",
    )(record)
    found = {(one.code, one.run, one.seq) for one in verify(record).findings}
    assert found == {("key_missing", None, None), ("body_altered", "r1", 8), ("missing", "r2", 5)}


@pytest.mark.parametrize("name", schema.EVENT_TRIGGERS)
@pytest.mark.parametrize(
    "how",
    [
        "DROP TRIGGER {name}",
        "DROP TRIGGER {name}; CREATE TRIGGER {name} BEFORE DELETE ON runs BEGIN SELECT 1; END",
    ],
)
def test_a_rule_taken_out_is_told(record: Path, name: str, how: str) -> None:
    """A missing or a hollow append-only rule is found by its name."""
    with closing(sqlite3.connect(record)) as connection:
        connection.executescript(how.format(name=name))
    (finding,) = verify(record).findings
    assert finding.code == "unguarded"
    assert name in finding.message


@pytest.mark.parametrize("keep", [0.3, 0.6, 0.95])
def test_a_torn_file_is_told_and_never_a_traceback(record: Path, keep: float) -> None:
    """A file cut short gives a finding or a trouble in a sentence."""
    data = record.read_bytes()
    record.write_bytes(data[: int(len(data) * keep)])
    told = ""
    try:
        told = verify(record).as_text()
    except JournalTrouble as trouble:
        told = f"problem: {trouble.args[0]}"
    assert told.startswith("problem: ")


def test_every_flipped_byte_of_an_event_is_found_or_harmless(record: Path) -> None:
    """Bytes flipped all over the file: either something is told, or every event still reads as it was."""
    with closing(sqlite3.connect(record)) as connection:
        before = connection.execute("SELECT run, seq, body, salt FROM events ORDER BY run, seq").fetchall()
    data = record.read_bytes()
    silent = 0
    for at in range(150, len(data), 1499):
        record.write_bytes(data[:at] + bytes([data[at] ^ 0x10]) + data[at + 1 :])
        try:
            found = bool(verify(record).findings)
        except JournalTrouble:
            found = True
        if not found:
            silent += 1
            with closing(sqlite3.connect(record)) as connection:
                after = connection.execute(
                    "SELECT run, seq, body, salt FROM events ORDER BY run, seq"
                ).fetchall()
            assert after == before, at
    assert silent > 0  # most of a file this small is unused space


def test_no_record_and_an_empty_one_are_told(tmp_path: Path) -> None:
    """A missing record is a trouble in a sentence; an empty file is a note."""
    path = tmp_path / "record.db"
    with pytest.raises(JournalTrouble, match="There is no record"):
        verify(path)
    path.touch()
    assert [finding.code for finding in verify(path).findings] == ["empty"]


def test_looking_over_goes_on_while_a_trainee_works(tmp_path: Path) -> None:
    """`verify` in the middle of a run finds nothing, and the run's next act is kept at once."""
    station = Station(tmp_path)
    with station.open() as journal:
        short_run(station, journal, "r1")
        station.keep(journal, "r2", (None, opened()))
        assert verify(station.path).findings == ()
        station.keep(journal, "r2", ("draw-down", shown()))
    assert verify(station.path).findings == ()


def test_what_somebody_wrote_into_the_file_is_safe_to_show(record: Path) -> None:
    """Escape sequences put into the file by hand come out as harmless signs, in findings and in events."""
    nasty = "x\x1b]0;x\x07\u202e"
    sql(
        ("UPDATE runs SET job = ? WHERE run = 'r3'", (nasty,)),
        (
            "UPDATE events SET body = replace(body, 'Tide card', ?) WHERE run = 'r3' AND seq = 1",
            (r"\u001b[2J",),
        ),
        ("UPDATE events SET run = ? WHERE run = 'r2'", (nasty,)),
    )(record)
    shown_texts = [verify(record).as_text()]
    with StationJournal(record, FakeClock()) as journal:
        shown_texts += [journal.open_runs()[0].job, str(journal.events("r3")[0].body)]
    assert [unclean(text) for text in shown_texts] == [None, None, None]
    assert "\u241b" in "".join(shown_texts)


@pytest.mark.parametrize(
    "body", ["", "null", "[]", '{"body":"T-01"}', '{"run":1}', "[" * 100_000, "\x00", '{"body":{"kind":[]}}']
)
def test_garbage_in_an_events_place_is_told_everywhere(record: Path, body: str) -> None:
    """Garbage written as an event is told by `verify`; reading, export and rebuild say it too."""
    sql(("UPDATE events SET body = ? WHERE run = 'r1' AND seq = 7", (body,)))(record)
    assert ("r1", 7) in {(one.run, one.seq) for one in verify(record).findings}
    with StationJournal(record, FakeClock()) as journal:
        for ask in (
            lambda: journal.events("r1"),
            lambda: People(journal).export("T-01"),
            lambda: rebuild(record),
        ):
            with pytest.raises(JournalTrouble, match="Event 7 of run r1"):
                ask()


def test_an_event_of_an_unknown_kind_is_told(record: Path) -> None:
    """An event that is linked as it should be but of a kind nobody knows here is told with run and number."""
    key = chain.read_key(record)
    assert key is not None
    ((ident, salt, body),) = _asked(record, "SELECT id, salt, body FROM events WHERE run = 'r3' AND seq = 3")
    ((head,),) = _asked(record, "SELECT head FROM events WHERE run = 'r3' AND seq = 2")
    forged = body.replace('"confirmed"', '"sang"')
    header = chain.Header(3, ident, "2026-03-02T09:00:00.000Z", chain.digest_of(salt, forged.encode()))
    head = chain.linked(key.mac, head, header.encoded())
    values = (forged, header.stored, header.digest, head)
    sql(
        ("UPDATE events SET body = ?, stored = ?, digest = ?, head = ? WHERE run = 'r3' AND seq = 3", values)
    )(record)
    with closing(sqlite3.connect(record)) as connection:
        row = heads.row_of(connection, "r3")
        assert row is not None
        heads.save(connection, key, replace(row, head=head))
        connection.commit()
    (finding,) = verify(record).findings
    assert (finding.code, finding.run) == ("unreadable", "r3")
    assert "Event 3 of run r3" in finding.message
    assert "sang" in finding.message
