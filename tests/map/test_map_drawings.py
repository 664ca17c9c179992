"""Every drawing of a procedure says what the procedure says, in a form that others' readers accept."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from html import unescape
from xml.etree import ElementTree as ET

import pydot
import pytest
from hypothesis import given, settings
from map_kit import allowed, charts_of_files, hostile_charts, joined

from trainer.procedure.charts.chart import END_WORDS, Chart
from trainer.procedure.charts.dot import as_dot
from trainer.procedure.charts.lanes import lanes
from trainer.procedure.charts.lines import as_lines
from trainer.procedure.charts.mermaid import as_mermaid
from trainer.procedure.charts.svg import as_svg
from trainer.procedure.render import cells

CHARTS = charts_of_files()
SVG = "{http://www.w3.org/2000/svg}"
NAMED = [chart.id for chart in CHARTS]
pytestmark = pytest.mark.filterwarnings("ignore:.*deprecated.*:DeprecationWarning")  # pydot to pyparsing
FEW = settings(max_examples=12, deadline=None)


def read_dot(drawn: str) -> tuple[dict[str, str], list[tuple[str, str, str]]]:
    """Nodes with their labels and edges with theirs, by pydot: a reader of DOT that is not ours."""
    (graph,) = pydot.graph_from_dot_data(drawn) or [pydot.Dot()]
    nodes: dict[str, str] = {}
    for inside in (graph, *graph.get_subgraphs()):
        for node in inside.get_nodes():
            name = unquoted(node.get_name())
            if name not in ("node", "edge", "graph"):
                nodes[name] = unquoted(node.get("label") or "")
    edges = [
        (unquoted(edge.get_source()), unquoted(edge.get_destination()), unquoted(edge.get("label") or ""))
        for edge in graph.get_edges()
    ]
    return nodes, edges


def unquoted(said: object) -> str:
    """A quoted string of DOT as it is shown. Rules: the DOT language page and escString, Graphviz."""
    written = str(said)
    inside = written[1:-1] if written.startswith('"') else written
    shown = re.sub(r"\\(.)", lambda found: "\n" if found[1] == "n" else found[1], inside)
    return unescape(shown)


def ways_of(chart: Chart) -> list[tuple[str, str, str]]:
    """Every way of a chart, its condition without blanks."""
    return [(spot.id, way.to, joined(way.when)) for spot in chart.spots for way in (*spot.branches, spot.on)]


def unended(*said: str) -> str:
    """Texts without blanks, and without what would end a file of DOT."""
    return joined(*said).replace("\0", "\ufffd")


def check_dot(chart: Chart) -> None:
    """The DOT of a chart, read by pydot, has its steps, ends, ways and words, and nothing else."""
    nodes, edges = read_dot(as_dot(chart))
    said = {spot.id: unended(spot.id, spot.says, spot.task) for spot in chart.spots}
    said |= {end: joined(END_WORDS[end]) for end in chart.ends}
    spoiled = [name for name in nodes if name.startswith("spoiled ")]
    assert {name: joined(label) for name, label in nodes.items() if name not in spoiled} == said
    found = [(one, other, joined(label)) for one, other, label in edges if one not in spoiled]
    assert sorted(found) == sorted((one, other, unended(said)) for one, other, said in ways_of(chart))


@pytest.mark.parametrize("chart", CHARTS, ids=NAMED)
@pytest.mark.sweep(quick=1)
def test_dot_is_read_by_another_reader(chart: Chart) -> None:
    """pydot reads from our DOT exactly the steps, ends, ways and words of each procedure."""
    check_dot(chart)


def drawn_by_graphviz(text: str) -> str:
    """The plain form of what Graphviz lays out; it ends with an error where it cannot read it."""
    return subprocess.run(
        ["dot", "-Tplain"], input=text, capture_output=True, text=True, check=True, encoding="utf-8"
    ).stdout


if shutil.which("dot"):

    def test_dot_is_drawn_by_graphviz() -> None:
        """Graphviz draws the two smallest procedures: as many nodes as steps, ends and spoiled plates."""
        for chart in sorted(CHARTS, key=lambda one: len(one.spots))[:2]:
            lines = drawn_by_graphviz(as_dot(chart)).splitlines()
            again = sum(part.again_from is not None for part in chart.parts)
            assert (
                sum(line.startswith("node ") for line in lines) == len(chart.spots) + len(chart.ends) + again
            )
            assert sum(line.startswith("edge ") for line in lines) == len(ways_of(chart)) + again

    @settings(max_examples=5, deadline=None)
    @given(hostile_charts())
    def test_graphviz_draws_hostile_texts_too(chart: Chart) -> None:
        """Graphviz reads a digraph of hostile texts: as many nodes and edges as the chart has."""
        lines = drawn_by_graphviz(as_dot(chart)).splitlines()
        again = sum(part.again_from is not None for part in chart.parts)
        assert sum(line.startswith("node ") for line in lines) == len(chart.spots) + len(chart.ends) + again
        assert sum(line.startswith("edge ") for line in lines) == len(ways_of(chart)) + again


NODE = re.compile(r' {2,4}(n\d+|e\d+|s\d+)([\[({/]+)"([^"`]*)"([\])}\\/]+)(:::(hazard|aside|ended))?')
EDGE = re.compile(r'  (n\d+|s\d+) (-->|-\.->)(\|"([^"`|]*)"\|)? (n\d+|e\d+)')
OTHER = re.compile(
    r'flowchart TD|  accTitle: [^\n"`]*|  classDef [a-z]+ [a-z0-9:, -]+|  subgraph g\d+\["[^"`]*"\]|  end'
)
LABEL = re.compile(r"(?:[\w \u0300-\U0010ffff]|(?<=[^\W\d])[.,-]|#\d{1,7};|<br/>)*")


def shown(label: str) -> str:
    """A label of Mermaid as it is shown, without blanks and breaks."""
    broken = label.replace("<br/>", "")
    return joined(re.sub(r"#(\d+);", lambda found: chr(int(found[1])), broken))


def check_mermaid(chart: Chart) -> None:
    """Each line of a flowchart is of a form that we write, and its labels say what the chart says."""
    nodes: dict[str, str] = {}
    edges: list[tuple[str, str, str]] = []
    for line in as_mermaid(chart).rstrip("\n").split("\n"):
        if found := NODE.fullmatch(line):
            assert LABEL.fullmatch(found[3]), line
            nodes[found[1]] = shown(found[3])
        elif found := EDGE.fullmatch(line):
            assert LABEL.fullmatch(found[4] or ""), line
            edges.append((found[1], found[5], shown(found[4] or "")))
        else:
            assert OTHER.fullmatch(line), line
    names = {spot.id: f"n{number}" for number, spot in enumerate(chart.spots, 1)}
    names |= {end: f"e{number}" for number, end in enumerate(chart.ends, 1)}
    for spot in chart.spots:
        assert nodes[names[spot.id]] == joined(spot.id, spot.says, spot.task)
    found_ways = sorted(edge for edge in edges if edge[0].startswith("n"))
    assert found_ways == sorted((names[one], names[other], said) for one, other, said in ways_of(chart))


@pytest.mark.parametrize("chart", CHARTS, ids=NAMED)
def test_mermaid_keeps_to_our_own_small_grammar(chart: Chart) -> None:
    """Every line of our Mermaid has one of our forms. (Its own parser reads it in test_map_mermaid.)"""
    check_mermaid(chart)


def check_svg(chart: Chart) -> None:
    """The SVG is well-formed, names nothing outside itself, runs nothing, and says what the chart says."""
    root = ET.fromstring(as_svg(chart))  # noqa: S314 - our own, just made
    kinds = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert kinds <= {"svg", "title", "style", "defs", "marker", "polygon", "rect", "g", "text", "path"}
    for element in root.iter():
        assert not any(key.startswith("on") or "href" in key for key in element.attrib)
    said = joined(*(element.text or "" for element in root.iter(f"{SVG}text")))
    for spot in chart.spots:
        assert allowed(joined(spot.says)) in said
        for way in spot.branches:
            assert allowed(joined(f"if {way.when}: to {END_WORDS.get(way.to, way.to)}")) in said
    page = float(root.attrib["width"]), float(root.attrib["height"])
    for rect in root.iter(f"{SVG}rect"):
        assert float(rect.attrib["y"]) + float(rect.attrib["height"]) <= page[1]
        assert float(rect.attrib["x"]) + float(rect.attrib["width"]) <= page[0]


@pytest.mark.parametrize("chart", CHARTS, ids=NAMED)
def test_svg_is_well_formed_and_complete(chart: Chart) -> None:
    """An XML parser reads the picture of each procedure; every act and condition is text in it."""
    check_svg(chart)


def check_lines(chart: Chart) -> None:
    """The plain text fits 80 columns, and has every act and every way that is not straight on."""
    drawn = as_lines(chart)
    assert max(cells(line) for line in drawn.split("\n")) <= 80
    said = re.sub(r"[┃┊\s]", "", drawn)
    for spot in chart.spots:
        assert joined(spot.id) in said
        assert re.sub(r"[┃┊\s]", "", spot.says) in said
        for way in spot.branches:
            target = END_WORDS.get(way.to, way.to)
            arrow = f"◀──back to {target}" if way.back else f"──▶{target}"
            assert re.sub(r"[┃┊\s]", "", f"if{way.when}:{arrow}") in said


@pytest.mark.parametrize("chart", CHARTS, ids=NAMED)
def test_the_terminal_drawing_fits_and_is_complete(chart: Chart) -> None:
    """Each procedure in plain text: no line over 80 cells, no act and no way left out."""
    check_lines(chart)


@pytest.mark.parametrize("check", [check_dot, check_mermaid, check_svg, check_lines])
@pytest.mark.sweep(quick=2)
def test_no_text_breaks_out_of_a_drawing(check: Callable[[Chart], None]) -> None:
    """Hostile texts in every place change nothing about the form of a drawing, and are all there."""
    FEW(given(hostile_charts())(check))()


def test_lines_that_meet_run_in_different_lanes() -> None:
    """Stretches that touch get different lanes, those that do not may share one, short ones lie nearest."""
    assert lanes([(0, 10), (2, 4), (5, 6), (20, 30)]) == [1, 0, 0, 0]
    assert lanes([(4, 2), (0, 3)]) == [0, 1]
    assert lanes([]) == []
