"""Finds where source swallows an error: each rule looks at one kind of node of the syntax tree."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator, Mapping

BROAD = frozenset({"Exception", "BaseException"})
WIDE = BROAD | {
    *("OSError", "IOError", "EnvironmentError", "RuntimeError", "LookupError", "KeyError", "IndexError"),
    *("ValueError", "TypeError", "AttributeError", "ArithmeticError", "AssertionError", "ImportError"),
    *("Error", "DatabaseError", "OperationalError", "SubprocessError", "CancelledError"),
    *("Trouble", "JournalTrouble", "Refused", "NoWay", "FormulaFault", "LeaseLost", "MachineError"),
}
"""Classes so wide, or that say so much, that nothing may be done about them without a word."""
STARTERS = frozenset(
    {"create_task", "ensure_future", "run_in_executor", "run_coroutine_threadsafe", "submit"}
)
"""What begins work and gives back the only thing that would tell of its error."""

DEFINITIONS = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda, ast.ClassDef)

Rule = Callable[[ast.AST], bool]


def last_name(node: ast.expr | None) -> str:
    """`b` of `a.b` and of `a.b(...)`; nothing where there is no name."""
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name
        case ast.Call(func=func):
            return last_name(func)
        case ast.Starred(value=value):
            return last_name(value)
    return ""


def caught(node: ast.expr | None) -> set[str]:
    """The classes that an `except` names."""
    return {last_name(one) for one in (node.elts if isinstance(node, ast.Tuple) else [node])}


def empty(body: list[ast.stmt]) -> bool:
    """Does a handler do nothing at all?"""
    return all(
        isinstance(one, ast.Pass | ast.Continue | ast.Break)
        or (isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant))
        for one in body
    )


def bare(node: ast.AST) -> bool:
    """`except:`."""
    return isinstance(node, ast.ExceptHandler) and node.type is None


def broad(node: ast.AST) -> bool:
    """`except Exception:`, alone or in a row."""
    return isinstance(node, ast.ExceptHandler) and bool(caught(node.type) & BROAD)


def passed_over(node: ast.AST) -> bool:
    """`except OSError: pass`."""
    return isinstance(node, ast.ExceptHandler) and empty(node.body) and bool(caught(node.type) & WIDE)


def suppressed(node: ast.AST) -> bool:
    """`with suppress(OSError):`."""
    if not (isinstance(node, ast.Call) and last_name(node) == "suppress"):
        return False
    return any(last_name(one) in WIDE or isinstance(one, ast.Starred) for one in node.args)


def dropped_task(node: ast.AST) -> bool:
    """`asyncio.create_task(work())` as a statement of its own."""
    return isinstance(node, ast.Expr) and last_name(node.value) in STARTERS


def gathered_errors(node: ast.AST) -> bool:
    """`gather(..., return_exceptions=True)` whose answer nobody takes."""
    call = node.value if isinstance(node, ast.Expr) else None
    call = call.value if isinstance(call, ast.Await) else call
    return isinstance(call, ast.Call) and says(call, "return_exceptions", value=True)


def quiet_worker(node: ast.AST) -> bool:
    """`exit_on_error=False`: the library then keeps a worker's error to itself."""
    return isinstance(node, ast.Call) and says(node, "exit_on_error", value=False)


def own_thread(node: ast.AST) -> bool:
    """A thread of one's own: its error is printed over the screen, and nobody hears of it."""
    return isinstance(node, ast.Call) and last_name(node) in {"Thread", "Timer", "start_new_thread"}


def left_in_finally(node: ast.AST) -> bool:
    """`return` in `finally`: the error on its way is gone."""
    if not isinstance(node, ast.Try | ast.TryStar):
        return False
    ends = [part for part in node.finalbody if not isinstance(part, DEFINITIONS)]
    leaving = (ast.Return, ast.Break, ast.Continue)
    return any(isinstance(one, leaving) for part in ends for one in own_nodes(part))


def swallowing_exit(node: ast.AST) -> bool:
    """An `__exit__` that says yes."""
    if not (
        isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.name in {"__exit__", "__aexit__"}
    ):
        return False
    answers = [one.value for one in own_nodes(node) if isinstance(one, ast.Return) and one.value is not None]
    return any(not (isinstance(one, ast.Constant) and not one.value) for one in answers)


def careless_text(node: ast.AST) -> bool:
    """`errors="ignore"`: what cannot be read is left out without a word."""
    return isinstance(node, ast.Call) and (
        says(node, "errors", "ignore")
        or (last_name(node) in {"encode", "decode"} and any(is_a(one, "ignore") for one in node.args[1:]))
    )


def silenced(node: ast.AST) -> bool:
    """Warnings or a loop's errors that are switched off."""
    return isinstance(node, ast.Call) and (
        last_name(node) in {"set_exception_handler", "catch_warnings"}
        or (
            last_name(node) in {"simplefilter", "filterwarnings"}
            and any(is_a(one, "ignore") for one in node.args)
        )
    )


def own_nodes(node: ast.AST) -> Iterator[ast.AST]:
    """A node and all inside it, but not inside the functions that it defines."""
    yield node
    for child in ast.iter_child_nodes(node):
        if not isinstance(child, DEFINITIONS):
            yield from own_nodes(child)


def says(call: ast.Call, key: str, value: object) -> bool:
    """Is `key=value` among the arguments?"""
    return any(one.arg == key and is_a(one.value, value) for one in call.keywords)


def is_a(node: ast.expr, value: object) -> bool:
    """Is it just this constant?"""
    return isinstance(node, ast.Constant) and repr(node.value) == repr(value)


RULES: Mapping[str, Rule] = {
    "bare except": bare,
    "broad except": broad,
    "error passed over": passed_over,
    "broad suppress": suppressed,
    "dropped task": dropped_task,
    "gathered errors": gathered_errors,
    "quiet worker": quiet_worker,
    "own thread": own_thread,
    "left in finally": left_in_finally,
    "swallowing exit": swallowing_exit,
    "careless text": careless_text,
    "silenced": silenced,
}


def findings(source: str) -> Iterator[tuple[str, int]]:
    """Each place of a source that swallows an error, as rule and line."""
    for node in ast.walk(ast.parse(source)):
        for name, rule in RULES.items():
            if rule(node):
                yield name, getattr(node, "lineno", 0)
