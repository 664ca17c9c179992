"""What each part of a formula is: a number, a text, true or false; and where that does not fit.

CEL checks the same when it compiles; its messages speak of overloads. This check comes first and speaks of
values, with the nearest name where one is not known.
"""

from __future__ import annotations

from collections.abc import Iterable

from trainer.procedure.problems import nearest
from trainer.procedure.scope import ROOTS, Declared, Scope
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
    column,
)
from trainer.procedure.subset_hints import MISTAKES
from trainer.procedure.tokens import FormulaFault
from trainer.procedure.vocabulary import FUNCTIONS, KIND_WORDS, MEASURES, Kind


def kind_of(node: Node, scope: Scope) -> Kind:
    """The kind of a formula's value. Raises FormulaFault at the first part that does not fit."""
    match node:
        case Number():
            return "number"
        case Text():
            return "text"
        case Truth():
            return "truth"
        case Name(name=name):
            return _declared(name, node, scope).kind
        case Listed(items=items):
            return _listed(node, items, scope)
        case Call():
            return _call(node, scope)
    return _of_signs(node, scope)


def _of_signs(node: Node, scope: Scope) -> Kind:
    match node:
        case Unary():
            return _unary(node, scope)
        case Choice():
            return _choice(node, scope)
        case Binary(sign="in"):
            return _member(node, scope)
        case Binary(sign=sign) if sign in COMPARISONS:
            return _comparison(node, scope)
        case Binary():
            return _joined(node, scope)
    raise AssertionError(node)


def _want(node: Node, wanted: Kind, scope: Scope, because: str) -> None:
    kind = kind_of(node, scope)
    if kind != wanted:
        raise FormulaFault(
            "C14",
            f"{because} wants {KIND_WORDS[wanted]}; this is {KIND_WORDS[kind]}.",
            _instead(wanted, kind, node),
            column(node),
        )


def _instead(wanted: Kind, kind: Kind, node: Node) -> str:
    if isinstance(node, Text) and wanted == "number":
        return (
            "Write the number without quotes." if _is_number(node.value) else "Write a number or a reading."
        )
    match (wanted, kind):
        case ("truth", "number"):
            return "Compare it with something, for instance `readings.vacuum >= 20`."
        case ("truth", "text"):
            return "Compare it with a text, for instance `answers.rings == 'still'`."
        case ("truth", _):
            return "Write a comparison, for instance `'film' in answers.leaks`."
        case ("number", _):
            return "Write a number, a setting, a reading or a worked value."
        case ("text", _):
            return "Write a text in quotes, for instance `'clean'`."
        case _:
            return "Write a list in square brackets, for instance `['still', 'slow']`."


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).strip().isdigit()


def _declared(name: str, node: Node, scope: Scope) -> Declared:
    if name in scope.names:
        return scope.names[name]
    root, dot, rest = name.partition(".")
    if not dot:
        raise _bare_word(name, node, scope)
    if root not in ROOTS:
        raise FormulaFault(
            "C12",
            f"No value is called `{name}`.",
            _try(nearest(name, scope.names), f"Names begin with {_one_of(f'{known}.' for known in ROOTS)}."),
            column(node),
        )
    parent = name.rpartition(".")[0]
    if parent in scope.names:
        raise FormulaFault(
            "C12",
            f"Nothing stands under `{parent}`: it is a value itself.",
            f"Write `{parent}`.",
            column(node),
        )
    raise FormulaFault("C12", _not_declared(root, rest), _where_declared(root, rest, scope), column(node))


def _not_declared(root: str, rest: str) -> str:
    match root:
        case "settings":
            return f"No setting is called `{rest}`."
        case "readings":
            return f"No step takes a reading called `{rest}`."
        case "answers":
            return f"No judge, quiz or sign_off has the name `{rest}`."
        case "worked":
            return f"No step works out a value called `{rest}`."
        case _:
            return f"The plate has no measure called `{rest}`."


def _where_declared(root: str, rest: str, scope: Scope) -> str:
    elsewhere = next((other for other in ROOTS if f"{other}.{rest}" in scope.names), None)
    if elsewhere:
        return f"Did you mean `{elsewhere}.{rest}`?"
    near = nearest(
        rest, (name.removeprefix(f"{root}.") for name in scope.names if name.startswith(f"{root}."))
    )
    if near:
        return f"Did you mean `{root}.{near}`?"
    match root:
        case "settings":
            return (
                f"Declare it at the top of the file, under `settings`: `{rest}: {{value: ..., unit: ...}}`."
            )
        case "readings":
            return f"Give the reading of a step before this one `name: {rest}`."
        case "answers":
            return f"Give the judge or quiz of a step before this one `name: {rest}`."
        case "worked":
            return f"Give the work_out of a step before this one `name: {rest}`."
        case _:
            return f"Its measures are {_one_of(MEASURES)}."


def _bare_word(word: str, node: Node, scope: Scope) -> FormulaFault:
    if word in ROOTS:
        known = sorted(name for name in scope.names if name.startswith(f"{word}."))
        example = known[0] if known else f"{word}.NAME"
        return FormulaFault("C12", f"`{word}` alone is no value.", f"Write which: `{example}`.", column(node))
    under = [f"{root}.{word}" for root in ROOTS if f"{root}.{word}" in scope.names]
    if under:
        return FormulaFault("C12", f"`{word}` is not the whole name.", f"Write `{under[0]}`.", column(node))
    keys = {key for declared in scope.names.values() for key in declared.keys}
    if word in keys:
        help_ = f"A text stands in quotes: `'{word}'`."
    elif word in FUNCTIONS:
        help_ = f"`{word}` is a function: write `{FUNCTIONS[word].written}`."
    else:
        help_ = (
            f"Write `'{word}'` where the text is meant, or the whole name, for instance `readings.{word}`."
        )
    return FormulaFault("C16", f"`{word}` is neither a text nor the name of a value.", help_, column(node))


def _listed(node: Listed, items: tuple[Node, ...], scope: Scope) -> Kind:
    if not items:
        raise FormulaFault(
            "C14", "The list is empty.", "Write what it holds: `['still', 'slow']`.", column(node)
        )
    kinds = [kind_of(item, scope) for item in items]
    for item, kind in zip(items, kinds, strict=True):
        if kind != "text":
            raise FormulaFault(
                "C14",
                f"A list stands after `in` or holds texts; this is {KIND_WORDS[kind]}.",
                "Write texts in quotes: `['still', 'slow']`.",
                column(item),
            )
    return "texts"


def _member(node: Binary, scope: Scope) -> Kind:
    if not isinstance(node.right, Listed):
        _want(node.left, "text", scope, "What stands before `in`")
        _want(node.right, "texts", scope, "What stands after `in`")
        _check_key(node.left, node.right, scope)
        return "truth"
    if not node.right.items:
        raise FormulaFault(
            "C14", "The list is empty.", "Write what it holds: `['still', 'slow']`.", column(node.right)
        )
    kind = kind_of(node.left, scope)
    for item in node.right.items:
        _same(node.left, kind, item, kind_of(item, scope), scope)
    return "truth"


def _comparison(node: Binary, scope: Scope) -> Kind:
    left, right = kind_of(node.left, scope), kind_of(node.right, scope)
    _same(node.left, left, node.right, right, scope)
    if node.sign not in ("==", "!=") and left != "number":
        raise FormulaFault(
            "C14",
            f"`{node.sign}` compares numbers; here are {KIND_WORDS[left]} and {KIND_WORDS[right]}.",
            "Write `==` or `!=` to compare texts or answers.",
            node.at + 1,
        )
    return "truth"


def _same(left: Node, left_kind: Kind, right: Node, right_kind: Kind, scope: Scope) -> None:
    if left_kind != right_kind:
        fault_at = right if not isinstance(right, Name) or isinstance(left, Name) else left
        other = left_kind if fault_at is right else right_kind
        raise FormulaFault(
            "C14",
            f"{KIND_WORDS[left_kind].capitalize()} is compared with {KIND_WORDS[right_kind]}.",
            _instead(other, right_kind if fault_at is right else left_kind, fault_at),
            column(fault_at),
        )
    _check_key(left, right, scope)
    _check_key(right, left, scope)


def _check_key(text: Node, name: Node, scope: Scope) -> None:
    """Where a text is compared with an answer, it must be one of the answer's keys."""
    texts = text.items if isinstance(text, Listed) else (text,)
    if not isinstance(name, Name):
        return
    keys = scope.names[name.name].keys
    if len(scope.taken_at[name.name]) > 1 or not keys:
        return
    for one in texts:
        if isinstance(one, Text) and one.value not in keys:
            raise FormulaFault(
                "C17",
                f"`'{one.value}'` is no answer of `{name.name}`.",
                _try(nearest(one.value, keys), f"Its answers are {_one_of(keys)}.", quoted=True),
                column(one),
            )


def _joined(node: Binary, scope: Scope) -> Kind:
    wanted: Kind = "truth" if node.sign in ("&&", "||") else "number"
    for side in (node.left, node.right):
        _want(side, wanted, scope, f"`{node.sign}`")
    return wanted


def _unary(node: Unary, scope: Scope) -> Kind:
    # The operand is looked at once: twice would be a million times for a row of twenty signs.
    if node.sign == "-":
        _want(node.operand, "number", scope, "A `-`")
        return "number"
    kind = kind_of(node.operand, scope)
    if kind != "truth":
        raise FormulaFault(
            "C14",
            f"`!` turns true into false; this is {KIND_WORDS[kind]}.",
            "Put brackets round the whole comparison: `!(readings.vacuum >= 20)`.",
            column(node.operand),
        )
    return "truth"


def _choice(node: Choice, scope: Scope) -> Kind:
    _want(node.condition, "truth", scope, "What stands before `?`")
    yes, no = kind_of(node.yes, scope), kind_of(node.no, scope)
    if yes != no:
        raise FormulaFault(
            "C14",
            f"The two values of `? :` differ: {KIND_WORDS[yes]} and {KIND_WORDS[no]}.",
            "Make both the same, for instance two numbers.",
            column(node.no),
        )
    return yes


def _call(node: Call, scope: Scope) -> Kind:
    function = FUNCTIONS.get(node.function)
    if function is None:
        raise _unknown_function(node)
    if not function.least <= len(node.arguments) <= len(function.parameters):
        raise FormulaFault(
            "C13",
            f"`{node.function}` takes {_count(function.least, len(function.parameters))}; "
            f"here {_are(len(node.arguments))}.",
            f"Write `{function.written}`.",
            column(node),
        )
    for argument, parameter in zip(node.arguments, function.parameters, strict=False):
        if function.asks_run:
            _quoted(argument, node.function, scope)
        else:
            _want(argument, parameter.kind, scope, f"`{parameter.name}` of `{node.function}`")
    return function.gives


def _quoted(argument: Node, function: str, scope: Scope) -> None:
    """`tries` and `taken` want the id or name itself, in quotes, so that the checks can follow it."""
    known = scope.steps if function == "tries" else frozenset(scope.names)
    what = "a step's id" if function == "tries" else "a value's whole name"
    if not isinstance(argument, Text):
        example = _as_written(argument) or sorted(known)[0]
        raise FormulaFault(
            "C14",
            f"`{function}` wants {what} in quotes.",
            f"Write `{function}('{example}')`.",
            column(argument),
        )
    if argument.value in known:
        return
    inside = next((name for name in sorted(known) if name.endswith(f".{argument.value}")), None)
    near = inside if inside and function == "taken" else nearest(argument.value, known)
    raise FormulaFault(
        "C17",
        f"No {'step' if function == 'tries' else 'value'} is called `{argument.value}`.",
        _try(near, f"Write {what} of this file.", quoted=True),
        column(argument),
    )


def _as_written(node: Node) -> str:
    """An id that was written without quotes: its hyphens were read as minus signs."""
    match node:
        case Name(name=name):
            return name
        case Binary(sign="-", left=left, right=right):
            parts = (_as_written(left), _as_written(right))
            return "-".join(parts) if all(parts) else ""
    return ""


def _unknown_function(node: Call) -> FormulaFault:
    last = node.function.rpartition(".")[2]
    if "." in node.function:
        if mistake := MISTAKES.get(last):
            return FormulaFault(mistake.code, mistake.message, mistake.help, column(node))
        return FormulaFault(
            "C13",
            f"A function stands before its values, not after a dot: `.{last}(...)`.",
            f"The functions are {_one_of(FUNCTIONS)}.",
            column(node),
        )
    return FormulaFault(
        "C13",
        f"No function is called `{node.function}`.",
        _try(nearest(node.function, FUNCTIONS), f"The functions are {_one_of(FUNCTIONS)}."),
        column(node),
    )


def _count(least: int, most: int) -> str:
    if least == most:
        return f"{least} value" if least == 1 else f"{least} values"
    return f"{least} or {most} values"


def _are(count: int) -> str:
    return {0: "there is none", 1: "there is 1"}.get(count, f"there are {count}")


def _try(near: str | None, otherwise: str, *, quoted: bool = False) -> str:
    if near is None:
        return otherwise
    return f"Did you mean `'{near}'`?" if quoted else f"Did you mean `{near}`?"


def _one_of(names: Iterable[str]) -> str:
    found = [f"`{name}`" for name in names]
    shown = ", ".join(found[:-1])
    return f"{shown} and {found[-1]}" if shown else "".join(found)
