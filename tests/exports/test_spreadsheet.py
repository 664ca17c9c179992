"""CSV in a real spreadsheet program, where one is installed: accents, numbers, and no formula."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from test_csv import FORMULAS

from trainer.record.exports.csv_text import BOM, csv_parts
from trainer.record.exports.tables import Column, Table

pytestmark = pytest.mark.long
SPREADSHEET = shutil.which("soffice")
READ = "CSV:{between},34,76,1,,{language},false,true,false,false,0,true"
"""How the file is opened: separator, quote, UTF-8, language of numbers; formulas are worked out."""
ENGLISH, GERMAN = 1033, 1031
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"

Cells = list[tuple[str, str | None]]
NUMBERS = [-5.0, 21.5, 0.001, 1e-7, 123456789.0]


def opened(written: bytes, folder: Path, *, between: str, language: int) -> tuple[Cells, list[str]]:
    """Kind and number of every cell of the first row under the head, and all formulas of the sheet."""
    if SPREADSHEET is None:
        pytest.skip("no spreadsheet program (soffice) is installed")
    file = folder / "file.csv"
    file.write_bytes(written)
    how = READ.format(between=ord(between), language=language)
    home = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    call = [SPREADSHEET, home, "--headless", f"--infilter={how}", "--convert-to", "fods"]
    subprocess.run([*call, "--outdir", str(folder), str(file)], check=True, capture_output=True, timeout=120)
    sheet = ET.parse(folder / "file.fods").getroot()  # noqa: S314 - written by the program just now
    cells = list(sheet.iter(f"{TABLE}table-cell"))
    formulas = [cell.attrib[f"{TABLE}formula"] for cell in cells if f"{TABLE}formula" in cell.attrib]
    kinds = [
        (cell.attrib.get(f"{OFFICE}value-type", ""), cell.attrib.get(f"{OFFICE}value")) for cell in cells
    ]
    return kinds, formulas


@pytest.mark.parametrize(("comma", "language"), [(False, ENGLISH), (True, GERMAN)])
def test_numbers_are_numbers_and_texts_are_no_formulas(tmp_path: Path, language: int, *, comma: bool) -> None:
    """Every formula of the list is a text, negative numbers are numbers, in both ways to write a number."""
    rows = [tuple(NUMBERS), *[(text, "caf\u00e9", None, None, None) for text in FORMULAS]]
    columns = tuple(Column(name, "text") for name in "abcde")
    written = b"".join(csv_parts(Table("t", columns, iter(rows)), bom=False, comma=comma))
    kinds, formulas = opened(written, tmp_path, between=";" if comma else ",", language=language)
    assert formulas == []
    assert [float(value or "nan") for kind, value in kinds if kind == "float"] == NUMBERS
    assert "caf\u00e9" in (tmp_path / "file.fods").read_text("utf-8")


def test_the_mark_of_utf_8_is_no_part_of_the_first_name(tmp_path: Path) -> None:
    """A file that begins with it has its first column under its own name."""
    opened(BOM + b"run\r\nr1\r\n", tmp_path, between=",", language=ENGLISH)
    assert ">run<" in (tmp_path / "file.fods").read_text("utf-8")


def test_an_unguarded_file_has_formulas(tmp_path: Path) -> None:
    """The program would work them out: the check can fail."""
    _, formulas = opened(b"a,b\r\n=1+1,-2+3\r\n", tmp_path, between=",", language=ENGLISH)
    assert formulas
