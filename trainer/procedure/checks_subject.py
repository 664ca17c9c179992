"""What the checks look at: a procedure with its graph, its values and its compiled formulas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from trainer.procedure.checks_report import Report
from trainer.procedure.expressions import Expression
from trainer.procedure.graph import Graph, Placed
from trainer.procedure.model import Procedure
from trainer.procedure.plan import Way
from trainer.procedure.problems import Path
from trainer.procedure.scope import Scope


class Subject(NamedTuple):
    """One procedure under the checks. expressions, ways: as in `Plan`, save those that did not compile."""

    procedure: Procedure
    placed: tuple[Placed, ...]
    graph: Graph
    scope: Scope
    expressions: Mapping[tuple[str, str], Expression]
    ways: Mapping[str, tuple[Way, ...]]
    report: Report

    @property
    def first(self) -> str:
        """Id of the first step."""
        return self.placed[0].step.id

    def formulas_of(self, one: Placed) -> Iterator[tuple[str, Expression, Path]]:
        """The formulas of a step, save those of its ways: key, formula, path in the file."""
        step = one.step
        keys = ["ok", "right"] if step.reading is not None else []
        keys += ["from"] if step.work_out is not None or step.offer_setting is not None else []
        keys += [f"seen.{answer}" for answer in step.judge.seen] if step.judge is not None else []
        for key in (*keys, *(f"bench.{control}" for control in step.bench)):
            if (expression := self.expressions.get((step.id, key))) is not None:
                yield key, expression, _path(one, key)

    def ways_of(self, one: Placed) -> Iterator[tuple[Way, Path]]:
        """The guarded ways of a step, each with the path of its formula."""
        left = list(enumerate(one.step.go))
        for way in self.ways.get(one.step.id, ()):
            # Those that did not compile are missing among the ways, and keep their number in the file.
            while (left[0][1].when, left[0][1].to) != (way.when.text, way.to):
                left.pop(0)
            yield way, (*one.path, "go", left.pop(0)[0], "when")

    def all_formulas(self) -> Iterator[tuple[Expression, Path]]:
        """Every formula and its path."""
        for one in self.placed:
            for _, expression, path in self.formulas_of(one):
                yield expression, path
            for way, path in self.ways_of(one):
                yield way.when, path


def _path(one: Placed, key: str) -> Path:
    if key.startswith("bench."):
        return (*one.path, "bench", key.removeprefix("bench."))
    if key.startswith("seen."):
        return (*one.path, "judge", "seen", key.removeprefix("seen."))
    if key in ("ok", "right"):
        return (*one.path, "reading", key)
    return (*one.path, "work_out" if one.step.work_out is not None else "offer_setting", key)
