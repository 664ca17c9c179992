"""A record read into frames: what is whole is read, what is not is told, and nothing hides the rest."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path

import pytest
from insight_kit import START, record_of
from run_kit import Sink, plan_of

from trainer.insight.frames import SCHEMAS, Frames
from trainer.insight.read import read
from trainer.insight.results import Review, Wanted
from trainer.insight.review import review
from trainer.record import schema
from trainer.record.journal import StationJournal
from trainer.run.clock import to_ms
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble


@pytest.fixture(scope="module")
def runs() -> list[Sink]:
    """Three runs of the test plate, the last one stopped."""
    third = Sink.open("cued").until("read-gauge")
    third.run.stop("Fire alarm.")
    return [Sink.open("solo").to_end(), Sink.open("full").to_end(), third]


@pytest.fixture
def record(tmp_path: Path, runs: list[Sink]) -> Path:
    """A record of these runs."""
    return record_of(tmp_path / "record.db", plan_of("plate"), [sink.events for sink in runs])


def altered(path: Path, *statements: str) -> Path:
    """The record, after somebody did something to its tables."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)
    return path


def reviewed(path: Path, clock: FakeClock | None = None) -> Review:
    """All that is found in a record by a clock."""
    found = read(path)
    now = found.looked_at(datetime.fromtimestamp(to_ms((clock or FakeClock()).now().at) / 1000, UTC))
    return review(found.frames, found.facts, Wanted(), now, invented=found.invented, troubles=found.troubles)


def test_frames_are_the_tables_of_the_record() -> None:
    """Every frame has the name of a table, and each of its columns stands there, in that order."""
    with closing(sqlite3.connect(":memory:")) as connection:
        for statement in schema.PROJECTIONS:
            connection.execute(statement)
        for table, wanted in SCHEMAS.items():
            rows = connection.execute(f"SELECT name FROM pragma_table_info('{table}')").fetchall()  # noqa: S608
            there = [name for (name,) in rows]
            assert [name for name in there if name in wanted] == list(wanted)
    assert [one.name for one in fields(Frames)] == list(SCHEMAS)


def test_a_record_is_read_whole(record: Path, runs: list[Sink]) -> None:
    """Rows of all tables, times as times, nothing invented, no trouble; the procedure's facts by its hash."""
    found = read(record)
    assert found.frames.runs["run"].to_list() == ["run-1", "run-2", "run-3"]
    assert found.frames.runs["closed"].to_list() == ["done", "done", "stopped"]
    assert found.frames.runs["opened_at"][0] == datetime.fromisoformat(runs[0].events[0].stamp.at)
    assert {name: getattr(found.frames, name).schema for name in SCHEMAS} == SCHEMAS
    assert all(
        getattr(found.frames, name).height for name in SCHEMAS if name not in ("settings", "exposures")
    )
    assert (found.invented, found.troubles) == ("", ())
    plan = plan_of("plate")
    assert list(found.facts) == [plan.content_hash]
    assert found.facts[plan.content_hash].id == plan.procedure.id


def test_an_invented_record_says_so(record: Path) -> None:
    """And it is looked at on its last day, whatever the clock says."""
    with StationJournal(record, FakeClock()) as journal:
        journal.set_about("invented", "7")
    assert read(record).invented == "7"
    clock = FakeClock()
    clock.pass_time(1e8)
    found = reviewed(record, clock)
    assert found.invented
    assert found.at == read(record).frames.runs["last_at"].max()


def no_file(path: Path) -> None:
    """Nothing is there."""
    path.unlink()


def empty(path: Path) -> None:
    """A file without a byte."""
    path.write_bytes(b"")


def foreign(path: Path) -> None:
    """A database of something else."""
    path.unlink()
    altered(path, "CREATE TABLE cheese (weight REAL)")


def no_database(path: Path) -> None:
    """Text, and much of it."""
    path.write_text("Copper Lane " * 1000, encoding="utf-8")


def newer(path: Path) -> None:
    """Written by a later Sinkside."""
    altered(path, "INSERT INTO migrations VALUES (99, 'later', '')")


def cut(path: Path) -> None:
    """Half of the file is gone."""
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def torn(path: Path) -> None:
    """A stretch in the middle is something else."""
    whole = bytearray(path.read_bytes())
    whole[8192:-4096] = b"\xa5" * (len(whole) - 8192 - 4096)
    path.write_bytes(whole)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (no_file, "There is no record"),
        (empty, "is empty"),
        (foreign, "another program"),
        (no_database, "is not a Sinkside record"),
        (newer, "newer Sinkside"),
        (cut, "is damaged"),
        (torn, "is damaged"),
    ],
)
def test_what_cannot_be_read_gives_a_sentence(record: Path, spoil: Callable[[Path], None], says: str) -> None:
    """A missing, empty, foreign, newer or damaged file: one sentence, which names the file."""
    spoil(record)
    with pytest.raises(JournalTrouble) as told:
        reviewed(record)
    assert says in str(told.value)
    assert str(record) in str(told.value)


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE runs SET opened_at = 'yesterday' WHERE run = 'run-2'", "`runs` says under `opened_at`"),
        ("UPDATE runs SET closed_at = '' WHERE run = 'run-2'", "`runs` says under `closed_at`"),
        ("UPDATE runs SET guidance = 'none at all' WHERE run = 'run-2'", "`runs` says under `guidance`"),
        ("UPDATE visits SET seconds = -1 WHERE run = 'run-2'", "`visits` says under `seconds`"),
        ("UPDATE visits SET active = 9e999 WHERE run = 'run-2'", "`visits` says under `active`"),
        ("UPDATE attempts SET mark = 'luck' WHERE run = 'run-2'", "`attempts` says under `mark`"),
        (
            "UPDATE attempts SET at = '2026-02-30T09:00:00.000Z' WHERE run = 'run-2'",
            "`attempts` says under `at`",
        ),
        ("UPDATE answers SET answer = '[1' WHERE run = 'run-2'", "`answers` says under `answer`"),
        (
            "UPDATE answers SET answer = '[[[[{\"a\": 1}]]]]' WHERE run = 'run-2'",
            "`answers` says under `answer`",
        ),
        ("DELETE FROM runs WHERE run = 'run-2'", "the table `runs` has none"),
    ],
)
@pytest.mark.sweep(quick=4)
def test_one_bad_run_never_hides_the_others(record: Path, statement: str, says: str) -> None:
    """The run is left out of every frame, a sentence says which and why, and the others are counted."""
    found = read(altered(record, statement))
    assert found.frames.runs["run"].to_list() == ["run-1", "run-3"]
    for name in SCHEMAS:
        assert "run-2" not in getattr(found.frames, name)["run"].to_list()
    (trouble,) = found.troubles
    assert "run-2" in trouble
    assert says in trouble
    assert "sinkside record rebuild" in trouble
    review = reviewed(record)
    assert (review.runs, review.troubles) == (2, found.troubles)


def test_many_bad_runs_are_not_named_one_by_one(tmp_path: Path) -> None:
    """Twenty are named, the rest is counted."""
    sink = Sink.open("cued")
    path = record_of(tmp_path / "record.db", plan_of("plate"), [sink.events] * 25)
    found = read(altered(path, "UPDATE runs SET guidance = '' WHERE run <> 'run-7'"))
    assert found.frames.runs["run"].to_list() == ["run-7"]
    assert sum("is left out" in trouble for trouble in found.troubles) == 20
    assert any(trouble.startswith("4 more runs") for trouble in found.troubles)


def test_texts_are_harmless_and_bytes_that_are_no_text_are_told(record: Path) -> None:
    """Escape sequences become pictures; what is no UTF-8 becomes a sign, with a sentence that says so."""
    altered(
        record,
        "UPDATE runs SET job = char(27) || '[31mred' WHERE run = 'run-1'",
        "UPDATE runs SET colour = CAST(x'ff41' AS TEXT) WHERE run = 'run-2'",
    )
    found = read(record)
    assert found.frames.runs["job"][0] == "\u241b[31mred"
    assert found.frames.runs["colour"][1] == "\ufffdA"
    (trouble,) = found.troubles
    assert "Some texts of the record" in trouble


def test_a_procedure_that_can_no_longer_be_read_hides_nothing(record: Path) -> None:
    """Kept text that was altered, or that Sinkside refuses: a sentence each, and the runs are counted."""
    found = read(altered(record, "UPDATE procedures SET source = CAST(source || x'20' AS BLOB)"))
    assert "is not the one its runs were bound to" in found.troubles[0]
    assert (dict(found.facts), found.frames.runs.height) == ({}, 3)
    hash_ = "'8f434346648f6b96df89dda901c5176b10a6d83961dd3c1ac88b59b2dc327aa4'"  # sha256sum of `hi`
    found = read(altered(record, "UPDATE procedures SET source = x'6869', content_hash = " + hash_))  # noqa: S608 - a constant
    assert "can no longer be read" in found.troubles[0]
    assert reviewed(record).runs == 3


def test_reading_changes_nothing_and_holds_up_nobody(record: Path) -> None:
    """The file is the same afterwards, and a station may write while a review goes on."""
    before = record.read_bytes()
    read(record)
    assert record.read_bytes() == before


def test_work_of_an_excused_run_is_shown_and_not_counted(tmp_path: Path) -> None:
    """It stands under `excused`, and in no count."""
    one, two = Sink.open("solo").to_end(), Sink.open("solo").to_end()
    two.run.excuse("I-1", "A helper spoke.")
    path = record_of(tmp_path / "record.db", plan_of("plate"), [one.events, two.events])
    found = reviewed(path)
    alone = reviewed(record_of(tmp_path / "alone.db", plan_of("plate"), [one.events]))
    assert (found.excused, found.runs) == (("run-2",), 1)
    assert (found.skills, found.steps, found.curves) == (alone.skills, alone.steps, alone.curves)
    (ready,) = found.ready
    assert [held.why_not for held in ready.held] == ["", "excused: A helper spoke."]


def test_filters_narrow_what_is_counted(tmp_path: Path) -> None:
    """By trainee, kind, procedure and period; what is shared by two stays with each for his or her part."""
    handed = Sink.open("full").until("read-gauge")
    handed.run.hand_over("T-02")
    handed.right()
    handed.run.stop("Enough.")
    path = record_of(
        tmp_path / "record.db", plan_of("plate"), [Sink.open("full").to_end().events, handed.events]
    )
    whole = read(path)

    def runs(**wanted: object) -> tuple[int, tuple[str, ...]]:
        found = review(whole.frames, whole.facts, Wanted(**wanted), START)  # type: ignore[arg-type]
        return found.runs, found.trainees

    late = datetime(2100, 1, 1, tzinfo=UTC)
    assert runs() == (2, ("T-01", "T-02"))
    assert runs(trainees=("T-02",)) == (1, ("T-02",))
    assert runs(trainees=("T-01",)) == (2, ("T-01",))
    assert runs(kind="wet")[0] == 2
    assert runs(kind="rehearsal") == (0, ())
    assert runs(procedures=("bread",)) == (0, ())
    assert runs(since=late) == (0, ())
    assert runs(until=late)[0] == 2
    later = review(whole.frames, whole.facts, Wanted(since=late), START)
    assert later.ready, "a rule does not change with a filter"
