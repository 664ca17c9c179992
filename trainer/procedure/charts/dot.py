"""A chart in the DOT language of Graphviz. Every text stands in double quotes, escaped."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure.charts.chart import END_WORDS, Chart, Spot, Way
from trainer.procedure.charts.lines import wrapped

_SHAPES = {
    "act": "box",
    "hazard": "octagon",
    "wait": "oval",
    "reading": "cylinder",
    "judge": "hexagon",
    "quiz": "hexagon",
    "work_out": "parallelogram",
    "offer_setting": "note",
    "sign_off": "component",
}
_LABEL, _EDGE = 40, 30


def as_dot(chart: Chart) -> str:
    """The digraph; stages are clusters, asides and ways back are dashed."""
    rows = [
        f"digraph {quoted(chart.id)} {{",
        f'  label={quoted(f"{chart.title}, revision {chart.revision}")}; labelloc=t; charset="UTF-8";',
        '  node [fontname="sans-serif", fontsize=11]; edge [fontname="sans-serif", fontsize=10];',
    ]
    for number, part in enumerate(chart.parts, 1):
        rows.append(
            f"  subgraph cluster_{number} {{ label={quoted(f'{number} {part.title}')}; style=rounded;"
        )
        rows += [f"    {_node(spot)}" for spot in part.spots]
        if part.again_from:
            rows.append(f'    "spoiled {number}" [label="spoiled plate", shape=plaintext];')
        rows.append("  }")
    rows += [f"  {quoted(end)} [label={quoted(END_WORDS[end])}, shape=doublecircle];" for end in chart.ends]
    rows += [f"  {_edge(spot, way)}" for spot in chart.spots for way in (*spot.branches, spot.on)]
    rows += [
        f'  "spoiled {number}" -> {quoted(part.again_from)} [style=dotted, constraint=false];'
        for number, part in enumerate(chart.parts, 1)
        if part.again_from
    ]
    return "\n".join([*rows, "}"]) + "\n"


def quoted(*lines: str) -> str:
    """A quoted string: each of `lines` on a line of its own.

    In a label a backslash begins an escape, and `&` a character's name: both are taken as they stand. A NUL,
    which would end the file, becomes U+FFFD.
    """
    safe = (line.replace("\0", "\ufffd").replace("\\", "\\\\").replace('"', '\\"') for line in lines)
    return '"' + "\\n".join(line.replace("&", "&amp;").replace("\n", "\\n") for line in safe) + '"'


def _node(spot: Spot) -> str:
    said = [spot.id, *wrapped(spot.says, _LABEL), *(wrapped(spot.task, _LABEL) if spot.task else ())]
    style = ", style=bold, penwidth=3" if spot.kind == "hazard" else ", style=dashed" if spot.aside else ""
    return f"{quoted(spot.id)} [label={quoted(*said)}, shape={_SHAPES[spot.kind]}{style}];"


def _edge(spot: Spot, way: Way) -> str:
    marks = list(_marks(way))
    said = f" [{', '.join(marks)}]" if marks else ""
    return f"{quoted(spot.id)} -> {quoted(way.to)}{said};"


def _marks(way: Way) -> Iterator[str]:
    if way.when:
        yield f"label={quoted(*wrapped(way.when, _EDGE))}"
    if way.back:
        yield "style=dashed"
