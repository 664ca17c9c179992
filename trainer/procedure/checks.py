"""What must hold between the parts of a procedure file: its formulas, its ways, its names.

`compile_all` first, then `check_graph` with what it gave. Both take whatever file has the right shape and
never raise; each problem has a place, a code, what is wrong and what to write instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from typing import NamedTuple

from trainer.procedure.checks_formulas import compile_formulas
from trainer.procedure.checks_guards import check_guards
from trainer.procedure.checks_hazards import check_hazards
from trainer.procedure.checks_names import check_twice, check_unused
from trainer.procedure.checks_report import Enough, Report
from trainer.procedure.checks_subject import Subject
from trainer.procedure.checks_targets import check_targets
from trainer.procedure.checks_tasks import check_quizzes, check_units, check_waits
from trainer.procedure.checks_values import check_values
from trainer.procedure.checks_ways import check_ways
from trainer.procedure.expressions import Expression
from trainer.procedure.graph import edges, placed_steps
from trainer.procedure.model import Procedure
from trainer.procedure.plan import Way
from trainer.procedure.problems import Problem, in_order
from trainer.procedure.reader import Tree
from trainer.procedure.scope import scope_of


class Compiled(NamedTuple):
    """expressions: by (step id, key) as `Plan` has them. ways: the guarded ways of every step."""

    expressions: dict[tuple[str, str], Expression]
    ways: dict[str, tuple[Way, ...]]
    problems: tuple[Problem, ...]


def compile_all(procedure: Procedure, tree: Tree) -> Compiled:
    """Every formula of `procedure`, compiled. What does not compile is left out and told as a problem."""
    report = Report(tree)
    scope = scope_of(procedure)
    try:
        check_twice(scope, report)
        compiler = compile_formulas(procedure, scope, report)
    except Enough:
        return Compiled({}, {}, in_order(report.problems))
    return Compiled(compiler.expressions, compiler.ways, in_order(report.problems))


def check_graph(
    procedure: Procedure,
    tree: Tree,
    expressions: Mapping[tuple[str, str], Expression],
    ways: Mapping[str, tuple[Way, ...]],
) -> tuple[Problem, ...]:
    """What is wrong between the parts of `procedure`: targets, ways, hazards, values, names, tasks."""
    report = Report(tree)
    scope = scope_of(procedure)
    placed = placed_steps(procedure)
    subject = Subject(procedure, placed, edges(procedure), scope, expressions, ways, report)
    with suppress(Enough):  # what is found by then is told
        check_targets(procedure, report)
        check_ways(procedure, subject.graph, report)
        check_hazards(subject)
        check_values(subject)
        check_guards(subject)
        check_unused(subject)
        check_waits(procedure, scope, report)
        check_units(subject)
        check_quizzes(procedure, report)
    return in_order(report.problems)
