"""Where a problem is in the file, down to the column inside a formula."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from trainer.procedure.problems import Path, Place, Problem, Related, Severity
from trainer.procedure.reader import Tree
from trainer.procedure.tokens import FormulaFault

MOST_PROBLEMS = 300
"""So many errors and so many warnings are told; nobody reads more, and a file can hold tens of thousands."""

_WORD = re.compile(r"[\w.]+|'[^'\n]*'|\"[^\"\n]*\"|&&|\|\||[=!<>]=|\S")


class Enough(Exception):  # noqa: N818 - no error: the checks end here
    """So much is wrong that the rest is not looked for."""


class Report:
    """Collects the problems of one file. Raises Enough at the error that is one too many."""

    def __init__(self, tree: Tree) -> None:
        self._tree = tree
        self.problems: list[Problem] = []
        self._counts: Counter[Severity] = Counter()

    def _add(self, problem: Problem) -> None:
        """Keep it. Only errors end the checks, since warnings leave a plan that must be checked whole."""
        self._counts[problem.severity] += 1
        if self._counts[problem.severity] <= MOST_PROBLEMS:
            self.problems.append(problem)
        elif problem.severity == "error":
            said = f"More than {MOST_PROBLEMS} things do not fit together; the rest is not looked for."
            help_ = "Begin with the first of them: one wrong id or name can make many problems."
            self.problems.append(replace(problem, code="G24", message=said, help=help_, related=()))
            raise Enough

    def error(
        self, code: str, path: Path, message: str, help_: str, related: Iterable[tuple[Path, str]] = ()
    ) -> None:
        """A problem at the value of `path`. Each of `related` is another place and what is there."""
        self._add(self._problem(code, path, message, help_, related))

    def warning(
        self, code: str, path: Path, message: str, help_: str, related: Iterable[tuple[Path, str]] = ()
    ) -> None:
        """As `error`, for what does not stop a file from being used."""
        self._add(replace(self._problem(code, path, message, help_, related), severity="warning"))

    def error_at_key(self, code: str, path: Path, message: str, help_: str) -> None:
        """As `error`, at the key of `path`."""
        self._add(Problem(code, "error", message, help_, self._tree.key(path), path))

    def warning_at_key(self, code: str, path: Path, message: str, help_: str) -> None:
        """As `warning`, at the key of `path`."""
        self._add(Problem(code, "warning", message, help_, self._tree.key(path), path))

    def fault(self, fault: FormulaFault, path: Path, formula: str, *, severity: Severity = "error") -> None:
        """A fault of the formula at `path`, at its own column."""
        place = place_in_value(self._tree.text, self._tree.place(path), formula, fault.column)
        help_ = fault.help or "Write it in another way."
        self._add(Problem(fault.code, severity, fault.message, help_, place, path))

    def _problem(
        self, code: str, path: Path, message: str, help_: str, related: Iterable[tuple[Path, str]]
    ) -> Problem:
        others = tuple(Related(self._tree.place(other), label) for other, label in related)
        return Problem(code, "error", message, help_, self._tree.place(path), path, others)


def place_in_value(source: str, place: Place, value: str, column: int) -> Place:
    """Where column `column` (from 1) of a text value is in the file that holds it at `place`.

    YAML folds lines, indents blocks and doubles quotes, so the value is laid along the source, blanks apart.
    Where that fails, the place of the whole value.
    """
    lines = source.split("\n")
    line, at = place.line - 1, place.column - 1
    if not (0 <= line < len(lines) and 0 <= at < len(lines[line]) and value):
        return place
    style = lines[line][at]
    if style in "|>":
        line, at, style = line + 1, 0, ""
    elif style in "'\"":
        at += 1
    else:
        style = ""
    index = min(column, len(value)) - 1
    found = _laid_along(lines, line, at, value[: index + 1], style)
    if found is None:
        return place
    if column > len(value):
        return Place(found[0] + 1, found[1] + 2, found[0] + 1, found[1] + 3)
    word = _WORD.match(value, index)
    length = len(word.group()) if word else 1
    return Place(found[0] + 1, found[1] + 1, found[0] + 1, found[1] + 1 + length)


def _laid_along(lines: list[str], line: int, at: int, value: str, style: str) -> tuple[int, int] | None:
    """Line and offset, both from 0, of the last character of `value`, laid along from `line` and `at` on."""
    found = (line, at)
    for character in value:
        if character.isspace():
            # Blanks may be folded away; on one line they are counted.
            if line < len(lines) and at < len(lines[line]) and lines[line][at].isspace():
                found = (line, at)
                at += 1
            continue
        while line < len(lines) and (at >= len(lines[line]) or lines[line][at].isspace()):
            line, at = (line, at + 1) if at < len(lines[line]) else (line + 1, 0)
        if line >= len(lines):
            return None
        escaped = (style == '"' and lines[line][at] == "\\") or lines[line][at : at + 2] == "''" == style * 2
        at += 1 if escaped else 0
        if lines[line][at : at + 1] != character:
            return None
        found = (line, at)
        at += 1
    return found
