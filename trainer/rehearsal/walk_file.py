"""Reads a walk file: everything wrong with it at once, each with its place."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path as File
from typing import TypeVar

from trainer.procedure.problems import Path, Problem, in_order
from trainer.procedure.reader import Tree, read_tree
from trainer.rehearsal import walk_parse
from trainer.rehearsal.walk_model import Act, Check, Expected, Operate, Placed, Refused, Walk
from trainer.rehearsal.walk_spot import Spot, Wrong
from trainer.run.events import Guidance, Value

T = TypeVar("T")

_KEYS = (
    "walk",
    "name",
    "procedure",
    "guidance",
    "rehearsal",
    "conditions",
    "settings",
    "trainee",
    "job",
    "colour",
    "language",
    "acts",
    "expect",
)
_GUIDANCE: dict[str, Guidance] = {"full": "full", "cued": "cued", "solo": "solo"}


@dataclass(frozen=True, slots=True)
class WalkFile:
    """What was read: the walk, None where something is wrong; every problem; the tree, for places."""

    walk: Walk | None
    problems: tuple[Problem, ...]
    tree: Tree
    file: str


def read_walk(path: File) -> WalkFile:
    """Read a walk file. Never raises: what cannot be read is a problem too."""
    try:
        source = path.read_bytes()
    except OSError as trouble:
        return WalkFile(
            None,
            (_unreadable(trouble),),
            Tree(None, {}, {}, (), "", complete=False, refused=frozenset()),
            str(path),
        )
    return walk_of(source, str(path))


def walk_of(source: bytes, file: str) -> WalkFile:
    """The walk that stands in `source`."""
    tree = read_tree(source, file)
    if any(problem.severity == "error" for problem in tree.problems):
        return WalkFile(None, tree.problems, tree, file)
    reading = _Reading([*tree.problems])
    walk = reading.walk(Spot(tree, (), tree.value))
    return WalkFile(walk, in_order(reading.problems), tree, file)


class _Reading:
    """One reading: goes on after a problem, so that all of them are said at once."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        self._failed = False

    def walk(self, root: Spot) -> Walk | None:
        parts: dict[str, Spot] = self._try(lambda: _top(root), dict[str, Spot]())
        if not parts:
            return None
        walk = Walk(
            name=self._part(parts, "name", Spot.text, ""),
            procedure=self._part(parts, "procedure", Spot.text, ""),
            guidance=self._part(parts, "guidance", _guidance, "full"),
            trainee=self._part(parts, "trainee", Spot.text, "T-01"),
            language=self._part(parts, "language", Spot.text, "en"),
            job=self._part(parts, "job", Spot.text, ""),
            colour=self._part(parts, "colour", Spot.text, ""),
            rehearsal=self._part(parts, "rehearsal", _rehearsal, otherwise=False),
            conditions=self._part(parts, "conditions", _conditions, {}),
            settings=self._part(parts, "settings", _settings, {}),
            acts=self._acts(parts),
            expected=self._part(parts, "expect", walk_parse.expectations, tuple[Expected, ...]()),
        )
        self._part(parts, "walk", _version, None)
        if not walk.rehearsal:
            for path in _rehearsed(walk):
                self._try(partial(_refuse, root, path), None)
        return None if self._failed else walk

    def _acts(self, parts: dict[str, Spot]) -> tuple[Placed, ...]:
        entries = self._part(parts, "acts", Spot.entries, tuple[Spot, ...]())
        acts: list[Placed] = []
        for spot in entries:
            placed: Placed | None = self._try(partial(_placed, spot), None)
            if placed is not None:
                acts.append(placed)
        return tuple(acts)

    def _part(self, parts: dict[str, Spot], key: str, read: Callable[[Spot], T], otherwise: T) -> T:
        if key not in parts:
            return otherwise
        return self._try(lambda: read(parts[key]), otherwise)

    def _try(self, read: Callable[[], T], otherwise: T) -> T:
        try:
            return read()
        except Wrong as wrong:
            self.problems.append(wrong.problem)
            self._failed = True
            return otherwise


def _top(root: Spot) -> dict[str, Spot]:
    parts = root.keys(_KEYS, "A walk")
    for key, example in (("walk", "1"), ("procedure", "negative-plate-two-burns"), ("acts", "")):
        if key not in parts:
            instead = (
                f"Write `{key}: {example}`." if example else "Write `acts:` and under it `- right: to-end`."
            )
            raise root.wrong("W02", f"The walk has no `{key}`.", instead)
    return parts


def _placed(spot: Spot) -> Placed | None:
    return Placed(walk_parse.act_of(spot), spot.path)


def _guidance(spot: Spot) -> Guidance:
    return _GUIDANCE[spot.one_of(tuple(_GUIDANCE))]


def _version(spot: Spot) -> None:
    if spot.value != 1 or isinstance(spot.value, bool):
        raise spot.wrong("W03", "This version of the form of walks is not known.", "Write `walk: 1`.")


def _rehearsal(spot: Spot) -> bool:
    if isinstance(spot.value, bool):
        return spot.value
    raise spot.wrong("W03", "`rehearsal` is `true` or `false`.", "Delete the line.")


def _conditions(spot: Spot) -> dict[str, Value]:
    return {name: _condition(inner) for name, inner in spot.inside().items()}


def _condition(spot: Spot) -> Value:
    if isinstance(spot.value, bool | int | float):
        return spot.value
    return spot.text()


def _rehearsed(walk: Walk) -> Iterator[Path]:
    """Where a wet walk asks for what only a rehearsal has."""
    if walk.conditions:
        yield ("conditions",)
    for placed in walk.acts:
        yield from _rehearsed_act(placed.act, placed.path)
    yield from _measured(walk.expected)


def _rehearsed_act(act: Act, path: Path) -> Iterator[Path]:
    match act:
        case Operate():
            yield (*path, "set")
        case Refused(inner):
            yield from _rehearsed_act(inner, (*path, "refused"))
        case Check(expected):
            yield from _measured(expected)


def _measured(expected: tuple[Expected, ...]) -> Iterator[Path]:
    yield from dict.fromkeys(one.path[:-1] for one in expected if one.kind == "plate")


def _refuse(root: Spot, path: Path) -> None:
    raise root.wrong(
        "W04",
        f"`{path[-1]}`: only a rehearsal has that, and this is a wet walk.",
        "Write `rehearsal: true` at the top, or delete the line.",
        root.tree.key(path),
    )


def _settings(spot: Spot) -> dict[str, float]:
    return {name: inner.number() for name, inner in spot.inside().items()}


def _unreadable(trouble: OSError) -> Problem:
    if isinstance(trouble, FileNotFoundError):
        return Problem("F01", "error", "There is no such file.", "Look at its name and folder.")
    if isinstance(trouble, IsADirectoryError):
        return Problem("F02", "error", "This is a folder.", "Name a walk file in it.")
    if isinstance(trouble, PermissionError):
        return Problem("F03", "error", "This account may not read the file.", "Change its permissions.")
    return Problem("F04", "error", f"The file cannot be read: {trouble.strerror}.", "Look at the disk.")
