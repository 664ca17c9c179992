"""Text laid out for a given number of rows: blocks in, lines out.

A block that does not fit costs the gaps first, then what is spare; only what is still too long is moved by
hand. Every text goes in as plain characters with a style, so nothing in it is ever read as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from textual.content import Content

from trainer.screens import letters

BAR = "bold $primary"
"""The edge of a band, so that it is one without colours too."""
_MARGIN = 2
_INK = "bold"


@dataclass(frozen=True)
class Block:
    """A paragraph. first: what stands before its first line (a bullet, a digit), `rest` before the others.

    gap: empty lines before it where there is room. band: style of a full-width band, with a row of it above
    and below where there is room. pick: its option's number, for the mouse. spare: left out where it does
    not fit, the highest number first. large: drawn in large letters where there is room for all of the page
    with them. drawn: its lines are drawn already and stay as they are. far: how many places from the one
    that the keys go to; where nothing else helps, the farthest are left out first.
    """

    content: Content
    first: Content = field(default_factory=lambda: Content(""))
    gap: int = 1
    band: str = ""
    pick: int = 0
    spare: int = 0
    fixed: bool = False
    large: bool = False
    drawn: bool = False
    far: int = 0


@dataclass(frozen=True)
class Page:
    """Lines ready to show, and which of them belong to which option."""

    lines: tuple[Content, ...]
    picks: dict[int, int]
    whole: bool


def lay_out(blocks: Sequence[Block], width: int, height: int) -> Page:
    """Lay `blocks` out in `width` cells and, where it can be done, `height` rows.

    Tried in turn: everything with its gaps, large letters first; without bands' padding; both again with
    less and less of what is spare; without gaps; without what is far. `whole` says whether all fits and
    nothing was left out.
    """
    if any(block.large for block in blocks):
        drawn = [_enlarged(block, width) for block in blocks]
        page = _page(drawn, width, padded=True, spaced=True)
        if len(page.lines) <= height:
            return page
    page = Page((), {}, whole=True)
    for chosen, padded, spaced in _tries(blocks):
        page = _page(chosen, width, padded=padded, spaced=spaced)
        if len(page.lines) <= height:
            return Page(page.lines, page.picks, whole=len(chosen) == len(blocks))
    needed = [block for block in blocks if not block.spare]
    return _near(needed, width, height) or Page(page.lines, page.picks, whole=False)


def _tries(blocks: Sequence[Block]) -> Iterable[tuple[Sequence[Block], bool, bool]]:
    """Blocks, whether bands are padded, whether there are gaps; the most first."""
    for most in sorted({0, *(block.spare for block in blocks)}, reverse=True):
        chosen = [block for block in blocks if block.spare <= most]
        yield chosen, True, True
        yield chosen, False, True
    yield [block for block in blocks if not block.spare], False, False


def _near(blocks: Sequence[Block], width: int, height: int) -> Page | None:
    """As much of what is near as fits; None where it helps nothing."""
    for most in sorted({block.far for block in blocks if block.far}, reverse=True):
        near = [block for block in blocks if block.far < most]
        page = _page(near, width, padded=False, spaced=False)
        if len(page.lines) <= height:
            return Page(page.lines, page.picks, whole=False)
    return None


def _enlarged(block: Block, width: int) -> Block:
    """The block in large letters, if it is to be large and its text can be."""
    drawn = _drawn(block.content.plain, width - 2 * _MARGIN) if block.large else None
    return block if drawn is None else replace(block, content=drawn, drawn=True)


@lru_cache(maxsize=8)
def _drawn(text: str, width: int) -> Content | None:
    """The text in large letters. Kept: the act stays while what is under it changes."""
    rows = letters.large(text, width)
    return None if rows is None else Content("\n").join(Content.styled(row, _INK) for row in rows)


def _page(blocks: Iterable[Block], width: int, *, padded: bool, spaced: bool) -> Page:
    chosen = tuple(blocks)
    lines: list[Content] = [Content("")] if spaced and chosen and not chosen[0].band else []
    picks: dict[int, int] = {}
    for number, block in enumerate(chosen):
        if spaced and number:
            lines.extend([Content("")] * block.gap)
        for line in _lines(block, width, padded=padded):
            if block.pick:
                picks[len(lines)] = block.pick
            lines.append(line)
    return Page(tuple(lines), picks, whole=True)


def _lines(block: Block, width: int, *, padded: bool) -> list[Content]:
    if block.fixed:
        return [line.truncate(width) for line in block.content.split("\n", allow_blank=True)]
    lead = block.first.cell_length
    margin = _MARGIN if block.band else 0
    wrapped = (
        block.content.split("\n", allow_blank=True)
        if block.drawn
        else block.content.wrap(max(8, width - lead - 2 * margin))
    )
    lines = [
        (block.first if number == 0 else Content(" " * lead)) + line for number, line in enumerate(wrapped)
    ]
    return _banded(lines, width, block.band, padded=padded) if block.band else lines


def _banded(lines: list[Content], width: int, style: str, *, padded: bool) -> list[Content]:
    edge = Content("  ") if "reverse" in style else Content.styled("▌ ", BAR)
    empty = [_filled(edge, width).stylize_before(style)] if padded else []
    filled = [_filled(edge + line, width).stylize_before(style) for line in lines]
    return [*empty, *filled, *empty]


def _filled(line: Content, width: int) -> Content:
    return line.pad_right(max(0, width - line.cell_length))
