"""HTML from plain values: every text and attribute is escaped here and nowhere else."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

_CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
"""Code points that HTML calls parse errors: HTML standard, section 13.2.3.5."""


@dataclass(frozen=True, slots=True)
class Html:
    """A piece of a page that is markup already."""

    source: str


Piece = Html | str


def tag(name: str, *inside: Piece, **attributes: str) -> Html:
    """An element; texts in it are escaped. `class_` and `for_` stand for `class` and `for`, `_` for `-`."""
    said = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_shown(value))}"' for key, value in attributes.items()
    )
    return Html(f"<{name}{said}>{joined(inside)}</{name}>")


def joined(pieces: Iterable[Piece]) -> str:
    """Pieces one after the other, texts escaped."""
    return "".join(
        piece.source if isinstance(piece, Html) else escape(_shown(piece), quote=False) for piece in pieces
    )


def together(pieces: Iterable[Piece]) -> Html:
    """Several pieces as one."""
    return Html(joined(pieces))


def rows(items: Iterable[Piece], name: str = "ul", class_: str = "points") -> Html:
    """A list; nothing where it would be empty."""
    inside = [tag("li", item) for item in items]
    return tag(name, *inside, class_=class_) if inside else Html("")


def box(words: str = "") -> Html:
    """A box to tick, and the words beside it."""
    drawn = Html('<span class="box" aria-hidden="true"></span>')
    return together((drawn, Html(" "), words)) if words else drawn


def blank(words: str, size: str = "", unit: str = "") -> Html:
    """A line to write on, what is written there before it, and its unit after it."""
    line = tag("span", Html("&#160;"), class_=f"blank {size}".strip())
    return tag("span", f"{words} ", line, f" {unit}" if unit else "", class_="field")


def _shown(text: str) -> str:
    return _CONTROLS.sub("\ufffd", text)
