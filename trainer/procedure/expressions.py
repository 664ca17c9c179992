"""Formulas, compiled when a file is read and evaluated while a run goes on.

CEL evaluates them (`engine`), and is the last to check their types; what people read comes from `subset`,
`subset_kinds` and here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from trainer.procedure.engine import Engine, Taken, Values
from trainer.procedure.scope import Scope
from trainer.procedure.subset import Binary, Call, Choice, Name, Node, Text, Unary, column, parse_tokens, walk
from trainer.procedure.subset_kinds import kind_of
from trainer.procedure.tokens import FormulaFault, Token, tokenize, widen
from trainer.procedure.vocabulary import KIND_WORDS, Kind

__all__ = ["Engine", "Expression", "FormulaFault", "Taken", "Values", "compile_formula"]


class Parsed(NamedTuple):
    """A formula taken apart: its tokens, its tree, the kind of its value."""

    tokens: tuple[Token, ...]
    tree: Node
    kind: Kind


class Expression:
    """A compiled formula. Every method that evaluates raises FormulaFault with a sentence where it cannot.

    text: as the author wrote it. kind: of its value. unit: of its value, empty where there is none. tree:
    its syntax. names_used: the values it reads, by dotted name. tries_used: the steps it counts.
    """

    __slots__ = (
        "_divides",
        "_engine",
        "_program",
        "kind",
        "names_used",
        "text",
        "tree",
        "tries_used",
        "unit",
    )

    def __init__(self, text: str, parsed: Parsed, unit: str, engine: Engine) -> None:
        self.text = text
        self.tree = parsed.tree
        self.kind = parsed.kind
        self.unit = unit
        nodes = list(walk(parsed.tree))
        self.names_used = frozenset(node.name for node in nodes if isinstance(node, Name))
        self.tries_used = frozenset(_counted(nodes))
        self._divides = any(isinstance(node, Binary) and node.sign == "/" for node in nodes)
        self._engine = engine
        # A formula folded over several lines is one line to CEL: every column stays where it is.
        one_line = text.replace("\r", " ").replace("\n", " ")
        self._program = engine.compile(widen(one_line, parsed.tokens))

    def __repr__(self) -> str:
        return f"Expression({self.text!r})"

    @property
    def scope(self) -> Scope:
        """The values it may use."""
        return self._engine.scope

    def truth(self, values: Values) -> bool:
        """True or false; never anything that only looks like it."""
        result = self.value(values)
        if not isinstance(result, bool):
            raise self._no_result("is not true or false")
        return result

    def number(self, values: Values) -> float:
        """A finite number."""
        result = self.value(values)
        if isinstance(result, bool) or not isinstance(result, float):
            raise self._no_result("is not a number")
        return result

    def value(self, values: Values) -> Taken:
        """The value, of the kind that `kind` says."""
        data = {name: found for name in self.names_used if (found := self._bound(name, values)) is not None}
        try:
            result = self._engine.evaluate(self._program, data, values)
        except ValueError as trouble:
            raise FormulaFault("C19", str(trouble), f"The formula is `{self.text}`.") from trouble
        plain: object = result.value()
        match (result.type().name(), plain):
            case ("DOUBLE", float()) if math.isfinite(plain):
                return plain
            case ("DOUBLE", _):
                raise self._no_result("divides by zero or grows out of bounds")
            case ("BOOL", bool()):
                if self._divides:
                    self._check_divisions(self.tree, values)
                return plain
            case ("STRING", str()):
                return plain
            case ("LIST", list()):
                return tuple(str(item.value()) for item in plain)
        raise self._missing(data)

    def part(self, node: Node, values: Values) -> Taken:
        """The value of a part of this formula."""
        text = self.text[node.start : node.end]
        # Parsed again, since its columns count from its own start.
        return Expression(text, _parsed(text, self.scope), "", self._engine).value(values)

    def working(self, values: Values) -> str:
        """The formula with its numbers put in and the result: `24 units x 2 = 48 units`."""
        from trainer.procedure.working import shown_working  # only where a step works something out

        return shown_working(self, values)

    def _check_divisions(self, node: Node, values: Values) -> None:
        """CEL takes 1 / 0 as infinite and goes on comparing; a guard must not be decided by that."""
        match node:
            case Binary(sign="&&" | "||" as sign, left=left, right=right):
                self._check_divisions(left, values)
                if self.part(left, values) is (sign == "&&"):
                    self._check_divisions(right, values)
            case Choice(condition=condition, yes=yes, no=no):
                self._check_divisions(condition, values)
                self._check_divisions(yes if self.part(condition, values) is True else no, values)
            case Unary(sign="!", operand=operand):
                self._check_divisions(operand, values)
            case Binary(left=left, right=right):
                for side in (left, right):
                    if any(isinstance(inner, Binary) for inner in walk(side)):
                        self.part(side, values)  # raises where it is not finite

    def _bound(self, name: str, values: Values) -> object:
        """The value as CEL wants it; None where it is not taken."""
        found = values.value(name)
        if found is None:
            return None
        match (self.scope.names[name].kind, found):
            case ("truth", bool()) | ("text", str()):
                return found
            case ("number", bool()):
                pass
            case ("number", int() | float()) if math.isfinite(found):
                return float(found)
            case ("texts", tuple()):
                return list(found)
        raise FormulaFault(
            "C18",
            f"`{name}` is {found!r}, which is not {KIND_WORDS[self.scope.names[name].kind]}.",
            "Take it again.",
            self._column(name),
        )

    def _column(self, name: str) -> int:
        return next(
            (column(node) for node in walk(self.tree) if isinstance(node, Name) and node.name == name), 1
        )

    def _missing(self, data: Mapping[str, object]) -> FormulaFault:
        for node in walk(self.tree):
            if isinstance(node, Name) and node.name not in data:
                return FormulaFault(
                    "C18",
                    f"`{node.name}` has no value yet, and the formula `{self.text}` needs it.",
                    "Go back to the step that takes it.",
                    column(node),
                )
        return self._no_result("has no result")

    def _no_result(self, what: str) -> FormulaFault:
        return FormulaFault(
            "C19", f"The formula `{self.text}` {what}.", "Look at the values that go into it."
        )


def compile_formula(
    text: str, scope: Scope, wanted: Kind, engine: Engine | None = None, unit: str = ""
) -> Expression:
    """The formula of `text` over `scope`, giving a `wanted`. `unit` is what its value is in.

    Pass the procedure's `engine` where several are compiled. Raises FormulaFault.
    """
    parsed = _parsed(text, scope)
    if parsed.kind != wanted:
        raise _wrong_kind(wanted, parsed.kind)
    return Expression(text, parsed, unit, engine or Engine(scope))


def _parsed(text: str, scope: Scope) -> Parsed:
    tokens = tokenize(text)
    tree = parse_tokens(text, tokens)
    return Parsed(tokens, tree, kind_of(tree, scope))


def _counted(nodes: Iterable[Node]) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, Call) and node.function == "tries" and isinstance(node.arguments[0], Text):
            yield node.arguments[0].value


def _wrong_kind(wanted: Kind, kind: Kind) -> FormulaFault:
    help_ = {
        "truth": "Write a comparison, for instance `readings.vacuum >= settings.vacuum_floor`.",
        "number": "Write what it is worked out from, for instance `settings.exposure * 2`.",
        "text": "Write a text in quotes, for instance `'on'`.",
        "texts": "Write a list, for instance `['still', 'slow']`.",
    }[wanted]
    return FormulaFault("C15", f"This must be {KIND_WORDS[wanted]}; it is {KIND_WORDS[kind]}.", help_)
