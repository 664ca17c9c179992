"""An invented class as a record, and the command that makes one: labelled, whole, over nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from first_kit import first_record

from trainer.cli import main
from trainer.record.filling import Contents, files_of, fill, said_of
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.record.rebuild import dump, rebuild
from trainer.record.store import snapshot
from trainer.record.verify import verify
from trainer.rehearsal.invented.making import Class, make_class
from trainer.rehearsal.invented.writing import write
from trainer.run.events import Event, RunOpened
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble


@pytest.fixture(scope="module")
def made() -> Class:
    """A few runs."""
    return make_class(5, 4, rehearsals=False)


@pytest.fixture(scope="module")
def record(made: Class, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The record of it."""
    path = tmp_path_factory.mktemp("invented") / "class.db"
    write(made, path)
    return path


def test_the_record_holds_the_very_events(made: Class, record: Path) -> None:
    """Every run can be read back as it was made, with its procedure's bytes."""
    with StationJournal(record, FakeClock(), make=False) as journal:
        for run in made.runs:
            assert journal.events(run[0].run) == run
        for content_hash in {
            run[0].body.content_hash for run in made.runs if isinstance(run[0].body, RunOpened)
        }:
            assert journal.procedure(content_hash) == made.sources[content_hash]


def test_the_record_verifies_and_its_tables_are_those_of_its_events(record: Path) -> None:
    """`record verify` finds nothing, and `record rebuild` makes the same tables again."""
    report = verify(record)
    assert report.ok, report.as_text()
    with snapshot(record) as connection:
        before = dump(connection)
    rebuild(record)
    with snapshot(record) as connection:
        assert dump(connection) == before


def test_the_record_says_that_it_is_invented(record: Path) -> None:
    """Its table `about` gives the seed, and a station opens no run in it."""
    assert said_of(record) == {"invented": "5"}
    opened = CliRunner().invoke(
        main,
        [
            "run",
            "--record",
            str(record),
            "--plain",
            "exposure-test",
            "--trainee",
            "T-01",
            "--guidance",
            "full",
        ],
        input="q\n",
    )
    assert opened.exit_code != 0
    assert "invented" in opened.stderr


def test_nobody_can_sign_as_an_invented_instructor(record: Path) -> None:
    """The instructors are listed, and no PIN is theirs."""
    with People.at(record, FakeClock(), make=False) as people:
        assert people.codes("instructor") == ["I-1", "I-2"]
        assert not any(person.has_pin or person.name for person in people.all())
    assert PinCheck(record, FakeClock()).check("I-1", "123456").verdict == "unknown"


def test_a_file_that_is_there_is_left_as_it_is(made: Class, tmp_path: Path) -> None:
    """Neither a record nor a file beside one is touched, and nothing is left of what could not be made."""
    folder = tmp_path / "own"
    folder.mkdir()
    for beside in files_of(folder / "class.db"):
        beside.write_bytes(b"mine")
        with pytest.raises(JournalTrouble, match=r"left as it is"):
            write(made, folder / "class.db")
        assert [(path, path.read_bytes()) for path in folder.iterdir()] == [(beside, b"mine")]
        beside.unlink()


def test_what_goes_wrong_half_way_leaves_nothing(made: Class, tmp_path: Path) -> None:
    """A run that cannot be kept takes the whole record with it."""

    def torn() -> list[tuple[Event, ...]]:
        return [made.runs[0], made.runs[1][:3] + made.runs[1][4:]]

    contents = Contents(torn(), made.sources, (), {})
    with pytest.raises(JournalTrouble, match=r"does not follow"):
        fill(tmp_path / "own" / "class.db", FakeClock(), contents)
    assert list((tmp_path / "own").iterdir()) == []


def invoked(*words: str | Path) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of a call."""
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def test_the_command_makes_a_class_and_says_how_to_look_at_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a file it goes to a place of its own in the data folder; a second takes the first's place."""
    monkeypatch.setenv("SINKSIDE_HOME", str(tmp_path))
    monkeypatch.delenv("SINKSIDE_RECORD", raising=False)
    code, said, _ = invoked("demo", "--runs", "1", "--wet", "--seed", "3", "--truth")
    assert code == 0
    where = tmp_path / "demo" / "demo.db"
    assert "Nothing in it ever happened." in said
    assert "is weak at" in said
    assert f"sinkside review --record {where}" in said
    assert said_of(where) == {"invented": "3"}
    assert not (tmp_path / "record.db").exists()
    code, said, _ = invoked("demo", "--runs", "1", "--wet", "--seed", "4", "--nothing-hidden", "--truth")
    assert (code, said_of(where)) == (0, {"invented": "4"})
    assert "Nothing is planted in this class." in said


def test_the_command_refuses_a_real_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A station's record, of today or of an earlier schema, a file of another kind: each stays as it is."""
    monkeypatch.setenv("SINKSIDE_HOME", str(tmp_path))
    monkeypatch.delenv("SINKSIDE_RECORD", raising=False)
    real, text = tmp_path / "real.db", tmp_path / "notes.txt"
    StationJournal(real, FakeClock()).close()
    text.write_text("notes", encoding="utf-8")
    for path in (real, text, first_record(tmp_path)):
        before = path.read_bytes()
        code, said, told = invoked("demo", "--runs", "1", "--wet", "--into", path)
        assert (code, said) == (1, "")
        assert "holds no invented class and is left as it is" in told
        assert path.read_bytes() == before


def test_the_command_refuses_the_stations_own_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where there is none yet."""
    own = tmp_path / "own" / "mine.db"
    monkeypatch.setenv("SINKSIDE_RECORD", str(own))
    code, _, told = invoked("demo", "--runs", "1", "--wet", "--into", own)
    assert code == 1
    assert "this station's own record" in told
    assert not own.parent.exists()
