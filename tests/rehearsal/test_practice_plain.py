"""Fault practice in lines of text, from the command line."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from trainer.cli import main
from trainer.record.journal import StationJournal
from trainer.record.practised import faults_of
from trainer.run.clock import SystemClock
from trainer.run.events import QuizAnswered


def practised(folder: Path, typed: str, *more: str) -> Result:
    """What a practice with these lines typed says."""
    record = str(folder / "record.db")
    argv = ["faults", "--plain", "--trainee", "T-01", "--seed", "11", "--record", record, *more]
    return CliRunner().invoke(main, argv, input=typed)


def test_a_plate_is_gone_through_in_lines(tmp_path: Path) -> None:
    """A question comes with options, a measure with its value, an answer with what it was; all is kept."""
    result = practised(tmp_path, "m\n1\n1\n1\nq\n")
    assert result.exit_code == 0, result.output
    said = result.output
    assert "What is wrong with this plate?" in said
    assert "Solid wedge step: " in said
    assert said.index("What is wrong") < said.index("What do you do about it?")
    assert "Here it was: " in said
    assert "of 2 answers right" in said
    with StationJournal(tmp_path / "record.db", SystemClock()) as journal:
        answered = [event.body for event in faults_of(journal, "T-01")]
        assert [type(body) for body in answered] == [QuizAnswered, QuizAnswered]
        assert journal.open_runs() == []


def test_what_is_no_answer_is_said(tmp_path: Path) -> None:
    """A digit that is no option, a word that is no key: a sentence, and nothing is answered."""
    said = practised(tmp_path, "9\nhello\nm\nx\nv\n").output
    assert "! Pick from 1 to 5." in said
    assert "A digit answers." in said
    assert "Nothing was measured." in said
    with StationJournal(tmp_path / "record.db", SystemClock()) as journal:
        assert faults_of(journal, "T-01") == ()


def test_the_same_seed_asks_the_same(tmp_path: Path) -> None:
    """Two trainees with the same seed get the same question."""
    first = practised(tmp_path, "q\n").output
    second = practised(tmp_path, "q\n", "--trainee", "T-02").output
    assert first == second
