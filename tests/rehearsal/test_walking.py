"""Several walks at once: what is printed, and the exit code."""

from __future__ import annotations

import json
from pathlib import Path

from walk_kit import HEAD, write

from trainer.rehearsal.walking import FAILED, NONE, PASSED, walk_all

GOOD = f"name: All right\n{HEAD}acts: [right: to-end]\n"
BAD = f"{HEAD}acts:\n- right: 1\n- judge: fine\n"


def test_all_passed(tmp_path: Path) -> None:
    """One line a walk with its name, a sum, and exit code 0."""
    walked = walk_all([write(tmp_path, GOOD)])
    assert walked.as_text().splitlines() == [
        f"passed  {tmp_path / 'walk.yaml'}  (All right)",
        "1 walk, all passed.",
    ]
    assert walked.exit_code == PASSED


def test_one_failed(tmp_path: Path) -> None:
    """The line of the act stands there with a caret; the exit code is 1."""
    write(tmp_path, GOOD, "good.yaml")
    walked = walk_all([write(tmp_path, BAD, "bad.yaml"), tmp_path])
    text = walked.as_text()
    assert f"{tmp_path / 'bad.yaml'}:5:3: problem W11: The step `act` does not ask for a judgement." in text
    assert "- judge: fine" in text
    assert "^" in text
    assert text.endswith("2 walks, 1 failed.")
    assert walked.exit_code == FAILED


def test_none_found(tmp_path: Path) -> None:
    """An empty folder and a missing file are exit code 2, with a sentence."""
    assert walk_all([tmp_path]).exit_code == NONE
    assert "No walks here" in walk_all([tmp_path]).as_text()
    assert walk_all([tmp_path / "none.yaml"]).exit_code == NONE


def test_json(tmp_path: Path) -> None:
    """The same as data: a finding has code, place, message and help."""
    (result,) = json.loads(walk_all([write(tmp_path, BAD)]).as_json())
    assert result["passed"] is False
    (finding,) = result["findings"]
    assert (finding["code"], finding["line"], finding["column"]) == ("W11", 5, 3)
    assert finding["help"].startswith("It asks for `confirm`")
