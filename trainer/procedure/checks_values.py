"""A value must be taken on every way to where it is used; a bench measure exists only in a rehearsal."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from trainer.procedure.checks_subject import Subject
from trainer.procedure.checks_targets import amounts
from trainer.procedure.expressions import Expression
from trainer.procedure.flow import Flow, facts, flow_of, missing
from trainer.procedure.graph import Placed, said, shortest_way
from trainer.procedure.problems import Path
from trainer.procedure.subset import Name, column
from trainer.procedure.tokens import FormulaFault

REHEARSED = ("bench.", "seen.", "right")
"""Keys of formulas that only walks and rehearsals look at; the bench may be asked there."""


def check_values(subject: Subject) -> None:
    """Every formula and every amount, at every step that can be reached."""
    flow = flow_of(subject.procedure, subject.scope, subject.expressions, subject.ways)
    witness = _Witness(subject)
    for one in subject.placed:
        name = one.step.id
        if name not in flow.shown:
            continue
        for key, amount in amounts(one):
            if isinstance(amount, str) and amount in subject.scope.names and amount not in flow.shown[name]:
                subject.report.error("G14", (*one.path, "wait", key), *witness.words(amount, name))
        for expression, path, have in _formulas(one, flow, subject):
            lacking = {found.name: found for found in reversed(missing(expression.tree, have))}
            for found in lacking.values():
                subject.report.fault(witness.fault(found, name), path, expression.text)


def _formulas(
    one: Placed, flow: Flow, subject: Subject
) -> Iterator[tuple[Expression, Path, AbstractSet[str]]]:
    """Each formula of a step, its path in the file, and what is surely taken when it is evaluated."""
    shown, finished = flow.shown[one.step.id], flow.finished[one.step.id]
    for key, expression, path in subject.formulas_of(one):
        have = finished if key == "ok" else shown
        if key.startswith(REHEARSED):
            have |= frozenset(name for name in expression.names_used if name.startswith("plate."))
        yield expression, path, have
    for way, path in subject.ways_of(one):
        yield way.when, path, finished
        finished |= facts(way.when.tree, truth=False)


class _Witness:
    """Says how a run comes to a step without a value."""

    def __init__(self, subject: Subject) -> None:
        self._graph = subject.graph
        self._scope = subject.scope
        self._first = subject.first
        self._plates = dict.fromkeys(
            stage.new_plate_from
            for stage in subject.procedure.stages
            if stage.new_plate_from in subject.graph
        )

    def fault(self, name: Name, step: str) -> FormulaFault:
        """The fault of a value used at `step`."""
        message, help_ = self.words(name.name, step)
        code = "G15" if name.name.startswith("plate.") else "G14"
        return FormulaFault(code, message, help_, column(name))

    def words(self, name: str, step: str) -> tuple[str, str]:
        """What is wrong, and what to write instead."""
        if name.startswith("plate."):
            return (
                f"`{name}` is measured by the bench, and a wet run has no bench.",
                f"Ask first, `taken('{name}') && ...`; in a wet run let the trainee read or judge it.",
            )
        takers = [taker.step for taker in self._scope.taken_at[name] if taker.step is not None]
        avoiding = frozenset(taker for taker in takers if taker != step)
        ask = f"Or ask first, in a formula: `taken('{name}') && ...`."
        way = shortest_way(self._graph, self._first, step, avoiding)
        if way is not None and len(way) > 1:
            return (
                f"A run can come to `{step}` without `{name}`: {said(way)}.",
                f"Let that way lead over `{takers[0]}`, which takes it. {ask}",
            )
        if way is not None:
            return (
                f"`{name}` is used at `{step}` and not taken before it.",
                f"Use it in a step after `{takers[0]}`, which takes it. {ask}",
            )
        for start in self._plates:
            back = shortest_way(self._graph, start, step, avoiding) if start is not None else None
            if back is not None:
                return (
                    f"After a spoiled plate a run comes to `{step}` without `{name}`: {said(back)}.",
                    f"Take it again after `{start}`, or let it outlive the plate with `keeps: run`. {ask}",
                )
        return (f"A run can come to `{step}` without `{name}`.", f"Take it on every way to this step. {ask}")
