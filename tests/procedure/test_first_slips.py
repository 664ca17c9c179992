"""What authors write in their first hour, and what they are told to write instead.

No source: the slips are those of people who wrote their first file by the guide; the words are our own.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.procedure.load import load_bytes
from trainer.procedure.problems import Problem

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
POINTS = "        key_points: [Slip sheet off only now, Coated side up]\n"
KEY = "        key_points:\n"
WAY = "go:\n          - {when: \"answers.side == 'bare'\", to: turn-over}"


def first_of(old: str, new: str) -> Problem:
    """What is told first of small.yaml with a change."""
    assert old in SMALL
    return load_bytes(SMALL.replace(old, new, 1).encode(), "small.yaml").problems[0]


@pytest.mark.parametrize(
    ("old", "new", "code", "help_"),
    [
        (POINTS, POINTS.replace("key_points", "keypoints"), "S01", "Write `key_points`, if that is meant"),
        (POINTS, POINTS.replace("key_points", "Key points"), "S01", "Write `key_points`: keys have small"),
        ("value: 24,", "value:24,", "S01", "Write a space after the colon: `value: 24`."),
        ("label: Exposure}", "label: Exposure, in units}", "S01", "Inside brackets a comma ends an entry."),
        (POINTS, "        key_points: Sheet off; coated up\n", "S07", "`[Sheet off, coated up]`"),
        (POINTS, f"{KEY}          Sheet off\n          Coated up\n", "S07", "Begin each of these lines"),
        (POINTS, f"{KEY}          -Sheet off\n          -Coated up\n", "S07", "the space belongs to it"),
        (WAY, "go: turn-over", "S07", "Write `then: turn-over` where it always leads there, else `go: [{"),
        ("between: [5, 80]", "between: [5-80]", "S10", "`between: [5, 80]`"),
        ("between: [5, 80]", "between: [5; 80]", "S10", "with a comma between them: `between: [5, 80]`"),
        ("answers: {coated: The coloured side, bare: The bare side}", "answers: [Coloured, Bare]", "S08",
         "`answers: {a: Coloured, b: Bare}`"),
        ("right: coated", "right: The coloured side", "S13", "the key of the right answer: `right: coated`"),
        ("right: coated", "right: The upper side", "S13", "the right answer, one of `coated`, `bare`"),
        ("picture: frame-closed", "picture: frame.png", "S12", "draw it in `pictures/frame.txt`"),
        ("wait: {for: 1 min 30 s}", "wait: {for: exposure}", "S14", "Write `for: settings.exposure`."),
        ("within: 60 days", "within: 2 months", "S14", "Write days: `60 days`."),
        ("then: draw-down", "then: [draw-down]", "S03", "One stands here: `then: draw-down`."),
        ("amount: 5, unit: mL", "amount: 5, unit: gallons", "S15", "Write `US gal`."),
    ],
)  # fmt: skip
def test_the_help_is_what_the_author_meant(old: str, new: str, code: str, help_: str) -> None:
    """Each slip is told with its code, and the help holds the author's own words put right."""
    told = first_of(old, new)
    assert told.code == code
    assert help_ in told.help


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("revision: 2", "revision:\u00a02", "revision:", "press the space bar: `revision: 2`"),
        (POINTS, f"\u00a0\u00a0\u00a0{POINTS[3:]}", "key_points: [Slip", "press the space bar"),
        ("revision: 2", "revision :2", "revision", "the value: `revision: 2`"),
        ("\nstages:\n", "\nstages\n", "stages", "Write a colon after it: `stages:`."),
        (POINTS, f"{KEY}          - Sheet off\n      - Coated up\n", "- Coated up", "as many spaces"),
        ("\nstages:\n", "\nThe stages\nstages:\n", "The stages", "If it is a remark, begin it with `#`."),
    ],
)  # fmt: skip
def test_a_line_without_a_key_is_told_at_that_line(old: str, new: str, line: str, words: str) -> None:
    """A space that is none, a forgotten colon, an entry in the wrong place: told where it stands, as Y21."""
    told = first_of(old, new)
    rows = SMALL.replace(old, new, 1).split("\n")
    at = next(number for number, row in enumerate(rows, 1) if row.strip().startswith(line))
    assert (told.code, told.place.line) == ("Y21", at)
    assert words in told.help


def test_a_step_that_lost_its_dash_is_told_once() -> None:
    """Two steps run into one have most of their keys twice; only the second `id` is told, with the dash."""
    told = load_bytes(
        SMALL.replace("      - id: draw-down\n", "        id: draw-down\n").encode(), "small.yaml"
    )
    doubled = [problem for problem in told.problems if problem.code == "Y12"]
    assert [problem.help.split(",")[0] for problem in doubled] == ["If another entry of the list begins here"]
