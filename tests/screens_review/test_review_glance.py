"""The class read off the record by SQL, held to what the events say; filters; records that cannot be read."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from review_desk import NOON, SMALL, StillDesk, hand_glance, kept_record, opening, said

from trainer.cli import main
from trainer.insight.glance import UNKNOWN, Older, attempts, glance, looking, moment
from trainer.insight.results import Wanted
from trainer.record import migrations
from trainer.record.journal import StationJournal
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble
from trainer.run.scoring import score
from trainer.screens import reviewing_app
from trainer.screens.review import filtering
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens
from trainer.screens.review.pages import PAGES
from trainer.screens.reviewing_app import desk_at

CLOCK = FakeClock("2026-04-01T12:00:00.000Z")


def test_attempts_and_hits_are_those_of_scoring(tmp_path: Path) -> None:
    """By trainee and skill: as many attempts and hits as the run's own scoring finds in the same events."""
    path = kept_record(tmp_path)
    tries, hits = Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    with StationJournal(path, CLOCK) as journal:
        for run in ("r1", "r2", "r3"):
            for mark in score(journal.events(run)).marks:
                if mark.skill:
                    tries[mark.trainee, mark.skill] += 1
                    hits[mark.trainee, mark.skill] += mark.hit
    with looking(path) as connection:
        seen = glance(connection).by
    assert tries
    assert {key: (one.k, one.n) for key, one in seen.items()} == {
        key: (hits[key], n) for key, n in tries.items()
    }


def test_the_class_of_a_record(tmp_path: Path) -> None:
    """Trainees with their runs, the last of them, skills, work, the newest run."""
    with looking(kept_record(tmp_path)) as connection:
        found = glance(connection)
    assert [(one.trainee, one.runs, one.wet) for one in found.trainees] == [("T-01", 2, 2), ("T-02", 1, 1)]
    assert [run.run for run in found.runs] == ["r3", "r2", "r1"]
    assert found.procedures == ("invented",)
    assert found.everybody == ("T-01", "T-02")
    assert found.newest == found.runs[0].opened_at
    assert found.invented == ""


def test_an_excused_run_counts_for_nothing(tmp_path: Path) -> None:
    """Its attempts are in no figure; it stands among the runs with the reason."""
    with looking(kept_record(tmp_path, excused=["r1"])) as connection:
        found = glance(connection)
        assert {one.run for one in attempts(connection, Wanted(), trainee="T-01")} == {"r3"}
    assert found.trainees[0].runs == 1
    assert [run.excused for run in found.runs] == ["", "", "The lamp failed"]


DAYS: tuple[tuple[Wanted, list[str]], ...] = (
    (Wanted(trainees=("T-02",)), ["r2"]),
    (Wanted(procedures=("other",)), []),
    (Wanted(procedures=("other", "invented")), ["r3", "r2", "r1"]),
    (Wanted(kind="wet"), ["r3", "r2", "r1"]),
    (Wanted(kind="rehearsal"), []),
    (Wanted(since=datetime(2026, 3, 3, tzinfo=UTC)), ["r3", "r2"]),
    (Wanted(until=datetime(2026, 3, 3, tzinfo=UTC)), ["r1"]),
    (Wanted(since=datetime(2026, 3, 3, tzinfo=UTC), until=datetime(2026, 3, 4, tzinfo=UTC)), ["r2"]),
)


@pytest.mark.parametrize(("wanted", "runs"), DAYS)
def test_only_what_is_wanted(wanted: Wanted, runs: list[str], tmp_path: Path) -> None:
    """Each filter leaves the runs that fit, in the list and in the figures; since is in, until is out."""
    with looking(kept_record(tmp_path)) as connection:
        found = glance(connection, wanted)
        assert {one.run for one in attempts(connection, wanted)} == set(runs)
    assert [run.run for run in found.runs] == runs
    assert {code for code, _ in found.by} == {run.trainee for run in found.runs}
    assert len(found.everybody) == 2


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("2026-03-02T12:00:00.000Z", NOON),
        ("2026-03-02T12:00:00", NOON),
        ("yesterday", UNKNOWN),
        ("", UNKNOWN),
    ],
)
def test_a_time_of_the_record(text: str, at: datetime) -> None:
    """A time is UTC; what is none is unknown, and no error."""
    assert moment(text) == at


def broken_records(folder: Path) -> dict[str, tuple[Path, str]]:
    """Records that cannot be read, each with words of its sentence."""
    folder.mkdir()
    (folder / "empty.db").touch()
    (folder / "text.db").write_text("This is no database, but it is long enough to be one. " * 40)
    with closing(sqlite3.connect(folder / "foreign.db")) as connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
    newer = kept_record(folder / "newer")
    with closing(sqlite3.connect(newer)) as connection:
        later = (len(migrations.MIGRATIONS) + 1, "of_tomorrow", "")
        connection.execute("INSERT INTO migrations VALUES (?, ?, ?)", later)
        connection.commit()
    damaged = kept_record(folder / "damaged")
    bytes_ = bytearray(damaged.read_bytes())
    bytes_[8192:] = b"\xa5" * (len(bytes_) - 8192)
    damaged.write_bytes(bytes_)
    return {
        "missing": (folder / "missing.db", "no record"),
        "a folder": (folder, "no record"),
        "empty": (folder / "empty.db", "is empty"),
        "text": (folder / "text.db", "not a Sinkside record"),
        "foreign": (folder / "foreign.db", "another program"),
        "newer": (newer, "newer Sinkside"),
        "damaged": (damaged, "damaged"),
    }


def test_a_record_that_cannot_be_read_is_a_sentence(tmp_path: Path) -> None:
    """Missing, a folder, empty, text, foreign, newer, damaged: each is told apart, nothing is written."""
    for name, (path, words) in broken_records(tmp_path / "x").items():
        before = path.read_bytes() if path.is_file() else b""
        with pytest.raises(JournalTrouble, match=words):
            desk_at(path, CLOCK)
        assert (path.read_bytes() if path.is_file() else b"") == before, name


def test_the_command_says_it_and_ends_with_2(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`sinkside review` on a record that cannot be read: its sentence on stderr, no traceback, exit 2."""
    monkeypatch.setattr(reviewing_app, "has_terminal", lambda: True)
    for name, (path, words) in broken_records(tmp_path / "x").items():
        assert reviewing_app.run_review(path, CLOCK) == 2, name
        said_there = capsys.readouterr().err
        assert words in said_there
        assert "Traceback" not in said_there


def test_without_a_terminal_the_command_says_so(tmp_path: Path) -> None:
    """Where there is nothing to draw on: a sentence that names the report, exit code 2."""
    result = CliRunner().invoke(main, ["review", "--record", str(tmp_path / "none.db")])
    assert result.exit_code == 2
    assert "sinkside report" in result.stderr


def test_a_record_of_an_older_program_is_brought_up_to_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Looked at only, it is said to be older; the way into the review brings it up to date first."""
    path = tmp_path / "old.db"
    with monkeypatch.context() as before:
        before.setattr(migrations, "MIGRATIONS", migrations.MIGRATIONS[:1])
        StationJournal(path, CLOCK).close()
    with pytest.raises(Older, match="older Sinkside"):
        Desk(path, CLOCK)
    assert desk_at(path, CLOCK).glance.runs == ()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE attempts SET mark = 'x'",
        "UPDATE attempts SET hit = 4611686018427387904 WHERE run = 'r1'",
        "UPDATE attempts SET hit = -1 WHERE run = 'r1'",
        "UPDATE attempts SET seconds = 9e999 WHERE run = 'r1'",
        "UPDATE runs SET opened_at = 'x', last_at = '' WHERE run = 'r1'",
        "UPDATE runs SET plate = 4611686018427387904, spoiled = -1 WHERE run = 'r1'",
    ],
)
def test_rows_that_make_no_sense_hide_no_others(change: str, tmp_path: Path) -> None:
    """Written into by hand, rows that cannot be are left out or said to be unknown; the rest is shown."""
    path = kept_record(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(change)
        connection.commit()
    desk = Desk(path, CLOCK)
    for page, keys in (
        ("class", ()),
        ("runs", ()),
        ("trainee", ("T-01",)),
        ("attempts", ("T-01", "contact")),
    ):
        made = PAGES[page].make(desk, Opens(page, keys), SMALL)
        assert "T-0" in said(made), page
    assert desk.glance.by["T-02", "contact"].n > 0


def test_a_half_done_transaction_is_rolled_back_in_a_copy(tmp_path: Path) -> None:
    """Beside a journal that a crash left behind, the record is read from a copy."""
    path = kept_record(tmp_path)
    path.with_name(f"{path.name}-journal").write_bytes(b"")
    with looking(path) as connection:
        assert len(glance(connection).runs) == 3


def test_the_first_page_loads_no_heavy_library() -> None:
    """From a fresh interpreter: neither polars nor NumPy, SciPy, CEL or transitions come with it."""
    heavy = "{'polars', 'numpy', 'scipy', 'cel_expr_python', 'transitions', 'pydantic'}"
    code = (
        "import sys\n"
        "import trainer.screens.reviewing_app, trainer.screens.review.class_rows\n"
        f"print({heavy} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


def test_filters_by_choices(tmp_path: Path) -> None:
    """Each choice comes to what is wanted; work and trainees are taken in and out; all takes all."""
    desk = Desk(kept_record(tmp_path), CLOCK)
    desk.wanted = filtering.choose(desk, "kind", "wet")
    assert desk.wanted.kind == "wet"
    desk.wanted = filtering.choose(desk, "trainee", "T-02")
    desk.wanted = filtering.choose(desk, "trainee", "T-01")
    assert desk.wanted.trainees == ("T-01", "T-02")
    desk.wanted = filtering.choose(desk, "trainee", "T-01")
    assert desk.wanted.trainees == ("T-02",)
    desk.wanted = filtering.choose(desk, "trainee", "")
    desk.wanted = filtering.choose(desk, "procedure", "invented")
    assert desk.wanted == Wanted(procedures=("invented",), kind="wet")
    desk.wanted = filtering.choose(desk, "kind", "")
    desk.wanted = filtering.choose(desk, "period", "week")
    assert desk.wanted.since == datetime(2026, 2, 26, tzinfo=UTC)  # seven days that end on 4 March
    assert filtering.line(desk) == "3 runs of 2 trainees, only the last week, Invented"
    assert "from 2026-02-26" in filtering.period(desk)


@pytest.mark.parametrize("period", filtering.PERIODS)
def test_a_period_counts_back_from_the_newest_run(period: str) -> None:
    """The day of the newest run is the last day of every period; so many days are taken in."""
    days = filtering.PERIODS[period][1]
    found = filtering.since(NOON, days)
    if days is None:
        assert found is None
    else:
        assert found is not None
        assert NOON.replace(hour=0) - found == timedelta(days=days - 1)
    assert filtering.since(None, days) is None


def test_dates_as_they_are_typed() -> None:
    """Both days are taken in; nothing is no limit; anything else is no day."""
    first, last = filtering.day_typed(" 2026-03-01 "), filtering.day_typed("2026-03-02")
    wanted = filtering.with_dates(Wanted(kind="wet"), first, last)
    assert (wanted.since, wanted.until) == (
        datetime(2026, 3, 1, tzinfo=UTC),
        datetime(2026, 3, 3, tzinfo=UTC),
    )
    assert filtering.with_dates(wanted, None, None) == Wanted(kind="wet")
    assert filtering.day_typed("  ") is None
    for wrong in ("1 March", "2026-13-01", "2026-02-30", "yesterday"):
        with pytest.raises(ValueError, match="m"):
            filtering.day_typed(wrong)


def test_the_page_of_the_filters_marks_what_holds() -> None:
    """Every choice stands on the page; those that hold have a filled mark; each spot is a choice."""
    desk = StillDesk(hand_glance())
    desk.wanted, desk.period = Wanted(kind="wet", procedures=("two-burns",), trainees=("T-02",)), "term"
    leaf = filtering.filters_leaf(desk, (), SMALL)
    held = [line.strip() for line in said(leaf).split("\n") if "■" in line]
    assert held == ["■ the last 15 weeks, a term", "■ wet runs", "■ Two burns", "■ T-02 Ada"]
    assert {one.page for one in opening(leaf)} == {"choose"}
    assert filtering.line(desk) == "3 runs of 3 trainees, only wet runs, T-02, Two burns"
    assert filtering.line(StillDesk(hand_glance())) == "3 runs of 3 trainees, whole record"


def test_an_invented_record_has_its_own_present(tmp_path: Path) -> None:
    """A review of an invented record is as of its last day; of a real one, as of now."""
    del tmp_path
    assert StillDesk(hand_glance(invented="7")).now == hand_glance().runs[0].last_at
    assert StillDesk(hand_glance()).now == datetime(2026, 4, 1, 12, tzinfo=UTC)
