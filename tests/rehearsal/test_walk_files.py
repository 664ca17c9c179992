"""What is wrong with a walk file is told with code, line and column, all of it at once, and what to write."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from walk_kit import found, write

from trainer.rehearsal.walk import run_walk, walk_files
from trainer.rehearsal.walk_file import walk_of
from trainer.rehearsal.walk_parse import ACTS, EXPECTATIONS
from trainer.rehearsal.walk_spot import CODES

TOP = "walk: 1\nprocedure: try-procedure\n"
WORDS = (
    *ACTS,
    *EXPECTATIONS,
    "act",
    "to act",
    "to-end",
    "by",
    "I-1",
    "word",
    "passed",
    "22 inHg",
    "gauge",
    "none",
)
GOOD = f"{TOP}acts: [right: to-end]\n"


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("", "F09", 1, 1),
        ("walk: 1", "W02", 1, 1),
        ("- a list\n", "W03", 1, 1),
        ("walk: 1\nacts: []\n", "W02", 1, 1),
        (TOP, "W02", 1, 1),
        (f"{TOP}acts: 3\n", "W03", 3, 7),
        (f"{TOP}akts: []\nacts: []\n", "W01", 3, 1),
        ("walk: 2\nprocedure: try-procedure\nacts: []\n", "W03", 1, 7),
        ("walk: true\nprocedure: try-procedure\nacts: []\n", "W03", 1, 7),
        ("walk: 1\nprocedure: 5\nacts: []\n", "W03", 2, 12),
        ("walk: 1\nprocedure: no-such-procedure\nacts: []\n", "W05", 2, 12),
        ("walk: 1\nprocedure: ../../etc/passwd\nacts: []\n", "W05", 2, 12),
        ("walk: 1\nprocedure: broken\nacts: []\n", "W05", 2, 12),
        (f"{GOOD}guidance: half\n", "W03", 4, 11),
        (f"{GOOD}conditions: {{dust: 3}}\n", "W04", 4, 1),
        (f"{GOOD}rehearsal: true\nconditions: {{dusts: 3}}\n", "W03", 5, 13),
        (f"{GOOD}rehearsal: true\nexpect: {{plate: {{passed: true}}}}\n", "W01", 5, 18),
        (f"{TOP}rehearsal: true\nacts:\n- set: {{pumps: on}}\n", "W01", 5, 9),
        (f"{TOP}rehearsal: true\nacts:\n- set: {{pump: up}}\n", "W03", 5, 15),
        (f"{TOP}rehearsal: true\nacts:\n- set: {{units: 24 mL}}\n", "W03", 5, 16),
        (f"{GOOD}rehearsal: perhaps\n", "W03", 4, 12),
        (f"{GOOD}settings: {{exposure: 24 units}}\n", "W03", 4, 22),
        (f"{GOOD}settings: {{exposition: 24}}\n", "W07", 4, 12),
        (f"{GOOD}settings: {{exposure: 500}}\n", "W07", 4, 22),
        (f"{GOOD}settings: 5\n", "W03", 4, 11),
        (f"{GOOD}trainee: ''\n", "W03", 4, 10),
        (f"{GOOD}trainee: 7\n", "W03", 4, 10),
        (f"{TOP}acts:\n- confrim\n", "W01", 4, 3),
        (f"{TOP}acts:\n- press: 3\n", "W01", 4, 3),
        (f"{TOP}acts:\n- confirm: 1\n", "W03", 4, 3),
        (f"{TOP}acts:\n- judge\n", "W03", 4, 3),
        (f"{TOP}acts:\n- {{read: 5, judge: a}}\n", "W03", 4, 3),
        (f"{TOP}acts:\n- 7\n", "W03", 4, 3),
        (f"{TOP}acts:\n- right: 0\n", "W03", 4, 10),
        (f"{TOP}acts:\n- right: to\n", "W03", 4, 10),
        (f"{TOP}acts:\n- right: 1.5\n", "W03", 4, 10),
        (f"{TOP}acts:\n- pass: 40\n", "W03", 4, 9),
        (f"{TOP}acts:\n- pass: 1:30\n", "W03", 4, 9),
        (f"{TOP}acts:\n- pass: 40 mL\n", "W03", 4, 9),
        (f"{TOP}acts:\n- pass: -5 s\n", "W03", 4, 9),
        (f"{TOP}acts:\n- read: high\n", "W03", 4, 9),
        (f"{TOP}acts:\n- read: 17 inhg\n", "W03", 4, 9),
        (f"{TOP}acts:\n- judge: 3\n", "W03", 4, 10),
        (f"{TOP}acts:\n- answer: [1, 2]\n", "W03", 4, 12),
        (f"{TOP}acts:\n- answer: 15 minutos\n", "W03", 4, 11),
        (f"{TOP}acts:\n- spoil: ''\n", "W03", 4, 10),
        (f"{TOP}acts:\n- sign: {{by: I-1}}\n", "W02", 4, 9),
        (f"{TOP}acts:\n- sign: {{by: I-1, word: good}}\n", "W03", 4, 25),
        (f"{TOP}acts:\n- sign: {{by: I-1, word: passed, pim: wrong}}\n", "W01", 4, 33),
        (f"{TOP}acts:\n- sign: passed\n", "W03", 4, 9),
        (f"{TOP}acts:\n- take_setting: {{pin: right}}\n", "W02", 4, 17),
        (f"{TOP}acts:\n- take_setting: {{by: I-1, pin: 1234}}\n", "W03", 4, 32),
        (f"{TOP}acts:\n- set: {{pump: on}}\n", "W04", 4, 3),
        (f"{TOP}acts:\n- refused: jump\n", "W01", 4, 12),
        (f"{TOP}acts:\n- expect: {{where: act}}\n", "W01", 4, 12),
        (f"{GOOD}expect: done\n", "W03", 4, 9),
        (f"{GOOD}expect: {{plate: {{passes: true}}}}\n", "W04", 4, 10),
        (f"{GOOD}expect: {{closed: open}}\n", "W03", 4, 18),
        (f"{GOOD}expect: {{plates: 0}}\n", "W03", 4, 18),
        (f"{GOOD}expect: {{events: {{spoilt: 1}}}}\n", "W01", 4, 19),
        (f"{GOOD}expect: {{events: {{confirmed: -1}}}}\n", "W03", 4, 30),
        (f"{GOOD}expect: {{marks: {{contact: 5}}}}\n", "W03", 4, 27),
        (f"{GOOD}expect: {{marks: {{contact: {{hits: 5}}}}}}\n", "W02", 4, 27),
        (f"{GOOD}expect: {{readings: {{gauge: lots}}}}\n", "W03", 4, 28),
        (f"{TOP}acts: [right: to-end\n", "Y10", 3, 7),
        (f"{GOOD}name: one\nname: two\n", "Y12", 5, 1),
        (f"{GOOD}name: &a one\n", "Y07", 4, 7),
    ],
)
def test_a_broken_walk_file(tmp_path: Path, text: str, code: str, line: int, column: int) -> None:
    """The walk is not done; the one problem has this code and place, and says what to do."""
    (tmp_path / "broken.yaml").write_text("format: 1\nid: broken\n", encoding="utf-8")
    result = run_walk(write(tmp_path, text))
    assert not result.passed
    assert found(result) == [(code, line, column)]
    assert result.findings[0].message
    assert result.findings[0].help


def test_all_problems_come_at_once(tmp_path: Path) -> None:
    """Three faults in three places are three findings, from the top of the file down."""
    text = f"{TOP}guidance: half\nacts:\n- confrim\n- right: 1\n- pass: 40\n"
    assert found(run_walk(write(tmp_path, text))) == [("W03", 3, 11), ("W01", 5, 3), ("W03", 7, 9)]


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        (f"{TOP}acts:\n- confrim\n", "`confirm`"),
        (f"{TOP}acts:\n- judg: a\n", "`judge`"),
        (f"{TOP}acts:\n- pass: 1:30\n", "1 min 30 s"),
        ("walk: 1\nprocedure: try-procedur\nacts: []\n", "`procedure: try-procedure`"),
        ("walk: 1\nprocedure: quite-another\nacts: []\n", "beside"),
        ("walk: 1\nprocedure: exposure-tests\nacts: []\n", "`procedure: exposure-test`"),
        (f"{GOOD}settings: {{exposure_units: 24}}\n", "`exposure`"),
        (f"{GOOD}settings: {{dose: 24}}\n", "Known: exposure"),
        (f"{GOOD}conditions: {{dust: 3}}\n", "`rehearsal: true`"),
        (f"{TOP}acts:\n- right: to gage\n", "`right: to gauge`"),
    ],
)
def test_help_says_what_to_write(tmp_path: Path, text: str, hint: str) -> None:
    """The nearest word that is known, or the right form, stands in the help."""
    (finding, *_) = run_walk(write(tmp_path, text)).findings
    assert hint in finding.help


@pytest.mark.parametrize(
    "source", [b"\xff\xfe\x00", b"\x00\x01", b"walk: 1\n" * 200_000, b"[" * 5000, b"\x1b[2J"]
)
def test_no_bytes_bring_the_reader_down(source: bytes) -> None:
    """Binary, other encodings, too much and too deep are problems of the file."""
    read = walk_of(source, "walk.yaml")
    assert read.walk is None
    assert read.problems


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file and a folder in its place are findings with their own codes."""
    assert found(run_walk(tmp_path / "none.yaml")) == [("F01", 1, 1)]
    assert found(run_walk(tmp_path)) == [("F02", 1, 1)]


def test_a_folder_is_searched_for_walks(tmp_path: Path) -> None:
    """Walks in it and below it are found, in order; procedures and other files are left alone."""
    write(tmp_path, GOOD, "b.yaml")
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "a.yaml").write_text(f"# a remark\n{GOOD}", encoding="utf-8")
    (tmp_path / "notes.txt").write_text(GOOD, encoding="utf-8")
    assert [file.name for file in walk_files(tmp_path)] == ["b.yaml", "a.yaml"]


def test_every_code_is_used() -> None:
    """Each code of walks stands in the tables of these tests."""
    here = Path(__file__).resolve().parent
    texts = "".join(file.read_text(encoding="utf-8") for file in here.glob("test_*.py"))
    assert [code for code in CODES if f'"{code}"' not in texts] == []


NODES = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 30) | st.sampled_from(WORDS),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=3),
    max_leaves=8,
)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=st.lists(NODES, max_size=5), expect=NODES)
def test_nothing_that_stands_in_a_walk_raises(tmp_path: Path, acts: list[object], expect: object) -> None:
    """Acts and expectations of any shape end in a result, passed or with findings that have a help."""
    whole = {"walk": 1, "procedure": "try-procedure", "acts": acts, "expect": expect}
    result = run_walk(write(tmp_path, yaml.safe_dump(whole, sort_keys=False)))
    assert result.passed == (found(result) == [])
    assert all(finding.help for finding in result.findings)


def test_a_misspelt_procedure_is_looked_for_beside_the_walk(tmp_path: Path) -> None:
    """The nearest name beside the walk is proposed, and no name that is no id, nor the walk's own."""
    (tmp_path / "tin-loaf.yaml").write_text("format: 1\n", encoding="utf-8")
    (tmp_path / "tin-loof\x1b.yaml").write_text("", encoding="utf-8")
    walk = tmp_path / "tin-loof.yaml"
    walk.write_text("walk: 1\nprocedure: tin-lof\nacts: [confirm]\n", encoding="utf-8")
    (finding,) = run_walk(walk).findings
    assert (finding.code, finding.help) == ("W05", "Write `procedure: tin-loaf`, if that is meant.")
