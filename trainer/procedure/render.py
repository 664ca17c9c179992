"""Problems for people and for programs: text with the line and a caret, JSON, a summary."""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby

from trainer.procedure.problems import Place, Problem, Severity
from trainer.procedure.text import clean, one_line

_WIDEST = 100
_KEPT_BEFORE = 60
_WORDS: dict[Severity, str] = {"error": "problem", "warning": "warning"}
_COLOURS = {"error": "\x1b[1;31m", "warning": "\x1b[1;33m", "place": "\x1b[1m", "help": "\x1b[36m"}
_PLAIN = "\x1b[0m"
_LISTED = frozenset({"S36"})
"""Codes of which a file can have one at every step: several in a row are a list, without excerpts."""


def as_text(problems: Sequence[Problem], source_text: str, file: str, *, colour: bool = False) -> str:
    """Each problem with `file:line:column`, its line, a caret under what is wrong, and what to write instead.

    Only with `colour` are there escape sequences in it, and none ever comes from the file.
    """
    lines = source_text.split("\n")
    named = one_line(file)
    blocks: list[str] = []
    for listed, group in groupby(problems, key=lambda problem: problem.code in _LISTED):
        several = list(group)
        if listed and len(several) > 1:
            blocks.append(_list(several, named, colour=colour))
        else:
            blocks += [_one(problem, lines, named, colour=colour) for problem in several]
    return "\n\n".join(blocks)


def as_json(problems: Sequence[Problem], file: str) -> str:
    """A JSON array, an object for each problem: file, code, severity, message, help, place, path, related."""
    import json  # only where JSON is asked for

    return json.dumps([as_object(problem, file) for problem in problems], indent=2, ensure_ascii=True)


def as_object(problem: Problem, file: str) -> dict[str, object]:
    """A problem as plain values."""
    return {
        "file": file.encode("utf-8", "replace").decode(),
        "code": problem.code,
        "severity": problem.severity,
        "message": one_line(problem.message),
        "help": one_line(problem.help),
        "place": _place_object(problem.place),
        "path": list(problem.path),
        "related": [
            {"place": _place_object(related.place), "label": one_line(related.label)}
            for related in problem.related
        ],
    }


def summary(checked: Iterable[tuple[str, Sequence[Problem]]]) -> str:
    """One line: `2 problems and 1 warning in 1 of 3 files.`"""
    files = list(checked)
    touched = sum(1 for _, problems in files if problems)
    if not touched:
        return f"No problems in {_counted(len(files), 'file')}."
    where = "" if len(files) == 1 else f" in {touched} of {_counted(len(files), 'file')}"
    return f"{counted(problem for _, problems in files for problem in problems)}{where}."


def counted(problems: Iterable[Problem]) -> str:
    """How many there are, warnings apart: `2 problems and 1 warning`, `1 warning`, `no problem`."""
    found = Counter(problem.severity for problem in problems)
    told = [_counted(found[one], _WORDS[one]) for one in ("error", "warning") if found[one]]
    return " and ".join(told) or "no problem"


def cells(text: str) -> int:
    """How many cells of a terminal `text` takes: two for a wide character, none for one that combines."""
    return sum(_cells_of(character) for character in text)


def _cells_of(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in {"Mn", "Me", "Cf"}:
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _place_object(place: Place) -> dict[str, int]:
    return {
        "line": place.line,
        "column": place.column,
        "end_line": place.end_line,
        "end_column": place.end_column,
    }


def _list(problems: Sequence[Problem], file: str, *, colour: bool) -> str:
    """A line for each, then once what to write instead."""
    heads = (_head(problem, file, colour=colour) for problem in problems)
    return "\n".join([*heads, _painted(one_line(problems[0].help), "help", colour=colour)])


def _head(problem: Problem, file: str, *, colour: bool) -> str:
    severity = f"{_WORDS[problem.severity]} {problem.code}"
    at = _painted(f"{file}:{problem.place.line}:{problem.place.column}", "place", colour=colour)
    return f"{at}: {_painted(severity, problem.severity, colour=colour)}: {one_line(problem.message)}"


def _one(problem: Problem, lines: Sequence[str], file: str, *, colour: bool) -> str:
    place = problem.place
    rows = [_head(problem, file, colour=colour), *_excerpt(place, lines, problem.severity, colour=colour)]
    rows.append(_painted(one_line(problem.help), "help", colour=colour))
    for related in problem.related:
        rows.append(f"{file}:{related.place.line}:{related.place.column}: {one_line(related.label)}")
        rows.extend(_excerpt(related.place, lines, "place", colour=colour))
    return "\n".join(row.rstrip() for row in rows)


def _painted(text: str, what: str, *, colour: bool) -> str:
    return f"{_COLOURS[what]}{text}{_PLAIN}" if colour else text


def _excerpt(place: Place, lines: Sequence[str], what: str, *, colour: bool) -> list[str]:
    """The line that a place begins on, cut to a width, and carets under the place."""
    if not 1 <= place.line <= len(lines) or not lines[place.line - 1].strip():
        return []
    line = lines[place.line - 1]
    start = min(place.column - 1, len(line))
    end = place.end_column - 1 if place.end_line == place.line else len(line.rstrip())
    end = max(min(end, len(line)), start + 1)
    cut = max(0, start - _KEPT_BEFORE)
    shown = _untabbed(line[cut : cut + _WIDEST])
    before = ("…" if cut else "") + _untabbed(line[cut:start])
    under = _untabbed(line[start : min(end, cut + _WIDEST)])
    after = "…" if len(line) > cut + _WIDEST else ""
    number = f"{place.line:>5} | "
    carets = "^" * max(1, cells(under))
    return [
        f"{number}{'…' if cut else ''}{shown}{after}",
        f"{' ' * 6}| {' ' * cells(before)}{_painted(carets, what, colour=colour)}",
    ]


def _untabbed(text: str) -> str:
    return clean(text)
