"""Every formula of a procedure, compiled; what does not compile is told at its own column."""

from __future__ import annotations

from typing import NamedTuple

from trainer.procedure.checks_report import Report
from trainer.procedure.engine import Engine
from trainer.procedure.expressions import Expression, compile_formula
from trainer.procedure.graph import Placed, placed_steps
from trainer.procedure.model import Procedure, Step
from trainer.procedure.own_words import Asked, as_condition, as_limits
from trainer.procedure.plan import Way
from trainer.procedure.problems import Path, nearest
from trainer.procedure.scope import Scope, declared_by
from trainer.procedure.tokens import FormulaFault
from trainer.procedure.units import plain
from trainer.procedure.vocabulary import CONTROLS, Control, Kind


class Formula(NamedTuple):
    """A formula of the file: its text, the kind of value wanted, its path, the unit of the value."""

    text: str
    wanted: Kind
    path: Path
    unit: str = ""
    instead: str = ""
    """What to write where it gives another kind of value."""
    of: Step | None = None
    """The step whose way or reading it decides."""


class Compiler:
    """Compiles the formulas of one procedure with one engine, and keeps what came out."""

    def __init__(self, scope: Scope, report: Report) -> None:
        self.scope = scope
        self.report = report
        self.engine = Engine(scope)
        self.expressions: dict[tuple[str, str], Expression] = {}
        self.ways: dict[str, tuple[Way, ...]] = {}

    def compile(self, formula: Formula) -> Expression | None:
        """The formula compiled, or None where it is told as a problem."""
        try:
            return compile_formula(formula.text, self.scope, formula.wanted, self.engine, formula.unit)
        except FormulaFault as fault:
            if fault.code == "C15" and formula.instead:
                fault.help = formula.instead
            if formula.of is not None and (meant := _meant(formula.text, formula.of, self.scope)):
                fault.help = f"Write `{meant}`."
            self.report.fault(fault, formula.path, formula.text)
            return None

    def keep(self, step: str, key: str, formula: Formula) -> None:
        """Compile and keep under (step, key)."""
        expression = self.compile(formula)
        if expression is not None:
            self.expressions[step, key] = expression


def compile_formulas(procedure: Procedure, scope: Scope, report: Report) -> Compiler:
    """All formulas of `procedure`, and the literal values of its bench controls looked at."""
    compiler = Compiler(scope, report)
    for one in placed_steps(procedure):
        _compile_task(one, procedure, compiler)
        for name, value in one.step.bench.items():
            _compile_control(one, name, value, compiler)
        compiler.ways[one.step.id] = tuple(
            Way(when, way.to)
            for number, way in enumerate(one.step.go)
            if (when := compiler.compile(_guard(one, number)))
        )
    return compiler


def _guard(one: Placed, number: int) -> Formula:
    return Formula(one.step.go[number].when, "truth", (*one.path, "go", number, "when"), of=one.step)


def _meant(text: str, step: Step, scope: Scope) -> str:
    """The formula that is meant where only limits or an answer are written; empty where that is not clear."""
    own = declared_by(step)
    known = sorted(scope.names.values(), key=lambda one: own is None or one.name != own.name)
    asked = (Asked(one.name, one.keys, several=one.kind == "texts") for one in known if one.keys)
    limits = as_limits(text, own.name) if own is not None and own.kind == "number" else ""
    return limits or as_condition(text, asked)


def _compile_task(one: Placed, procedure: Procedure, compiler: Compiler) -> None:
    step = one.step
    if (reading := step.reading) is not None:
        if reading.ok is not None:
            path = (*one.path, "reading", "ok")
            compiler.keep(step.id, "ok", Formula(reading.ok, "truth", path, of=step))
        if isinstance(reading.right, str):
            path = (*one.path, "reading", "right")
            compiler.keep(step.id, "right", Formula(reading.right, "number", path, reading.unit))
    if step.judge is not None:
        for answer, formula in step.judge.seen.items():
            path = (*one.path, "judge", "seen", answer)
            compiler.keep(step.id, f"seen.{answer}", Formula(formula, "truth", path))
    if (work_out := step.work_out) is not None:
        path = (*one.path, "work_out", "from")
        compiler.keep(step.id, "from", Formula(work_out.from_, "number", path, work_out.unit))
    if (offer := step.offer_setting) is not None:
        setting = procedure.settings.get(offer.setting)
        path = (*one.path, "offer_setting", "from")
        compiler.keep(step.id, "from", Formula(offer.from_, "number", path, setting.unit if setting else ""))


def _compile_control(one: Placed, name: str, value: bool | float | str, compiler: Compiler) -> None:
    path = (*one.path, "bench", name)
    control = CONTROLS.get(name)
    if control is None:
        near = nearest(name, CONTROLS)
        help_ = f"Did you mean `{near}`?" if near else f"The controls are {', '.join(CONTROLS)}."
        compiler.report.error_at_key("G21", path, f"The bench has no control called `{name}`.", help_)
    elif isinstance(value, str) and value not in control.options:
        _compile_choice_or_number(one, control, value, compiler)
    elif not isinstance(value, str):
        _check_literal(control, value, path, compiler.report)


def _compile_choice_or_number(one: Placed, control: Control, value: str, compiler: Compiler) -> None:
    """A text that is none of a control's options is a formula; one plain word most likely is a slip."""
    path = (*one.path, "bench", control.name)
    if control.options and value.replace("-", "").replace("_", "").isalnum():
        near = nearest(value, control.options)
        compiler.report.error(
            "G22",
            path,
            f"`{control.name}` cannot be set to `{value}`.",
            f"Did you mean `{near}`?" if near else f"Write one of: {', '.join(control.options)}.",
        )
        return
    options = f"Write one of: {', '.join(control.options)}." if control.options else ""
    formula = Formula(value, control.kind, path, control.unit, options)
    compiler.keep(one.step.id, f"bench.{control.name}", formula)


def _check_literal(control: Control, value: bool | float, path: Path, report: Report) -> None:
    if control.options:
        instead = {True: "on", False: "off"}[value] if isinstance(value, bool) else ""
        fits = instead in control.options
        help_ = f"Write `{instead}`." if fits else f"Write one of: {', '.join(control.options)}."
        shown = str(value).lower() if isinstance(value, bool) else plain(value)
        report.error("G22", path, f"`{control.name}` cannot be set to {shown}.", help_)
    elif isinstance(value, bool) or not control.least <= value <= control.most:
        report.error(
            "G22",
            path,
            f"`{control.name}` goes from {plain(control.least)} to {plain(control.most)} {control.unit}.",
            "Write a number between them, or a formula that gives one.",
        )
