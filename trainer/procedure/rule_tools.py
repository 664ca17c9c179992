"""What the rules on the shape of a file share: looking at parts of any type, and saying what is wrong."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure import levels, units
from trainer.procedure.building import Node
from trainer.procedure.names import NAME
from trainer.procedure.problems import Mistake, Path, Place, Problem, Related
from trainer.procedure.quantity import Quantity, parse
from trainer.procedure.reader import Tree

STEP = "stages.*.steps.*"
"""The pattern of the steps."""


def parts(tree: Tree, pattern: str) -> Iterator[tuple[Path, dict[str, Node]]]:
    """Every group of keys that fits `pattern`."""
    for path, value in levels.matching(tree.value, pattern):
        if isinstance(value, dict):
            yield path, value


def at_value(tree: Tree, path: Path, code: str, message: str, help_: str, *related: Related) -> Problem:
    """An error at a value."""
    return Problem(code, "error", message, help_, tree.place(path), path, related)


def at_key(tree: Tree, path: Path, code: str, message: str, help_: str, *related: Related) -> Problem:
    """An error at a key."""
    return Problem(code, "error", message, help_, tree.key(path), path, related)


def head(tree: Tree, path: Path) -> Place:
    """Where a part begins: its key, or the first character of an entry of a list."""
    place = tree.keys.get(path) or tree.place(path)
    if place.line == place.end_line:
        return place
    return Place(place.line, place.column, place.line, place.column + 1)


def number(node: Node) -> float | None:
    """A number, or None."""
    return float(node) if isinstance(node, int | float) and not isinstance(node, bool) else None


def pair(node: Node) -> tuple[float, float] | None:
    """A pair of limits, or None."""
    if not isinstance(node, list) or len(node) != 2:
        return None
    low, high = (number(entry) for entry in node)
    return None if low is None or high is None else (low, high)


def literal(node: Node) -> Quantity | None:
    """A quantity that is written out; None for the name of a value and for what is no quantity."""
    if not isinstance(node, str):
        return None
    try:
        return parse(node)
    except Mistake:
        return None


def keys(answers: dict[str, Node]) -> str:
    """The keys of answers, for a message."""
    return ", ".join(f"`{key[:40]}`" for key in answers)


def are_names(answers: dict[str, Node]) -> bool:
    """Can every key stand? If not, that is said already, and an answer may only seem to be missing."""
    return all(NAME.fullmatch(key) for key in answers)


def no_amount(tree: Tree, path: Path, instead: str) -> Problem:
    """An amount of nothing, or less."""
    return at_value(
        tree,
        path,
        "S29",
        "Nothing, or less than nothing, is not an amount.",
        f"Write more than 0: `{instead}`.",
    )


def of_kind(tree: Tree, path: Path, node: Node, kind: str, instead: str) -> Iterator[Problem]:
    """A written amount must be of `kind` (as `units.kind_of` says it) and more than nothing."""
    found = literal(node)
    if found is None:
        return
    own = units.kind_of(found.unit)
    if own != kind:
        yield at_value(
            tree,
            path,
            "S16",
            f"{a(kind).capitalize()} is wanted here, and `{found.unit}` measures {a(own)}.",
            f"Write `{path[-1]}: {instead}`.",
        )
    elif found.value <= 0:
        yield no_amount(tree, path, f"{path[-1]}: {instead}")


def a(kind: str) -> str:
    """The word with its article."""
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"
