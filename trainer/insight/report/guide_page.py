"""A page of the guide as HTML: headings, paragraphs, lists, tables, code. All of it is text, never markup."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from trainer.procedure.paper.tags import Html, Piece, tag, together

_LIST = re.compile(r"(?:[-*]|(\d+)\.) +(.*)")
_INLINE = re.compile(r"`([^`]+)`|\*\*([^*]+)\*\*")
_NAMED = re.compile(r"\(`([a-z][a-z0-9-]*)`\)$")
"""A heading that ends in the id of a method is the place that links to that method lead to."""
_RULE = re.compile(r"\|?[\s:|-]+\|[\s:|-]*")


def as_html(markdown: str) -> Html:
    """The page; its headings stand a level further down, so that they fit where it is put."""
    return together(piece for block in _blocks(markdown) for piece in _block(block))


def _blocks(markdown: str) -> Iterator[list[str]]:
    """Lines that belong together: parted by empty lines, except in code; a heading stands alone."""
    block: list[str] = []
    fenced = False
    for line in markdown.splitlines():
        if line.startswith("```"):
            fenced = not fenced
            if fenced and block:
                yield block
                block = []
            block.append(line)
            if not fenced:
                yield block
                block = []
        elif fenced or (line.strip() and not line.startswith("#")):
            block.append(line)
        else:
            if block:
                yield block
                block = []
            if line.strip():
                yield [line]
    if block:
        yield block


def _block(block: Sequence[str]) -> Iterator[Html]:
    first = block[0]
    if first.startswith("```"):
        yield tag("pre", "\n".join(line for line in block if not line.startswith("```")))
    elif first.startswith("#"):
        level = len(first) - len(first.lstrip("#"))
        said = first.lstrip("#").strip()
        named = _NAMED.search(said)
        more = {"id": f"method-{named[1]}"} if named else {}
        yield tag(f"h{min(level + 1, 6)}", *inline(said), **more)
    elif first.startswith("|"):
        yield _table(block)
    elif _LIST.match(first):
        yield _list(block)
    else:
        plain = [line for line in block if not _LIST.match(line)]
        if len(plain) == len(block):
            yield tag("p", *inline(" ".join(block)))
            return
        start = next(n for n, line in enumerate(block) if _LIST.match(line))
        yield tag("p", *inline(" ".join(block[:start])))
        yield _list(block[start:])


def _list(block: Sequence[str]) -> Html:
    """A list, one level deep; a line that begins no item goes on with the one before."""
    items: list[str] = []
    for line in block:
        found = _LIST.match(line.strip())
        if found:
            items.append(found[2])
        else:
            items[-1] += f" {line.strip()}"
    numbered = _LIST.match(block[0].strip())
    name = "ol" if numbered is not None and numbered[1] else "ul"
    return tag(name, *(tag("li", *inline(item)) for item in items))


def _table(block: Sequence[str]) -> Html:
    lines = [_cells(line) for line in block if not _RULE.fullmatch(line.strip())]
    top = tag("tr", *(tag("th", *inline(cell), scope="col") if cell else tag("td") for cell in lines[0]))
    body = [
        tag("tr", tag("th", *inline(line[0]), scope="row"), *(tag("td", *inline(cell)) for cell in line[1:]))
        for line in lines[1:]
    ]
    return tag("table", tag("thead", top), tag("tbody", *body))


def _cells(line: str) -> list[str]:
    """What stands between the bars; a bar in code stays."""
    inside = line.strip().strip("|")
    parts = re.split(r"\|(?=(?:[^`]*`[^`]*`)*[^`]*$)", inside)
    return [part.strip() for part in parts]


def inline(text: str) -> Iterator[Piece]:
    """A line with its code and its bold words."""
    last = 0
    for found in _INLINE.finditer(text):
        yield text[last : found.start()]
        yield tag("span", found[1], class_="id") if found[1] else tag("b", found[2])
        last = found.end()
    yield text[last:]
