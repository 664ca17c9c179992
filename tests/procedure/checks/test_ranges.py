"""What is said never to hold never holds, and what is said always to hold does: tried with values at random.

The other side is CEL itself, which evaluates the formula for each draw.
"""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.procedure.engine import Taken
from trainer.procedure.expressions import compile_formula
from trainer.procedure.ranges import Ranges, Span, Words, narrowed, span, truths
from trainer.procedure.scope import Declared, Scope
from trainer.procedure.tokens import FormulaFault

patient = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
"""A busy machine is no failure."""

NUMBERS = {"readings.a": (0.0, 10.0), "readings.b": (-5.0, 5.0), "settings.c": (3.0, 3.5)}
KEYS = ("x", "y", "z")
_NAMES = [Declared(name, "number", "step") for name in NUMBERS] + [Declared("answers.t", "text", keys=KEYS)]
SCOPE = Scope({one.name: one for one in _NAMES}, {one.name: (one,) for one in _NAMES}, frozenset({"s"}))
RANGES: Ranges = {
    **{name: Span(*limits) for name, limits in NUMBERS.items()},
    "answers.t": Words(frozenset(KEYS)),
    "tries('s')": Span(1),
}

numbers = st.recursive(
    st.sampled_from([*NUMBERS, "tries('s')"]) | st.integers(-6, 12).map(str),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-*/"), inner).map(lambda found: f"({' '.join(found)})"),
        inner.map(lambda one: f"-({one})"),
        st.tuples(st.sampled_from(["min", "max"]), inner, inner).map(
            lambda found: f"{found[0]}({found[1]}, {found[2]})"
        ),
    ),
    max_leaves=4,
)
comparisons = st.one_of(
    st.tuples(numbers, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), numbers).map(" ".join),
    st.tuples(st.sampled_from(["==", "!="]), st.sampled_from(KEYS)).map(
        lambda found: f"answers.t {found[0]} '{found[1]}'"
    ),
    st.lists(st.sampled_from(KEYS), min_size=1).map(lambda found: f"answers.t in {found}"),
)
conditions = st.recursive(
    comparisons,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(["&&", "||"]), inner).map(lambda found: f"({' '.join(found)})"),
        inner.map(lambda one: f"!({one})"),
        st.tuples(inner, inner, inner).map(lambda found: f"({found[0]} ? {found[1]} : {found[2]})"),
    ),
    max_leaves=4,
)


class Drawn:
    """Values at random, each in its range."""

    def __init__(self, data: st.DataObject) -> None:
        self.values: dict[str, Taken] = {
            name: data.draw(st.sampled_from((low, (low + high) / 2, high)) | st.floats(low, high))
            for name, (low, high) in NUMBERS.items()
        }
        self.values["answers.t"] = data.draw(st.sampled_from(KEYS))
        self.tries = float(data.draw(st.integers(1, 12)))

    def value(self, name: str) -> Taken | None:
        """The value under a dotted name."""
        return self.values.get(name)

    def call(self, function: str, arguments: tuple[float | str, ...]) -> float | bool:
        """`tries`, `min` and `max`."""
        if function == "tries":
            return self.tries
        given_ = [float(one) for one in arguments]
        return min(given_) if function == "min" else max(given_)


@patient
@given(conditions, st.data())
def test_what_cannot_be_never_is(text: str, data: st.DataObject) -> None:
    """For any condition and any values in their ranges, what CEL gives was said to be possible."""
    formula = compile_formula(text, SCOPE, "truth")
    possible = truths(formula.tree, RANGES)
    for _ in range(5):
        try:
            result = formula.truth(Drawn(data))
        except FormulaFault:
            continue  # it divides by zero
        assert result in possible


@patient
@given(conditions, conditions, st.data())
def test_narrowing_keeps_all_that_is_left(above: str, text: str, data: st.DataObject) -> None:
    """Where a condition above does not hold, what the next one gives is said to be possible there."""
    first, second = (compile_formula(one, SCOPE, "truth") for one in (above, text))
    left = truths(second.tree, narrowed(first.tree, RANGES, truth=False))
    held = truths(second.tree, narrowed(first.tree, RANGES, truth=True))
    for _ in range(5):
        values = Drawn(data)
        try:
            before, result = first.truth(values), second.truth(values)
        except FormulaFault:
            continue  # it divides by zero
        assert result in (held if before else left)


@patient
@given(numbers, st.data())
def test_every_number_lies_in_its_span(text: str, data: st.DataObject) -> None:
    """For any sum over values in their ranges, the result lies in the span that was worked out for it."""
    formula = compile_formula(text, SCOPE, "number")
    found = span(formula.tree, RANGES)
    for _ in range(5):
        try:
            result = formula.number(Drawn(data))
        except FormulaFault:
            continue  # it divides by zero
        assert found.low - 1e-9 <= result <= found.high + 1e-9
