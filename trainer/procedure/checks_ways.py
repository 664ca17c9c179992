"""Can every step be reached, and does a way lead on from it to the end?"""

from __future__ import annotations

from trainer.procedure.checks_report import Report
from trainer.procedure.graph import (
    DONE,
    STOP,
    Graph,
    Placed,
    loop_without_end,
    next_of,
    placed_steps,
    reachable,
    said,
    turned,
    with_new_plates,
)
from trainer.procedure.model import Procedure


def check_ways(procedure: Procedure, graph: Graph, report: Report) -> None:
    """Steps that cannot be reached, steps with no way to the end, loops with no way out, asides."""
    placed = placed_steps(procedure)
    first = placed[0].step.id
    reached = reachable(with_new_plates(graph, procedure), first)
    _check_reached(placed, reached, report)
    _check_asides(procedure, placed, report)
    ending = reachable(turned(graph), DONE, STOP)
    stuck = {node for node in reached if node not in ending}
    _check_ends(placed, graph, stuck, report)


def _check_reached(placed: tuple[Placed, ...], reached: set[str], report: Report) -> None:
    before: Placed | None = None
    for one in placed:
        if one.step.id not in reached:
            _report_unreached(one, before, report)
        before = one


def _report_unreached(one: Placed, before: Placed | None, report: Report) -> None:
    name = one.step.id
    path = (*one.path, "id")
    follows = (
        f"If it follows `{before.step.id}`, write `then: {name}` there."
        if before is not None and before.step.then is None
        else f"Write a way that leads here: `go: [{{when: ..., to: {name}}}]` or `then: {name}`."
    )
    if one.step.aside:
        report.error("G09", path, f"Nothing leads to the aside `{name}`.", follows)
        return
    report.error(
        "G06",
        path,
        f"No way leads to the step `{name}`.",
        f"{follows} Or take the step out.",
    )


def _check_asides(procedure: Procedure, placed: tuple[Placed, ...], report: Report) -> None:
    following = next_of(procedure)
    for one, also in zip(placed, (*placed[1:], None), strict=True):
        if not one.step.aside or one.step.then is not None:
            continue
        goes = following[one.step.id]
        other = f"`then: {also.step.id}` if that comes next, else " if also and also.step.aside else ""
        report.warning(
            "G10",
            (*one.path, "id"),
            f"The aside `{one.step.id}` does not say where the work goes on, so it goes on at `{goes}`.",
            f"Write {other}`then: {goes}`, or the step it should go back to.",
        )


def _check_ends(placed: tuple[Placed, ...], graph: Graph, stuck: set[str], report: Report) -> None:
    """Each loop is told once, at its first step in the file; other steps at themselves."""
    in_loops: dict[str, tuple[str, ...]] = {}
    for one in placed:
        if one.step.id in stuck:
            loop = loop_without_end(graph, stuck, one.step.id)
            for node in loop:
                in_loops.setdefault(node, loop)
    told: set[str] = set()
    for one in placed:
        name = one.step.id
        if name not in stuck:
            continue
        if name not in in_loops:
            report.error(
                "G07",
                (*one.path, "id"),
                f"From `{name}` no way leads to the end: all run into a loop.",
                "Give one of the steps after it a way that leads on, with `then` or `go`.",
            )
        elif not told.intersection(in_loops[name]):
            _report_loop(one, in_loops[name], report)
        told.add(name)


def _report_loop(one: Placed, loop: tuple[str, ...], report: Report) -> None:
    name = one.step.id
    at = loop.index(name)
    turned_round = (*loop[at:-1], *loop[:at], name)
    report.error(
        "G08",
        (*one.path, "id"),
        f"No way leads out of this loop: {said(turned_round)}.",
        "Give one of its steps a way that leads on: `then`, or `go` with a condition.",
    )
