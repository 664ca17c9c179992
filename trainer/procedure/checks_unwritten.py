"""Which texts of a file are still those that a new procedure begins with: one warning for each step.

The drafts themselves say which texts these are: there is no second list of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from trainer.procedure import levels
from trainer.procedure.building import Node
from trainer.procedure.problems import Path, Problem
from trainer.procedure.reader import Tree, read_tree

_HELP = "Write what it asks for, in your own words. Delete a step that your work does not have."
_GIVEN = "given"
_KEPT = "cautions"
"""The key whose texts a draft says to keep."""
_TO_A_STEP = 4
"""So many words lead to a step: `stages`, its number, `steps`, its number."""
_MOST_QUOTED = 45


@cache
def to_be_replaced() -> frozenset[str]:
    """Every text that a draft writes for its author to replace, with single blanks."""
    from trainer.procedure.drafts.skeleton import SUMMARY, Begun, skeleton

    draft = read_tree(skeleton(Begun(_GIVEN, _GIVEN, SUMMARY, _GIVEN)).encode(), _GIVEN)
    return frozenset(said for path, said in _texts(draft.value) if path[0] != _KEPT) - {_GIVEN}


def problems_of(tree: Tree) -> Iterator[Problem]:
    """A warning for each step with such texts, at the first of them; one for each that is in no step."""
    unwritten = to_be_replaced()
    if unwritten.isdisjoint(_strings(tree.value)):  # as in all but new files: their texts need no places
        return
    found: dict[Path, list[Path]] = {}
    for path, said in _texts(tree.value):
        if said in unwritten:
            whole = path[:_TO_A_STEP] if path[0] == "stages" and "steps" in path else path[:1]
            found.setdefault(whole, []).append(path)
    for whole, paths in found.items():
        yield _told(tree, whole, sorted(paths, key=tree.place))


def _told(tree: Tree, whole: Path, paths: list[Path]) -> Problem:
    said = " ".join(str(tree.at(paths[0])).split())
    quoted = said if len(said) <= _MOST_QUOTED else f"{said[:_MOST_QUOTED].rstrip()}…"
    where = f"in step `{tree.at((*whole, 'id'))}`" if len(whole) == _TO_A_STEP else f"at `{whole[0]}`"
    more = f" and {len(paths) - 1} more" if len(paths) > 1 else ""
    message = f"Still to be written {where}: `{quoted}`{more}."
    return Problem("S36", "warning", message, _HELP, tree.place(paths[0]), paths[0])


def _texts(root: Node) -> Iterator[tuple[Path, str]]:
    """Every text that people read, in each of its languages, with single blanks."""
    for pattern in levels.TEXTS:
        for path, text in levels.matching(root, pattern):
            in_languages = levels.children(text) if isinstance(text, dict) else [("", text)]
            for code, said in in_languages:
                if isinstance(said, str):
                    yield (*path, code) if code else path, " ".join(said.split())


def _strings(root: Node) -> Iterator[str]:
    """Every string of a file that has a blank in it, with single blanks."""
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if isinstance(node, dict):
            waiting.extend(node.values())
        elif isinstance(node, list):
            waiting.extend(node)
        elif isinstance(node, str) and " " in node:
            yield " ".join(node.split())
