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
    (result,) = json.loads(walk_all([write(tmp_path, BAD)]).as_json())["walks"]
    assert result["passed"] is False
    (finding,) = result["findings"]
    assert (finding["code"], finding["line"], finding["column"]) == ("W11", 5, 3)
    assert finding["help"].startswith("It asks for `confirm`")


def test_a_folder_says_what_its_walks_left_out(tmp_path: Path) -> None:
    """What no walk of a folder went through is counted and named, as text and data; of one file it is not."""
    file = write(tmp_path, GOOD)
    text = walk_all([tmp_path]).as_text()
    told = json.loads(walk_all([tmp_path]).as_json())["procedures"]
    assert "try-procedure: 1 walk went through " in text
    (one,) = told
    assert one["procedure"] == "try-procedure"
    assert one["walks"] == 1
    assert one["not_gone"]["steps"]
    for kind, pieces in one["not_gone"].items():
        assert f"  {kind} that no walk went through: {', '.join(pieces)}" in text
        assert one["of"][kind] > len(pieces)
    assert "went through" not in walk_all([file]).as_text()


def test_every_walk_more_leaves_less_out(tmp_path: Path) -> None:
    """A walk that goes another way takes what it goes through out of the list."""
    write(tmp_path, GOOD)
    before = json.loads(walk_all([tmp_path]).as_json())["procedures"][0]["not_gone"]
    write(tmp_path, f"{HEAD}acts:\n- right: to gauge\n- read: 3 inHg\n- right: to-end\n", "more.yaml")
    after = json.loads(walk_all([tmp_path]).as_json())["procedures"][0]["not_gone"]
    assert "gauge: miss" in before["answers"]
    assert "gauge: miss" not in after["answers"]
    assert all(set(after[kind]) <= set(before[kind]) for kind in before)


def test_two_procedures_of_one_name_are_told_apart(tmp_path: Path) -> None:
    """Walks of two files with one id are counted each for its own file."""
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        write(tmp_path / name, GOOD)
    told = json.loads(walk_all([tmp_path]).as_json())["procedures"]
    assert [one["walks"] for one in told] == [1, 1]


FORK = """
format: 1
id: fork
title: Two ways to one place
revision: 1
summary: A gauge that can read too little or too much, and a film that is looked at.
stages:
  - id: only
    title: Only
    steps:
      - id: gauge
        reading: {name: vacuum, unit: inHg, plausible: [0, 30], right: 22}
        go:
          - {when: readings.vacuum < 5, to: look}
          - {when: readings.vacuum > 25, to: look}
      - {id: load, do: Lay the film., bench: {film: image}, then: look}
      - id: look
        do: Look through the loupe.
        go:
          - {when: "taken('plate.pinholes') && plate.pinholes > 1", to: again}
          - {when: "taken('plate.pinholes') && plate.pinholes > 0", to: again}
      - {id: again, do: Look again.}
"""


def test_two_ways_to_one_place_are_two(tmp_path: Path) -> None:
    """Ways with one target are told apart by what led there, also where only the bench knows it."""
    (tmp_path / "fork.yaml").write_text(FORK, encoding="utf-8")
    head = "walk: 1\nprocedure: fork\nrehearsal: true\n"

    def left_out(name: str, acts: str) -> list[str]:
        write(tmp_path, f"{head}{acts}", name)
        (one,) = json.loads(walk_all([tmp_path]).as_json())["procedures"]
        return [str(way) for way in one["not_gone"]["ways"]]

    many, some = (f"taken('plate.pinholes') && plate.pinholes > {least}" for least in (1, 0))
    assert left_out("a.yaml", "acts:\n- read: 27 inHg\n- right: to-end\n") == [
        "gauge > look when readings.vacuum < 5",
        "gauge > load",
        "load > look",
        f"look > again when {many}",
        f"look > again when {some}",
    ]
    assert left_out("b.yaml", "conditions: {pinholes: 1}\nacts:\n- read: 3 inHg\n- right: to-end\n") == [
        "gauge > load",
        "load > look",
        f"look > again when {many}",
    ]
    assert left_out("c.yaml", "conditions: {pinholes: 3}\nacts:\n- right: to-end\n") == []
