"""What `verify` says of whole, torn, foreign and garbled records, and how it says it."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from record_kit import Station, kept_events, opened, short_run, shown, station_with_a_run
from tamper_kit import LAST, asked, copied, sql, whole_record

from trainer.cli import main
from trainer.procedure.text import unclean
from trainer.record import chain, heads, schema
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.rebuild import rebuild
from trainer.record.verify import verify
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The record that all copies are made of."""
    return whole_record(tmp_path_factory.mktemp("whole"))


@pytest.fixture
def record(whole: Path, tmp_path: Path) -> Path:
    """A copy of the record to tamper with."""
    return copied(whole, tmp_path)


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


def _torn_in_the_middle(data: bytes) -> Iterator[bytes]:
    """A record with its end cut off, a page of its middle taken out or emptied, and letters that are none."""
    page, middle = 4096, len(data) // 2 // 4096 * 4096
    yield data[:middle]
    yield data[: middle + 1000]
    yield data[:middle] + data[middle + page :]
    yield data[:middle] + bytes(2 * page) + data[middle + 2 * page :]
    yield data.replace(b'"kind":"step_shown"', b'"kind":"\xffte\xfe_shown"')


def test_what_is_torn_is_told_in_words_of_our_own(record: Path) -> None:
    """Whatever part is gone: what to do, and neither the library's words nor advice to do this very thing."""
    data, told = record.read_bytes(), []
    for torn in _torn_in_the_middle(data):
        record.write_bytes(torn)
        told.append(CliRunner().invoke(main, ["--record", str(record), "record", "verify"]).output)
    for said in told:
        assert "damaged" in said
        assert "sinkside record restore FILE" in said
        for foreign in ("record verify", "malformed", "database disk image", "UTF-8", "decode", "column"):
            assert foreign not in said


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


def test_a_first_start_that_died_is_no_problem(tmp_path: Path) -> None:
    """Tables without key and runs, as a kill leaves them, are a note; with a run they are a problem."""
    station = Station(tmp_path)
    station.open().close()
    with closing(sqlite3.connect(station.path)) as connection:
        connection.execute("DELETE FROM station")
        connection.commit()
    chain.key_path(station.path).unlink()
    report = verify(station.path)
    assert [(one.severity, one.code) for one in report.findings] == [("note", "empty")]
    with station.open() as journal:
        short_run(station, journal, "r1")
    with closing(sqlite3.connect(station.path)) as connection:
        connection.execute("DELETE FROM station")
        connection.commit()
    assert not verify(station.path).ok


def test_looking_over_goes_on_while_a_trainee_works(tmp_path: Path) -> None:
    """`verify` in the middle of a run finds nothing, and the run's next act is kept at once."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
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
        shown_texts += [journal.open_runs()[0].job, str(kept_events(journal, "r3")[0].body)]
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
    ((ident, salt, body),) = asked(record, "SELECT id, salt, body FROM events WHERE run = 'r3' AND seq = 3")
    ((head,),) = asked(record, "SELECT head FROM events WHERE run = 'r3' AND seq = 2")
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
