"""What formulas give: never anything that only looks like true, and a sentence where nothing is to give."""

from __future__ import annotations

import subprocess
import sys

import pytest
from formula_scope import SCOPE, Known

from trainer.procedure.engine import Taken
from trainer.procedure.expressions import FormulaFault, compile_formula

FULL: dict[str, Taken] = {
    "settings.exposure": 24.0,
    "settings.vacuum_floor": 20,
    "settings.wedge_target": 6,
    "readings.vacuum": 21.5,
    "readings.wedge": 4.0,
    "answers.rings": "still",
    "answers.leaks": ("tape", "film"),
    "worked.units": 48.0,
    "plate.number": 2,
    "plate.passes": True,
}


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("readings.vacuum >= settings.vacuum_floor", True),
        ("readings.vacuum < settings.vacuum_floor && tries('read-gauge') >= 3", False),
        ("readings.vacuum >= settings.vacuum_floor && tries('read-gauge') >= 3", True),
        ("answers.rings == 'still'", True),
        ('answers.rings != "still"', False),
        ("answers.rings in ['moving', 'still']", True),
        ("readings.wedge in [3, 4, 5]", True),
        ("'film' in answers.leaks", True),
        ("'opaque' in answers.leaks", False),
        ("answers.leaks == ['tape', 'film']", True),
        ("plate.number == 2 && plate.passes", True),
        ("taken('readings.wedge') && !taken('readings.vacuum')", False),
        ("abs(readings.wedge - settings.wedge_target) < 0.5", False),
        ("readings.wedge\n  < settings.wedge_target", True),
        ("!(readings.wedge > 5) && true", True),
    ],
)
def test_a_condition_gives_true_or_false(formula: str, expected: bool) -> None:
    """Each condition comes out as the values say. Worked out by hand."""
    assert compile_formula(formula, SCOPE, "truth").truth(Known(FULL, tries=3)) is expected


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("exposure_for_step(settings.exposure, readings.wedge, settings.wedge_target)", 24 * 10**0.3),
        ("readings.wedge > 5 ? 1 : 2", 2.0),
        ("min(3, readings.wedge)", 3.0),
        ("max(3, readings.wedge, 9)", 9.0),
        ("round(2.5) + round(-2.5)", 0.0),
        ("round_to(47.9, 0.5)", 48.0),
        ("steps_between(24, 48)", 2.0069),
        ("(settings.exposure + 1) * -2 / 4", -12.5),
        ("7 / 2", 3.5),
        ("1e2 + .5", 100.5),
    ],
)
def test_a_sum_gives_a_number(formula: str, expected: float) -> None:
    """Each sum comes out as worked out by hand; division never drops what is behind the point."""
    assert compile_formula(formula, SCOPE, "number").number(Known(FULL)) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    "formula",
    [
        "readings.vacuum > 20",
        "!(readings.vacuum > 20)",
        "readings.vacuum > 20 ? true : false",
        "plate.passes",
    ],
)
def test_a_value_that_is_not_taken_is_never_true(formula: str) -> None:
    """CEL answers a missing value with a text, which counts as true in Python; here it is a sentence."""
    with pytest.raises(FormulaFault) as caught:
        compile_formula(formula, SCOPE, "truth").truth(Known())
    assert caught.value.code == "C18"
    assert "has no value yet" in str(caught.value)


def test_a_value_that_is_not_taken_may_stand_behind_a_guard() -> None:
    """`taken` before `&&` keeps a formula from asking for what is not there."""
    expression = compile_formula("taken('readings.vacuum') && readings.vacuum > 20", SCOPE, "truth")
    assert expression.truth(Known()) is False
    assert expression.truth(Known({"readings.vacuum": 21.0})) is True


@pytest.mark.parametrize(
    "formula",
    ["1 / 0 > 2", "1 / (readings.wedge - 4) > 2", "!(1 / 0 > 2)", "plate.passes && 1 / 0 > 2", "0 / 0 == 1"],
)
def test_division_by_zero_decides_nothing(formula: str) -> None:
    """CEL takes 1 / 0 as infinite and compares it; here no guard is decided by it."""
    with pytest.raises(FormulaFault) as caught:
        compile_formula(formula, SCOPE, "truth").truth(Known(FULL))
    assert caught.value.code == "C19"


def test_division_by_zero_that_nobody_asks_for_is_none() -> None:
    """A division behind a guard that is false is not worked out."""
    expression = compile_formula("readings.wedge != 4 && 1 / (readings.wedge - 4) > 2", SCOPE, "truth")
    assert expression.truth(Known(FULL)) is False


@pytest.mark.parametrize("formula", ["1 / 0", "0 / 0", "1e300 * 1e300", "exposure_for_step(24, 0, 9999)"])
def test_a_number_that_is_not_finite_is_no_result(formula: str) -> None:
    """What grows out of bounds is told as such and never shown as a number."""
    with pytest.raises(FormulaFault) as caught:
        compile_formula(formula, SCOPE, "number").number(Known(FULL))
    assert caught.value.code == "C19"


def test_a_function_without_a_result_says_why() -> None:
    """The sentence of the function itself reaches the person, and the next evaluation is free of it."""
    expression = compile_formula("steps_between(readings.wedge, 24)", SCOPE, "number")
    with pytest.raises(FormulaFault, match="more than zero"):
        expression.number(Known({"readings.wedge": 0.0}))
    assert expression.number(Known({"readings.wedge": 24.0})) == 0.0


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("readings.vacuum", "21"),
        ("readings.vacuum", True),
        ("readings.vacuum", float("nan")),
        ("plate.passes", 1.0),
    ],
)
def test_a_value_of_another_kind_is_told(name: str, value: Taken) -> None:
    """A value that is not what its name declares stops the formula with a sentence."""
    formula = "plate.passes" if name == "plate.passes" else "readings.vacuum > 20"
    with pytest.raises(FormulaFault) as caught:
        compile_formula(formula, SCOPE, "truth").truth(Known({name: value}))
    assert caught.value.code == "C18"


def test_a_number_is_not_taken_for_true_or_false() -> None:
    """Asking a number for its truth, or a condition for its number, is refused."""
    with pytest.raises(FormulaFault):
        compile_formula("readings.wedge", SCOPE, "number").truth(Known(FULL))
    with pytest.raises(FormulaFault):
        compile_formula("plate.passes", SCOPE, "truth").number(Known(FULL))


@pytest.mark.parametrize(
    ("formula", "unit", "expected"),
    [
        (
            "exposure_for_step(settings.exposure, readings.wedge, settings.wedge_target)",
            "units",
            "24 units \u00d7 10^(0.15 \u00d7 (6 \u2212 4)) = 47.89 units",
        ),
        (
            "round_to(exposure_for_step(settings.exposure, readings.wedge, 6), 0.5)",
            "units",
            "24 units \u00d7 10^(0.15 \u00d7 (6 \u2212 4)) = 47.89 units, to the nearest 0.5: 48 units",
        ),
        (
            "units_at_distance(settings.exposure, 1000, 1000 + 200)",
            "units",
            "24 units \u00d7 ((1000 + 200) / 1000)^2 = 34.56 units",
        ),
        ("developer_for(250, 400, 7.5)", "mL", "250 \u00d7 400 / 10000 \u00d7 7.5 = 75 mL"),
        ("time_at(60, 22, 12, 2)", "s", "60 \u00d7 2^((22 \u2212 12) / 10) = 2 min"),
        ("worked.units * 2", "units", "48 units \u00d7 2 = 96 units"),
        ("(settings.exposure + 1) * 3", "units", "(24 units + 1) \u00d7 3 = 75 units"),
        ("settings.exposure - (1 - 3)", "units", "24 units \u2212 (1 \u2212 3) = 26 units"),
        ("readings.wedge > 5 ? settings.exposure : worked.units / 3", "units", "48 units / 3 = 16 units"),
        ("round(readings.vacuum)", "inHg", "21.5 inHg, to the nearest whole number: 22 inHg"),
        ("max(readings.vacuum, 20)", "inHg", "max(21.5 inHg, 20) = 21.5 inHg"),
    ],
)
def test_the_working_has_the_numbers_and_the_result(formula: str, unit: str, expected: str) -> None:
    """The working reads as one writes it beside the plate. Worked out by hand."""
    expression = compile_formula(formula, SCOPE, "number", unit=unit)
    assert expression.working(Known(FULL)) == expected


def test_an_expression_says_what_it_asks_for() -> None:
    """Names and counted steps are known without evaluating."""
    expression = compile_formula("readings.vacuum < 20 && tries('read-gauge') > 2", SCOPE, "truth")
    assert expression.names_used == {"readings.vacuum"}
    assert expression.tries_used == {"read-gauge"}


def test_importing_expressions_imports_no_cel() -> None:
    """A fresh interpreter that imports the room's formulas has not loaded CEL."""
    code = "import sys, trainer.procedure.expressions; print('cel_expr_python' in sys.modules)"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "False"
