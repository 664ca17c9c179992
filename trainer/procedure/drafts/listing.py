"""A list of acts as instructors have it: a spreadsheet's table, or lines `act | key points | reason`."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from trainer.procedure.text import clean

LONGEST = 300
"""Characters of an act, a key point or a reason; a longer one fits no screen."""
MOST_ACTS = 2000
_MOST_BYTES = 2**20
_BAR = "|"
_HEAD = re.compile(r"\W*(?:(?:main|important) )?(?:acts?|steps?|what)\b.*|no\.?|#", re.IGNORECASE)
_POINTS = re.compile(r"\W*key[ _-]?points?\b.*", re.IGNORECASE)
_JUST_POINTS = re.compile(r"\W*key[ _-]?points?\W*", re.IGNORECASE)
_NUMBERED = re.compile(r"(?:\d{1,4}[.)]|[-*\u2010-\u2015•‣▪●○·])\s+")


@dataclass(frozen=True, slots=True)
class Act:
    """An act with what makes or breaks it and the reason, and the line of the list where it begins."""

    do: str
    key_points: tuple[str, ...]
    why: str
    line: int


@dataclass(frozen=True, slots=True)
class Group:
    """Acts under one heading; the heading is empty where the list has none."""

    title: str
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """What was read. problems: sentences with line numbers, each keeps the list from being used.

    notes: what should be known and stops nothing.
    """

    groups: tuple[Group, ...]
    problems: tuple[str, ...]
    notes: tuple[str, ...]


def read_listing(source: bytes, *, table: bool) -> Listing:
    """Read a list. table: it is a CSV, whose cells may be in quotes and parted by commas.

    A line that begins with `#` begins a stage. Empty lines do nothing.
    """
    text, note, wrong = _decoded(source)
    if wrong:
        return Listing((), (wrong,), ())
    notes = [note] if note else []
    rows = [row for row in _rows(text, table=table) if any(cell.strip() for cell in row[1])]
    if rows and _is_head(rows[0][1]):
        rows = rows[1:]
    problems: list[str] = []
    groups: list[tuple[str, list[Act]]] = [("", [])]
    for line, cells in rows:
        first = cells[0].strip()
        if first.startswith("#"):
            groups.append((" ".join(first.lstrip("#").split()), []))
            problems += _too_long(line, "heading", groups[-1][0])
            continue
        act, wrong_here = _act(line, cells)
        problems += wrong_here
        groups[-1][1].append(act)
    made = tuple(Group(title, tuple(acts)) for title, acts in groups if acts)
    if not made and not problems:
        problems.append("The list has no acts. Write one on each line: act | key points | reason.")
    if sum(len(group.acts) for group in made) > MOST_ACTS:
        problems.append(f"The list has more than {MOST_ACTS} acts. Make several procedures of it.")
    return Listing(made, tuple(problems), tuple(notes))


def _decoded(source: bytes) -> tuple[str, str, str]:
    """The text, what should be known about it, and why it cannot be read."""
    if len(source) > _MOST_BYTES:
        return "", "", "The list is larger than 1 MiB. Cut it into parts."
    if source.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding, note = "utf-16", ""
    else:
        encoding, note = "utf-8-sig", ""
    try:
        text = source.decode(encoding)
    except UnicodeDecodeError:
        if encoding == "utf-16":
            return "", "", "The list is no text that can be read. Save it as text in UTF-8."
        text = source.decode("cp1252", "replace")
        note = "The list is not written in UTF-8: it was read as Windows-1252. Look at its accents."
    if "\0" in text:
        return "", "", "The list is no text: save the spreadsheet as CSV in UTF-8, not in its own format."
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "\t".join(map(clean, lines.split("\t"))), note, ""


def _rows(text: str, *, table: bool) -> Iterator[tuple[int, list[str]]]:
    """Each line's number and cells."""
    lines = text.split("\n")
    separator = _separator(lines, table=table)
    if not table or separator == _BAR:
        for number, line in enumerate(lines, 1):
            yield number, line.split(separator) if separator else [line]
        return
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=separator or ",")
    before = 0
    while True:
        try:
            cells = next(reader, None)
        except csv.Error:  # a cell longer than the library takes: told as too long
            cells = ["x" * (LONGEST + 1)]
        if cells is None:
            return
        yield before + 1, cells
        before = reader.line_num


def _separator(lines: Sequence[str], *, table: bool) -> str:
    """A bar or a tab wherever there is one; in a table else what the first rows have most of."""
    for sure in (_BAR, "\t"):
        if any(sure in line for line in lines):
            return sure
    if not table:
        return ""
    begun = list(islice((line for line in lines if line.strip()), 5))
    return max(";,", key=lambda one: sum(line.count(one) for line in begun))


def _is_head(cells: Sequence[str]) -> bool:
    """Whether a row names the columns."""
    if len(cells) < 2:
        return False
    first, second = cells[0].strip(), cells[1].strip()
    return bool(_JUST_POINTS.fullmatch(second) or (_HEAD.fullmatch(first) and _POINTS.fullmatch(second)))


def _act(line: int, cells: Sequence[str]) -> tuple[Act, list[str]]:
    said = [cell.strip() for cell in cells]
    while len(said) > 3 and not said[-1]:
        said.pop()
    problems = []
    if len(said) > 3:
        problems.append(
            f"Line {line}: {len(said)} columns, where three are read: act, key points, reason. "
            "Put several key points into one column, with ; between them."
        )
    do, points, why = (*said[:3], "", "")[:3]
    do = _NUMBERED.sub("", " ".join(do.split()), count=1)
    if not do:
        problems.append(f"Line {line}: no act. Write first what is done, then key points and reason.")
    parts = (
        " ".join(_NUMBERED.sub("", part.strip(), count=1).split()) for part in re.split(r"[;\n]", points)
    )
    act = Act(do, tuple(part for part in parts if part), " ".join(why.split()), line)
    problems += _too_long(line, "act", act.do)
    problems += [told for point in act.key_points for told in _too_long(line, "key point", point)]
    problems += _too_long(line, "reason", act.why)
    return act, problems


def _too_long(line: int, what: str, text: str) -> list[str]:
    if len(text) <= LONGEST:
        return []
    return [
        f"Line {line}: the {what} has {len(text)} characters, {LONGEST} at most. Say it shorter, or in two."
    ]
