"""CSV: what Python's own reader makes of it, and that no text in it is a formula.

Form: RFC 4180. What a spreadsheet takes for a formula: common practice, no source (`= + - @`, tab, CR,
also behind blanks and quotes, and in wide forms). A spreadsheet program itself opens a file in
`test_spreadsheet.py`, where one is installed.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from export_kit import HOSTILE, NAME, said, shared
from hypothesis import given
from hypothesis import strategies as st

from trainer.record.exports.csv_text import BOM, csv_parts, guarded, unguarded
from trainer.record.exports.tables import Cell, Column, Table

FORMULAS = ["=1+1", "+cmd|x", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", '"=1', "'=1", "\u201c=1", "\xa0=1"]
FORMULAS += [
    "\uff1d1",
    "\uff0b1+1",
    "\uff0d1+1",
    "\uff20x",
    "-dust",
    "+",
    "=",
    "a;=1",
    "a\n=1",
    "x; '@y",
    HOSTILE,
]
HARMLESS = [
    "",
    "a",
    "T-01",
    "5",
    "-5",
    "+5",
    "-5,5",
    "2.5",
    "a=b",
    "a - b",
    "'",
    "it's",
    "a,b",
    "1;2",
    "\u00e9",
]


@pytest.fixture
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return shared(tmp_path_factory)


@pytest.mark.parametrize("text", FORMULAS)
def test_a_formula_is_made_a_text_and_nothing_is_lost(text: str) -> None:
    """A text that could be a formula gets an apostrophe; taking it away gives the text again."""
    assert guarded(text)[0] == "'" or ";'" in guarded(text) or "\n'" in guarded(text)
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", HARMLESS)
def test_what_is_no_formula_is_left_as_it_is(text: str) -> None:
    """Words and numbers, negative ones too, have nothing added."""
    assert guarded(text) == text
    assert unguarded(text) == text


@given(st.text(alphabet=st.sampled_from("=+-@;'\"\t\r\n 1a,\uff1d\xa0"), max_size=8))
def test_guarding_any_text_can_be_undone(text: str) -> None:
    """No two texts are guarded alike."""
    assert unguarded(guarded(text)) == text


CELLS: st.SearchStrategy[Cell] = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**12), 10**12),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
)


@given(st.lists(st.tuples(CELLS, CELLS), max_size=4), st.booleans())
def test_python_reads_back_what_was_written(rows: list[tuple[Cell, Cell]], comma: bool) -> None:
    """The csv module of the standard library, an independent reader, gives the same cells."""
    table = Table("t", (Column("a", "text"), Column("b", "text")), iter(rows))
    written = b"".join(csv_parts(table, bom=False, comma=comma)).decode()
    read = list(csv.reader(io.StringIO(written, newline=""), delimiter=";" if comma else ",", strict=True))
    assert read[0] == ["a", "b"]
    for cells, row in zip(read[1:], rows, strict=True):
        for cell, value in zip(cells, row, strict=True):
            match value:
                case None:
                    assert cell == ""
                case bool() | int():
                    assert int(cell) == int(value)
                case float():
                    assert float(cell.replace(",", ".") if comma else cell) == value
                case str():
                    assert unguarded(cell) == value


def test_lines_end_as_the_standard_wants() -> None:
    """CR and LF after every line, the last too (RFC 4180, section 2); no value is told from an empty text."""
    table = Table("t", (Column("a", "text"), Column("b", "number")), iter([("", None), ("-x", -1.5)]))
    assert b"".join(csv_parts(table, bom=True, comma=False)) == BOM + b'a,b\r\n"",\r\n\'-x,-1.5\r\n'


def test_a_folder_of_all_tables(kept: Path, tmp_path: Path) -> None:
    """Every table in a file of its own, with the mark of UTF-8, for this account only; formulas are texts."""
    _, told = said(kept, "--as", "csv", "--into", str(tmp_path / "out"))
    assert "Written" in told
    files = {file.name: file for file in (tmp_path / "out").iterdir()}
    assert {
        "events.csv",
        "runs.csv",
        "attempts.csv",
        "readings.csv",
        "visits.csv",
        "about.csv",
    } <= files.keys()
    assert "people.csv" not in files
    for file in files.values():
        assert file.read_bytes().startswith(BOM)
        assert file.stat().st_mode & 0o777 == 0o600
        for row in csv.reader(io.StringIO(file.read_text("utf-8-sig"), newline=""), strict=True):
            assert [cell for cell in row if guarded(unguarded(cell)) != cell] == []
            assert NAME not in row
    reasons = {row["reason"] for row in csv.DictReader(io.StringIO(files["runs.csv"].read_text("utf-8-sig")))}
    assert f"'{HOSTILE}" in reasons


def test_names_come_only_when_asked_for(kept: Path, tmp_path: Path) -> None:
    """The table of people is there with --names, and only then."""
    said(kept, "--as", "csv", "--into", str(tmp_path / "out"), "--names")
    assert NAME in (tmp_path / "out" / "people.csv").read_text("utf-8-sig")
    assert "--names" in said(kept, "--as", "csv", "--table", "people", code=1)[1]
    assert NAME.encode() not in said(kept, "--as", "csv", "--table", "runs")[0]


@pytest.mark.parametrize(
    ("argv", "runs"),
    [
        ((), 2),
        (("--trainee", "t-03"), 1),
        (("--trainee", "T-02", "--trainee", "T-03"), 2),
        (("--procedure", "invented"), 2),
        (("--since", "2026-03-02"), 2),
        (("--since", "2026-03-03"), 0),
        (("--until", "2026-03-01"), 0),
        (("--until", "2026-03-02"), 2),
    ],
)
def test_a_part_of_the_record(argv: tuple[str, ...], runs: int, kept: Path) -> None:
    """By trainee, procedure and day of the opening; without any, all of it."""
    written = said(kept, "--as", "csv", "--table", "runs", *argv)[0].decode()
    assert len(written.splitlines()) - 1 == runs


def test_an_unknown_procedure_is_told_and_so_is_nothing(kept: Path) -> None:
    """The list of those there are; of days on which nobody worked, a word beside the empty table."""
    assert "There is: invented." in said(kept, "--as", "csv", "--procedure", "other", code=1)[1]
    _, told = said(kept, "--as", "csv", "--table", "runs", "--since", "2026-03-03")
    assert "No run is in the record for what was asked." in told


def test_only_what_the_trainee_did(kept: Path) -> None:
    """Of a run that was handed over, the other's events and answers are left out."""
    for name in ("events", "attempts"):
        written = said(kept, "--as", "csv", "--table", name, "--trainee", "T-02")[0].decode()
        assert {row["trainee"] for row in csv.DictReader(io.StringIO(written, newline=""))} == {"T-02"}


def test_nothing_is_written_over_without_force(kept: Path, tmp_path: Path) -> None:
    """A file that is there stays as it is, and no half file is left beside it; --force writes over it."""
    there = tmp_path / "out" / "runs.csv"
    there.parent.mkdir()
    there.write_text("mine", encoding="utf-8")
    assert "is there already" in said(kept, "--as", "csv", "--table", "runs", "--into", str(there), code=1)[1]
    assert there.read_text("utf-8") == "mine"
    said(kept, "--as", "csv", "--table", "runs", "--into", str(there), "--force")
    assert there.read_text("utf-8-sig").startswith("run,")
    assert [file.name for file in there.parent.iterdir()] == ["runs.csv"]
