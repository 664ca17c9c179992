"""Tables as CSV (RFC 4180) that a spreadsheet opens right, and in which no text is ever a formula.

A text that a spreadsheet could take for a formula gets an apostrophe before it, and so does one inside a text
after a semicolon, which cuts cells where the comma is the decimal sign. `unguarded` takes them away again:
nothing is lost. Numbers are numbers, negative ones too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from trainer.record.exports.tables import Cell, Table

BOM = b"\xef\xbb\xbf"
"""Without it the most used spreadsheets take UTF-8 for an older code and spoil every accent."""

_BLANKS = r"[^\S\t\r\n]*(?:[\"'`\u2018\u2019\u201c\u201d][^\S\t\r\n]*)*"
_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20\ufe66\ufe62\ufe63\ufe6b\u2212"
"""What begins a formula, as typed and as wide or small forms that programs read the same."""
_FORMULA = re.compile(rf"(^|[;\t\r\n])(?={_BLANKS}[\t\r{_SIGNS}])")
_GUARDED = re.compile(rf"(^|[;\t\r\n])'(?={_BLANKS}[\t\r{_SIGNS}])")
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")
_QUOTED = re.compile(r"[\",;\r\n]|^\s|\s$")


def guarded(text: str) -> str:
    """The text, made harmless to a spreadsheet."""
    return text if _NUMBER.fullmatch(text) else _FORMULA.sub(r"\1'", text)


def unguarded(text: str) -> str:
    """The text that `guarded` was given."""
    return _GUARDED.sub(r"\1", text)


def csv_parts(table: Table, *, bom: bool, comma: bool) -> Iterator[bytes]:
    """The file in parts. bom: begin with a mark of UTF-8. comma: decimal commas, and semicolons between."""
    if bom:
        yield BOM
    between = ";" if comma else ","
    yield _line([column.name for column in table.columns], between, comma=comma)
    for row in table.rows:
        yield _line(row, between, comma=comma)


def _line(row: Sequence[Cell], between: str, *, comma: bool) -> bytes:
    return (between.join(_written(cell, comma=comma) for cell in row) + "\r\n").encode()


def _written(cell: Cell, *, comma: bool) -> str:
    """A cell: nothing where there is no value, `""` for a text without a letter, 1 and 0 for yes and no."""
    match cell:
        case None:
            return ""
        case bool():
            return str(int(cell))
        case int():
            return str(cell)
        case float():
            return repr(cell).replace(".", ",") if comma else repr(cell)
    text = guarded(cell)
    if not text or _QUOTED.search(text):
        return '"' + text.replace('"', '""') + '"'
    return text
