"""A line that should be a key with its value and is none: what is said of it, what was likely meant."""

from __future__ import annotations

import re

_OTHER_BLANKS = "\u00a0\u2007\u202f\u3000"
"""What word processors and web pages write for a space: the parser takes it for a letter."""

_AT_A_COLON = re.compile(rf"\s*(?:- +)*([A-Za-z_][\w-]*):[{_OTHER_BLANKS}]\s*(\S.*)?")
_BEFORE_IT = re.compile(rf" *[{_OTHER_BLANKS}]")
_NO_BLANK = re.compile(r"\s*(?:- +)*([A-Za-z_][\w-]*) *:(\S.*)")
_DIGITS = re.compile(r"`(\d+)`")
_WHOLE = re.compile(r"(?<![\d.])(\d+),$")
_ONE_WORD = re.compile(r"\s*(?:- +)*([a-z_]+)\s*")


def said(row: str, *, first: bool) -> tuple[str, str]:
    """What is wrong with the line `row`, and what to write instead. first: no line stands above it."""
    message = "This line has no colon followed by a space, so it is no key with a value."
    if found := _AT_A_COLON.fullmatch(row):
        written = f": `{found[1]}: {_short(found[2])}`" if found[2] else ""
        return (
            "The space after the colon is not the one of the space bar, so it does not count as one.",
            f"Delete it and press the space bar{written}. Word processors write such spaces.",
        )
    if begins_oddly(row):
        return (
            "A space before this line is not the one of the space bar, so it does not count as one.",
            "Delete what stands before the text and press the space bar. Word processors write such spaces.",
        )
    if found := _NO_BLANK.fullmatch(row):
        return message, f"Write the key, a colon, a space and the value: `{found[1]}: {_short(found[2])}`."
    if row.lstrip().startswith("- "):
        return (
            "This line begins as an entry of a list, and no list is written at its depth.",
            "Write as many spaces before it as before the other entries of its list.",
        )
    if (found := _ONE_WORD.fullmatch(row)) and _is_key(found[1]):
        return message, f"Write a colon after it: `{found[1]}:`."
    help_ = "Write the key, a colon, a space and the value, for instance `title: A plate`."
    if not first:
        help_ += (
            " If it is an entry of a list, begin it with `- `. If it goes on with the text above, put it at "
            "the end of that line. If it is a remark, begin it with `#`."
        )
    return message, help_


def no_word(before: str, what: str) -> str:
    """What to write where something else than a word is a key, and `before` stands before it in its line."""
    if (whole := _WHOLE.search(before)) and (rest := _DIGITS.fullmatch(what)):
        return f"Write a point, not a comma: `{whole[1]}.{rest[1]}`."
    return (
        "Write a word that begins with a letter, then `: ` and its value. "
        "A text that begins with `{` or `[` needs quotes."
    )


def begins_oddly(row: str) -> bool:
    """Does a space stand before the line's text that is not the one of the space bar?"""
    return _BEFORE_IT.match(row) is not None


def _is_key(word: str) -> bool:
    from trainer.procedure.levels import LEVELS  # it knows the format, which knows the parser
    from trainer.procedure.parts import fields_of

    return any(word in fields_of(level.part) for level in LEVELS.values())


def _short(text: str) -> str:
    return text if len(text) <= 50 else text[:49] + "…"
