"""The shared record read for review: the same findings as from the stations' own files."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from postgres_kit import Postgres
from shared_kit import Shared, carry, made, server, shared

from trainer.cli import main
from trainer.insight.glance import attempts, attempts_at, glance, looking
from trainer.insight.one_run import events, one_run, source
from trainer.insight.read import read
from trainer.insight.results import Wanted
from trainer.insight.review import review
from trainer.record.filling import Contents, fill
from trainer.record.shared.address import parse_address
from trainer.record.shared.troubles import SharedTrouble
from trainer.rehearsal.invented.making import Class, make_class
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble

__all__ = ["server", "shared"]
pytestmark = pytest.mark.long

NOW = datetime(2027, 2, 1, tzinfo=UTC)
WANTED = (
    Wanted(),
    Wanted(trainees=("T-03", "T-05")),
    Wanted(procedures=("negative-plate-two-burns",), kind="wet"),
    Wanted(since=datetime(2026, 10, 15, tzinfo=UTC), until=datetime(2026, 11, 20, tzinfo=UTC)),
)


@pytest.fixture(scope="module")
def worked() -> Class:
    """A class, some of it rehearsals."""
    return make_class(7, 20, rehearsals=True)


@pytest.fixture(scope="module")
def record(worked: Class, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its record at one station, that says of itself nothing: as a real one."""
    path = tmp_path_factory.mktemp("station") / "record.db"
    fill(path, FakeClock(), Contents(worked.runs, worked.sources, ("I-1", "I-2"), {}))
    return path


@pytest.fixture(scope="module")
def few(worked: Class, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record of a few of its runs."""
    path = tmp_path_factory.mktemp("few") / "record.db"
    fill(path, FakeClock(), Contents(worked.runs[:4], worked.sources, ("I-1",), {}))
    return path


@pytest.fixture(scope="module")
def full(server: Postgres, record: Path) -> Shared:
    """The shared record with what is in that one; it is only read."""
    with_it = made(server)
    carry(record, with_it.one)
    return with_it


@pytest.mark.parametrize("wanted", WANTED)
def test_the_same_events_give_the_same_review_from_either(full: Shared, record: Path, wanted: Wanted) -> None:
    """Facts, troubles, every frame, the whole review and the first page are equal: file and server."""
    own, theirs = read(record), read(full.reviewer.address)
    assert (own.facts, own.invented, own.troubles) == (theirs.facts, theirs.invented, theirs.troubles)
    for name in ("runs", "visits", "attempts", "answers", "readings", "exposures", "plates", "signatures"):
        assert getattr(own.frames, name).equals(getattr(theirs.frames, name)), name
    assert own.frames.settings.equals(theirs.frames.settings)
    found = review(theirs.frames, theirs.facts, wanted, NOW)
    assert found == review(own.frames, own.facts, wanted, NOW)
    assert found.findings or wanted.trainees
    with looking(record) as here, looking(full.reviewer.address) as there:
        first = glance(here, wanted)
        assert first == glance(there, wanted)
        assert first.runs
        assert attempts(here, wanted, skill="contact") == attempts(there, wanted, skill="contact")
        run = first.runs[0].run
        acts = [(one.run, one.seq) for one in attempts(here, wanted)[:5]]
        assert attempts_at(here, acts) == attempts_at(there, acts)
        assert one_run(here, run) == one_run(there, run)
        assert events(here, run) == events(there, run)
        assert source(here, first.runs[0].content_hash) == source(there, first.runs[0].content_hash)


@pytest.mark.parametrize(
    ("command", "found"),
    [
        (("report",), "<!doctype html>"),
        (("report", "--trainee", "T-03"), "<!doctype html>"),
        (("export", "--as", "csv", "--table", "runs", "--into", "-"), "trainee"),
        (("export", "--as", "json-lines", "--into", "-"), '"kind":"run_opened"'),
        (("record", "verify"), "20 runs"),
    ],
)
def test_commands_read_the_shared_record(
    full: Shared, command: tuple[str, ...], found: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`--record postgresql://...`; the password from the variable is warned about, and never said."""
    monkeypatch.setenv("SINKSIDE_RECORD", full.url(full.reviewer))
    done = CliRunner().invoke(main, command)
    assert done.exit_code == 0, done.stderr
    assert found in done.stdout.lower() if found.startswith("<") else found in done.stdout
    assert "The password stands in SINKSIDE_RECORD" in done.stderr
    assert (full.reviewer.address.password or "?") not in done.output
    monkeypatch.delenv("SINKSIDE_RECORD")
    again = CliRunner().invoke(main, ["--record", full.url(full.reviewer), *command])
    assert again.exit_code == 0


def test_exports_are_the_same_from_either(full: Shared, record: Path, tmp_path: Path) -> None:
    """Tables and events, byte for byte."""
    for form in ("csv", "json-lines"):
        files = []
        for name, where in (("own", str(record)), ("shared", full.url(full.reviewer))):
            into = tmp_path / f"{name}-{form}"
            done = CliRunner().invoke(main, ["--record", where, "export", "--as", form, "--into", str(into)])
            assert done.exit_code == 0, done.stderr
            found = sorted(into.iterdir()) if into.is_dir() else [into]
            files.append([one.read_bytes() for one in found])
        assert files[0] == files[1], form


def test_people_of_two_schools_with_one_code_are_two(shared: Shared, worked: Class, tmp_path: Path) -> None:
    """A keeper sees all schools: codes and stations carry the school's name; a reviewer's do not."""
    for name, runs, login in (("n", worked.runs[:3], shared.one), ("s", worked.runs[3:6], shared.far)):
        path = tmp_path / name
        fill(path, FakeClock(), Contents(runs, worked.sources, (), {}))
        carry(path, login)
    own, both = read(tmp_path / "n"), read(shared.keeper.address)
    assert read(shared.reviewer.address).frames.runs.equals(own.frames.runs)
    assert both.frames.runs.height == 6
    people = set(both.frames.runs["trainee"])
    assert people == {f"{code} (North)" for code in own.frames.runs["trainee"]} | {
        f"{code} (South)" for code in read(tmp_path / "s").frames.runs["trainee"]
    }
    assert {one[-7:] for one in both.frames.runs["station"]} == {"(North)", "(South)"}
    assert {by[-7:] for by in both.frames.signatures["by"] if by != "bench"} <= {"(North)", "(South)"}
    south = sorted(one for one in people if one.endswith("(South)"))[0]
    with looking(shared.keeper.address) as connection:
        first = glance(connection, Wanted(trainees=(south,)))
    assert {one.trainee for one in first.runs} == {south}


def test_a_run_that_two_stations_tell_is_left_out_with_a_sentence(
    shared: Shared, few: Path, tmp_path: Path, worked: Class
) -> None:
    """Nobody knows whose it is; all others are there."""
    carry(few, shared.one)
    path = tmp_path / "again.db"
    fill(path, FakeClock(), Contents(worked.runs[:1], worked.sources, (), {}))
    carry(path, shared.two)
    found = read(shared.reviewer.address)
    assert found.troubles == (f"Run {worked.runs[0][0].run} comes from two stations, and is left out.",)
    assert found.frames.runs.height == 3


def test_numbers_that_are_none_take_their_own_run_out_alone(shared: Shared, few: Path) -> None:
    """A station may send infinity and the like; texts of all kinds come through COPY as they are."""
    carry(few, shared.one)
    with shared.one.open() as connection:
        run = connection.execute("SELECT min(run) FROM sinkside.readings").fetchone()[0]  # type: ignore[index]
        connection.execute("UPDATE sinkside.readings SET value = 'Infinity' WHERE run = %s", [run])
        connection.execute(
            "UPDATE sinkside.runs SET excused = %s WHERE run = (SELECT max(run) FROM sinkside.runs)",
            ['a "line",\nand \\N another; %s \x1b[31m'],
        )
    found = read(shared.reviewer.address)
    assert [one for one in found.troubles if run in one and "`readings`" in one]
    assert found.frames.runs.height == 3
    assert 'a "line",\nand \\N another; %s ' in found.frames.runs["excused"][-1]


def test_an_invented_class_is_left_out_beside_real_ones(shared: Shared, few: Path) -> None:
    """A station that holds an invented class is no part of what is found; alone, it is labelled."""
    carry(few, shared.one)
    with shared.one.open() as connection:
        connection.execute("UPDATE sinkside.contacts SET invented = '7'")
    assert read(shared.reviewer.address).invented == "7"
    with looking(shared.reviewer.address) as connection:
        assert glance(connection).invented == "7"
    carry(few, shared.two)
    found = read(shared.reviewer.address)
    assert found.invented == ""
    assert found.troubles[0] == "1 station holds an invented class and is left out."
    assert found.frames.runs.height == 4


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("postgresql://nobody:x@127.0.0.1:{port}/{database}", "does not take this credential"),
        ("postgresql://nobody:x@127.0.0.1:1/x", "cannot be reached now"),
        ("{admin}", "is not set up as a shared record"),
    ],
)
def test_trouble_with_the_connection_is_a_sentence(shared: Shared, asked: str, said: str) -> None:
    """Refused, not there, no shared record: each a sentence, without what the password is."""
    given = asked.format(port=shared.server.port, database=shared.database, admin=shared.server.address())
    address = parse_address(given, source="the test", secret_place=True)
    with pytest.raises(SharedTrouble, match=said) as told:
        read(address)
    assert shared.server.password not in str(told.value)
    with pytest.raises(SharedTrouble, match=said), looking(address):
        pass


def test_an_empty_shared_record_says_so(shared: Shared) -> None:
    """Nobody has forwarded anything yet."""
    with pytest.raises(JournalTrouble, match="holds no run that this credential sees"):
        read(shared.reviewer.address)


@pytest.mark.parametrize("command", [(), ("run",), ("record", "rebuild"), ("record", "backup", "x")])
def test_what_writes_refuses_an_address(command: tuple[str, ...]) -> None:
    """A run is kept at the station; no folder of that name is made."""
    done = CliRunner().invoke(main, ["--record", "postgresql://room@127.0.0.1:1/x", *command])
    assert done.exit_code == 2
    assert "Name the station's own file" in done.stderr
