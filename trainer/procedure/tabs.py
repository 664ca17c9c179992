"""Tabs before the first word of a line, written as spaces.

A file with such a tab cannot be read at all, so nobody can say what it meant before. It is mended only where
every width that makes it readable makes the same of it.
"""

from __future__ import annotations

import re

from trainer.procedure.fixes import Fix
from trainer.procedure.problems import Place
from trainer.procedure.reader import Tree, read_tree

_WIDTHS = (2, 4, 8)
_ROUNDS = 50
_ENDS = re.compile(r"(\r\n|\r|\n)")
_LEADING = re.compile(r"[ \t]*")


def untabbed(text: str) -> tuple[str, tuple[Fix, ...]]:
    """`text` without the tabs that keep it from being read, and a fix for each line; else as it was."""
    if "\t" not in text or not _tabbed(read_tree(text.encode(), "")):
        return text, ()
    readable = [(after, tree) for width in _WIDTHS for after, tree in [_tried(text, width)] if tree.complete]
    if not readable or len({repr(tree.value) for _, tree in readable}) > 1:
        return text, ()
    after = readable[0][0]
    return after, tuple(_fixes(text, after))


def _tabbed(tree: Tree) -> int:
    """The line that a tab keeps from being read, or 0."""
    return next((problem.place.line for problem in tree.problems if problem.code == "Y02"), 0)


def _tried(text: str, width: int) -> tuple[str, Tree]:
    """Tabs as `width` spaces: on every line that begins with one, and on each that is told."""
    parts = _ENDS.split(text)
    rows = [_spaced(row, width) if row.startswith("\t") else row for row in parts]
    tree = read_tree("".join(rows).encode(), "")
    for _ in range(_ROUNDS):
        line = _tabbed(tree)
        if not line or "\t" not in _leading(rows[2 * (line - 1)]):
            break
        rows[2 * (line - 1)] = _spaced(rows[2 * (line - 1)], width)
        tree = read_tree("".join(rows).encode(), "")
    return "".join(rows), tree


def _leading(row: str) -> str:
    found = _LEADING.match(row)
    return found[0] if found else ""


def _spaced(row: str, width: int) -> str:
    before = _leading(row)
    return before.replace("\t", " " * width) + row[len(before) :]


def _fixes(text: str, after: str) -> list[Fix]:
    """A fix for each line that has changed."""
    pairs = zip(_ENDS.split(text)[::2], _ENDS.split(after)[::2], strict=True)
    return [
        Fix("Y02", Place(line, 1, line, len(_leading(was)) + 1), (), "a tab", f"{len(_leading(now))} spaces")
        for line, (was, now) in enumerate(pairs, start=1)
        if was != now
    ]
