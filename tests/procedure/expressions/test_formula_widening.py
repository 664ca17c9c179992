"""Whole numbers are widened to decimals without changing what a formula means or where its parts are."""

from __future__ import annotations

import math

import pytest
from formula_scope import SCOPE, Known
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from trainer.procedure.engine import Engine
from trainer.procedure.expressions import FormulaFault, compile_formula
from trainer.procedure.tokens import tokenize, widen
from trainer.procedure.vocabulary import Kind

patient = settings(deadline=None)
"""A busy machine is no failure."""

ENGINE = Engine(SCOPE)
VALUES = {"settings.exposure": 24.0, "readings.vacuum": 21.5, "readings.wedge": 4.0, "plate.passes": True}

numbers = st.one_of(
    st.integers(0, 1000).map(str),
    st.decimals(0, 1000, places=2).map(str),
    st.sampled_from(["settings.exposure", "readings.vacuum", "readings.wedge"]),
)
"""Numbers as an author writes them, whole and with a point, and values by name."""


def _sums(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.one_of(
        st.tuples(inner, st.sampled_from(["+", "-", "*", "/"]), inner).map(" ".join),
        st.tuples(inner, st.sampled_from(["+", "-", "*", "/"]), inner).map("".join),
        inner.map("({})".format),
        inner.map("-({})".format),
    )


sums = st.recursive(numbers, _sums, max_leaves=8)
comparisons = st.tuples(sums, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), sums).map(" ".join)


def _conditions(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.one_of(
        st.tuples(inner, st.sampled_from(["&&", "||"]), inner).map(" ".join),
        inner.map("({})".format),
        inner.map("!({})".format),
    )


conditions = st.recursive(comparisons, _conditions, max_leaves=6)


def in_python(formula: str) -> object:
    """The formula as Python reckons it, whose whole numbers and decimals mix. Division by zero raises."""
    written = formula.replace("&&", " and ").replace("||", " or ").replace("!=", "\0").replace("!", " not ")
    names = {name.replace(".", "_"): value for name, value in VALUES.items()}
    for name in VALUES:
        written = written.replace(name, name.replace(".", "_"))
    return eval(written.replace("\0", "!="), {"__builtins__": {}}, names)  # noqa: S307 - made by this test


@given(sums)
@patient
def test_a_widened_sum_is_what_python_reckons(formula: str) -> None:
    """Whole numbers, decimals and values in one sum give what Python gives, whose numbers mix freely."""
    try:
        expected = in_python(formula)
    except ZeroDivisionError:
        assume(False)  # noqa: FBT003 - hypothesis's own way to leave an example out
    assert isinstance(expected, int | float)
    found = compile_formula(formula, SCOPE, "number", ENGINE).number(Known(VALUES))
    assert math.isclose(found, expected, rel_tol=1e-9, abs_tol=1e-9)


@given(conditions)
@patient
def test_a_widened_condition_decides_as_python_does(formula: str) -> None:
    """Comparisons of sums, joined and negated, come out as in Python."""
    try:
        expected = in_python(formula)
    except ZeroDivisionError:
        assume(False)  # noqa: FBT003 - hypothesis's own way to leave an example out
    # A side that Python never looked at may divide by zero; ours is looked at in the same order.
    assert compile_formula(formula, SCOPE, "truth", ENGINE).truth(Known(VALUES)) is expected


@given(st.lists(st.sampled_from(["6", "10", "0.5", "readings.wedge", " ", "+", "(", ")", "'6 6'", ">="])))
@patient
def test_every_column_of_a_widened_formula_leads_back(parts: list[str]) -> None:
    """The start of each token in the widened text is led back to its column in the author's text."""
    text = " ".join(parts)
    tokens = tokenize(text)
    widened = widen(text, tokens)
    grown = 0
    for token in tokens:
        assert text[token.start : token.end] == token.text
        at = token.start + grown
        assert widened.text[at : at + len(token.text)] == token.text
        assert widened.column(at + 1) == token.column
        if token.kind == "number" and "." not in token.text:
            assert widened.text[at + len(token.text) : at + len(token.text) + 2] == ".0"
            assert widened.column(at + len(token.text) + 1) == token.end
            grown += 2
    assert len(widened.text) == len(text) + grown


def test_a_text_that_looks_like_a_number_is_not_widened() -> None:
    """Digits inside quotes and digits of names stay as they are."""
    text = "answers.q6 == '6' && 6 > 5"
    assert widen(text, tokenize(text)).text == "answers.q6 == '6' && 6.0 > 5.0"


def test_cel_s_own_column_is_led_back_over_widened_numbers() -> None:
    """What CEL itself refuses after two widened numbers is told at the author's column."""
    text = "1 + 22 + nothing > 3"
    with pytest.raises(FormulaFault) as caught:
        ENGINE.compile(widen(text, tokenize(text)))
    assert (caught.value.code, caught.value.column) == ("C20", text.index("nothing") + 1)


PIECES = (
    *("6", "0.5", "readings.wedge", "answers.rings", "answers.leaks", "plate.passes", "'still'", "'tape'"),
    *("true", "false", "+", "-", "*", "/", "<", "<=", "==", "!=", "&&", "||", "!", "?", ":", "(", ")", "["),
    *("]", ",", "in", "min(", "tries('expose')", "taken('readings.wedge')", "round("),
)


def fault_of(text: str, wanted: Kind) -> FormulaFault | None:
    """What is wrong with a formula, if anything."""
    try:
        compile_formula(text, SCOPE, wanted, ENGINE)
    except FormulaFault as fault:
        return fault
    return None


@given(st.lists(st.sampled_from(PIECES), max_size=12), st.sampled_from(["truth", "number", "text"]))
@patient
def test_what_our_own_checks_let_through_cel_takes(parts: list[str], wanted: Kind) -> None:
    """Any heap of tokens either compiles or gives a fault of our own; CEL never has to refuse it."""
    text = " ".join(parts)
    fault = fault_of(text, wanted)
    assert fault is None or (fault.code != "C20" and 1 <= fault.column <= len(text) + 1), text
