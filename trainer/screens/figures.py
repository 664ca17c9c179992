"""Big digits and letters of our own, for what must be read from two metres: 7 rows high.

A digit is 6 cells wide, a letter 5; `big` sets them side by side. Where rows are short, `half` draws the same
shape in 4 rows with half blocks.
"""

from __future__ import annotations

ROWS = 7

_DIGITS = """
.####. ..##.. .####. .####. ##..## ###### .####. ###### .####. .####.
##..## .###.. ##..## ##..## ##..## ##.... ##.... ....## ##..## ##..##
##..## ..##.. ....## ....## ##..## ##.... ##.... ...##. ##..## ##..##
##..## ..##.. ..###. ..###. ###### #####. #####. ..##.. .####. .#####
##..## ..##.. .##... ....## ....## ....## ##..## ..##.. ##..## ....##
##..## ..##.. ##.... ##..## ....## ##..## ##..## ..##.. ##..## ....##
.####. .####. ###### .####. ....## .####. .####. ..##.. .####. .####.
"""

_LETTERS = """
A     C     D     E     G     I     L     M     N     O     P     R     S     T     U     W     V     Ó
.###. .###. ####. ##### .###. ##### #.... #...# #...# .###. ####. ####. .#### ##### #...# #...# #...# ...#.
#...# #...# #...# #.... #...# ..#.. #.... ##.## ##..# #...# #...# #...# #.... ..#.. #...# #...# #...# .###.
#...# #.... #...# #.... #.... ..#.. #.... #.#.# ##..# #...# #...# #...# #.... ..#.. #...# #...# #...# #...#
##### #.... #...# ####. #.### ..#.. #.... #.#.# #.#.# #...# ####. ####. .###. ..#.. #...# #.#.# #...# #...#
#...# #.... #...# #.... #...# ..#.. #.... #...# #..## #...# #.... #.#.. ....# ..#.. #...# #.#.# #...# #...#
#...# #...# #...# #.... #...# ..#.. #.... #...# #..## #...# #.... #..#. ....# ..#.. #...# ##.## .#.#. #...#
#...# .###. ####. ##### .###. ##### ##### #...# #...# .###. #.... #...# ####. ..#.. .###. #...# ..#.. .###.
"""

_SIGNS = {
    ":": ("..", "##", "##", "..", "##", "##", ".."),
    ".": ("..", "..", "..", "..", "..", "##", "##"),
    ",": ("..", "..", "..", "..", "##", "##", "#."),
    "+": (".....", ".....", "..#..", "#####", "..#..", ".....", "....."),
    "-": (".....", ".....", ".....", "#####", ".....", ".....", "....."),
    " ": ("...",) * 7,
}


def _read() -> dict[str, tuple[str, ...]]:
    """The shapes by character."""
    digits = list(zip(*(row.split() for row in _DIGITS.split("\n") if row), strict=True))
    names, *rows = (row.split() for row in _LETTERS.split("\n") if row)
    letters = zip(*rows, strict=True)
    return {
        **{str(number): shape for number, shape in enumerate(digits)},
        **dict(zip(names, letters, strict=True)),
        **_SIGNS,
    }


SHAPES = _read()


def big(text: str, gap: int = 2) -> tuple[str, ...]:
    """`text` in 7 rows of full blocks, `gap` cells between characters.

    Characters without a shape are left out; a caller draws such a text small instead (see `has_shapes`).
    """
    shapes = [SHAPES[character] for character in text if character in SHAPES]
    rows = ((" " * gap).join(shape[row] for shape in shapes) for row in range(ROWS))
    return tuple(row.replace(".", " ").replace("#", "█") for row in rows)


def half(text: str, gap: int = 1) -> tuple[str, ...]:
    """The same shapes in 4 rows, two dots to a cell."""
    shapes = [SHAPES[character] for character in text if character in SHAPES]
    dots = [("." * gap).join(shape[row] for shape in shapes) for row in range(ROWS)]
    dots.append("." * len(dots[0]))
    blocks = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}
    return tuple(
        "".join(blocks[upper + lower] for upper, lower in zip(dots[row], dots[row + 1], strict=True))
        for row in range(0, ROWS + 1, 2)
    )


def has_shapes(text: str) -> bool:
    """Whether every character of `text` can be drawn big."""
    return all(character in SHAPES for character in text)
