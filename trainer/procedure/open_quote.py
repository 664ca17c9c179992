"""A quote that was left open runs on to the next one, far below: its author is led back to where it opens."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from trainer.procedure.problems import Place, Problem, Related
from trainer.procedure.yaml_words import Trouble

_OPENS = re.compile(r"""(?:^|(?<=[:,\[{-]))\s*(["'])""")
_CLOSES = {'"': re.compile(r'(?:[^"\\]|\\.)*(")'), "'": re.compile(r"(?:[^']|'')*(')(?!')")}


def left_open(trouble: Trouble) -> Problem | None:
    """Where the parser stops after a text in quotes that took several lines: the quote that opens it."""
    for opens, closes in _over_lines(trouble.lines):
        if closes.line == trouble.line + 1 and closes.column <= trouble.column + 1:
            mark = trouble.lines[opens.line - 1][opens.column - 1]
            return Problem(
                "Y09",
                "error",
                f"The quote that opens here is not closed on its line; it ends at the next {mark}, "
                f"on line {closes.line}.",
                f"Write {mark} at the end of the text.",
                opens,
                (),
                (Related(closes, "here it is closed, and something stands after it"),),
            )
        if opens.line > trouble.line + 1:
            break
    return None


def _over_lines(lines: Sequence[str]) -> Iterator[tuple[Place, Place]]:
    """Every text in quotes that takes several lines: its opening quote and its closing one."""
    line, at = 0, 0
    while line < len(lines):
        found = None if lines[line].lstrip().startswith("#") else _OPENS.search(lines[line], at)
        if found is None:
            line, at = line + 1, 0
            continue
        opened = line
        line, at = _closing(lines, line, found.end(), found[1])
        if line >= len(lines):
            return
        if line > opened:
            yield _place(opened, found.start(1)), _place(line, at - 1)


def _closing(lines: Sequence[str], line: int, at: int, mark: str) -> tuple[int, int]:
    """Line and column, from 0, just after the quote that closes."""
    while line < len(lines):
        found = _CLOSES[mark].match(lines[line], at)
        if found:
            return line, found.end()
        line, at = line + 1, 0
    return line, 0


def _place(line: int, column: int) -> Place:
    return Place(line + 1, column + 1, line + 1, column + 2)
