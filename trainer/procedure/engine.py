"""CEL for the formulas of one procedure: the environment, and who answers its functions.

Nothing of CEL is imported before the first formula is compiled: it takes 10 ms, and the start screen needs
none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from threading import RLock
from typing import TYPE_CHECKING, Protocol

from trainer.procedure.scope import Scope
from trainer.procedure.tokens import FormulaFault, Widened
from trainer.procedure.vocabulary import FUNCTIONS, Function, Kind

if TYPE_CHECKING:
    from cel_expr_python import cel

Taken = float | bool | str | tuple[str, ...]
"""A value as formulas see it."""


class Values(Protocol):
    """What a formula asks while it is evaluated."""

    def value(self, name: str) -> Taken | None:
        """The value under a dotted name, in the unit it is declared in; None where it is not taken."""
        ...

    def call(self, function: str, arguments: tuple[float | str, ...]) -> float | bool:
        """What a function of the vocabulary gives. Raises ValueError, a sentence, where it has no result."""
        ...


class Engine:
    """CEL for the formulas of one procedure. Its environment (0.7 ms) is made at the first formula."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope
        self._env: cel.Env | None = None
        self._asked: Values | None = None
        self._trouble: ValueError | None = None
        self._lock = RLock()

    def compile(self, widened: Widened) -> cel.Expression:
        """The program of a widened formula. Raises FormulaFault with the author's column."""
        if self._env is None:
            self._env = self._environment()
        try:
            return self._env.compile(widened.text)
        except RuntimeError as error:
            raise _refused(str(error), widened) from error

    def evaluate(self, program: cel.Expression, data: Mapping[str, object], values: Values) -> cel.Value:
        """The value of a program. A function that has no result raises its ValueError here."""
        with self._asking(values):
            result = program.eval(data=data)
            if self._trouble is not None:
                raise self._trouble
            return result

    @contextmanager
    def _asking(self, values: Values) -> Iterator[None]:
        """CEL calls functions without saying for whom: who asks is kept here, one at a time."""
        with self._lock:
            before = self._asked
            self._asked, self._trouble = values, None
            try:
                yield
            finally:
                self._asked = before

    def _environment(self) -> cel.Env:
        from cel_expr_python import cel  # 10 ms, and only where there is a formula

        types: dict[Kind, cel.Type] = {
            "number": cel.Type.DOUBLE,
            "text": cel.Type.STRING,
            "truth": cel.Type.BOOL,
            "texts": cel.Type.List(cel.Type.STRING),
        }
        variables = {name: types[declared.kind] for name, declared in self.scope.names.items()}
        functions = [
            cel.FunctionDecl(
                function.name,
                [
                    cel.Overload(
                        f"{function.name}_{count}",
                        types[function.gives],
                        [types[parameter.kind] for parameter in function.parameters[:count]],
                        False,  # noqa: FBT003 - CEL's own order: not a member function
                        self._asker(function),
                    )
                    for count in range(function.least, len(function.parameters) + 1)
                ],
            )
            for function in FUNCTIONS.values()
        ]
        return cel.NewEnv(variables=variables, functions=functions)

    def _asker(self, function: Function) -> _Asker:
        return _Asker(self, function)

    def ask(self, function: Function, arguments: tuple[float | str, ...]) -> float | bool:
        """What `function` gives for whoever is asking now."""
        if self._asked is None:
            raise ValueError(f"Nobody asks for {function.name}.")
        try:
            result = self._asked.call(function.name, arguments)
        except ValueError as trouble:
            self._trouble = trouble
            raise
        return bool(result) if function.gives == "truth" else float(result)


class _Asker:
    """A function as CEL calls it."""

    def __init__(self, engine: Engine, function: Function) -> None:
        self._engine = engine
        self._function = function

    def __call__(self, *arguments: float | str) -> float | bool:
        return self._engine.ask(self._function, arguments)


def _refused(message: str, widened: Widened) -> FormulaFault:
    """A formula that our own checks let through and CEL does not: its first words, at the author's column."""
    found = re.search(r"<input>:\d+:(\d+): ([^\n]*)", message)
    column = widened.column(int(found[1])) if found else 1
    said = found[2] if found else message.splitlines()[0]
    return FormulaFault("C20", f"The formula cannot be used: {said}.", "Write it in a simpler way.", column)
