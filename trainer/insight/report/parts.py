"""What the sections of a page are made of: headings, sentences, a run by its id."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.insight.report.words import runs_named
from trainer.procedure.paper.tags import Html, Piece, tag, together


@dataclass(frozen=True, slots=True)
class Section:
    """A section with its heading. id: unique on the page, for the list of contents."""

    id: str
    title: str
    inside: tuple[Html, ...]
    new_page: bool = False

    def html(self) -> Html:
        """As it stands on the page."""
        heading = tag("h2", self.title, id=f"{self.id}-title")
        more = {"class_": "newpage"} if self.new_page else {}
        return tag("section", heading, *self.inside, id=self.id, aria_labelledby=f"{self.id}-title", **more)


def p(*inside: Piece, class_: str = "") -> Html:
    """A paragraph; nothing where nothing is said."""
    if not any(piece if isinstance(piece, str) else piece.source for piece in inside):
        return Html("")
    return tag("p", *inside, class_=class_) if class_ else tag("p", *inside)


def code(said: str) -> Html:
    """An id, a code, a head: in letters of even width."""
    return tag("span", said, class_="id")


def codes(people: Sequence[str], most: int = 4) -> Html:
    """Codes of people, none of them broken over lines: the first few, and how many more."""
    parts: list[Piece] = []
    for one in people[:most]:
        parts += [", ", tag("span", one, class_="code")]
    if len(people) > most:
        parts += [f" and {len(people) - most} others" if len(people) > most + 1 else " and another"]
    return together(parts[1:])


def runs_behind(runs: Sequence[str], most: int = 4) -> Html:
    """The runs that something rests on."""
    return code(runs_named(runs, most)) if runs else Html("")


def tagged(words: str, class_: str = "") -> Html:
    """A word in a frame: a state, or what is to be done."""
    return tag("span", words, class_=f"tag {class_}".strip())
