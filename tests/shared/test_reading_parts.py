"""A part of the shared record, or of a station's file: the same findings, and no other row is fetched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from postgres_kit import Postgres
from shared_kit import Shared, carry, made, server

from trainer.cli import main
from trainer.insight.frames import SCHEMAS
from trainer.insight.glance import glance, looking
from trainer.insight.read import ClassRecord, needed, read
from trainer.insight.results import Review, Wanted
from trainer.insight.review import review
from trainer.record.filling import Contents, fill
from trainer.record.part import NoSuchPlace, Part
from trainer.record.shared.reading import Reading
from trainer.rehearsal.invented.making import Class, make_class
from trainer.run.fakes import FakeClock

__all__ = ["server"]
pytestmark = pytest.mark.long

NOW = datetime(2027, 2, 1, tzinfo=UTC)
BULK = ("visits", "attempts", "readings", "exposures", "signatures", "settings")
"""Tables of which no row outside kind and period is wanted."""
WANTED = (
    Wanted(procedures=("negative-plate-two-burns",)),
    Wanted(since=datetime(2026, 11, 1, tzinfo=UTC)),
    Wanted(kind="rehearsal", until=datetime(2026, 11, 20, tzinfo=UTC)),
    Wanted(trainees=("T-03",), procedures=("negative-plate-two-burns",), kind="wet"),
)


@pytest.fixture(scope="module")
def worked() -> Class:
    """A class, some of it rehearsals."""
    return make_class(7, 18, rehearsals=True)


@pytest.fixture(scope="module")
def files(worked: Class, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Its runs in turn at three stations, as those of a real class: nothing says that they are invented."""
    paths = []
    for number in range(3):
        path = tmp_path_factory.mktemp("station") / "record.db"
        fill(path, FakeClock(), Contents(worked.runs[number::3], worked.sources, ("I-1",), {}))
        paths.append(path)
    return paths


@pytest.fixture(scope="module")
def full(server: Postgres, files: list[Path]) -> Shared:
    """The shared record with what is in those: sink 1 and sink 2 of North, sink 1 of South."""
    with_it = made(server)
    for path, login in zip(files, (with_it.one, with_it.two, with_it.far), strict=True):
        carry(path, login)
    return with_it


@pytest.fixture
def fetched(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many rows came over the line, by question."""
    counts: list[int] = []
    asked = Reading.as_csv

    def counting(self: Reading, question: str, values: Sequence[Any] = ()) -> Iterator[bytes]:
        counts.append(0)
        for block in asked(self, question, values):
            counts[-1] += block.count(b"\n")
            yield block

    monkeypatch.setattr(Reading, "as_csv", counting)
    return counts


def shape(found: Review) -> Review:
    """Without what is said of what cannot be read: of runs that are not read, nothing is said."""
    return replace(found, troubles=())


def found_in(record: ClassRecord, wanted: Wanted) -> Review:
    """The review of what was read."""
    return shape(review(record.frames, record.facts, wanted, NOW))


@pytest.mark.parametrize("wanted", WANTED, ids=str)
def test_what_is_asked_for_is_enough(
    full: Shared, files: list[Path], wanted: Wanted, fetched: list[int]
) -> None:
    """The review of the rows that were asked for is that of all rows, from the server and from a file.

    Rows are counted as they come: fewer than there are, and of the large tables those of the runs alone.
    """
    whole = read(full.keeper.address)
    everything = sum(fetched)
    fetched.clear()
    part = read(full.keeper.address, only=needed(wanted))
    assert 0 < sum(fetched) < everything
    asked = set(part.frames.runs["run"]) & {
        row["run"]
        for row in whole.frames.runs.iter_rows(named=True)
        if (wanted.kind is None or row["rehearsal"] == (wanted.kind == "rehearsal"))
        and (wanted.since is None or row["opened_at"] >= wanted.since)
        and (wanted.until is None or row["opened_at"] < wanted.until)
    }
    for table in BULK:
        assert set(getattr(part.frames, table)["run"]) <= asked, table
    by_table = dict(zip(SCHEMAS, fetched, strict=True))
    assert by_table["attempts"] == part.frames.attempts.height
    named = replace(wanted, trainees=tuple(f"{code} (North)" for code in wanted.trainees))
    assert found_in(part, named) == found_in(whole, named)
    own = read(files[0], only=needed(wanted))
    assert found_in(own, wanted) == found_in(read(files[0]), wanted)
    assert own.frames.attempts.height <= read(files[0]).frames.attempts.height


@pytest.mark.parametrize(
    ("schools", "stations", "numbers"),
    [
        (("North",), (), (0, 1)),
        (("South",), (), (2,)),
        ((), ("sink 1",), (0, 2)),
        (("North",), ("sink 2",), (1,)),
        (("North", "South"), ("sink 1", "sink 2"), (0, 1, 2)),
    ],
)
def test_schools_and_stations_are_narrowed_where_they_lie(  # noqa: PLR0917 - three of them are one case
    full: Shared,
    worked: Class,
    fetched: list[int],
    schools: tuple[str, ...],
    stations: tuple[str, ...],
    numbers: tuple[int, ...],
) -> None:
    """No row of another station comes over the line, and the first page and the list of runs have none."""
    part = Part(full.keeper.address, schools, stations)
    record = read(part)
    wanted = sorted(run[0].run for number in numbers for run in worked.runs[number::3])
    assert sorted(record.frames.runs["run"]) == wanted
    assert fetched[0] == len(wanted)
    with looking(part) as connection:
        assert sorted(run.run for run in glance(connection).runs) == wanted
        assert sorted(row[0] for row in connection.execute("SELECT run FROM heads")) == wanted
        assert {row[0] for row in connection.execute("SELECT DISTINCT run FROM events")} == set(wanted)
    one_school = len(schools) == 1 or stations == ("sink 2",)
    assert all(code.endswith(")") for code in record.frames.runs["trainee"]) is not one_school


def test_a_station_is_found_by_its_key(full: Shared) -> None:
    """The server goes by the station's id, the first of every key: no other rows are gone through."""
    with looking(Part(full.keeper.address, ("North",), ("sink 2",))) as connection:
        assert isinstance(connection, Reading)
        server = connection._connection
        server.execute("SET LOCAL enable_seqscan = off")  # so few rows are sooner read than looked up
        question = f"EXPLAIN {connection._whole('SELECT * FROM attempts')}"  # noqa: S608 - ours
        plan = "\n".join(row[0] for row in server.execute(question.encode(), connection._before))
    assert full.two.site in plan
    assert full.one.site not in plan
    assert "Index Cond" in plan


def call(full: Shared, *argv: str) -> Result:
    """A command on the shared record, as its keeper."""
    return CliRunner().invoke(main, ["--record", full.url(full.keeper), *argv])


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (("--school", "Nroth"), ("Did you mean North?", "There are: North, South.")),
        (("--school", "South", "--station", "sink 2"), ("South, in what", "There is: sink 1.")),
        (("--station", "sink1"), ("Did you mean sink 1?", "There are: sink 1, sink 2.")),
    ],
)
def test_an_unknown_name_gets_the_list_and_the_nearest(
    full: Shared, asked: tuple[str, ...], said: tuple[str, ...]
) -> None:
    """In a sentence, from every command that takes it; a reviewer hears of no school but the own."""
    for command in (("report",), ("export", "--as", "csv", "--table", "runs")):
        done = call(full, *command, *asked)
        assert done.exit_code in (1, 2)
        assert all(words in done.stderr for words in said), done.stderr
        assert done.stdout == ""
    with pytest.raises(NoSuchPlace, match="There is: North") as told:
        read(Part(full.reviewer.address, ("South",)))
    assert "mean" not in str(told.value)


def test_commands_take_a_school_and_a_station(full: Shared, worked: Class) -> None:
    """Export and report have the runs of that station alone, and codes as its school writes them."""
    table = call(full, "export", "--as", "csv", "--table", "runs", "--school", "North", "--station", "sink 2")
    assert table.exit_code == 0, table.stderr
    lines = table.stdout.splitlines()[1:]
    assert len(lines) == len(worked.runs[1::3])
    assert "(North)" not in table.stdout
    page = call(full, "report", "--school", "North", "--station", "sink 2")
    assert page.exit_code == 0, page.stderr
    assert "Only: North, sink 2." in page.stdout
    assert "(South)" not in page.stdout
    since = ("--since", "2026-10-01")
    part = call(full, "export", "--as", "json-lines", "--school", "North", *since)
    whole = call(full, "export", "--as", "json-lines", *since)
    assert 0 < part.stdout.count("run_opened") < whole.stdout.count("run_opened")


def test_a_station_s_own_record_is_narrowed_by_what_its_runs_say(tmp_path: Path, worked: Class) -> None:
    """Runs name their station; a school is refused with a sentence, an unknown station with the list."""
    path = tmp_path / "record.db"
    fill(path, FakeClock(), Contents(worked.runs, worked.sources, ("I-1",), {}))
    whole = read(path)
    names = sorted(set(whole.frames.runs["station"]))
    assert len(names) > 1
    part = read(Part(path, stations=(names[0],)))
    assert set(part.frames.runs["station"]) == {names[0]}
    assert part.troubles == whole.troubles
    assert set(part.frames.attempts["run"]) <= set(part.frames.runs["run"])
    with looking(Part(path, stations=(names[0],))) as connection:
        assert {run.station for run in glance(connection).runs} == {names[0]}
    for argv in (("report",), ("export", "--as", "csv", "--table", "attempts", "--into", "-")):
        done = CliRunner().invoke(main, ["--record", str(path), *argv, "--station", names[0]])
        assert done.exit_code == 0, done.stderr
        others = CliRunner().invoke(main, ["--record", str(path), *argv, "--station", "nowhere"])
        assert others.exit_code in (1, 2)
        assert f"There are: {', '.join(names)}" in others.stderr
        school = CliRunner().invoke(main, ["--record", str(path), *argv, "--school", "North"])
        assert school.exit_code in (1, 2)
        assert "says nothing of schools" in school.stderr
