"""Letters for films, drawn as strokes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.bench.artwork import Point
from trainer.bench.artwork_part import ArtworkFault, Part, points


@dataclass(frozen=True, slots=True)
class Letter:
    """A sign: how wide it is and its strokes, in the letters' own measure."""

    wide: float
    strokes: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters drawn as strokes. `height`, `gap` and `space` are in their own measure."""

    height: float
    gap: float
    space: float
    signs: Mapping[str, Letter]

    def length(self, text: str) -> float:
        """How long a line of text is, in the letters' own measure."""
        wide = [self.space if sign == " " else self._sign(sign).wide for sign in text]
        return sum(wide) + self.gap * max(0, len(wide) - 1)

    def strokes(self, text: str) -> list[tuple[Point, ...]]:
        """The strokes of a line of text that begins at x = 0 and stands on y = 0."""
        found: list[tuple[Point, ...]] = []
        x = 0.0
        for sign in text:
            if sign == " ":
                x += self.space + self.gap
                continue
            letter = self._sign(sign)
            found += [tuple((x + px, py - self.height) for px, py in line) for line in letter.strokes]
            x += letter.wide + self.gap
        return found

    def _sign(self, sign: str) -> Letter:
        if sign not in self.signs:
            raise ArtworkFault(f"The letters hold no {sign!r}: write the text with {''.join(self.signs)}.")
        return self.signs[sign]


def letters_from(value: object) -> Letters:
    """Letters from the value of their file. Raises ArtworkFault."""
    part = Part(value)
    part.only("letters", "height", "gap", "space", "signs")
    if part.number("letters") != 1:
        raise part.fault("this program reads letters of the form `letters: 1`.", "letters")
    signs = part.part("signs")
    return Letters(
        part.number("height"),
        part.number("gap"),
        part.number("space"),
        {sign: _letter(signs.part(sign)) for sign in signs.value},
    )


def _letter(part: Part) -> Letter:
    part.only("wide", "strokes")
    lines = part.text("strokes").split("/")
    path = (*part.path, "strokes")
    return Letter(part.number("wide"), tuple(points(line, path) for line in lines))
