"""What the models find wrong, in words that help an author. The words of the library never show."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trainer.procedure import levels
from trainer.procedure.building import Node
from trainer.procedure.problems import Mistake, Path, Problem, nearest
from trainer.procedure.rule_tools import head
from trainer.procedure.units import plain
from trainer.procedure.wanted import described, wanted

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

    from trainer.procedure.reader import Tree


@dataclass(slots=True)
class _Found:
    """What the models say of one place: the value there, and their errors by type."""

    value: Node
    errors: dict[str, Mapping[str, object]] = field(default_factory=dict)
    mistake: Mistake | None = None
    on_key: bool = False


def problems_of(errors: Sequence[ErrorDetails], tree: Tree) -> list[Problem]:
    """One problem for each place that `errors` blame."""
    places: dict[Path, _Found] = {}
    for error in errors:
        path, value, on_key = _path(error["loc"], tree.value)
        found = places.setdefault(path, _Found(value))
        context = error.get("ctx", {})
        mistake = context.get("error")
        if isinstance(mistake, Mistake):
            found.mistake, found.on_key = mistake, on_key
        found.errors.setdefault(error["type"], context)
    kept = (path for path in places if not _is_noise(path, places))
    return [_problem(path, places[path], tree) for path in kept]


def _path(loc: Sequence[str | int], root: Node) -> tuple[Path, Node, bool]:
    """The path in the file, without what the library adds to say which kind of value it tried."""
    path: Path = ()
    value: Node = root
    for step in loc:
        inside = dict(levels.children(value))
        if step not in inside:
            continue
        value = inside[step]
        path = (*path, step)
    last = loc[-1] if loc else None
    if last == "[key]":
        return path, value, True
    if isinstance(value, dict) and isinstance(last, str) and last not in value and last in _keys_at(path):
        return (*path, last), None, False
    return path, value, False


def _keys_at(path: Path) -> dict[str, bool]:
    level = levels.LEVELS.get(levels.pattern_of(path))
    return level.keys if level else {}


def _is_noise(path: Path, places: Mapping[Path, _Found]) -> bool:
    """Of a value that may be of several kinds, only what is wrong inside it counts."""
    found = places[path]
    if found.mistake or not isinstance(found.value, dict | list) or len(found.errors) < 1:
        return False
    if not all(kind.endswith("_type") for kind in found.errors):
        return False
    return any(len(other) > len(path) and other[: len(path)] == path for other in places)


def _problem(path: Path, found: _Found, tree: Tree) -> Problem:
    if found.mistake:
        place = tree.key(path) if found.on_key else tree.place(path)
        return Problem(found.mistake.code, "error", found.mistake.message, found.mistake.help, place, path)
    for kind, explanation in _EXPLANATIONS.items():
        if kind in found.errors:
            return explanation(path, found, tree)
    code, message, help_ = wanted(frozenset(found.errors), path, found.value)
    return Problem(code, "error", message, help_, tree.place(path), path)


def _unknown(path: Path, found: _Found, tree: Tree) -> Problem:
    del found
    key = str(path[-1])
    level = levels.LEVELS[levels.pattern_of(path[:-1])]
    return Problem(
        "S01",
        "error",
        f"`{key[:40]}` is no key of {level.called}.",
        _instead(key, level, tree, path),
        tree.key(path),
        path,
    )


def _instead(key: str, level: levels.Level, tree: Tree, path: Path) -> str:
    """What was meant by an unknown key: one that is missing, one like it, or one of another part."""
    plain_key = key.lower().replace("-", "_").replace(" ", "_")
    parent = path[:-1]
    near = plain_key if plain_key in level.keys else None
    near = near or (levels.meant(key) if levels.meant(key) in level.keys else None)
    near = near or nearest(plain_key, level.keys)
    if near and (*parent, near) not in tree.places:
        return f"Write `{levels.example((*parent, near))}`, if that is meant; else delete the line."
    if homes := levels.homes(plain_key):
        return f"It belongs to {_either(homes[:3])}: move it there, or delete the line."
    return f"Write one of {_listed(level.keys)}, or delete the line."


def _missing(path: Path, found: _Found, tree: Tree) -> Problem:
    parent = path[:-1]
    level = levels.LEVELS.get(levels.pattern_of(parent))
    if level is None or not isinstance(path[-1], str):
        return _few(path, found, tree)
    called = {"a": "This", "t": "The"}.get(level.called[0], "")
    name = f"{called} {level.called.split(' ', 1)[1]}" if called else level.called
    return Problem(
        "S02",
        "error",
        f"{name} has no `{path[-1]}`.",
        f"Write it, for instance `{levels.example(path)}`.",
        head(tree, parent),
        path,
    )


def _few(path: Path, found: _Found, tree: Tree) -> Problem:
    """Too few or too many entries."""
    value = found.value
    count = len(value) if isinstance(value, dict | list) else 0
    key = str(path[-1]) if path else ""
    if key in {"between", "plausible"}:
        help_ = f"Write the least and the greatest: `{levels.example(path)}`."
        message = f"Two numbers are wanted here, and {'one stands' if count == 1 else f'{count} stand'} here."
    elif key in {"answers", "choice", "choices", "order"}:
        help_ = f"Write two to nine, each with a key: `{levels.example(path)}`."
        message = (
            f"Two to nine answers are wanted, and {'one stands' if count == 1 else f'{count} stand'} here."
        )
    else:
        help_ = f"Write at least one: `{levels.example(path)}`."
        message = "This list is empty."
    return Problem("S10", "error", message, help_, tree.place(path), path)


def _word(path: Path, found: _Found, tree: Tree) -> Problem:
    """One of a few words is wanted."""
    expected = str(next(ctx.get("expected", "") for ctx in found.errors.values() if "expected" in ctx))
    words = re.findall(r"'([^']*)'", expected) or [expected]
    said = str(found.value)
    near = nearest(said, words) if isinstance(found.value, str) else None
    if path == ("format",):
        message, help_ = "This version of the file format is not known.", "Write `format: 1`."
    else:
        message = f"{_capital(_either([f'`{word}`' for word in words]))} is wanted here, and this is "
        message += f"{described(found.value)}."
        help_ = f"Write `{path[-1]}: {near or words[0]}`."
        if len(words) == 1:
            help_ += " Or delete the line."
    return Problem("S09", "error", message, help_, tree.place(path), path)


def _small(path: Path, found: _Found, tree: Tree) -> Problem:
    least = found.errors.get("greater_than_equal", {}).get("ge", 1)
    return Problem(
        "S11",
        "error",
        f"{plain(float(str(found.value)))} is too small here: {least} is the least.",
        f"Write `{path[-1]}: {least}` or more.",
        tree.place(path),
        path,
    )


def _either(words: Sequence[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _listed(words: Mapping[str, bool]) -> str:
    return ", ".join(f"`{word}`" for word in words)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


_EXPLANATIONS = {
    "extra_forbidden": _unknown,
    "missing": _missing,
    "too_short": _few,
    "too_long": _few,
    "literal_error": _word,
    "greater_than_equal": _small,
}
