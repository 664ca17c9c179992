"""What a value without quotes is: a truth, a number, nothing, or text. Less than YAML 1.1 sees in it."""

from __future__ import annotations

import re

Scalar = None | bool | int | float | str

_WORDS: dict[str, Scalar] = {"true": True, "false": False, "null": None, "": None}
_WHOLE = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,14})")
_DECIMAL = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,14})\.[0-9]{1,15}")
_ELSEWHERE = re.compile(
    r"~|Null|NULL|True|TRUE|False|FALSE|[+-]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)"
    r"|[+-]?[0-9]+(?::[0-5]?[0-9])+(?:\.[0-9]*)?|[+-]?0[0-9_]+|0[xob][0-9a-fA-F_]+"
    r"|[+-]?[0-9][0-9_]*_[0-9_]*(?:\.[0-9_]*)?|[+-]?[0-9]+(?:\.[0-9]*)?[eE][+-]?[0-9]+|[+-]?\.[0-9]+"
)


def resolve(text: str) -> Scalar:
    """The value of a plain scalar: `true`, `false`, `null`, decimal numbers; everything else is its text."""
    if text in _WORDS:
        return _WORDS[text]
    if text[0] not in "+-0123456789":
        return text
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text):
        return float(text)
    return text


def is_read_elsewhere(text: str) -> bool:
    """Would other YAML programs read this text as a number, a time, a truth or nothing?

    Words such as `no` and `on` are left out: they are common words, and what is meant is plain.
    """
    return _ELSEWHERE.fullmatch(text) is not None
