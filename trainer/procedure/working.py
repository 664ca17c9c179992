"""A formula with its numbers put in, as a person writes it down beside the plate."""

from __future__ import annotations

from collections.abc import Callable

from trainer.procedure import units
from trainer.procedure.expressions import Expression, Values
from trainer.procedure.subset import Binary, Call, Choice, Listed, Name, Node, Number, Text, Truth, Unary

_TIMES, _MINUS = "\u00d7", "\u2212"
_SIGNS = {
    "*": _TIMES,
    "-": _MINUS,
    ">=": "\u2265",
    "<=": "\u2264",
    "!=": "\u2260",
    "==": "=",
    "&&": "and",
    "||": "or",
}
_BINDS = {"||": 1, "&&": 2, "in": 3, "+": 4, "-": 4, "*": 5, "/": 5}
_COMPARES = 3
_LOOSEST, _POWER, _TIGHTEST = 0, 6, 7
_WRITTEN_OUT = {
    "exposure_for_step": f"{{0}} {_TIMES} 10^(0.15 {_TIMES} ({{2}} {_MINUS} {{1}}))",
    "units_at_distance": f"{{0}} {_TIMES} ({{2}} / {{1}})^2",
    "developer_for": f"{{0}} {_TIMES} {{1}} / 10000 {_TIMES} {{2}}",
    "time_at": f"{{0}} {_TIMES} {{3}}^(({{1}} {_MINUS} {{2}}) / 10)",
}
"""What a function works out, as a person writes it down; its arguments by number."""


def shown_working(expression: Expression, values: Values) -> str:
    """The working and the result, the result in the formula's unit. Raises FormulaFault as `value` does."""
    result = _result(expression.value(values), expression.unit)
    tree = expression.tree
    match tree:
        case Call(function="round", arguments=(inner,)):
            steps, nearest = inner, "whole number"
        case Call(function="round_to", arguments=(inner, step)):
            steps, nearest = inner, _shown(step, expression, values, _LOOSEST)
        case _:
            return f"{_shown(tree, expression, values, _LOOSEST)} = {result}"
    between = _result(expression.part(steps, values), expression.unit)
    if isinstance(steps, Number | Name):
        return f"{between}, to the nearest {nearest}: {result}"
    return f"{_shown(steps, expression, values, _LOOSEST)} = {between}, to the nearest {nearest}: {result}"


def _result(value: object, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return units.shown(value, unit)  # as the screen shows the result beside it
    if isinstance(value, tuple):
        return f"[{', '.join(str(item) for item in value)}]"
    return str(value)


def _in_unit(value: float, unit: str) -> str:
    return units.shown(value, unit) if unit and unit not in ("step", "each") else units.plain(value)


def _shown(node: Node, expression: Expression, values: Values, around: int) -> str:
    """`node` with its numbers; in brackets where it binds less than what stands `around` it."""

    def inner(part: Node, binding: int) -> str:
        return _shown(part, expression, values, binding)

    match node:
        case Number(value=value):
            return units.plain(value)
        case Text(value=text):
            return f"'{text}'"
        case Truth(value=truth):
            return "yes" if truth else "no"
        case Name(name=name):
            return _named(name, expression, values)
        case Listed(items=items):
            return f"[{', '.join(inner(item, _LOOSEST) for item in items)}]"
        case Choice(condition=condition, yes=yes, no=no):
            # Only the way that is taken is worked out.
            return inner(yes if expression.part(condition, values) is True else no, around)
    return _of_signs(node, inner, around)


def _of_signs(node: Node, inner: Callable[[Node, int], str], around: int) -> str:
    match node:
        case Call(function=function, arguments=arguments) if function in _WRITTEN_OUT:
            shown = _WRITTEN_OUT[function].format(*(inner(argument, _POWER) for argument in arguments))
            return _bracketed(shown, _BINDS["*"], around)
        case Call(function=function, arguments=arguments):
            return f"{function}({', '.join(inner(argument, _LOOSEST) for argument in arguments)})"
        case Unary(sign=sign, operand=operand):
            return f"{'not ' if sign == '!' else '-'}{inner(operand, _TIGHTEST)}"
        case Binary(sign=sign, left=left, right=right):
            binds = _BINDS.get(sign, _COMPARES)
            shown = f"{inner(left, binds)} {_SIGNS.get(sign, sign)} {inner(right, binds + 1)}"
            return _bracketed(shown, binds, around)
    raise AssertionError(node)


def _bracketed(shown: str, binds: int, around: int) -> str:
    return f"({shown})" if binds < around else shown


def _named(name: str, expression: Expression, values: Values) -> str:
    value = values.value(name)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _in_unit(value, expression.scope.names[name].unit)
    return name if value is None else _result(value, "")
