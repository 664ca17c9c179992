"""`sinkside map` at the command line: forms, files, comparing, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from map_kit import SMALL

from trainer.cli import main


def said(*arguments: str) -> Result:
    """Call `sinkside map`."""
    return CliRunner().invoke(main, ["map", *arguments])


@pytest.mark.parametrize(
    ("form", "begins"),
    [("text", "Exposure test"), ("mermaid", "flowchart TD"), ("dot", "digraph"), ("svg", "<svg")],
)
def test_every_form_of_a_shipped_procedure_comes_on_stdout(form: str, begins: str) -> None:
    """A procedure named by its id is drawn in the form that is asked for, and nothing is said beside it."""
    result = said("exposure-test", "--as", form)
    assert result.exit_code == 0
    assert result.stdout.startswith(begins)
    assert result.stderr == ""


def test_a_file_is_written_once(tmp_path: Path) -> None:
    """`--out` writes a new file and says so on stderr; one that is there is left as it is."""
    out = tmp_path / "small.svg"
    first = said(str(SMALL), "--as", "svg", "--out", str(out))
    assert first.exit_code == 0
    assert first.stdout == ""
    written = out.read_bytes()
    second = said(str(SMALL), "--as", "dot", "--out", str(out))
    assert second.exit_code == 1
    assert "is there already" in second.stderr
    assert out.read_bytes() == written


def test_what_is_new_comes_as_text_and_as_json(tmp_path: Path) -> None:
    """`--compare` tells the change in words; `--json` gives it to a program."""
    new = tmp_path / "small.yaml"
    new.write_text(
        SMALL.read_text(encoding="utf-8").replace("{for: 1 min 30 s}", "{for: 2 min}"), encoding="utf-8"
    )
    told = said("--compare", str(SMALL), str(new))
    assert told.exit_code == 0
    assert "let-it-draw, “Wait.”: the wait" in told.stdout
    (change,) = json.loads(said("--compare", str(SMALL), str(new), "--json").stdout)["changes"]
    assert (change["group"], change["old"], change["new"]) == ("limits", "wait 1 min 30 s", "wait 2 min")


def test_a_copy_under_another_name_can_be_compared(tmp_path: Path) -> None:
    """An old revision kept as `small-old.yaml` is still the procedure `small`; other slips are told."""
    old = tmp_path / "small-old.yaml"
    text = SMALL.read_text(encoding="utf-8")
    old.write_text(text.replace("{value: 24, unit: units", "{value: 26, unit: units"), encoding="utf-8")
    told = said("--compare", str(old), str(SMALL))
    assert told.exit_code == 0
    assert "- exposure, “Exposure”: another value\n    was  26 units\n    now  24 units" in told.stdout
    old.write_text(text.replace("then: draw-down", "then: draw-up"), encoding="utf-8")
    told = said("--compare", str(old), str(SMALL))
    assert told.exit_code == 1
    assert "No step has the id `draw-up`" in told.stderr


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        ([], 2, "Name a procedure"),
        (["exposure-test", "--json"], 2, "belongs to --compare"),
        (["exposure-test", "--compare", "a", "b"], 2, "stands for itself"),
        (["no-such-procedure"], 1, "There is no file"),
    ],
)
def test_what_cannot_be_drawn_is_said(arguments: list[str], code: int, told: str) -> None:
    """A wrong command line ends with 2, a file that cannot be read with 1, each with a sentence."""
    result = said(*arguments)
    assert result.exit_code == code
    assert told in result.stderr
