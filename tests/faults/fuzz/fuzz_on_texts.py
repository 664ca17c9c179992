"""Fuzzed: what is written in a formula, and what somebody types."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from fuzz_kit import Target, can_be_said, shipped
from run_kit import Sink

from trainer.procedure.expressions import FormulaFault, compile_formula
from trainer.procedure.load import load
from trainer.procedure.problems import Mistake
from trainer.procedure.quantity import parse as parse_quantity
from trainer.procedure.scope import Scope, scope_of
from trainer.procedure.text import clean
from trainer.procedure.tokens import tokenize, widen
from trainer.procedure.vocabulary import FUNCTIONS as SIGNATURES
from trainer.procedure.vocabulary import Kind
from trainer.record.codes import code
from trainer.run.functions import FUNCTIONS
from trainer.run.refusals import Refused

KINDS: tuple[Kind, ...] = ("truth", "number", "text", "texts")


class Guessed:
    """Values for formulas: all of them taken, every number the same awkward one."""

    def __init__(self, scope: Scope, number: float) -> None:
        self.number = number
        self.scope = scope

    def value(self, name: str) -> float | bool | str | tuple[str, ...]:
        """A value of the declared kind."""
        values: Mapping[Kind, float | bool | str | tuple[str, ...]] = {
            "number": self.number,
            "text": "clean",
            "truth": True,
            "texts": ("a", "b"),
        }
        return values[self.scope.names[name].kind]

    def call(self, function: str, arguments: tuple[float | str, ...]) -> float | bool:
        """As a run answers."""
        if function in FUNCTIONS:
            return FUNCTIONS[function](*arguments)
        return 3.0 if SIGNATURES[function].gives == "number" else True


def formulas() -> Target:
    """A formula: its pieces, its widening, its tree, CEL, its value and its working."""
    scope = scope_of(load(shipped()).require().procedure)

    def target(data: bytes) -> None:
        text = clean(data.decode("utf-8", "replace"))  # as the reader hands it on
        for wanted in KINDS:
            try:
                expression = compile_formula(text, scope, wanted)
            except FormulaFault as fault:
                _points_inside(fault, text)
                continue
            _widens_back(text)
            for number in (0.0, 22.0, -1e9):
                try:
                    expression.value(Guessed(scope, number))
                    expression.working(Guessed(scope, number))
                except FormulaFault as fault:
                    can_be_said(fault.message)

    return target


def _points_inside(fault: FormulaFault, text: str) -> None:
    assert 1 <= fault.column <= len(text) + 1, f"column {fault.column} of {len(text)}"


def _widens_back(text: str) -> None:
    """Every column of a widened formula leads to one of the author's, in order."""
    tokens = tokenize(text)
    widened = widen(text, tokens)
    columns = [widened.column(place) for place in range(1, len(widened.text) + 1)]
    assert all(1 <= column <= len(text) for column in columns)
    assert columns == sorted(columns)
    assert len(widened.text) == len(text) + 2 * len(widened.insertions)
    assert [token.kind for token in tokenize(widened.text)] == [token.kind for token in tokens]


def typed() -> Target:
    """What somebody types: a number at a reading, its unit, a code, a quantity."""
    sink = Sink.open().until("read-gauge")

    def target(data: bytes) -> None:
        text = data.decode("utf-8", "surrogateescape")
        for number, unit in ((text, ""), ("22", text)):
            sink.settle()
            try:
                sink.run.enter(number, unit)
            except Refused as refused:
                can_be_said(refused)
            if sink.run.state.step != "read-gauge":
                sink.run.spoil("again")
                sink.until("read-gauge")
        for read in (partial(code, text), partial(parse_quantity, clean(text))):
            try:
                read()
            except (ValueError, Mistake) as wrong:
                can_be_said(wrong)

    return target
