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
    return Mistake("C07", f"{name} is not read in formulas here.", instead)


def _joining(word: str, sign: str) -> Mistake:
    return Mistake("C04", f"The word {word} is not read in a formula.", f"Write {sign} instead of {word}.")


_NO_MACRO = "Write the conditions out and join them with && (and) or || (or)."
_NO_HAS = "Write taken('readings.vacuum') to ask whether a value is there."

MISTAKES: Mapping[str, Mistake] = {
    **{word: _joining(word, sign) for word, sign in {"and": "&&", "or": "||", "not": "!"}.items()},
    **{word: _joining(word, sign) for word, sign in {"AND": "&&", "OR": "||", "NOT": "!"}.items()},
    **{word: _joining(word, word.lower()) for word in ("True", "False", "TRUE", "FALSE", "In", "IN")},
    **{
        word: _joining(word, "condition ? value if so : value if not,")
        for word in ("if", "then", "else", "If", "IF")
    },
    "is": _joining("is", "=="),
    "mod": _left_out("mod (the remainder of a division)", "Compare the whole number itself."),
    "in": Mistake("C09", "in wants a value before it.", "Write answers.rings in ['still', 'slow']."),
    "has": _left_out("has", _NO_HAS),
    "size": _left_out("size", "Compare with the text or the keys that you mean: answers.rings == 'still'."),
    "null": _left_out("null", _NO_HAS),
    "None": _left_out("None", _NO_HAS),
    "int": _left_out("int", "Every number is a decimal here; round(x) gives the nearest whole number."),
    "uint": _left_out("uint", "Every number is a decimal here; round(x) gives the nearest whole number."),
    "double": _left_out("double", "Every number is a decimal here: leave it out."),
    "float": _left_out("float", "Every number is a decimal here: leave it out."),
    "string": _left_out("string", "Compare numbers with numbers and texts with texts."),
    "bool": _left_out("bool", "Write a comparison, for instance readings.vacuum >= 20."),
    "matches": _left_out("matches", "Compare with the whole text: answers.rings == 'still'."),
    "timestamp": _left_out("timestamp", "A formula knows no dates and times; time is a step's wait."),
    "duration": _left_out("duration", "A formula knows no dates and times; time is a step's wait."),
    "dyn": _left_out("dyn", "Leave it out."),
    "type": _left_out("type", "Leave it out."),
    "sqrt": _left_out("sqrt", "Ask for the value as a reading or a setting."),
    "pow": _left_out("pow", "For units and wedge steps there is exposure_for_step(units, read, target)."),
    "average": _left_out("average", "Write (a + b) / 2."),
    "sum": _left_out("sum", "Write a + b."),
}
"""Words that are no names and no functions here."""

_SIGNS: Mapping[str, Mistake] = {
    "=": Mistake("C05", "One = is not read in a formula.", "Write == to compare two values."),
    "<>": Mistake("C05", "<> is not read in a formula.", "Write != for `is not`."),
    "=>": Mistake("C05", "=> is not read in a formula.", "Write >= for `at least`."),
    "=<": Mistake("C05", "=< is not read in a formula.", "Write <= for `at most`."),
    "&": Mistake("C05", "One & is not read in a formula.", "Write && for `and`."),
    "|": Mistake("C05", "One | is not read in a formula.", "Write || for `or`."),
    "%": _left_out("% (the remainder, or per cent)", "Write 20 % of x as x * 0.2."),
    "^": Mistake(
        "C05",
        "^ (a power) is not read in formulas here.",
        "For units and wedge steps there is exposure_for_step(units, read, target).",
    ),
    "[": _left_out(
        "Picking one out of a list with [ ]", "Compare with `in`: 'a' in answers.steps, or give it a name."
    ),
    "{": _left_out("A map in { }", "Write the values out, or compare with `in` a list: x in [1, 2]."),
    ".": Mistake(
        "C05",
        "A dot stands alone here.",
        "Write a name without spaces (readings.vacuum), or a number with a digit on both sides (1.0).",
    ),
    ";": Mistake("C05", "A ; has no meaning here.", "Write one condition; join two with && or ||."),
    "!": Mistake("C05", "A ! stands between two values here.", "Write != for `is not`, && ! for `and not`."),
    "?": Mistake("C11", "A ? stands here without a condition.", "Write condition ? yes : no."),
    ":": Mistake("C11", "A : stands here without a ? before it.", "Write condition ? yes : no."),
    "#": Mistake("C05", "# has no meaning in a formula.", "Take it out; a remark stands after the line."),
}


def after_a_value(token: Token, end: int, *, in_brackets: bool) -> FormulaFault:
    """The fault of a token that follows a whole value; `end` is where that value ends."""
    if token.kind == "word" and (mistake := MISTAKES.get(token.text)):
        return mistake.fault(token)
    if token.kind == "sign":
        return _sign_after_a_value(token, in_brackets=in_brackets)
    if token.kind == "word" and token.text.startswith("e") and token.start == end:
        return FormulaFault("C10", "This number is not readable.", "Write it out: 1000.", token.column)
    if token.kind == "word":
        return FormulaFault(
            "C10",
            f"Nothing joins {token.text} to what stands before it.",
            "Units are not written in a formula; between two values write a sign: ==, <, +, &&.",
            token.column,
        )
    if token.kind == "end":
        return FormulaFault("C08", "A bracket is never closed.", "Close it.", token.column)
    return FormulaFault(
        "C10",
        "Two values stand side by side here.",
        "Write what joins them: a sign such as ==, <, +, && between them.",
        token.column,
    )


def _sign_after_a_value(token: Token, *, in_brackets: bool) -> FormulaFault:
    if token.text == ",":
        return FormulaFault(
            "C10",
            "A comma stands here, and no list or function is open.",
            "Write a decimal number with a point: 1.5.",
            token.column,
        )
    if token.text in ")]}":
        closed = "what is open before it" if in_brackets else "nothing"
        return FormulaFault(
            "C08",
            f"The {token.text} here closes {'something other than ' if in_brackets else ''}{closed}.",
            "Close every bracket with its own kind, and take out the ones too many.",
            token.column,
        )
    if mistake := _SIGNS.get(token.text):
        return mistake.fault(token)
    return FormulaFault(
        "C05",
        f"The sign {token.text} has no meaning here.",
        "Join two values with a sign such as ==, <, +, &&.",
        token.column,
    )


def where_a_value_belongs(token: Token, before: Token | None, opened: Sequence[Token]) -> FormulaFault:
    """The fault of a token that stands where a value belongs."""
    if token.kind == "end" and before is not None:
        return FormulaFault(
            "C09",
            f"The formula ends after {before.text}, where a value is still to come.",
            "Write the value, for instance readings.vacuum >= 20.",
            before.column,
        )
    if token.text == "=" or (before is not None and before.text == "="):
        return _SIGNS["="].fault(token)
    doubled = before is not None and before.kind == "sign" and f"{before.text}{token.text}"
    if doubled in ("+=", "-=", "<=", ">=", "===", "<>", "=>"):
        return FormulaFault("C05", f"{doubled} is not read here.", "Write == to compare.", token.column)
    if token.text == "{":
        return _SIGNS["{"].fault(token)
    if token.text == ".":
        return _SIGNS["."].fault(token)
    if token.text in ")]" and opened:
        after = f" after {before.text}" if before is not None else ""
        return FormulaFault(
            "C09",
            f"A value is missing{after}, before the {token.text} here.",
            "Write the value, or take the brackets out.",
            token.column,
        )
    if token.text == "*" and before is not None and before.text == "*":
        return _SIGNS["^"].fault(token)
    return FormulaFault(
        "C09",
        f"A value belongs here, not {token.text}.",
        "Write a number, a text in quotes, or a name such as readings.vacuum.",
        token.column,
    )
