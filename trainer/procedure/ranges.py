"""What a formula can give where each value lies somewhere in its range: reasoning with intervals.

Every answer is on the safe side: what is said to be impossible is impossible, and what is not seen is taken
to be possible. Intervals hold their ends.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isnan, nextafter

from trainer.procedure.subset import (
    COMPARISONS,
    Binary,
    Call,
    Choice,
    Listed,
    Name,
    Node,
    Number,
    Text,
    Truth,
    Unary,
)


@dataclass(frozen=True, slots=True)
class Span:
    """Numbers from `low` to `high`; none where `low` is over `high`."""

    low: float = -inf
    high: float = inf

    @property
    def empty(self) -> bool:
        """Is there no number in it?"""
        return self.low > self.high

    def within(self, other: Span) -> Span:
        """The numbers in both."""
        return Span(max(self.low, other.low), min(self.high, other.high))

    def with_(self, other: Span) -> Span:
        """From the least of both to the greatest."""
        if self.empty or other.empty:
            return other if self.empty else self
        return Span(min(self.low, other.low), max(self.high, other.high))


@dataclass(frozen=True, slots=True)
class Words:
    """One of these texts."""

    any: frozenset[str]


Truths = frozenset[bool]
Range = Span | Words | None
"""What a value can be: numbers, one of some texts; None where nothing is known of it."""
Ranges = Mapping[str, Range]
"""By dotted name; `tries('step')` stands under what is written."""

EITHER: Truths = frozenset({True, False})
TRUE: Truths = frozenset({True})
FALSE: Truths = frozenset({False})
NEVER: Truths = frozenset()
_TURNED = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "==": "==", "!=": "!="}
_REFUSED = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!=", "!=": "=="}


def truths(node: Node, ranges: Ranges) -> Truths:
    """What a condition can give: true, false or either; nothing where it is never looked at."""
    match node:
        case Truth(value=value):
            return TRUE if value else FALSE
        case Unary(sign="!", operand=operand):
            return frozenset(not one for one in truths(operand, ranges))
        case Binary(sign="&&" | "||" as sign, left=left, right=right):
            first = truths(left, ranges)
            stops = sign == "||"  # what the left side must give so that the right one is not looked at
            after = narrowed(left, ranges, truth=not stops)
            return (first & {stops}) | (truths(right, after) if (not stops) in first else NEVER)
        case Binary(sign=sign, left=left, right=right) if sign in COMPARISONS:
            return _compared(sign, left, right, ranges)
        case Binary(sign="in", left=left, right=Listed(items=items)):
            return _among(left, items, ranges)
        case Choice(condition=condition, yes=yes, no=no):
            found = NEVER
            for way, part in ((True, yes), (False, no)):
                if way in truths(condition, ranges):
                    found |= truths(part, narrowed(condition, ranges, truth=way))
            return found
    return EITHER


def narrowed(node: Node, ranges: Ranges, *, truth: bool) -> Ranges:
    """The ranges where a condition gives `truth`, as far as it compares one value with something."""
    match node:
        case Unary(sign="!", operand=operand):
            return narrowed(operand, ranges, truth=not truth)
        case Binary(sign="&&" | "||" as sign, left=left, right=right) if truth is (sign == "&&"):
            return narrowed(right, narrowed(left, ranges, truth=truth), truth=truth)
        case Binary(sign=sign, left=left, right=right) if sign in COMPARISONS:
            holds = sign if truth else _REFUSED[sign]
            there = _narrowed(left, holds, right, ranges)
            return _narrowed(right, _TURNED[holds], left, there)
    return ranges


def span(node: Node, ranges: Ranges) -> Span:
    """The numbers that a formula can give."""
    match node:
        case Number(value=value):
            return Span(value, value)
        case Unary(sign="-", operand=operand):
            inner = span(operand, ranges)
            return Span(-inner.high, -inner.low)
        case Binary(sign=sign, left=left, right=right):
            return _computed(sign, span(left, ranges), span(right, ranges))
        case Choice(yes=yes, no=no):
            return span(yes, ranges).with_(span(no, ranges))
        case Call(function="min" | "max" as function, arguments=arguments):
            each = [span(one, ranges) for one in arguments]
            pick = min if function == "min" else max
            return Span(pick(one.low for one in each), pick(one.high for one in each))
    known = ranges.get(key(node))
    return known if isinstance(known, Span) else Span()


def key(node: Node) -> str:
    """What a value stands under in `Ranges`; empty for what is no value by itself."""
    match node:
        case Name(name=name):
            return name
        case Call(function="tries", arguments=(Text(value=step),)):
            return f"tries('{step}')"
    return ""


def _narrowed(node: Node, sign: str, other: Node, ranges: Ranges) -> Ranges:
    name = key(node)
    known = ranges.get(name)
    if isinstance(known, Span):
        return {**ranges, name: known.within(_beyond(sign, span(other, ranges)))}
    if isinstance(known, Words) and isinstance(other, Text) and sign in {"==", "!="}:
        said = frozenset({other.value})
        return {**ranges, name: Words(known.any & said if sign == "==" else known.any - said)}
    return ranges


def _beyond(sign: str, other: Span) -> Span:
    """Where a number must lie so that the comparison with some number of `other` can hold."""
    match sign:
        case "<":
            return Span(high=nextafter(other.high, -inf))
        case "<=":
            return Span(high=other.high)
        case ">":
            return Span(low=nextafter(other.low, inf))
        case ">=":
            return Span(low=other.low)
        case "==":
            return other
    return Span()


def _compared(sign: str, left: Node, right: Node, ranges: Ranges) -> Truths:
    """What a comparison can give."""
    words = _words(left, ranges), _words(right, ranges)
    if any(words):
        return _same_text(sign, *words)
    one, other = span(left, ranges), span(right, ranges)
    if one.empty or other.empty:
        return NEVER
    if key(left) and key(left) == key(right):
        return TRUE if sign in {"==", "<=", ">="} else FALSE
    found = {
        "<": (one.low < other.high, one.high >= other.low),
        "<=": (one.low <= other.high, one.high > other.low),
        ">": (one.high > other.low, one.low <= other.high),
        ">=": (one.high >= other.low, one.low < other.high),
        "==": (not one.within(other).empty, not one.low == one.high == other.low == other.high),
        "!=": (not one.low == one.high == other.low == other.high, not one.within(other).empty),
    }[sign]
    return frozenset(truth for truth, can in zip((True, False), found, strict=True) if can)


def _same_text(sign: str, one: Words | None, other: Words | None) -> Truths:
    """What the comparison of two texts can give, where both are known."""
    if one is None or other is None:
        return EITHER
    if not one.any or not other.any:
        return NEVER
    same = TRUE if one.any & other.any else NEVER
    differ = FALSE if len(one.any | other.any) > 1 else NEVER
    found = same | differ
    return found if sign == "==" else frozenset(not truth for truth in found)


def _words(node: Node, ranges: Ranges) -> Words | None:
    if isinstance(node, Text):
        return Words(frozenset({node.value}))
    known = ranges.get(key(node))
    return known if isinstance(known, Words) else None


def _among(left: Node, items: tuple[Node, ...], ranges: Ranges) -> Truths:
    """Is the left side one of a list? All that can be said of its being each of them."""
    each = [_compared("==", left, item, ranges) for item in items]
    if any(one == TRUE for one in each):
        return TRUE
    if all(one == FALSE for one in each):
        return FALSE
    known = _words(left, ranges)
    said = {item.value for item in items if isinstance(item, Text)}
    return TRUE if known is not None and known.any and known.any <= said else EITHER


def _computed(sign: str, one: Span, other: Span) -> Span:
    if one.empty or other.empty:
        return Span()
    match sign:
        case "+":
            return _of([one.low + other.low, one.high + other.high])
        case "-":
            return _of([one.low - other.high, one.high - other.low])
        case "*":
            return _of([a * b for a in (one.low, one.high) for b in (other.low, other.high)])
        case "/" if other.low > 0 or other.high < 0:
            return _of([a / b for a in (one.low, one.high) for b in (other.low, other.high)])
    return Span()


def _of(ends: list[float]) -> Span:
    """From the least of the ends to the greatest; everything where one of them is no number."""
    return Span() if any(isnan(end) for end in ends) else Span(min(ends), max(ends))
