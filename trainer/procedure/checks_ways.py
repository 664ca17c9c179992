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
    _check_reached(placed, graph, reached, report)
    _check_asides(procedure, placed, report)
    ending = reachable(turned(graph), DONE, STOP)
    stuck = {node for node in reached if node not in ending}
    _check_ends(placed, graph, stuck, report)


def _check_reached(placed: tuple[Placed, ...], graph: Graph, reached: set[str], report: Report) -> None:
    """What only follows a step that nothing leads to is reached with that one: told only of prompts."""
    before: Placed | None = None
    followers: set[str] = set()
    for one in placed:
        if one.step.id not in reached:
            if one.step.id not in followers or one.step.hazard is not None:
                _report_unreached(one, before, report)
            followers.update(graph.get(one.step.id, ()))
        before = one


def _report_unreached(one: Placed, before: Placed | None, report: Report) -> None:
    name = one.step.id
    path = (*one.path, "id")
    follows = (
        f"If it follows `{before.step.id}`, write `then: {name}` there."
        if before is not None and before.step.then is None
        else f"Write a way that leads here: `go: [{{when: ..., to: {name}}}]` or `then: {name}`."
    )
    if before is not None and before.step.then is not None and not before.step.aside and not one.step.aside:
        follows = f"{_only_now_and_then(before.step.id)} Else {follows[0].lower()}{follows[1:]}"
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
    """Each loop is told once, at its first step in the file; of the steps that lead into loops the first."""
    in_loops: dict[str, tuple[str, ...]] = {}
    for one in placed:
        if one.step.id in stuck:
            loop = loop_without_end(graph, stuck, one.step.id)
            for node in loop:
                in_loops.setdefault(node, loop)
    told: set[str] = set()
    outside = [one for one in placed if one.step.id in stuck and one.step.id not in in_loops]
    for one in outside[:1]:
        more = f", nor from {len(outside) - 1} more" if len(outside) > 1 else ""
        loop = loop_without_end(graph, stuck, one.step.id)
        at = next(step.id for step, *_ in placed if step.id in loop)
        report.error(
            "G07",
            (*one.path, "id"),
            f"From `{one.step.id}` no way leads to the end{more}: all run into a loop.",
            f"Mend the loop that is told at `{at}`: this goes with it.",
        )
    for one in placed:
        name = one.step.id
        if name not in in_loops:
            continue
        if not told.intersection(in_loops[name]):
            _report_loop(one, in_loops[name], placed, report)
        told.add(name)


def _report_loop(one: Placed, loop: tuple[str, ...], placed: tuple[Placed, ...], report: Report) -> None:
    name = one.step.id
    at = loop.index(name)
    turned_round = (*loop[at:-1], *loop[:at], name)
    help_ = "Give one of its steps a way that leads on: `then`, or `go` with a condition."
    back = [step.id for step, *_ in placed if step.id in loop and step.then in loop and not step.aside]
    if back and len(turned_round) > 2:
        help_ = f"{_only_now_and_then(back[-1])} Else: {help_[0].lower()}{help_[1:]}"
    report.error("G08", (*one.path, "id"), f"No way leads out of this loop: {said(turned_round)}.", help_)


def _only_now_and_then(step: str) -> str:
    """What most often is missing where a step that mends something stands in the middle of the way."""
    return f"Is `{step}` done only when another step sends there? Then write `aside: true` in it."
