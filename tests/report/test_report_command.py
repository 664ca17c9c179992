"""`sinkside report` on real records: whole ones, and ones that cannot be read."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from report_pages import read
from tamper_kit import whole_record

from trainer.cli import main


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record of three runs, by T-01, T-02 and T-03."""
    return whole_record(tmp_path_factory.mktemp("whole"))


def report(record: Path, *more: str) -> Result:
    """What the command says."""
    return CliRunner().invoke(main, ["report", "--record", str(record), *more])


def test_a_real_record_gives_a_page(whole: Path) -> None:
    """The page names its trainees, says how much the record holds, and is not called invented."""
    result = report(whole)
    assert result.exit_code == 0, result.stderr
    tree = read(result.stdout)
    assert "3 trainees" in tree.all("header")[0].said
    assert "4 runs" in tree.first("record").said
    assert "it was not asked for this page" in tree.first("record").said
    assert "Counts and their intervals" in tree.first("methods").said
    assert "nvented data" not in result.stdout


def test_verify_is_said_when_it_is_asked_for(whole: Path, tmp_path: Path) -> None:
    """With --verify the page says what `record verify` says: of this one, and of one with a word altered."""
    assert "everything is as it was written" in read(report(whole, "--verify").stdout).first("record").said
    record = shutil.copytree(whole.parent, tmp_path / "copy") / whole.name
    with closing(sqlite3.connect(record)) as connection:
        connection.execute("UPDATE runs SET hints = hints + 1 WHERE run = 'r1'")
        connection.commit()
    said = read(report(record, "--verify").stdout).first("record").said
    assert "The record is not as it was written." in said


def test_a_file_is_written_once_and_never_over_another(whole: Path, tmp_path: Path) -> None:
    """--out makes a new file; a second time it is left as it is, with a sentence."""
    out = tmp_path / "class.html"
    assert report(whole, "--out", str(out), "--paper", "letter").exit_code == 0
    first = out.read_bytes()
    assert b"size: letter" in first
    again = report(whole, "--out", str(out))
    assert again.exit_code == 1
    assert "is there already" in again.stderr
    assert out.read_bytes() == first


def test_a_page_for_each_trainee_names_nobody_else(whole: Path) -> None:
    """Whoever is asked for, no other code and no other run stands in the page's bytes."""
    for run, code in (("r1", "T-01"), ("r2", "T-02"), ("r3", "T-03")):
        result = report(whole, "--trainee", code)
        assert result.exit_code == 0, result.stderr
        assert set(re.findall(r"\bT-\d\d\b", result.stdout)) == {code}
        assert set(re.findall(r"\br[0-3]\b", result.stdout)) <= {run}


def test_a_filter_that_leaves_nothing_gives_a_page_that_says_so(whole: Path) -> None:
    """Runs of a day long ago: none, and that is no error."""
    result = report(whole, "--until", "1999-12-31")
    assert result.exit_code == 0, result.stderr
    assert "No run is in the record for what was asked" in read(result.stdout).all("header")[0].said
    assert "No run is in the record for what was asked" in result.stderr


def test_what_cannot_be_meant_is_a_sentence(whole: Path) -> None:
    """A procedure that no run is of, days turned round: what there is, and no page of either."""
    for argv, said in (
        (("--procedure", "invnted"), "There is: invented."),
        (("--since", "2026-12-01", "--until", "2026-11-01"), "no day is between them"),
    ):
        result = report(whole, *argv)
        assert (result.exit_code, result.stdout) == (2, "")
        assert said in result.stderr


def test_a_trainee_nobody_knows_is_a_sentence(whole: Path) -> None:
    """A code without runs ends with 2 and names it."""
    result = report(whole, "--trainee", "T-99")
    assert result.exit_code == 2
    assert "No run of T-99" in result.stderr


def _newer(record: Path) -> None:
    with closing(sqlite3.connect(record)) as connection:
        connection.execute("INSERT INTO migrations (number, name, at) VALUES (99, 'later', '2030-01-01')")
        connection.commit()


def _foreign(record: Path) -> None:
    record.unlink()
    with closing(sqlite3.connect(record)) as connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
        connection.commit()


BROKEN: dict[str, Callable[[Path], object]] = {
    "missing": Path.unlink,
    "empty": lambda path: path.write_bytes(b""),
    "text": lambda path: path.write_text("no record at all, only a letter\n" * 200),
    "foreign": _foreign,
    "newer": _newer,
    "damaged": lambda path: path.write_bytes(
        path.read_bytes()[:4096] + b"\xff" * (path.stat().st_size - 4096)
    ),
}


@pytest.mark.parametrize("how", BROKEN)
def test_a_record_that_cannot_be_read_is_a_sentence(how: str, whole: Path, tmp_path: Path) -> None:
    """Missing, empty, foreign, newer, damaged: exit 2, one sentence on stderr, nothing on stdout, no file."""
    record = shutil.copytree(whole.parent, tmp_path / "copy") / whole.name
    BROKEN[how](record)
    out = tmp_path / "x.html"
    for more in ((), ("--trainee", "T-01"), ("--verify", "--out", str(out))):
        result = report(record, *more)
        assert result.exit_code == 2, result.output
        assert result.stdout == ""
        assert result.stderr.startswith("sinkside: ")
        assert "Traceback" not in result.stderr
        assert result.stderr.count("\n") == 1
    assert not out.exists()
