"""A chart as a Mermaid flowchart.

Ids are our own (`n1`, `n2`); every other text stands in quotes, and whatever in it is neither letter, digit
nor blank (nor a point, comma or hyphen after a letter) is written as a number (`#58;`): no text can end
a label or say anything to the program.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from trainer.procedure.charts.chart import END_WORDS, Chart, Spot
from trainer.procedure.charts.lines import wrapped

_SHAPES = {
    "act": ('["', '"]'),
    "hazard": ('[/"', '"\\]'),
    "wait": ('(["', '"])'),
    "reading": ('[("', '")]'),
    "judge": ('{{"', '"}}'),
    "quiz": ('{{"', '"}}'),
    "work_out": ('[/"', '"/]'),
    "offer_setting": ('("', '")'),
    "sign_off": ('[["', '"]]'),
}
_STYLES = (
    "  classDef hazard stroke-width:4px,font-weight:bold",
    "  classDef aside stroke-dasharray:6 4",
    "  classDef ended stroke-width:3px",
)
_LABEL, _EDGE = 28, 24


def as_mermaid(chart: Chart) -> str:
    """The flowchart; stages are subgraphs, asides are dashed, ways back and spoiled plates are dotted."""
    names = {spot.id: f"n{number}" for number, spot in enumerate(chart.spots, 1)}
    names |= {end: f"e{number}" for number, end in enumerate(chart.ends, 1)}
    rows = ["flowchart TD", f"  accTitle: {quoted(f'{chart.title}, revision {chart.revision}')}", *_STYLES]
    for number, part in enumerate(chart.parts, 1):
        rows.append(f'  subgraph g{number}["{quoted(f"{number} {part.title}")}"]')
        rows += [f"    {_node(spot, names[spot.id])}" for spot in part.spots]
        if part.again_from:
            rows.append(f'    s{number}(("{quoted("spoiled plate")}"))')
        rows.append("  end")
    rows += [f'  {names[end]}(["{quoted(END_WORDS[end])}"]):::ended' for end in chart.ends]
    rows += [f"  {edge}" for spot in chart.spots for edge in _edges(spot, names)]
    rows += [
        f"  s{number} -.-> {names[part.again_from]}"
        for number, part in enumerate(chart.parts, 1)
        if part.again_from
    ]
    return "\n".join(rows) + "\n"


def quoted(text: str) -> str:
    """`text` as a label takes it: letters, digits and blanks as they are, all else by its number."""
    return "".join(map(_written, text, f" {text}"))


def _written(character: str, before: str) -> str:
    """A point or a hyphen after anything but a letter could begin a list."""
    if character == " " or unicodedata.category(character)[0] in {"L", "M", "N"}:
        return character
    return character if character in ".,-" and before.isalpha() else f"#{ord(character)};"


def _node(spot: Spot, name: str) -> str:
    opening, closing = _SHAPES[spot.kind]
    said = [spot.id, *wrapped(spot.says, _LABEL), *(wrapped(spot.task, _LABEL) if spot.task else ())]
    style = ":::hazard" if spot.kind == "hazard" else ":::aside" if spot.aside else ""
    return f"{name}{opening}{'<br/>'.join(map(quoted, said))}{closing}{style}"


def _edges(spot: Spot, names: dict[str, str]) -> Iterator[str]:
    for way in (*spot.branches, spot.on):
        label = "<br/>".join(map(quoted, wrapped(way.when, _EDGE))) if way.when else ""
        arrow = "-.->" if way.back else "-->"
        said = f'|"{label}"|' if label else ""
        yield f"{names[spot.id]} {arrow}{said} {names[way.to]}"
