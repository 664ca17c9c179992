"""What people write by mistake in a formula, and what to write instead.

A formula's author knows the trade and perhaps a spreadsheet; what CEL has and we leave out, what other
languages write, and what YAML does to a `!` or a `?` are all answered here by name.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from trainer.procedure.tokens import FormulaFault, Token


class Mistake(NamedTuple):
    """A word or sign that is not read, and what to write instead."""

    code: str
    message: str
    help: str

    def fault(self, token: Token) -> FormulaFault:
        """The fault at a token."""
        return FormulaFault(self.code, self.message, self.help, token.column)


def _left_out(name: str, instead: str) -> Mistake:
    return Mistake("C07", f"`{name}` is not read in formulas here.", instead)


def _word(word: str, sign: str) -> Mistake:
    return Mistake(
        "C04", f"The word `{word}` is not read in a formula.", f"Write `{sign}` instead of `{word}`."
    )


def _sign(sign: str, instead: str) -> Mistake:
    return Mistake("C05", f"`{sign}` is not read in a formula.", instead)


_JOIN = "Write the conditions out and join them with `&&` (and) or `||` (or)."
_ASK = "Ask whether a value is there with `taken`, for instance `taken('readings.vacuum')`."
_WHOLE = "Every number is a decimal here; `round(x)` gives the nearest whole number."
_DECIMAL = "Every number is a decimal here: leave it out."
_COMPARE = "Compare with the whole text, for instance `answers.rings == 'still'`."
_TIME = "A formula knows no dates and times; time is the `wait` of a step."
_UNITS = "For units and wedge steps there is `exposure_for_step(units, read, target)`."
_CHOICE = "Write `condition ? value if so : value if not`."

_WORDS = {
    **dict.fromkeys(("and", "AND"), "&&"),
    **dict.fromkeys(("or", "OR"), "||"),
    **dict.fromkeys(("not", "NOT"), "!"),
    **dict.fromkeys(("True", "TRUE"), "true"),
    **dict.fromkeys(("False", "FALSE"), "false"),
    **dict.fromkeys(("In", "IN"), "in"),
    "is": "==",
}
_LEFT_OUT = {
    **dict.fromkeys(("has", "null", "None"), _ASK),
    **dict.fromkeys(("int", "uint"), _WHOLE),
    **dict.fromkeys(("double", "float"), _DECIMAL),
    **dict.fromkeys(("size", "matches"), _COMPARE),
    **dict.fromkeys(("timestamp", "duration"), _TIME),
    **dict.fromkeys(("dyn", "type"), "Leave it out."),
    **dict.fromkeys(("map", "filter", "all", "exists", "exists_one"), _JOIN),
    "string": "Compare numbers with numbers and texts with texts.",
    "bool": "Write a comparison, for instance `readings.vacuum >= 20`.",
    "mod": "Compare the whole number itself.",
    "sqrt": "Ask for the value as a reading or a setting.",
    "pow": _UNITS,
    "average": "Write `(a + b) / 2`.",
    "sum": "Write `a + b`.",
}

MISTAKES: Mapping[str, Mistake] = {
    **{word: _word(word, sign) for word, sign in _WORDS.items()},
    **{name: _left_out(name, instead) for name, instead in _LEFT_OUT.items()},
    **{
        word: Mistake("C04", f"The word `{word}` is not read in a formula.", _CHOICE)
        for word in ("if", "then", "else", "If", "IF")
    },
    "in": Mistake(
        "C09",
        "A value is missing before `in`.",
        "Write it, for instance `answers.rings in ['still', 'slow']`.",
    ),
}
"""Words that are no names and no functions here."""

_SIGNS: Mapping[str, Mistake] = {
    "=": Mistake("C05", "One `=` is not read in a formula.", "Write `==` to compare two values."),
    "<>": _sign("<>", "Write `!=` (is not)."),
    "=>": _sign("=>", "Write `>=` (at least)."),
    "=<": _sign("=<", "Write `<=` (at most)."),
    "&": Mistake("C05", "One `&` is not read in a formula.", "Write `&&` (and)."),
    "|": Mistake("C05", "One `|` is not read in a formula.", "Write `||` (or)."),
    "%": Mistake(
        "C07",
        "`%` (per cent, or the remainder) is not read in formulas here.",
        "Write 20 % of a value as `value * 0.2`.",
    ),
    "^": _sign("^", _UNITS),
    "[": Mistake(
        "C07",
        "Picking one out of a list with `[ ]` is not read in formulas here.",
        "Ask with `in`, for instance `'film' in answers.leaks`; a name stands after a dot.",
    ),
    "{": Mistake(
        "C07",
        "A map in `{ }` is not read in formulas here.",
        "Write the values out, or compare with a list, for instance `readings.wedge in [5, 6]`.",
    ),
    ".": Mistake(
        "C05",
        "A dot stands alone here.",
        "Write a name without spaces (`readings.vacuum`), or a number with digits on both sides (`1.0`).",
    ),
    ";": _sign(";", "Write one condition; join two with `&&` (and) or `||` (or)."),
    "!": Mistake("C05", "A `!` stands between two values here.", "Write `!=` (is not), or `&& !` (and not)."),
    "?": Mistake("C11", "A `?` stands here without a condition.", _CHOICE),
    ":": Mistake("C11", "A `:` stands here without a `?` before it.", _CHOICE),
    "#": _sign("#", "Take it out."),
}


def after_a_value(token: Token, *, in_brackets: bool) -> FormulaFault:
    """The fault of a token that follows a whole value."""
    if token.kind == "word" and (mistake := MISTAKES.get(token.text)):
        return mistake.fault(token)
    if token.kind == "sign":
        return _sign_after_a_value(token, in_brackets=in_brackets)
    if token.kind == "word":
        return FormulaFault(
            "C10",
            f"Nothing joins `{token.text}` to what stands before it.",
            "Units are not written in a formula; between two values write a sign: `==`, `<`, `+`, `&&`.",
            token.column,
        )
    return FormulaFault(
        "C10",
        "Two values stand side by side here.",
        "Write what joins them: a sign such as `==`, `<`, `+`, `&&`.",
        token.column,
    )


def _sign_after_a_value(token: Token, *, in_brackets: bool) -> FormulaFault:
    if token.text == ",":
        return FormulaFault(
            "C10",
            "A comma stands here, and no list or function is open.",
            "Write a decimal number with a point: `1.5`.",
            token.column,
        )
    if token.text in ")]}":
        message = (
            f"The `{token.text}` here does not fit the bracket that is open before it."
            if in_brackets
            else f"The `{token.text}` here closes nothing."
        )
        help_ = "Close every bracket with its own kind, and take out the ones too many."
        return FormulaFault("C08", message, help_, token.column)
    if mistake := _SIGNS.get(token.text):
        return mistake.fault(token)
    return FormulaFault(
        "C05",
        f"The sign `{token.text}` has no meaning here.",
        "Join two values with a sign such as `==`, `<`, `+`, `&&`.",
        token.column,
    )


def where_a_value_belongs(token: Token, before: Token | None, opened: Sequence[Token]) -> FormulaFault:
    """The fault of a token that stands where a value belongs."""
    if token.kind == "end" and before is not None:
        return FormulaFault(
            "C09",
            f"The formula ends after `{before.text}`, where a value is still to come.",
            "Write the value, for instance `readings.vacuum >= 20`.",
            before.column,
        )
    if token.text == "=" or (before is not None and before.text == "="):
        return _SIGNS["="].fault(token)
    if token.text in "{.":
        return _SIGNS[token.text].fault(token)
    if token.text == "*" and before is not None and before.text == "*":
        return _SIGNS["^"].fault(token)
    if token.text in ")]" and opened:
        after = f" after `{before.text}`" if before is not None else ""
        return FormulaFault(
            "C09",
            f"A value is missing{after}, before the `{token.text}` here.",
            "Write the value, or take the brackets out.",
            token.column,
        )
    return FormulaFault(
        "C09",
        f"A value belongs here, not `{token.text}`.",
        "Write a number, a text in quotes, or a name such as `readings.vacuum`.",
        token.column,
    )
