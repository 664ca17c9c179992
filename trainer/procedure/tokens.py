"""The pieces of a formula, and the widening of its whole numbers.

A formula is written in a small part of CEL (Common Expression Language, https://cel.dev). CEL keeps whole
numbers and decimals apart and refuses `readings.wedge >= 6` where the reading is a decimal. All our numbers
are decimals, so `6` is widened to `6.0` before CEL sees it, and a map leads its columns back to the
author's. Strings are left alone.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import Literal, NamedTuple, NoReturn

MOST_CHARACTERS = 1_000
"""The longest formula that is read."""
MOST_PIECES = 300
"""The most words, numbers and signs in one; it also bounds how deep a tree can grow."""

TokenKind = Literal["number", "text", "word", "sign", "end"]


class FormulaFault(Exception):  # noqa: N818 - what is wrong with a formula, in its author's words
    """A formula that cannot be read, or has no result. `column` counts from 1 in the formula as written."""

    def __init__(self, code: str, message: str, help: str = "", column: int = 1) -> None:  # noqa: A002
        super().__init__(f"{message} {help}".strip())
        self.code = code
        self.message = message
        self.help = help
        self.column = column


class Token(NamedTuple):
    """One piece: `text` as written, from offset `start` up to `end` (both from 0)."""

    kind: TokenKind
    text: str
    start: int
    end: int

    @property
    def column(self) -> int:
        """Where it starts, counted from 1."""
        return self.start + 1


_PIECE = re.compile(
    r"""(?P<space>[ \t\r\n]+)
    |(?P<number>(?:\d+\.\d+|\d+|\.\d+)(?:[eE][+-]?\d+)?)
    |(?P<word>[A-Za-z_]\w*(?:\.[A-Za-z_]\w*)*)
    |(?P<text>'(?:[^'\\\n]|\\.)*'|"(?:[^"\\\n]|\\.)*")
    |(?P<sign>&&|\|\||==|!=|<=|>=|=>|=<|<>|[-+*/%<>=!?:(),\[\]{}.;&|^~@$\#`\\])
    """,
    re.VERBOSE | re.ASCII,
)
_CURLY = "\u2018\u2019\u201c\u201d\u00b4"
_LOOK_ALIKES = {
    "\u00d7": "*",
    "\u00f7": "/",
    "\u2212": "-",
    "\u2013": "-",
    "\u2264": "<=",
    "\u2265": ">=",
    "\u2260": "!=",
}


def tokenize(text: str) -> tuple[Token, ...]:
    """The tokens of `text`, closed by one of kind `end`. Raises FormulaFault."""
    if len(text) > MOST_CHARACTERS:
        raise FormulaFault(
            "C01",
            f"This formula has {len(text)} characters; {MOST_CHARACTERS} are the most.",
            "Work part of it out in a step of its own with work_out, and use that value here.",
        )
    tokens: list[Token] = []
    position = 0
    while position < len(text):
        match = _PIECE.match(text, position)
        if match is None or match.lastgroup is None:
            _stray(text, position)
        if match.lastgroup != "space":
            tokens.append(Token(_kind(match.lastgroup), match.group(), position, match.end()))
        position = match.end()
    if len(tokens) > MOST_PIECES:
        raise FormulaFault(
            "C01",
            f"This formula has {len(tokens)} words, numbers and signs; {MOST_PIECES} are the most.",
            "Work part of it out in a step of its own with work_out, and use that value here.",
            tokens[MOST_PIECES].column,
        )
    tokens.append(Token("end", "", len(text), len(text)))
    return tuple(tokens)


def _kind(group: str) -> TokenKind:
    if group == "number":
        return "number"
    if group == "word":
        return "word"
    return "text" if group == "text" else "sign"


def _stray(text: str, position: int) -> NoReturn:
    character = text[position]
    column = position + 1
    if character in "'\"":
        raise FormulaFault(
            "C03",
            f"A text starts here with `{character}` and never ends.",
            f"Close it with `{character}`, for instance `{character}clean{character}`.",
            column,
        )
    if character in _CURLY:
        raise FormulaFault(
            "C02",
            "This is a printer's quotation mark; a formula wants a straight one.",
            "Write `'clean'` with the straight mark of the keyboard on both sides.",
            column,
        )
    if character == "±":
        raise FormulaFault(
            "C02",
            "The sign `±` is not read in a formula.",
            "Write how far off it may be: `abs(readings.vacuum - 22) <= 3`.",
            column,
        )
    if character in _LOOK_ALIKES:
        raise FormulaFault(
            "C02",
            f"The sign `{character}` is not read in a formula.",
            f"Write `{_LOOK_ALIKES[character]}` instead.",
            column,
        )
    if character in "°℃℉":
        raise FormulaFault(
            "C02",
            f"The sign `{character}` is not read in a formula.",
            "Write the number alone: units are not written in a formula.",
            column,
        )
    raise FormulaFault(
        "C02",
        f"The character `{character}` has no meaning in a formula.",
        "Take it out; a text stands in quotes, for instance `'clean'`.",
        column,
    )


class Widened(NamedTuple):
    """A formula with its whole numbers written as decimals, and the way back to the author's columns."""

    text: str
    insertions: tuple[int, ...]
    """Offsets in `text` of each `.0` that was put in."""

    def column(self, widened_column: int) -> int:
        """The author's column (from 1) of a column (from 1) in the widened text."""
        offset = widened_column - 1
        before = bisect_right(self.insertions, offset)
        inside = 0
        if before and offset < self.insertions[before - 1] + 2:
            # Inside a `.0` that was put in: the last digit before it is meant.
            inside = offset - self.insertions[before - 1] + 1
            return offset - inside - 2 * (before - 1) + 1
        return offset - 2 * before + 1


def widen(text: str, tokens: tuple[Token, ...]) -> Widened:
    """Write every whole number among `tokens` of `text` as a decimal: `6` becomes `6.0`."""
    parts: list[str] = []
    insertions: list[int] = []
    done = 0
    for token in tokens:
        if token.kind == "number" and token.text.isdigit():
            parts.append(text[done : token.end])
            insertions.append(token.end + 2 * len(insertions))
            parts.append(".0")
            done = token.end
    parts.append(text[done:])
    return Widened("".join(parts), tuple(insertions))
