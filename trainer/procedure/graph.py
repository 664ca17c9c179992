"""The steps of a procedure as a graph: which step can follow which, and what lies on every way.

A node is a step's id, `done` or `stop`; an edge is a way a run can take. Guards are not looked into: a way
that has a condition counts as one that can be taken.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import NamedTuple

from trainer.procedure.model import Procedure, Stage, Step
from trainer.procedure.problems import Path, nearest

Graph = Mapping[str, tuple[str, ...]]
"""Each node with those that can follow it, the likeliest last; every follower is a node itself."""

DONE = "done"
STOP = "stop"
ENDS = frozenset({DONE, STOP})
_MOST_GUESSED = 50
"""Of so many wrong targets it is guessed what they mean; each guess looks at every step."""


class Placed(NamedTuple):
    """A step, its stage, the stage's number from 0, and the step's path in the file."""

    step: Step
    stage: Stage
    number: int
    path: Path


def placed_steps(procedure: Procedure) -> tuple[Placed, ...]:
    """Every step in file order."""
    return tuple(
        Placed(step, stage, number, ("stages", number, "steps", place))
        for number, stage in enumerate(procedure.stages)
        for place, step in enumerate(stage.steps)
    )


def steps_of(procedure: Procedure) -> dict[str, Step]:
    """Every step by id, in file order; of an id used twice, the first."""
    found: dict[str, Step] = {}
    for stage in procedure.stages:
        for step in stage.steps:
            found.setdefault(step.id, step)
    return found


def stage_of(procedure: Procedure) -> dict[str, Stage]:
    """The stage of every step, by the step's id."""
    found: dict[str, Stage] = {}
    for stage in procedure.stages:
        for step in stage.steps:
            found.setdefault(step.id, stage)
    return found


def next_of(procedure: Procedure) -> dict[str, str]:
    """Where a finished step leads when no `go` holds: `then`, the next step that is no aside, or `done`."""
    steps = steps_of(procedure)
    return {name: steps[name].then or following for name, following in _following(procedure).items()}


def _following(procedure: Procedure) -> dict[str, str]:
    """For each step the next one in the file that is no aside, or `done`."""
    found: dict[str, str] = {}
    following = DONE
    for step in reversed(steps_of(procedure).values()):
        found[step.id] = following
        if not step.aside:
            following = step.id
    return dict(reversed(found.items()))


def covered_by(procedure: Procedure) -> dict[str, tuple[str, ...]]:
    """The hazard steps that must be accepted before a step is shown, in file order; `done` for `always`."""
    found: dict[str, tuple[str, ...]] = {}
    for step in steps_of(procedure).values():
        if step.hazard is not None:
            covered = (*step.hazard.covers, DONE) if step.hazard.always else step.hazard.covers
            for target in dict.fromkeys(covered):
                found[target] = (*found.get(target, ()), step.id)
    return found


def edges(procedure: Procedure) -> dict[str, tuple[str, ...]]:
    """Every way that finishing a step can take.

    A reading that is not `ok` and meets no `go` is asked again, so it can follow itself. Targets that do not
    exist stand for the nearest step, or for the next one in the file: one wrong id makes one problem.
    """
    following = _following(procedure)
    steps = steps_of(procedure)
    meant = _meant(steps)
    found: dict[str, tuple[str, ...]] = {}
    for step in steps.values():
        targets = [meant.get(way.to) for way in step.go]
        if step.reading is not None and step.reading.ok is not None:
            targets.append(step.id)
        then = meant.get(step.then) if step.then is not None else None
        targets.append(then or following[step.id])
        found[step.id] = tuple(to for to in dict.fromkeys(targets) if to is not None)
    return {**found, **dict.fromkeys(sorted(ENDS), ())}


def _meant(steps: Mapping[str, Step]) -> dict[str, str | None]:
    """Every target, and the step that it means: itself, or the one that a wrong one most likely means."""
    meant: dict[str, str | None] = {node: node for node in (*steps, *ENDS)}
    named = (to for step in steps.values() for to in (*(way.to for way in step.go), step.then))
    wrong = dict.fromkeys(target for target in named if target is not None and target not in meant)
    meant.update({target: nearest(target, [*steps, *ENDS]) for target in islice(wrong, _MOST_GUESSED)})
    return meant


def with_new_plates(graph: Graph, procedure: Procedure) -> dict[str, tuple[str, ...]]:
    """`graph` with the ways of a spoiled plate: from every step of a stage to its `new_plate_from`."""
    stages = stage_of(procedure)
    found = dict(graph)
    for step, stage in stages.items():
        target = stage.new_plate_from
        if target is not None and target in stages and target not in found[step]:
            found[step] = (*found[step], target)
    return found


def turned(graph: Graph) -> dict[str, tuple[str, ...]]:
    """The graph with every way turned round."""
    found: dict[str, list[str]] = {node: [] for node in graph}
    for node, targets in graph.items():
        for target in targets:
            found[target].append(node)
    return {node: tuple(sources) for node, sources in found.items()}


def reachable(graph: Graph, *roots: str) -> set[str]:
    """The roots and every node that a way leads to from one of them."""
    found = set(roots)
    waiting = list(roots)
    while waiting:
        for target in graph[waiting.pop()]:
            if target not in found:
                found.add(target)
                waiting.append(target)
    return found


def shortest_way(
    graph: Graph, start: str, goal: str, avoiding: frozenset[str] = frozenset()
) -> tuple[str, ...] | None:
    """A shortest way from `start` to `goal`, both included, over no node of `avoiding`; else None.

    Where they are the same, the way is that one node. `start` or `goal` among `avoiding` leaves no way.
    """
    if start in avoiding or goal in avoiding:
        return None
    came_from: dict[str, str | None] = {start: None}
    waiting = deque([start])
    while waiting:
        node = waiting.popleft()
        if node == goal:
            return tuple(reversed(list(_back(came_from, goal))))
        for target in graph[node]:
            if target not in came_from and target not in avoiding:
                came_from[target] = node
                waiting.append(target)
    return None


def _back(came_from: Mapping[str, str | None], node: str | None) -> Iterator[str]:
    while node is not None:
        yield node
        node = came_from[node]


def dominators(graph: Graph, root: str) -> dict[str, str]:
    """The nearest node on every way from `root`, for each node that can be reached; the root is its own.

    Cooper, Harvey and Kennedy, "A Simple, Fast Dominance Algorithm", 2001.
    """
    order = _postorder(graph, root)
    rank = {node: number for number, node in enumerate(order)}
    sources = turned(graph)
    found = {root: root}
    changed = True
    while changed:
        changed = False
        for node in reversed(order[:-1]):
            known = [source for source in sources[node] if source in found]
            candidate = known[0]
            for source in known[1:]:
                candidate = _meet(candidate, source, found, rank)
            if found.get(node) != candidate:
                found[node] = candidate
                changed = True
    return found


def _meet(one: str, other: str, above: Mapping[str, str], rank: Mapping[str, int]) -> str:
    while one != other:
        while rank[one] < rank[other]:
            one = above[one]
        while rank[other] < rank[one]:
            other = above[other]
    return one


def _postorder(graph: Graph, root: str) -> list[str]:
    order: list[str] = []
    seen = {root}
    waiting = [(root, iter(graph[root]))]
    while waiting:
        node, targets = waiting[-1]
        for target in targets:
            if target not in seen:
                seen.add(target)
                waiting.append((target, iter(graph[target])))
                break
        else:
            order.append(node)
            waiting.pop()
    return order


def on_every_way(above: Mapping[str, str], node: str) -> tuple[str, ...]:
    """What lies on every way from the root to `node`, both included; `above` as from `dominators`."""
    found = [node]
    while above[found[-1]] != found[-1]:
        found.append(above[found[-1]])
    return tuple(reversed(found))


def loop_without_end(graph: Graph, stuck: set[str], start: str) -> tuple[str, ...]:
    """A loop that a node of `stuck` runs into, its first node again at the end; no way leads out of those."""
    way = [start]
    place = {start: 0}
    while True:
        ahead = [target for target in reversed(graph[way[-1]]) if target in stuck]
        # A reading that is asked again is the least of loops: another one says more.
        following = next((target for target in ahead if target != way[-1]), ahead[0])
        if following in place:
            return (*way[place[following] :], following)
        place[following] = len(way)
        way.append(following)


def said(way: Sequence[str], most: int = 8) -> str:
    """A way as it is read: `a > b > c`; the middle of a long one is counted."""
    if len(way) > most:
        head, tail = way[: most // 2], way[-(most // 2) :]
        return f"{' > '.join(head)} > ({len(way) - len(head) - len(tail)} more) > {' > '.join(tail)}"
    return " > ".join(way)
