"""Large letters of our own, for the act where the screen has room: five rows a line, two dots to a cell.

Seven rows of dots stand on the line, two hang under it, one keeps lines apart. A letter is as wide as it is.
"""

from __future__ import annotations

LINE = 5
"""Rows of cells a line of large letters takes."""
MOST_LINES = 4
"""More lines than this are slower to read than plain letters."""
_DOTS = 2 * LINE
_GAP = 1
_SPACE = 3

_SHAPES = """
A .###. #...# #...# ##### #...# #...# #...#
B ####. #...# #...# ####. #...# #...# ####.
C .###. #...# #.... #.... #.... #...# .###.
D ####. #...# #...# #...# #...# #...# ####.
E ##### #.... #.... ####. #.... #.... #####
F ##### #.... #.... ####. #.... #.... #....
G .###. #...# #.... #.### #...# #...# .####
H #...# #...# #...# ##### #...# #...# #...#
I ### .#. .#. .#. .#. .#. ###
J ..### ...#. ...#. ...#. ...#. #..#. .##..
K #...# #..#. #.#.. ##... #.#.. #..#. #...#
L #.... #.... #.... #.... #.... #.... #####
M #...# ##.## #.#.# #.#.# #...# #...# #...#
N #...# ##..# #.#.# #.#.# #..## #...# #...#
O .###. #...# #...# #...# #...# #...# .###.
P ####. #...# #...# ####. #.... #.... #....
Q .###. #...# #...# #...# #.#.# #..#. .##.#
R ####. #...# #...# ####. #.#.. #..#. #...#
S .#### #.... #.... .###. ....# ....# ####.
T ##### ..#.. ..#.. ..#.. ..#.. ..#.. ..#..
U #...# #...# #...# #...# #...# #...# .###.
V #...# #...# #...# #...# #...# .#.#. ..#..
W #...# #...# #...# #.#.# #.#.# ##.## #...#
X #...# #...# .#.#. ..#.. .#.#. #...# #...#
Y #...# #...# .#.#. ..#.. ..#.. ..#.. ..#..
Z ##### ....# ...#. ..#.. .#... #.... #####
a ..... ..... .###. ....# .#### #...# .####
b #.... #.... ####. #...# #...# #...# ####.
c .... .... .### #... #... #... .###
d ....# ....# .#### #...# #...# #...# .####
e ..... ..... .###. #...# ##### #.... .###.
f ..## .#.. #### .#.. .#.. .#.. .#..
g ..... ..... .#### #...# #...# #...# .#### ....# .###.
h #.... #.... ####. #...# #...# #...# #...#
i # . # # # # #
j ..# ... ..# ..# ..# ..# ..# ..# ##.
k #... #... #..# #.#. ##.. #.#. #..#
l #. #. #. #. #. #. .#
m ..... ..... ##.#. #.#.# #.#.# #.#.# #.#.#
n ..... ..... ####. #...# #...# #...# #...#
o ..... ..... .###. #...# #...# #...# .###.
p ..... ..... ####. #...# #...# #...# ####. #.... #....
q ..... ..... .#### #...# #...# #...# .#### ....# ....#
r .... .... #.## ##.. #... #... #...
s .... .... .### #... .##. ...# ###.
t .#.. .#.. #### .#.. .#.. .#.. ..##
u ..... ..... #...# #...# #...# #...# .####
v ..... ..... #...# #...# #...# .#.#. ..#..
w ..... ..... #...# #.#.# #.#.# #.#.# .#.#.
x ..... ..... #...# .#.#. ..#.. .#.#. #...#
y ..... ..... #...# #...# #...# #...# .#### ....# .###.
z ..... ..... ##### ...#. ..#.. .#... #####
0 .###. #...# #..## #.#.# ##..# #...# .###.
1 .#. ##. .#. .#. .#. .#. ###
2 .###. #...# ....# ...#. ..#.. .#... #####
3 .###. #...# ....# ..##. ....# #...# .###.
4 ...#. ..##. .#.#. #..#. ##### ...#. ...#.
5 ##### #.... ####. ....# ....# #...# .###.
6 .###. #.... #.... ####. #...# #...# .###.
7 ##### ....# ...#. ..#.. ..#.. ..#.. ..#..
8 .###. #...# #...# .###. #...# #...# .###.
9 .###. #...# #...# .#### ....# ....# .###.
. . . . . . . #
, .. .. .. .. .. .. .# .# #.
: . . . # . . #
; .. .. .. .# .. .. .# .# #.
! # # # # # . #
? .###. #...# ....# ..##. ..#.. ..... ..#..
' # # . . . . .
" #.# #.# ... ... ... ... ...
( .# #. #. #. #. #. .#
) #. .# .# .# .# .# #.
- ... ... ... ... ### ... ...
/ ..# ..# .#. .#. .#. #.. #..
+ ..... ..... ..#.. ..#.. ##### ..#.. ..#..
% ##..# ##..# ...#. ..#.. .#... #..## #..##
"""


def _read() -> dict[str, tuple[str, ...]]:
    """The rows of dots of each character, all of them as many."""
    shapes: dict[str, tuple[str, ...]] = {" ": ("." * _SPACE,) * _DOTS}
    for line in filter(None, _SHAPES.split("\n")):
        character, *rows = line.split(" ")
        empty = "." * len(rows[0])
        shapes[character] = (*rows, *[empty] * (_DOTS - len(rows)))
    return shapes


SHAPES = _read()
_CELLS = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}


def large(text: str, width: int) -> tuple[str, ...] | None:
    """`text` in large letters, wrapped at words into `width` cells; five rows a line.

    None where a character has no shape, a word does not fit, or it takes too many lines: such a text is
    shown in plain letters.
    """
    if not text.strip() or any(character not in SHAPES for character in text):
        return None
    lines = _wrapped(text.split(), width)
    if lines is None or len(lines) > MOST_LINES:
        return None
    return tuple(row for line in lines for row in _drawn(line))


def _wrapped(words: list[str], width: int) -> list[str] | None:
    lines = [""]
    for word in words:
        if _width(word) > width:
            return None
        longer = f"{lines[-1]} {word}".strip()
        if _width(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _width(text: str) -> int:
    return sum(len(SHAPES[character][0]) + _GAP for character in text) - _GAP


def _drawn(line: str) -> list[str]:
    dots = [("." * _GAP).join(SHAPES[character][row] for character in line) for row in range(_DOTS)]
    return [
        "".join(_CELLS[upper + lower] for upper, lower in zip(dots[row], dots[row + 1], strict=True))
        for row in range(0, _DOTS, 2)
    ]
