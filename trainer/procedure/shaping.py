"""Reads the records of `model` from a tree, and says of every value that does not fit what to write instead.

Nothing is converted: a number in quotes is a text, `yes` is a text. What is refused is left out and reading
goes on, so that all problems of a file come at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from trainer.procedure import shape_words
from trainer.procedure.building import Node
from trainer.procedure.model import Name, Procedure
from trainer.procedure.parts import Field, Part, fields_of
from trainer.procedure.problems import Mistake, Path, Problem
from trainer.procedure.reader import Tree


class _Refused:
    """Stands for a value that does not fit; its problem is noted."""


_REFUSED = _Refused()
_Read = Callable[["Shaper", Node, Path], Any]
"""Reads one value: what the program keeps, or `_REFUSED`."""


class Shaper:
    """Reads a tree; `problems` are those of its shape."""

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self.problems: list[Problem] = []

    def procedure(self) -> Procedure | None:
        """The procedure, or None where something does not fit."""
        found = self.part(Procedure, self.tree.value, ())
        return found if isinstance(found, Procedure) and not self.problems else None

    def part(self, kind: type[Part], node: Node, path: Path) -> Part | _Refused:
        """A record: every key known, every needed key there, every value as its type wants it."""
        if not isinstance(node, dict):
            return self.wants("keys", node, path)
        known = fields_of(kind)
        before = len(self.problems)
        values: dict[str, object] = {}
        meant: set[str] = set()
        for written, value in node.items():
            field = known.get(written)
            if field is None:
                problem, near = shape_words.unknown(self.tree, (*path, written), kind)
                self.problems.append(problem)
                meant.update(near)
            else:
                values[field.name] = self.field(field, value, (*path, written))
        there = node.keys() | meant
        lacking = [written for written, field in known.items() if field.key.required and written not in there]
        if lacking:
            self.problems.append(shape_words.missing(self.tree, path, lacking))
        return _REFUSED if len(self.problems) > before else kind(**values)

    def field(self, field: Field, node: Node, path: Path) -> object:
        """The value of a key, within its bounds."""
        value = _reader(field.kind)(self, node, path)
        if value is _REFUSED:
            return _REFUSED
        key = field.key
        if key.least is not None and isinstance(value, int | float) and value < key.least:
            self.problems.append(shape_words.too_small(self.tree, path, value, key.least))
            return _REFUSED
        if isinstance(node, list | dict) and not (key.few <= len(node) <= (key.many or len(node))):
            self.problems.append(shape_words.wrong_count(self.tree, path, node))
            return _REFUSED
        return value

    def wants(self, kind: str, node: Node, path: Path) -> _Refused:
        """Note that a value of another kind is wanted."""
        self.problems.append(shape_words.wanted(self.tree, kind, path, node))
        return _REFUSED

    def holds(
        self, check: Callable[[object], object], node: Node, path: Path, *, at_key: bool = False
    ) -> object:
        """What a reading function of `names` or `quantity` makes of a value."""
        try:
            return check(node)
        except Mistake as wrong:
            place = self.tree.key(path) if at_key else self.tree.place(path)
            help_ = wrong.help if at_key else shape_words.helped(self.tree, path, wrong)
            self.problems.append(Problem(wrong.code, "error", wrong.message, help_, place, path))
            return _REFUSED


_READERS: dict[Any, _Read] = {}


def _reader(kind: Any) -> _Read:  # noqa: ANN401 - a type, however it is written
    """The function that reads values of a type; made once for each."""
    found = _READERS.get(kind)
    if found is None:
        found = _READERS[kind] = _made(_without_none(kind))
    return found


def _without_none(kind: Any) -> Any:  # noqa: ANN401 - as above
    """A type that may also be None is the same in a file: the key is left out, never empty."""
    if get_origin(kind) not in (Union, UnionType) or NoneType not in get_args(kind):
        return kind
    return Union[tuple(one for one in get_args(kind) if one is not NoneType)]  # noqa: UP007 - of a tuple


def _made(kind: Any) -> _Read:  # noqa: ANN401 - as above; one line for each way to write a type
    if (simple := _SIMPLE.get(kind)) is not None:
        return simple
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _checked(inner[0], inner[1])
    if origin is Literal:
        return _word(inner)
    if origin is tuple:
        return _list(inner[0]) if inner[1:] == (...,) else _pair(inner[0])
    if origin is dict:
        return _mapping(inner[0], inner[1])
    if origin in (Union, UnionType):
        return _SIMPLE[frozenset(inner)]
    return lambda shaper, node, path: shaper.part(kind, node, path)


def _of(kind: str, *types: type) -> _Read:
    """A value of one of the types given; `kind` as `shape_words.wanted` has it."""

    def read(shaper: Shaper, node: Node, path: Path) -> object:
        return node if type(node) in types else shaper.wants(kind, node, path)

    return read


def _text(shaper: Shaper, node: Node, path: Path) -> object:
    """A text, or a text for each language."""
    if isinstance(node, str):
        return node
    if not isinstance(node, dict):
        return shaper.wants("text", node, path)
    before = len(shaper.problems)
    for language, text in node.items():
        if not isinstance(text, str):
            shaper.wants("text", text, (*path, language))
    return dict(node) if len(shaper.problems) == before else _REFUSED


def _checked(base: Any, check: Callable[[object], object]) -> _Read:  # noqa: ANN401 - as above
    """A text or another value that a function looks at."""

    def read(shaper: Shaper, node: Node, path: Path) -> object:
        if base is str and not isinstance(node, str):
            return shaper.wants("word", node, path)
        if node is None:
            return shaper.wants("text", node, path)
        return shaper.holds(check, node, path)

    return read


def _word(words: Sequence[object]) -> _Read:
    def read(shaper: Shaper, node: Node, path: Path) -> object:
        if any(type(node) is type(word) and node == word for word in words):
            return node
        shaper.problems.append(shape_words.one_of(shaper.tree, path, node, [str(word) for word in words]))
        return _REFUSED

    return read


def _list(inner: Any) -> _Read:  # noqa: ANN401 - as above
    def read(shaper: Shaper, node: Node, path: Path) -> object:
        if not isinstance(node, list):
            return shaper.wants("list", node, path)
        reader = _reader(inner)
        values = tuple(reader(shaper, entry, (*path, index)) for index, entry in enumerate(node))
        return _REFUSED if _REFUSED in values else values

    return read


def _pair(inner: Any) -> _Read:  # noqa: ANN401 - as above
    entries = _list(inner)

    def read(shaper: Shaper, node: Node, path: Path) -> object:
        if isinstance(node, list) and len(node) != 2:
            shaper.problems.append(shape_words.wrong_count(shaper.tree, path, node))
            return _REFUSED
        return entries(shaper, node, path)

    return read


def _mapping(key: Any, inner: Any) -> _Read:  # noqa: ANN401 - as above
    """Keys of the file's own, each with a value of one type."""
    check = get_args(key)[1] if get_origin(key) is Annotated else None

    def read(shaper: Shaper, node: Node, path: Path) -> object:
        if not isinstance(node, dict):
            return shaper.wants("keys", node, path)
        reader = _reader(inner)
        before = len(shaper.problems)
        values: dict[str, object] = {}
        for own, value in node.items():
            if check is not None:
                shaper.holds(check, own, (*path, own), at_key=True)
            values[own] = reader(shaper, value, (*path, own))
        return values if len(shaper.problems) == before else _REFUSED

    return read


def _right(shaper: Shaper, node: Node, path: Path) -> object:
    """The right answer of a quiz: a key, a list of keys or a number."""
    if type(node) in (int, float):
        return node
    if isinstance(node, list):
        return _reader(tuple[Name, ...])(shaper, node, path)
    return _reader(Name)(shaper, node, path) if isinstance(node, str) else shaper.wants("right", node, path)


_NUMBER = _of("number", int, float)
_SIMPLE: dict[Any, _Read] = {
    int: _of("whole", int),
    bool: _of("truth", bool),
    str: _of("text", str),
    frozenset((int, float)): _NUMBER,
    int | float: _NUMBER,
    frozenset((str, dict[str, str])): _text,
    frozenset((int, float, str)): _of("number or formula", int, float, str),
    frozenset((bool, int, float, str)): _of("simple", bool, int, float, str),
    frozenset((int, float, Name, tuple[Name, ...])): _right,
}
"""How the simple types are read, by the type, or by the types that a value may have."""
