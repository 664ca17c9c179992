"""What does not fit the shape of a file, each with its place and what to write instead."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.procedure import levels
from trainer.procedure import wanted as kinds
from trainer.procedure.building import Node
from trainer.procedure.parts import Part, fields_of
from trainer.procedure.problems import Path, Problem, nearest
from trainer.procedure.reader import Tree
from trainer.procedure.rule_tools import head
from trainer.procedure.units import plain
from trainer.procedure.wanted import described


def wanted(tree: Tree, kind: str, path: Path, value: Node) -> Problem:
    """A value of another kind is wanted; the kinds are those of `wanted.wanted`."""
    code, message, help_ = kinds.wanted(kind, path, value)
    place = tree.key(path) if value is None else tree.place(path)
    return Problem(code, "error", message, help_, place, path)


def unknown(tree: Tree, path: Path, part: type[Part]) -> Problem:
    """A key that `part` does not have."""
    key = str(path[-1])
    return Problem(
        "S01",
        "error",
        f"`{key[:40]}` is no key of {levels.called(part)}.",
        _instead(key, list(fields_of(part)), tree, path[:-1]),
        tree.key(path),
        path,
    )


def _instead(key: str, known: Sequence[str], tree: Tree, parent: Path) -> str:
    """What was meant by an unknown key: one that is missing, one like it, or one of another part."""
    plain_key = key.lower().replace("-", "_").replace(" ", "_")
    free = [one for one in known if (*parent, one) not in tree.places]
    meant = levels.meant(plain_key)
    near = plain_key if plain_key in free else meant if meant in free else nearest(plain_key, free)
    if near:
        return f"Write `{levels.example((*parent, near))}`, if that is meant; else delete the line."
    if homes := levels.homes(plain_key):
        return f"It belongs to {_either(homes[:3])}: move it there, or delete the line."
    return f"Write one of {_listed(known)}, or delete the line."


def missing(tree: Tree, path: Path) -> Problem:
    """A key that must be there and is not."""
    parent = path[:-1]
    called = levels.LEVELS[levels.pattern_of(parent)].called
    named = called if called.startswith("`") else f"This {called.split(' ', 1)[1]}"
    return Problem(
        "S02",
        "error",
        f"{named} has no `{path[-1]}`.",
        f"Write it, for instance `{levels.example(path)}`.",
        head(tree, parent),
        path,
    )


def wrong_count(tree: Tree, path: Path, value: list[Node] | dict[str, Node]) -> Problem:
    """Too few or too many entries."""
    key = str(path[-1]) if path else ""
    stand = "one stands" if len(value) == 1 else f"{len(value) or 'none'} stand"
    if key in {"between", "plausible"}:
        message = f"Two numbers are wanted here, and {stand} here."
        help_ = f"Write the least and the greatest: `{levels.example(path)}`."
    elif isinstance(value, dict):
        message = f"Two to nine answers are wanted here, and {stand} here."
        help_ = f"Write two to nine, each with a key: `{levels.example(path)}`."
    else:
        message = "This list is empty."
        help_ = f"Write at least one: `{levels.example(path)}`."
    return Problem("S10", "error", message, help_, tree.place(path), path)


def one_of(tree: Tree, path: Path, value: Node, words: Sequence[str]) -> Problem:
    """One of a few words is wanted."""
    if value is None:
        return wanted(tree, "word", path, value)
    near = nearest(value, words) if isinstance(value, str) else None
    if path == ("format",):
        message, help_ = "This version of the file format is not known.", "Write `format: 1`."
    else:
        message = (
            f"{_either([f'`{word}`' for word in words])} is wanted here, and this is {described(value)}."
        )
        help_ = f"Write `{path[-1]}: {near or words[0]}`{', or delete the line' if len(words) == 1 else ''}."
    return Problem("S09", "error", message, help_, tree.place(path), path)


def too_small(tree: Tree, path: Path, value: float, least: float) -> Problem:
    """A number under the least that makes sense."""
    return Problem(
        "S11",
        "error",
        f"{plain(value)} is too small here: {plain(least)} is the least.",
        f"Write `{path[-1]}: {plain(least)}` or more.",
        tree.place(path),
        path,
    )


def _either(words: Sequence[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _listed(words: Iterable[str]) -> str:
    return ", ".join(f"`{word}`" for word in words)
