"""The graph's own code against networkx, on random graphs.

networkx 3.6 leaves the root out of what `immediate_dominators` gives, and earlier versions made it its own;
ours makes it its own, so the root is set aside before the two are compared.
"""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.procedure.graph import (
    dominators,
    loop_without_end,
    on_every_way,
    reachable,
    said,
    shortest_way,
    turned,
)

patient = settings(deadline=None)
"""A busy machine is no failure."""

ROOT = "0"
Drawn = dict[str, tuple[str, ...]]


@st.composite
def graphs(draw: st.DrawFn) -> Drawn:
    """A graph of up to 12 nodes, loops and nodes out of reach included."""
    nodes = [str(number) for number in range(draw(st.integers(1, 12)))]
    targets = st.lists(st.sampled_from(nodes), max_size=3, unique=True).map(tuple)
    return {node: draw(targets) for node in nodes}


def as_networkx(graph: Drawn) -> nx.DiGraph[str]:
    """The same graph for networkx."""
    made: nx.DiGraph[str] = nx.DiGraph()
    made.add_nodes_from(graph)
    made.add_edges_from((node, target) for node, targets in graph.items() for target in targets)
    return made


@given(graphs())
@patient
def test_reachable_nodes_are_those_of_networkx(graph: Drawn) -> None:
    """What can be reached from the root, and what can reach it, is what networkx says."""
    oracle = as_networkx(graph)
    assert reachable(graph, ROOT) == nx.descendants(oracle, ROOT) | {ROOT}
    assert reachable(turned(graph), ROOT) == nx.ancestors(oracle, ROOT) | {ROOT}


@given(graphs())
@patient
def test_nearest_dominators_are_those_of_networkx(graph: Drawn) -> None:
    """Every node but the root has the nearest dominator that networkx gives it."""
    found = dominators(graph, ROOT)
    oracle = nx.immediate_dominators(as_networkx(graph), ROOT)
    assert found.pop(ROOT) == ROOT
    oracle.pop(ROOT, None)
    assert found == oracle


@given(graphs())
@patient
def test_what_lies_on_every_way_cuts_the_graph_when_it_is_taken_out(graph: Drawn) -> None:
    """A node lies on every way to another exactly where taking it out leaves no way: the definition."""
    nearest = dominators(graph, ROOT)
    for node in nearest:
        lying = on_every_way(nearest, node)
        for other in graph:
            oracle = as_networkx(graph)
            oracle.remove_node(other)
            cut = not (ROOT in oracle and node in oracle and nx.has_path(oracle, ROOT, node))
            assert (other in lying) is cut


@given(graphs(), st.data())
@patient
def test_a_shortest_way_is_as_short_as_networkx_finds_it(graph: Drawn, data: st.DataObject) -> None:
    """The way is one of the graph, avoids what it must, and is no longer than the one of networkx."""
    goal = data.draw(st.sampled_from(sorted(graph)))
    avoiding = frozenset(data.draw(st.sets(st.sampled_from(sorted(graph)), max_size=2)))
    way = shortest_way(graph, ROOT, goal, avoiding)
    oracle = as_networkx(graph)
    oracle.remove_nodes_from(avoiding)
    if not (ROOT in oracle and goal in oracle and nx.has_path(oracle, ROOT, goal)):
        assert way is None
        return
    assert way is not None
    assert (way[0], way[-1]) == (ROOT, goal)
    assert all(after in graph[before] for before, after in pairwise(way))
    assert not avoiding.intersection(way)
    assert len(way) == nx.shortest_path_length(oracle, ROOT, goal) + 1


@given(graphs())
@patient
def test_a_loop_that_is_told_is_a_loop(graph: Drawn) -> None:
    """Where no way leads out of a set of nodes, the loop that is told is one of the graph's own."""
    stuck = {node for node in graph if graph[node]}
    while any(target not in stuck for node in stuck for target in graph[node]):
        stuck = {node for node in stuck if all(target in stuck for target in graph[node])}
    for start in stuck:
        loop = loop_without_end(graph, stuck, start)
        assert loop[0] == loop[-1]
        assert all(after in graph[before] for before, after in pairwise(loop))


def test_a_long_way_is_told_by_its_two_ends() -> None:
    """A way of many steps keeps its first and last ones and counts the others."""
    assert said(("a", "b", "c")) == "a > b > c"
    assert said(tuple("abcdefghijk")) == "a > b > c > d > (3 more) > h > i > j > k"
