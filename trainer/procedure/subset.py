"""The part of CEL that formulas are written in, read into a small tree.

Comparison, arithmetic, `&&`, `||`, `!`, `in` a list, `? :`, and the vocabulary's functions. Everything else
of CEL is refused by name in `subset_hints`, with what to write instead. CEL itself evaluates; this tree is
for messages, for the checks on names and guards, and for showing the working.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import NamedTuple

from trainer.procedure.subset_hints import MISTAKES, after_a_value, where_a_value_belongs
from trainer.procedure.tokens import FormulaFault, Token, tokenize

MOST_NESTED = 20
"""How deep brackets, calls and choices may stand in one another."""

COMPARISONS = frozenset({"==", "!=", "<", "<=", ">", ">="})
_ESCAPED = {"\\": "\\", "'": "'", '"': '"'}


class Number(NamedTuple):
    """A number, in no unit of its own."""

    start: int
    end: int
    value: float


class Text(NamedTuple):
    """A text in quotes."""

    start: int
    end: int
    value: str


class Truth(NamedTuple):
    """`true` or `false`."""

    start: int
    end: int
    value: bool


class Name(NamedTuple):
    """A value by its dotted name."""

    start: int
    end: int
    name: str


class Listed(NamedTuple):
    """A list in square brackets."""

    start: int
    end: int
    items: tuple[Node, ...]


class Call(NamedTuple):
    """A function with its arguments."""

    start: int
    end: int
    function: str
    arguments: tuple[Node, ...]


class Unary(NamedTuple):
    """`-` or `!` before its operand."""

    start: int
    end: int
    sign: str
    operand: Node


class Binary(NamedTuple):
    """Two operands and the sign between them, at offset `at`. `in` is one of the signs."""

    start: int
    end: int
    sign: str
    left: Node
    right: Node
    at: int


class Choice(NamedTuple):
    """`condition ? yes : no`."""

    start: int
    end: int
    condition: Node
    yes: Node
    no: Node


Node = Number | Text | Truth | Name | Listed | Call | Unary | Binary | Choice
"""A part of a formula, from offset `start` up to `end` (both from 0) in the text."""


def column(node: Node) -> int:
    """Where a node starts, counted from 1."""
    return node.start + 1


def children(node: Node) -> tuple[Node, ...]:
    """The parts a node is made of, left to right."""
    match node:
        case Listed(items=items):
            return items
        case Call(arguments=arguments):
            return arguments
        case Unary(operand=operand):
            return (operand,)
        case Binary(left=left, right=right):
            return (left, right)
        case Choice(condition=condition, yes=yes, no=no):
            return (condition, yes, no)
    return ()


def walk(node: Node) -> Iterator[Node]:
    """The node and everything in it, left to right."""
    waiting = [node]
    while waiting:
        current = waiting.pop()
        yield current
        waiting.extend(reversed(children(current)))


def parse(text: str) -> Node:
    """The tree of a formula. Raises FormulaFault with the author's column."""
    return parse_tokens(text, tokenize(text))


def parse_tokens(text: str, tokens: tuple[Token, ...]) -> Node:
    """As `parse`, where the tokens are there already."""
    if tokens[0].kind == "end":
        raise FormulaFault(
            "C09", "The formula is empty.", "Write a condition, for instance `readings.vacuum >= 20`."
        )
    parser = _Parser(text, tokens)
    node = parser.choice()
    parser.expect_end()
    return node


class _Parser:
    """Recursive descent, one method a level of binding; `deep` counts the nesting."""

    def __init__(self, text: str, tokens: tuple[Token, ...]) -> None:
        self.text = text
        self.tokens = tokens
        self.at = 0
        self.deep = 0
        self.open: list[Token] = []

    @property
    def token(self) -> Token:
        return self.tokens[self.at]

    def take(self) -> Token:
        token = self.token
        if token.kind != "end":
            self.at += 1
        return token

    def sees(self, *signs: str) -> bool:
        return self.token.kind == "sign" and self.token.text in signs

    def deeper(self) -> None:
        self.deep += 1
        if self.deep > MOST_NESTED:
            raise FormulaFault(
                "C01",
                f"Brackets and functions stand more than {MOST_NESTED} deep in one another here.",
                "Work part of it out in a step of its own with work_out, and use that value here.",
                self.token.column,
            )

    def choice(self) -> Node:
        self.deeper()
        condition = self.either()
        if self.sees("?"):
            self.take()
            yes = self.choice()
            if not self.sees(":"):
                raise FormulaFault(
                    "C11",
                    "A `?` stands here without its `:` part.",
                    "Write `condition ? value if so : value if not`.",
                    self.token.column,
                )
            self.take()
            no = self.choice()
            condition = Choice(condition.start, no.end, condition, yes, no)
        self.deep -= 1
        return condition

    def either(self) -> Node:
        left = self.both()
        while self.sees("||"):
            sign = self.take()
            right = self.both()
            left = Binary(left.start, right.end, "||", left, right, sign.start)
        return left

    def both(self) -> Node:
        left = self.comparison()
        while self.sees("&&"):
            sign = self.take()
            right = self.comparison()
            left = Binary(left.start, right.end, "&&", left, right, sign.start)
        return left

    def comparison(self) -> Node:
        left = self.sum()
        if not self._compares():
            return left
        sign = self.take()
        right = self.sum()
        if self._compares():
            raise self.chained(left, sign, right)
        return Binary(left.start, right.end, sign.text, left, right, sign.start)

    def chained(self, left: Node, first: Token, right: Node) -> FormulaFault:
        second = self.take()
        signs = {first.text, second.text}
        if not signs <= {"<", "<=", ">", ">="}:
            return FormulaFault(
                "C06",
                f"Two comparisons stand in a row here: `{first.text}` and `{second.text}`.",
                "Put each in brackets of its own, or join them with `&&` (and) or `||` (or).",
                second.column,
            )
        one, two, three = self.written(left), self.written(right), self.written(self.sum())
        return FormulaFault(
            "C06",
            "A comparison compares two values; here are three.",
            f"Write both and join them: `{one} {first.text} {two} && {two} {second.text} {three}`.",
            second.column,
        )

    def written(self, node: Node) -> str:
        return self.text[node.start : node.end]

    def _compares(self) -> bool:
        return self.sees(*COMPARISONS) or (self.token.kind == "word" and self.token.text == "in")

    def sum(self) -> Node:
        left = self.product()
        while self.sees("+", "-"):
            sign = self.take()
            right = self.product()
            left = Binary(left.start, right.end, sign.text, left, right, sign.start)
        return left

    def product(self) -> Node:
        left = self.unary()
        while self.sees("*", "/"):
            sign = self.take()
            right = self.unary()
            left = Binary(left.start, right.end, sign.text, left, right, sign.start)
        return left

    def unary(self) -> Node:
        if not self.sees("-", "!"):
            return self.value()
        sign = self.take()
        self.deeper()
        operand = self.unary()
        self.deep -= 1
        return Unary(sign.start, operand.end, sign.text, operand)

    def value(self) -> Node:
        token = self.take()
        match token.kind:
            case "number":
                return _number(token)
            case "text":
                return Text(token.start, token.end, _unquoted(token))
            case "word":
                return self.word(token)
            case _:
                return self.bracketed(token)

    def word(self, token: Token) -> Node:
        if token.text in ("true", "false"):
            return Truth(token.start, token.end, token.text == "true")
        if mistake := MISTAKES.get(token.text):
            raise mistake.fault(token)
        if self.sees("("):
            bracket = self.take()
            arguments, end = self.items(bracket, ")")
            return Call(token.start, end, token.text, arguments)
        return Name(token.start, token.end, token.text)

    def bracketed(self, token: Token) -> Node:
        if token.text == "(":
            self.open.append(token)
            inner = self.choice()
            self.expect_close(token, ")")
            self.open.pop()
            # The brackets belong to the node, so that its stretch of the text is a formula by itself.
            return inner._replace(start=token.start, end=self.tokens[self.at - 1].end)
        if token.text == "[":
            items, end = self.items(token, "]")
            return Listed(token.start, end, items)
        index = self.tokens.index(token)
        raise where_a_value_belongs(token, self.tokens[index - 1] if index else None, self.open)

    def items(self, bracket: Token, close: str) -> tuple[tuple[Node, ...], int]:
        """What stands between `bracket` and `close`, with commas; and where `close` ends."""
        found: list[Node] = []
        self.open.append(bracket)
        while not self.sees(close):
            found.append(self.choice())
            if self.sees(","):
                self.take()
            elif not self.sees(close):
                self.expect_close(bracket, close)
        self.open.pop()
        return tuple(found), self.take().end

    def expect_close(self, bracket: Token, close: str) -> None:
        if self.sees(close):
            self.take()
            return
        if self.token.kind == "end":
            raise FormulaFault(
                "C08",
                f"The `{bracket.text}` here is never closed.",
                f"Put a `{close}` where it ends.",
                bracket.column,
            )
        raise after_a_value(self.token, in_brackets=True)

    def expect_end(self) -> None:
        if self.token.kind != "end":
            raise after_a_value(self.token, in_brackets=False)


def _number(token: Token) -> Number:
    value = float(token.text)
    if not isfinite(value):
        raise FormulaFault("C10", "This number is too large.", "Write a smaller one.", token.column)
    return Number(token.start, token.end, value)


def _unquoted(token: Token) -> str:
    inner = token.text[1:-1]
    if "\\" not in inner:
        return inner
    parts: list[str] = []
    index = 0
    while index < len(inner):
        if inner[index] == "\\":
            index += 1
            if inner[index] not in _ESCAPED:
                raise FormulaFault(
                    "C03",
                    f"`\\{inner[index]}` is not read in a text of a formula.",
                    "Only `\\\\`, `\\'` and `\\\"` are; write the character itself.",
                    token.column + index,
                )
        parts.append(inner[index])
        index += 1
    return "".join(parts)
