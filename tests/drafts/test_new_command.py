"""`sinkside new` at the command line: what it writes, asks, refuses, and never overwrites."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.cli import main
from trainer.commands import writing
from trainer.procedure.load import load


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """An empty folder."""
    folder = tmp_path / "here"
    folder.mkdir()
    return folder


def said(*arguments: str) -> Result:
    """Call `sinkside new`."""
    return CliRunner().invoke(main, ["new", *arguments])


def test_a_new_procedure_can_be_used_and_the_next_commands_are_named(here: Path) -> None:
    """The file is there, nothing in it keeps it from being run, and what to call next is on stdout."""
    result = said("glass-cleaning", "--title", "The glass", "--into", str(here))
    file = here / "glass-cleaning.yaml"
    assert result.exit_code == 0
    assert f"sinkside check {file}" in result.stdout
    loaded = load(file)
    assert loaded.plan is not None
    assert {problem.code for problem in loaded.problems} == {"S36"}
    assert sorted(path.name for path in here.iterdir()) == [file.name, "procedure.schema.json"]


def test_the_check_lists_what_is_still_to_be_written(here: Path) -> None:
    """Right after `new`: a line for the summary and each step, and exit code 0; none once all is written."""
    said("glass", "--into", str(here))
    file = here / "glass.yaml"
    result = CliRunner().invoke(main, ["check", str(file)])
    assert result.exit_code == 0
    rows = result.stdout.splitlines()
    steps = list(load(file).require().steps)
    assert [" warning S36: Still to be written " in row for row in rows[:-3]] == [True] * (len(steps) + 1)
    assert "at `summary`: `Say here in one or two" in rows[0]
    for step, row in zip(steps, rows[1:-3], strict=True):
        assert f"in step `{step}`: `Say here " in row
    assert "in your own words" in rows[-3]
    assert rows[-2] == f"{len(steps) + 1} warnings."
    file.write_text(re.sub("Say here", "Tell", file.read_text(encoding="utf-8")), encoding="utf-8")
    done = CliRunner().invoke(main, ["check", str(file)])
    assert done.stdout == "No problems in 1 file.\n"


def test_editors_find_the_shape_beside_the_file(here: Path) -> None:
    """The first line names the schema, which lies beside the file as `sinkside schema` prints it."""
    said("first", "--into", str(here))
    shape = here / "procedure.schema.json"
    assert (here / "first.yaml").read_text().splitlines()[0].endswith(f"$schema={shape.name}")
    assert shape.read_text() == CliRunner().invoke(main, ["schema"]).stdout
    shape.write_text("mine")
    said("second", "--into", str(here))
    assert shape.read_text() == "mine"


def test_a_list_becomes_steps(here: Path) -> None:
    """`--from` makes a step of each line."""
    listed = here / "list.txt"
    listed.write_text("Wipe the glass | Lint-free\nLook along it\n", encoding="utf-8")
    assert said("glass", "--from", str(listed), "--into", str(here)).exit_code == 0
    assert list(load(here / "glass.yaml").require().steps) == ["wipe-glass", "look-along"]


def test_a_wrong_list_is_told_and_nothing_written(here: Path) -> None:
    """Sentences with line numbers on stderr, exit code 1, no file."""
    listed = here / "list.txt"
    listed.write_text("Wipe\n| no act\n", encoding="utf-8")
    result = said("glass", "--from", str(listed), "--into", str(here))
    assert result.exit_code == 1
    assert "Line 2: no act" in result.stderr
    assert not (here / "glass.yaml").exists()


def test_the_name_of_the_file_is_taken_for_the_id(here: Path) -> None:
    """`new glass.yaml` writes glass.yaml, whose id is glass."""
    assert said("glass.yaml", "--into", str(here)).exit_code == 0
    assert load(here / "glass.yaml").require().procedure.id == "glass"


def test_a_file_that_is_there_is_left_as_it_is(here: Path) -> None:
    """Never written over, even where it comes to be there between the look and the writing."""
    file = here / "glass.yaml"
    file.write_text("mine", encoding="utf-8")
    result = said("glass", "--into", str(here))
    assert result.exit_code == 1
    assert "is there already" in result.stderr
    with pytest.raises(SystemExit):
        writing.write_new(file, "new")
    assert file.read_text(encoding="utf-8") == "mine"
    assert [path.name for path in here.iterdir()] == [file.name]


def test_a_disk_without_links_gets_the_file_too(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the disk knows no links the name is taken by opening it for this alone, never twice."""

    def no_links(self: Path, target: Path) -> None:
        del self, target
        raise OSError(95, os.strerror(95))

    monkeypatch.setattr(Path, "hardlink_to", no_links)
    file = here / "glass.yaml"
    writing.write_new(file, "new")
    with pytest.raises(SystemExit):
        writing.write_new(file, "newer")
    assert file.read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["Glass Cleaning"], "is not an id"),
        (["done"], "kept for the end"),
        (["glass", "--into", "no/such/folder"], "cannot be written"),
        (["glass", "--from", "no-such-list"], "There is no file"),
    ],
)
def test_what_cannot_be_is_said(
    arguments: list[str], told: str, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A wrong id, folder or list is told in a sentence with exit code 1."""
    monkeypatch.chdir(here)
    result = said(*arguments)
    assert result.exit_code == 1
    assert told in result.stderr
    assert list(here.iterdir()) == []
