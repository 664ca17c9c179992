"""The shape of a procedure file: its keys, types and values, each problem at its place."""

from __future__ import annotations

from trainer.procedure import shape_rules
from trainer.procedure.model import Procedure
from trainer.procedure.problems import Path, Problem, in_order
from trainer.procedure.reader import Tree
from trainer.procedure.shaping import Shaper


def check_shape(tree: Tree, file: str) -> tuple[Procedure | None, tuple[Problem, ...]]:
    """The procedure that `tree` holds, None where an error was found, and every problem, from the top down.

    `file` is the file's name, which the id must fit.
    """
    if other := _another_file(tree):
        return None, (other,)
    shaper = Shaper(tree)
    procedure = shaper.procedure()
    found = list(shaper.problems)
    if isinstance(tree.value, dict):
        blamed = {problem.path for problem in found}
        found.extend(
            problem for problem in shape_rules.problems_of(tree, file) if not _inside(problem.path, blamed)
        )
    kept = in_order(problem for problem in found if not _inside(problem.path, tree.refused))
    return (None if kept else procedure), kept


def _another_file(tree: Tree) -> Problem | None:
    """A walk or a shop file, which is no procedure and has no problem as such."""
    if not isinstance(tree.value, dict) or "stages" in tree.value:
        return None
    if "walk" in tree.value:
        what, instead = "a walk", "Check it with `sinkside walk` and the name of the file."
    elif "procedures" in tree.value:
        what, instead = "a shop file", "Give the file of a procedure: one with `stages`."
    else:
        return None
    return Problem("S31", "error", f"This is {what}, not a procedure.", instead, tree.place(()), ())


def _inside(path: Path, others: set[Path] | frozenset[Path]) -> bool:
    """Is `path` one of `others`, or a part of one?"""
    return any(path[:length] in others for length in range(len(path) + 1)) if others else False
