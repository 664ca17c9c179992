"""Which values are surely taken when a step is shown: a data flow over the ways of a procedure.

A value counts where every way to a step takes it. `taken('x')` in a guard is understood on both sides of the
guard. A spoiled plate gives back what was taken since `new_plate_from` was first shown, save what keeps.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from typing import NamedTuple

from trainer.procedure.expressions import Expression
from trainer.procedure.graph import dominators, edges, next_of, steps_of, with_new_plates
from trainer.procedure.model import Procedure, Step
from trainer.procedure.name_sets import NameSet, bits_of
from trainer.procedure.plan import Way
from trainer.procedure.scope import Scope, declared_by
from trainer.procedure.subset import Binary, Call, Choice, Name, Node, Text, Unary, children
from trainer.procedure.vocabulary import MEASURES

Names = frozenset[str]
NONE: Names = frozenset()


def facts(node: Node, *, truth: bool) -> Names:
    """The values that are taken where `node` gives `truth`, as far as its calls of `taken` say so."""
    match node:
        case Call(function="taken", arguments=(Text(value=name),)):
            return frozenset({name}) if truth else NONE
        case Unary(sign="!", operand=operand):
            return facts(operand, truth=not truth)
        case Binary(sign="&&" | "||" as sign, left=left, right=right):
            one, other = facts(left, truth=truth), facts(right, truth=truth)
            return one | other if truth is (sign == "&&") else one & other
    return NONE


def missing(node: Node, have: AbstractSet[str]) -> list[Name]:
    """The values that `node` reads and that may not be there, where those of `have` are, left to right."""
    match node:
        case Name(name=name):
            return [] if name in have else [node]
        case Binary(sign="&&" | "||" as sign, left=left, right=right):
            known = have | facts(left, truth=sign == "&&")
            return [*missing(left, have), *missing(right, known)]
        case Choice(condition=condition, yes=yes, no=no):
            when_yes, when_no = facts(condition, truth=True), facts(condition, truth=False)
            return [*missing(condition, have), *missing(yes, have | when_yes), *missing(no, have | when_no)]
    return [name for child in children(node) for name in missing(child, have)]


class Move(NamedTuple):
    """A way from one step to another, and the values that its guards say are taken on it."""

    source: str
    target: str
    sure: Names = NONE


class Flow(NamedTuple):
    """shown: the values surely taken when a step is shown. finished: those when its task is finished."""

    shown: Mapping[str, AbstractSet[str]]
    finished: Mapping[str, AbstractSet[str]]


def always_there(scope: Scope) -> Names:
    """The values that are there from the first step on: settings, and the plate's number."""
    return frozenset(
        name
        for name in scope.names
        if name.startswith("settings.") or (name.startswith("plate.") and MEASURES[name[6:]].always)
    )


def flow_of(
    procedure: Procedure,
    scope: Scope,
    expressions: Mapping[tuple[str, str], Expression],
    ways: Mapping[str, tuple[Way, ...]],
) -> Flow:
    """The values surely taken at each step that a run can reach."""
    steps = steps_of(procedure)
    first = next(iter(steps))
    graph = with_new_plates(edges(procedure), procedure)
    nearest = dominators(graph, first)
    # In the order that ways lead from the first step, so that a long way back in the file is one pass too.
    order = {node: number for number, node in enumerate(nearest)}
    moves = [move for move in _moves(procedure, expressions, ways) if move.source in nearest]
    moves.sort(key=lambda move: order[move.source])
    # Where a plate can be spoiled, where that leads, and whether a run has surely been there before.
    back = [
        (step.id, target, step.id in after)
        for stage in procedure.stages
        if (target := stage.new_plate_from) in nearest and target is not None
        for after in [_dominated(nearest, target)]
        for step in stage.steps
        if step.id in nearest
    ]
    places = {name: number for number, name in enumerate(scope.names)}
    there = bits_of(always_there(scope), places)
    lasting = there | bits_of(
        (name for name, found in scope.taken_at.items() if all(one.keeps for one in found)), places
    )
    given = {step.id: bits_of(_taken_by(step), places) for step in steps.values()}
    sure = [(move.source, move.target, given[move.source] | bits_of(move.sure, places)) for move in moves]
    # Everything at first, then less and less until nothing changes: the greatest fixed point.
    shown = dict.fromkeys((node for node in nearest if node in steps), (1 << len(places)) - 1)
    shown[first] = there
    changed = True
    while changed:
        before = dict(shown)
        for source, target, taken in sure:
            if target in shown:
                shown[target] &= shown[source] | taken
        for source, target, been_there in back:
            shown[target] &= shown[source] & (lasting | shown[target] if been_there else lasting)
        changed = shown != before
    return Flow(
        {step: NameSet(bits, places) for step, bits in shown.items()},
        {step: NameSet(bits | given[step], places) for step, bits in shown.items()},
    )


def _dominated(nearest: Mapping[str, str], target: str) -> set[str]:
    """The steps that no run comes to without having been at `target`; `nearest` as from `dominators`."""
    found = {target}
    for node, above in nearest.items():  # what lies before a node stands before it
        if above in found:
            found.add(node)
    return found


def _taken_by(step: Step) -> Names:
    declared = declared_by(step)
    return frozenset({declared.name}) if declared is not None else NONE


def _moves(
    procedure: Procedure,
    expressions: Mapping[tuple[str, str], Expression],
    ways: Mapping[str, tuple[Way, ...]],
) -> Iterable[Move]:
    following = next_of(procedure)
    for step in steps_of(procedure).values():
        refused = NONE
        for way in ways.get(step.id, ()):
            yield Move(step.id, way.to, refused | facts(way.when.tree, truth=True))
            refused |= facts(way.when.tree, truth=False)
        ok = expressions.get((step.id, "ok"))
        yield Move(step.id, following[step.id], refused | (facts(ok.tree, truth=True) if ok else NONE))
        if ok is not None:
            yield Move(step.id, step.id, refused | facts(ok.tree, truth=False))
