"""Mends what is safe to mend in a procedure file, and proves that nothing else has changed.

After every change the file is read again: each value must be what it was, save those that were mended, and
those must be what the mending promised. Remarks, blank lines, line ends and layout stay, since only the
characters of a slip are written over.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path as File

from trainer.procedure.building import Node
from trainer.procedure.files import FileTrouble, read_bytes, replace_file, unwritable
from trainer.procedure.fixes import Fix, fix_for
from trainer.procedure.load import load_as
from trainer.procedure.problems import Path, Place, Problem
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.tabs import untabbed

_ROUNDS = 20
_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class Mended:
    """What was mended: `fixes` in the order they were made, each with its place at that moment."""

    source: bytes
    fixes: tuple[Fix, ...]


def mend_file(path: File) -> Mended:
    """Mend a file on disk, whole at every moment. Raises FileTrouble, also where it changed meanwhile."""
    source = read_bytes(path)
    made = mended(source, path)
    if made.fixes:
        try:
            there = path.resolve()  # a link stays a link
            if read_bytes(there) != source:
                said = "The file was changed by another program meanwhile, so nothing is mended."
                raise FileTrouble(Problem("F04", "error", said, "Try again."))
            replace_file(there, made.source)
        except OSError as error:
            raise unwritable(path, error) from error
    return made


def mended(source: bytes, path: File) -> Mended:
    """`source`, the bytes of the file at `path`, with what is safe to mend mended."""
    try:
        text = source.decode("utf-8")
    except UnicodeDecodeError:
        return Mended(source, ())
    text, fixes = untabbed(text)
    for _ in range(_ROUNDS):
        text, made = _one_round(text, path)
        fixes = (*fixes, *made)
        if not made:
            break
    return Mended(text.encode(), fixes)


def fixes_of(problems: Sequence[Problem], tree: Tree) -> dict[Problem, Fix]:
    """What can be mended of these problems, each by itself proved to change nothing else."""
    found: dict[Problem, Fix] = {}
    for problem in problems:
        fix = fix_for(problem, tree)
        if fix is not None and _is_proved(tree, _with(tree.text, (fix,)), (fix,)):
            found[problem] = fix
    return found


def _one_round(text: str, path: File) -> tuple[str, tuple[Fix, ...]]:
    """All fixes of what is told now, at once; where that cannot be proved, those that can be one by one."""
    tree = read_tree(text.encode(), str(path))
    if not tree.complete:
        return text, ()
    problems = load_as(text.encode(), path).problems
    fixes = _apart([fix for problem in problems if (fix := fix_for(problem, tree))])
    if fixes and _is_proved(tree, after := _with(text, fixes), fixes):
        return after, fixes
    for fix in fixes:
        if _is_proved(tree, after := _with(text, (fix,)), (fix,)):
            return after, (fix,)
    return text, ()


def _apart(fixes: Sequence[Fix]) -> tuple[Fix, ...]:
    """Fixes that do not touch each other, one for each value."""
    kept: list[Fix] = []
    for fix in sorted(fixes, key=lambda one: one.place):
        last = kept[-1].place if kept else Place(0, 0, 0, 0)
        touches = fix.place.line == last.end_line and fix.place.column < last.end_column
        if not touches and all(fix.path != one.path for one in kept):
            kept.append(fix)
    return tuple(kept)


def _with(text: str, fixes: Sequence[Fix]) -> str:
    """`text` with the fixes written in, from the end so that places stay; ends of lines as they are."""
    parts = re.split(r"(\r\n|\r|\n)", text)
    for fix in sorted(fixes, key=lambda one: one.place, reverse=True):
        row = 2 * (fix.place.line - 1)
        shift = 1 if row == 0 and parts[0].startswith(_BOM) else 0
        start, end = fix.place.column - 1 + shift, fix.place.end_column - 1 + shift
        parts[row] = parts[row][:start] + fix.written + parts[row][end:]
    return "".join(parts)


def _is_proved(tree: Tree, after: str, fixes: Sequence[Fix]) -> bool:
    """Does `after` say the same as `tree`, save for what the fixes promise?"""
    made = read_tree(after.encode(), "")
    if not made.complete:
        return False
    expected = tree.value
    for fix in fixes:
        if fix.key:
            expected = _changed(expected, fix.path, None, fix.key)
            continue
        now = made.at(fix.path)
        if not any(type(now) is type(value) and now == value for value in fix.values):
            return False
        expected = _changed(expected, fix.path, now)
    return repr(expected) == repr(made.value)


def _changed(root: Node, path: Path, value: Node, key: str = "") -> Node:
    """`root` with another value at `path`; with `key`, its value under another name in the same place."""
    first, *rest = path
    if isinstance(root, list):
        inside = _changed(root[int(first)], tuple(rest), value, key) if rest else value
        return [inside if at == first else one for at, one in enumerate(root)]
    if not isinstance(root, dict):
        return root
    if rest:
        return {
            own: _changed(one, tuple(rest), value, key) if own == first else one for own, one in root.items()
        }
    if key:
        return {key if own == first else own: one for own, one in root.items()}
    return {own: value if own == first else one for own, one in root.items()}
