"""A page as a parser sees it: tags, attributes, texts, and what stands in which."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset({"meta"})
TAGS = frozenset(
    [
        *(
            "html",
            "head",
            "meta",
            "title",
            "style",
            "body",
            "header",
            "main",
            "footer",
            "nav",
            "section",
            "div",
        ),
        *(
            "h1",
            "h2",
            "h3",
            "h4",
            "p",
            "ul",
            "ol",
            "li",
            "b",
            "a",
            "span",
            "bdi",
            "pre",
            "details",
            "summary",
        ),
        *("table", "caption", "thead", "tbody", "tr", "th", "td", "figure", "figcaption"),
        *("svg", "desc", "g", "line", "polyline", "polygon", "circle", "rect", "text"),
    ]
)
"""Every tag that a report is made of; none of them runs or loads anything without a handler or an address."""


@dataclass
class Node:
    """An element."""

    tag: str
    attributes: dict[str, str]
    children: list[Node | str] = field(default_factory=list)

    @property
    def said(self) -> str:
        """All texts in it, blanks as one, styles left out."""
        return " ".join(" ".join(self._texts()).split())

    def _texts(self) -> list[str]:
        if self.tag == "style":
            return []
        parts: list[str] = []
        for child in self.children:
            parts += [child] if isinstance(child, str) else child._texts()
        return parts

    def all(self, *tags: str) -> list[Node]:
        """Elements of these names in it, in order."""
        found: list[Node] = []
        for child in self.children:
            if isinstance(child, Node):
                found += [child] if child.tag in tags else []
                found += child.all(*tags)
        return found

    def first(self, id_: str) -> Node:
        """The element with an id."""
        return next(node for node in self.every() if node.attributes.get("id") == id_)

    def every(self) -> list[Node]:
        """All elements in it."""
        found: list[Node] = []
        for child in self.children:
            if isinstance(child, Node):
                found += [child, *child.every()]
        return found


class _Parser(HTMLParser):
    """Makes the tree; raises where tags do not match."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Node("", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that opens."""
        node = Node(tag, {key: value or "" for key, value in attrs})
        self.open[-1].children.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_endtag(self, tag: str) -> None:
        """A tag that closes."""
        assert self.open.pop().tag == tag

    def handle_data(self, data: str) -> None:
        """A text."""
        self.open[-1].children.append(data)


def read(page: str) -> Node:
    """The tree of a page."""
    parser = _Parser()
    parser.feed(page)
    parser.close()
    assert parser.open == [parser.root]
    return parser.root


def colours(text: str) -> set[str]:
    """Every colour written as a number in a style sheet."""
    return set(re.findall(r"#[0-9a-f]{3,6}\b", text))


def luminance(colour: str) -> float:
    """Relative luminance, as WCAG 2.2 defines it: nought for black, one for white."""
    digits = colour.removeprefix("#")
    full = digits if len(digits) == 6 else "".join(digit * 2 for digit in digits)
    parts = [int(full[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, as WCAG 2.2 defines it: 1 to 21."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)
