"""Problems as text and as JSON: the caret under the place, nothing that a terminal obeys. No source."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wcwidth import wcwidth

from trainer.procedure.load import load_bytes
from trainer.procedure.problems import Place, Problem, Related
from trainer.procedure.render import as_json, as_text, cells, summary
from trainer.procedure.text import unclean


def problem(place: Place, *related: Related, severity: str = "error") -> Problem:
    """A problem at a place."""
    return Problem(
        "S01", "error" if severity == "error" else "warning", "It is so.", "Write x.", place, (), related
    )


def test_a_problem_with_its_line() -> None:
    """Place, severity, code and message, the line with carets, what to write, and related places."""
    text = as_text(
        [problem(Place(2, 4, 2, 7), Related(Place(1, 1, 1, 2), "first here"))], "a: 1\nb: foo  # x", "f.yaml"
    )
    assert text.split("\n") == [
        "f.yaml:2:4: problem S01: It is so.",
        "    2 | b: foo  # x",
        "      |    ^^^",
        "Write x.",
        "f.yaml:1:1: first here",
        "    1 | a: 1",
        "      | ^",
    ]


@pytest.mark.parametrize(
    ("line", "place", "carets"),
    [
        ("\u6728\u6728: x", Place(1, 5, 1, 6), "      |       ^"),  # two wide characters before it
        ("a: \u6728\u6728", Place(1, 4, 1, 6), "      |    ^^^^"),
        ("e\u0301: x", Place(1, 5, 1, 6), "      |    ^"),  # a letter and an accent of its own
        ("\tx", Place(1, 2, 1, 3), "      |     ^"),  # a tab shows as four spaces
        ("a: x", Place(1, 9, 1, 12), "      |     ^"),  # beyond the end
        ("a: |", Place(1, 4, 3, 2), "      |    ^"),  # over several lines
    ],
)
def test_carets_stand_under_what_is_wrong(line: str, place: Place, carets: str) -> None:
    """Carets count the cells that a terminal gives each character."""
    assert as_text([problem(place)], line, "f").split("\n")[2] == carets


def test_a_long_line_is_cut_round_the_place() -> None:
    """Of a line wider than a screen, the part with the place is shown, and that it was cut."""
    shown = as_text([problem(Place(1, 500, 1, 503))], "x" * 499 + "bad" + "y" * 500, "f").split("\n")
    assert len(shown[1]) < 115
    assert shown[1].count("…") == 2
    start = shown[2].index("^")
    assert shown[1][start : start + 3] == "bad"


def test_a_place_without_a_line_has_no_excerpt() -> None:
    """A file that is not there, or a place after its end, gives the words only."""
    for place, source in ((Place(), ""), (Place(9, 1, 9, 2), "a: 1\n"), (Place(2, 1, 2, 2), "a\n  \n")):
        assert as_text([problem(place)], source, "f").split("\n")[1] == "Write x."


def test_colour_only_where_asked() -> None:
    """Without `colour` there is no escape sequence; with it, taking them out gives the same text."""
    found = [problem(Place(1, 1, 1, 2)), problem(Place(1, 1, 1, 2), severity="warning")]
    plain = as_text(found, "a: 1", "f")
    coloured = as_text(found, "a: 1", "f", colour=True)
    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


@given(st.text(max_size=60), st.text(max_size=30), st.integers(1, 70), st.integers(0, 9))
def test_nothing_from_a_file_is_obeyed(text: str, file: str, column: int, more: int) -> None:
    """Whatever a file and its name hold, no control and no direction mark is shown, and JSON is ASCII."""
    found = Problem("S01", "error", text, text, Place(1, column, 1, column + more), (text, 0), ())
    assert unclean(as_text([found], text, file)) is None
    dumped = as_json([found], file)
    assert dumped.isascii()
    (said,) = json.loads(dumped)
    assert said["place"] == {"line": 1, "column": column, "end_line": 1, "end_column": column + more}
    assert said["code"] == "S01"


_BLOCKS = (
    *(range(0x20, 0x7F), range(0xA1, 0xAD), range(0xC0, 0x180), range(0x300, 0x34F)),
    *(range(0x2190, 0x2194), range(0x2500, 0x25A0), range(0x3041, 0x3097), range(0x4E00, 0x4E80)),
    *(range(0xAC00, 0xAC40), range(0xFF01, 0xFF5F), range(0x1F600, 0x1F610)),
)
"""Letters, accents, arrows, lines and blocks of drawings, wide scripts, faces."""


def test_cells_are_those_of_the_terminal_tables() -> None:
    """Each of these characters takes the cells that wcwidth, a table made from Unicode's, gives it."""
    characters = [chr(code) for block in _BLOCKS for code in block]
    assert [one for one in characters if cells(one) != wcwidth(one)] == []


def test_json_says_all() -> None:
    """The JSON of a real file has file, code, severity, words, places and related places."""
    loaded = load_bytes(b"format: 1\nid: x\nid: y\n", "dir/x.yaml")
    said = json.loads(as_json(loaded.problems, loaded.file))
    twice = next(one for one in said if one["code"] == "Y12")
    assert twice["file"] == "dir/x.yaml"
    assert twice["severity"] == "error"
    assert twice["related"] == [
        {"place": {"line": 2, "column": 1, "end_line": 2, "end_column": 3}, "label": "first written here"}
    ]
    assert set(twice) == {"file", "code", "severity", "message", "help", "place", "path", "related"}


@pytest.mark.parametrize(
    ("counts", "wanted"),
    [
        ([(0, 0)], "No problems in 1 file."),
        ([(0, 0), (0, 0)], "No problems in 2 files."),
        ([(1, 0)], "1 problem."),
        ([(2, 1)], "2 problems and 1 warning."),
        ([(0, 2), (0, 0)], "2 warnings in 1 of 2 files."),
        ([(1, 0), (1, 1), (0, 0)], "2 problems and 1 warning in 2 of 3 files."),
    ],
)
def test_one_line_sums_up(counts: list[tuple[int, int]], wanted: str) -> None:
    """The summary counts problems, warnings and files."""
    files = [
        (str(index), [problem(Place())] * errors + [problem(Place(), severity="warning")] * warnings)
        for index, (errors, warnings) in enumerate(counts)
    ]
    assert summary(files) == wanted
