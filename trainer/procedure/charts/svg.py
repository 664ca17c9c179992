"""A chart as one SVG picture of our own: boxes down the page, ways on at the right, ways back at the left.

It needs nothing from outside. Text is text, escaped, in a font of even width, so that its size is known.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from trainer.procedure.charts.chart import END_WORDS, Chart, Part, Spot
from trainer.procedure.charts.lanes import lanes
from trainer.procedure.charts.lines import wrapped
from trainer.procedure.render import cells

_COLUMNS = 64
_CELL, _ROW, _PAD, _GAP, _LANE = 7.3, 16, 8, 18, 12
_ASIDE = 56
_TITLE = 44
"""Titles of stages stand clear of the way straight down."""
_BOX = _COLUMNS * _CELL + 2 * _PAD
_NO_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 (section 2.2, Char) does not let stand in a text."""
_STYLE = """
svg { background: #fff; }
text { font: 12px "DejaVu Sans Mono", "Liberation Mono", monospace; }
text { fill: #111; white-space: pre; }
.head { font-weight: bold; }
.id { font-weight: bold; }
.task { fill: #444; }
.stage { font-size: 15px; font-weight: bold; }
rect { fill: #fff; stroke: #222; stroke-width: 1.2; }
rect.hazard { stroke-width: 3.5; fill: #fff6e0; }
rect.wait { rx: 14px; }
rect.judge, rect.quiz, rect.reading { fill: #eef4fb; }
rect.sign_off { stroke-width: 2.4; }
rect.aside { stroke-dasharray: 6 4; }
path { fill: none; stroke: #222; stroke-width: 1.2; }
path.back { stroke: #5a3a00; stroke-dasharray: 5 3; }
path.spoiled { stroke: #9b1c1c; stroke-dasharray: 2 3; }
"""

_TIP = """<defs>
<marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="8" markerHeight="8" orient="auto">
<polygon points="0,0 8,4 0,8" fill="#222"/>
</marker>
</defs>"""


@dataclass(frozen=True, slots=True)
class _Box:
    """A step on the page, its upper left corner, and the rows where its conditional ways leave."""

    spot: Spot
    rows: tuple[tuple[str, str], ...]
    leaves: tuple[float, ...]
    x: float
    y: float
    height: float


@dataclass(frozen=True, slots=True)
class _Line:
    """A way that is drawn in a lane: from the side of a box to the side of another."""

    from_x: float
    from_y: float
    to_x: float
    to_y: float
    kind: str


@dataclass
class _Page:
    """What has been placed so far."""

    y: float
    boxes: dict[str, _Box]
    titles: list[tuple[float, str]]
    spoiled: list[tuple[float, str, str]]


def as_svg(chart: Chart) -> str:
    """The picture, as the text of an SVG file."""
    page = _Page(_PAD + 3 * _ROW, {}, [], [])
    for number, part in enumerate(chart.parts, 1):
        _place(page, part, number)
    ends: dict[str, float] = {}
    for end in chart.ends:
        ends[end] = page.y + _ROW
        page.y += 2.2 * _ROW
    right, left = _ways(page, ends)
    right_lanes = lanes([(line.from_y, line.to_y) for line in right])
    left_lanes = lanes([(line.from_y, line.to_y) for line in left])
    margin = (max(left_lanes, default=0) + 2) * _LANE
    width = margin + _BOX + _ASIDE + (max(right_lanes, default=0) + 3) * _LANE
    width = max(width, margin + (cells(chart.title) + 2) * 8)
    body = [*_head(chart), *_straight(page, ends), *_ended(ends)]
    body += [_lane(line, lane, right=True) for line, lane in zip(right, right_lanes, strict=True)]
    body += [_lane(line, lane, right=False) for line, lane in zip(left, left_lanes, strict=True)]
    body += [part for box in page.boxes.values() for part in _drawn(box)]
    body += [_text(_TITLE, y, title, "stage") for y, title in page.titles]
    body += [_text(_TITLE, y, said, "task") for y, said, _ in page.spoiled]
    return _framed(chart, width, page.y + 2 * _ROW, margin, body)


def escaped(text: str) -> str:
    """`text` as it stands between two tags or in a quoted attribute of XML."""
    return escape(_NO_XML.sub("\ufffd", text), quote=True)


def _framed(chart: Chart, width: float, height: float, margin: float, body: Sequence[str]) -> str:
    title = escaped(f"{chart.title}, revision {chart.revision}")
    size = f'width="{width:.0f}" height="{height:.0f}"'
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {width:.0f} {height:.0f}"',
            '  role="img" aria-labelledby="named">',
            f'<title id="named">{title}</title>',
            f"<style>{_STYLE}</style>",
            _TIP,
            f'<rect x="0" y="0" {size} style="stroke:none"/>',
            f'<g transform="translate({margin:.0f},0)">',
            *body,
            "</g>",
            "</svg>",
            "",
        ]
    )


def _place(page: _Page, part: Part, number: int) -> None:
    page.y += _ROW
    page.titles.append((page.y, f"{number} {part.title}"))
    page.y += 0.6 * _ROW
    if part.again_from:
        page.y += 0.5 * _ROW
        page.spoiled.append((page.y, f"a plate spoiled here: anew from {part.again_from}", part.again_from))
        page.y += 0.6 * _ROW
    for spot in part.spots:
        box = _box(spot, page.y)
        page.boxes[spot.id] = box
        page.y += box.height + _GAP


def _box(spot: Spot, y: float) -> _Box:
    rows = [(spot.id, "id"), *((row, "") for row in wrapped(spot.says, _COLUMNS))]
    rows += [(row, "task") for row in wrapped(spot.task, _COLUMNS) if row]
    leaves: list[float] = []
    for way in spot.branches:
        target = END_WORDS.get(way.to, way.to)
        rows += [(row, "") for row in wrapped(f"if {way.when}: to {target}", _COLUMNS)]
        leaves.append(y + _PAD + (len(rows) - 0.5) * _ROW)
    if not spot.straight and not spot.on.back and spot.on.to not in END_WORDS:
        rows.append((f"then to {spot.on.to}", "task"))
    height = len(rows) * _ROW + 2 * _PAD
    return _Box(spot, tuple(rows), tuple(leaves), _ASIDE if spot.aside else 0, y, height)


def _ways(page: _Page, ends: dict[str, float]) -> tuple[list[_Line], list[_Line]]:
    """The lines of the lanes at the right (on) and at the left (back)."""
    right: list[_Line] = []
    left: list[_Line] = []
    for box in page.boxes.values():
        ways = list(zip(box.spot.branches, box.leaves, strict=True))
        if not box.spot.straight:
            ways.append((box.spot.on, box.y + box.height - _PAD))
        for way, at in ways:
            target = page.boxes.get(way.to)
            to_y = target.y + _PAD + 0.5 * _ROW if target else ends[way.to]
            if way.back:
                left.append(_Line(box.x, at, target.x if target else 0, to_y, "back"))
            else:
                to_x = target.x + _BOX if target else _BOX / 2
                right.append(_Line(box.x + _BOX, at, to_x, to_y, "on"))
    for y, _, again in page.spoiled:
        box = page.boxes[again]
        left.append(_Line(_TITLE - 4, y - 4, box.x, box.y + _PAD + 0.9 * _ROW, "spoiled"))
    return right, left


def _lane(line: _Line, lane: int, *, right: bool) -> str:
    x = _BOX + _ASIDE + (lane + 1) * _LANE if right else -(lane + 1) * _LANE
    path = f"M{line.from_x:.1f},{line.from_y:.1f} H{x:.1f} V{line.to_y:.1f} H{line.to_x:.1f}"
    return f'<path class="{line.kind}" d="{path}" marker-end="url(#tip)"/>'


def _straight(page: _Page, ends: dict[str, float]) -> Iterator[str]:
    """The way straight down, past the asides."""
    for box in page.boxes.values():
        if not box.spot.straight:
            continue
        target = page.boxes.get(box.spot.on.to)
        to_y = target.y if target else ends[box.spot.on.to] - 0.8 * _ROW
        path = f"M{_ASIDE / 2:.1f},{box.y + box.height:.1f} V{to_y:.1f}"
        yield f'<path class="on" d="{path}" marker-end="url(#tip)"/>'


def _ended(ends: dict[str, float]) -> Iterator[str]:
    for end, y in ends.items():
        yield (
            f'<rect x="0" y="{y - 0.8 * _ROW:.1f}" width="{_BOX / 2:.1f}" height="{1.6 * _ROW:.1f}" '
            'rx="12" style="stroke-width:2.4"/>'
        )
        yield _text(_PAD, y + 4, END_WORDS[end], "head")


def _head(chart: Chart) -> Iterator[str]:
    yield _text(0, 1.5 * _ROW, chart.title, "stage")
    yield _text(0, 2.6 * _ROW, f"{chart.id}, revision {chart.revision}", "task")


def _drawn(box: _Box) -> Iterator[str]:
    kind = f"{box.spot.kind}{' aside' if box.spot.aside else ''}"
    yield (f'<rect class="{kind}" x="{box.x}" y="{box.y:.1f}" width="{_BOX:.1f}" height="{box.height:.1f}"/>')
    for number, (row, style) in enumerate(box.rows, 1):
        yield _text(box.x + _PAD, box.y + _PAD + number * _ROW - 4, row, style)


def _text(x: float, y: float, said: str, style: str) -> str:
    named = f' class="{style}"' if style else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{named}>{escaped(said)}</text>'
