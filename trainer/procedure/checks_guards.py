"""Conditions that can never hold, or always do, whatever the shop sets and the trainee reads."""

from __future__ import annotations

from trainer.procedure.checks_subject import Subject
from trainer.procedure.expressions import Expression
from trainer.procedure.problems import Path
from trainer.procedure.ranges import TRUE, Range, Ranges, Span, Words, key, narrowed, span, truths
from trainer.procedure.subset import Binary, Node, column, walk
from trainer.procedure.tokens import FormulaFault
from trainer.procedure.units import plain
from trainer.procedure.vocabulary import MEASURES

_SHOWN = 3
"""So many ranges are told; nobody takes in more."""


def check_guards(subject: Subject) -> None:
    """Every `ok`, every `seen` and every `go`; a `go` also after those above it, which come first."""
    ranges = ranges_of(subject)
    for one in subject.placed:
        for name, expression, path in subject.formulas_of(one):
            if name == "ok" or name.startswith("seen."):
                _look(subject, expression, path, ranges, ranges)
        here: Ranges = {**ranges, f"tries('{one.step.id}')": Span(1)}
        left: Ranges = here
        for way, path in subject.ways_of(one):
            _look(subject, way.when, path, here, left)
            left = narrowed(way.when.tree, left, truth=False)


def ranges_of(subject: Subject) -> Ranges:
    """What each value of a procedure can be: as declared, or as far as its formula says."""
    ranges: dict[str, Range] = {
        f"plate.{name}": Span(1) if measure.always else None for name, measure in MEASURES.items()
    }
    for name, setting in subject.procedure.settings.items():
        ranges[f"settings.{name}"] = Span(*map(float, setting.between))
    for one in subject.placed:
        ranges[f"tries('{one.step.id}')"] = Span(0)
        if (reading := one.step.reading) is not None:
            ranges[f"readings.{reading.name}"] = Span(*map(float, reading.plausible))
    for name, found in subject.scope.taken_at.items():
        if found[0].kind == "text" and all(one.keys for one in found):
            ranges[name] = Words(frozenset(word for one in found for word in one.keys))
    known = dict(ranges)
    for one in subject.placed:
        formula = subject.expressions.get((one.step.id, "from"))
        if one.step.work_out is not None:
            name = f"worked.{one.step.work_out.name}"
            given = span(formula.tree, known) if formula is not None else Span()
            before = ranges.get(name)
            ranges[name] = given.with_(before) if isinstance(before, Span) else given
    return ranges


def _look(subject: Subject, expression: Expression, path: Path, ranges: Ranges, left: Ranges) -> None:
    """Tell a condition that cannot hold, by itself or where those above it do not; and one that always does.

    `left`: the ranges where the conditions above it do not hold.
    """
    fault = _fault(expression.tree, ranges, left)
    if fault is not None:
        subject.report.fault(fault, path, expression.text, severity="warning")


def _fault(tree: Node, ranges: Ranges, left: Ranges) -> FormulaFault | None:
    by_itself = truths(tree, ranges)
    if True not in by_itself:
        part = _culprit(tree, ranges)
        said = f"This condition can never hold. {_because(part, ranges)}".rstrip()
        help_ = "Look at the sign and the number, or change the range where the value is declared."
        return FormulaFault("G26", said, help_, column(part))
    if True not in truths(tree, left):
        said = "This condition is never come to: where it holds, one above it holds already."
        help_ = "Put it above that one, or write another number or sign."
        return FormulaFault("G26", said, help_, column(tree))
    if by_itself == TRUE:
        said = f"This condition always holds. {_because(tree, ranges)}".rstrip()
        help_ = "Look at the sign and the number; where it is meant so, leave the condition out."
        return FormulaFault("G27", said, help_, column(tree))
    return None


def _culprit(tree: Node, ranges: Ranges) -> Node:
    """The part of a chain of `&&` that never holds by itself; the whole where it takes several."""
    if isinstance(tree, Binary) and tree.sign == "&&":
        for part in (tree.left, tree.right):
            if True not in truths(part, ranges):
                return _culprit(part, ranges)
    return tree


def _because(tree: Node, ranges: Ranges) -> str:
    """The ranges of the values in a condition."""
    named = dict.fromkeys(name for node in walk(tree) if (name := key(node)))
    told = [said for name in named if (said := _said(name, ranges.get(name)))]
    return " ".join(told[:_SHOWN])


def _said(name: str, known: Range) -> str:
    match known:
        case Span(low=low, high=high) if high < float("inf") and low > -float("inf"):
            return f"`{name}` lies between {plain(low)} and {plain(high)}."
        case Span(low=low) if low > -float("inf"):
            return f"`{name}` is {plain(low)} or more."
        case Words(any=words):
            return f"`{name}` is {' or '.join(f'`{word}`' for word in sorted(words))}."
    return ""
