"""A chart in plain text, for a terminal: the straight way down, asides beside it, arrows for the rest."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure.charts.chart import END_WORDS, Chart, Part, Spot, Way
from trainer.procedure.graph import DONE
from trainer.procedure.render import cells

WIDTH = 80
MARKS = {
    "act": "●",
    "hazard": "▲",
    "wait": "◷",
    "reading": "#",
    "judge": "?",
    "quiz": "?",
    "work_out": "=",
    "offer_setting": "±",
    "sign_off": "✓",
}
LEGEND = (
    "● act   ▲ safety prompt   ◷ wait   # reading   ? judgement or question",
    "= worked out   ± offered setting   ✓ sign-off   ○ aside: only by an arrow",
    "──▶ on to a step   ◀── back to a step   ↺ spoiled plate: begins anew from there",
)
_LEAD = 4


def as_lines(chart: Chart, width: int = WIDTH) -> str:
    """The whole drawing; no line takes more than `width` cells (at least 40)."""
    rows = [*wrapped(chart.title, width), f"{chart.id}, revision {chart.revision}"]
    for number, part in enumerate(chart.parts, 1):
        rows += ["", *_part(part, number, width)]
    rows += [" ┃", *(f" ■ {END_WORDS[DONE]}" for end in chart.ends if end == DONE)]
    return "\n".join(row.rstrip() for row in [*rows, "", *_legend(width), ""])


def wrapped(text: str, width: int) -> list[str]:
    """`text` in lines of at most `width` cells, broken between words; a word too long is cut through."""
    rows: list[str] = [""]
    for word in text.split():
        for piece in _cut(word, width):
            joined = f"{rows[-1]} {piece}" if rows[-1] else piece
            if cells(joined) <= width:
                rows[-1] = joined
            else:
                rows.append(piece)
    return rows


def _cut(word: str, width: int) -> Iterator[str]:
    piece, taken = "", 0
    for character in word:
        needs = cells(character)
        if taken + needs > width:
            yield piece
            piece, taken = "", 0
        piece, taken = piece + character, taken + needs
    yield piece


def _legend(width: int) -> list[str]:
    return [row for line in LEGEND for row in wrapped(line.replace("   ", " · "), width)]


def _part(part: Part, number: int, width: int) -> Iterator[str]:
    title = f"{number} {part.title}"
    yield from (f"━━ {row}" for row in wrapped(title, width - 3))
    if part.again_from:
        yield from _hung(f"↺ a plate spoiled here: anew from {part.again_from}", " ┃ ", width)
    for spot in part.spots:
        yield from _spot(spot, width)


def _spot(spot: Spot, width: int) -> Iterator[str]:
    mark = MARKS[spot.kind]
    if spot.aside:
        first, rest = f" ┃  ○ {mark} " if spot.kind != "act" else " ┃  ○ ", " ┃  ┊ "
    else:
        first, rest = f" {mark} ", " ┃ "
    head = [*wrapped(spot.id, width - cells(first))]
    yield f"{first}{head[0]}"
    yield from (f"{rest}{row}" for row in head[1:])
    for said in (spot.says, spot.task):
        if said:
            yield from _hung(said, f"{rest}{' ' * _LEAD}", width)
    for way in spot.branches:
        yield from _way(way, rest, width)
    if not spot.straight:
        yield from _way(spot.on, rest, width)


def _way(way: Way, rest: str, width: int) -> Iterator[str]:
    """A way that is not straight on: its condition, then where it leads."""
    target = END_WORDS.get(way.to, way.to)
    arrow = f"◀── back to {target}" if way.back else f"──▶ {target}"
    lead = f"{rest}{' ' * _LEAD}"
    said = f"{way.when}: {arrow}" if way.when else arrow
    if cells(lead) + cells(said) + 3 <= width:
        yield f"{lead}{'if ' if way.when else ''}{said}"
        return
    if way.when:
        yield from _hung(f"if {way.when}:", lead, width)
    yield from _hung(arrow, f"{lead}   ", width)


def _hung(text: str, lead: str, width: int) -> Iterator[str]:
    for number, row in enumerate(wrapped(text, width - cells(lead) - 2)):
        yield f"{lead}{'  ' if number else ''}{row}"
