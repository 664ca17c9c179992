"""Texts that mean harm, and what tells whether one got out: independent of the program's own cleaning.

Sources: ECMA-48 (control functions, 7-bit and 8-bit forms); UAX #9 (Bidi_Control); Unicode's general
categories as Python has them; what is blank or a joiner among its letters, from memory.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterator

MARK = "Zq"
"""Stands before every hostile text, so that a check can see that the text came through at all."""

CONTROLS = {
    "CSI": "\x1b[2J\x1b[7;7f\x1b[38;5;199m",
    "OSC title": "\x1b]0;owned\x07",
    "OSC clipboard": "\x1b]52;c;b3duZWQ=\x1b\\",
    "OSC link": "\x1b]8;;http://x.invalid\x1b\\y\x1b]8;;\x1b\\",
    "DCS": "\x1bP$qm\x1b\\",
    "APC, PM, SOS": "\x1b_a\x1b\\\x1b^b\x1b\\\x1bXc\x1b\\",
    "reset": "\x1bc",
    "modes": "\x1b[?1047l\x1b[?9h\x1b[6n",
    "C1": "\x9b2J\x9d0;owned\x9c\x90q\x9c\x84\x85\x8d",
    "C0": "".join(map(chr, [*range(1, 9), 11, 12, 13, *range(14, 32), 127])),
    "direction": "\u202a\u202b\u202c\u202d\u202etxet\u202c\u2066\u2067\u2068x\u2069\u200e\u200f\u061c",
    "unseen": "\u200b\u2060\u2061\u2064\u00ad\u180e\u206a\u206f\ufeff\ufff9\ufffb",
    "blank letters": "\u115f\u1160\u3164\uffa0",
    "separators": "\u2028x\u2029",
    "tags": "\U000e0001\U000e0041\U000e007f",
}
"""What a terminal would obey, or what makes a text look like another."""

EVERYTHING = "".join(CONTROLS.values())
FORGED = "\nFORGED: a line of its own"
"""A line feed in what is one line: it would pass for a line of the program's."""

MARKS = (
    "[CAUTION]",
    "[x]",
    "5 [cm]",
    "[red]",
    "[/]",
    "[/nope]",
    "[@click=app.quit]go[/]",
    "[$x]",
    "[link=x]y[/link]",
    "a\\[b",
    "*b* `c` <i>",
    ":smile:",
    "{{x}} %s {0}",
)
"""What reads as markup somewhere, and must stand as it was written."""

SHAPES = {
    "long word": "w" * 700,
    "wide": "\u6f22\u5b57" * 60,
    "combining": "e" + "\u0301\u0336\u20dd" * 40,
    "joined": "\U0001f469\u200d\U0001f52c \u0645\u06cc\u200c\u062e",
    "right to left": "\u05d0\u05d1\u05d2 12",
}
"""What takes more, or fewer, cells of a terminal than it has letters."""

_SHOWS = frozenset(
    "\u200c\u200d"  # the joiners
    "\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd"  # number signs
)
_BLANK = frozenset("\u115f\u1160\u3164\uffa0")


def leaks(text: str) -> list[str]:
    """What in `text` must not reach a terminal, each once: `U+001B`, or `a forged line`."""
    found = list(dict.fromkeys(f"U+{ord(sign):04X}" for sign in text if _harms(sign)))
    return [*found, "a forged line"] if re.search(r"^FORGED", text, re.MULTILINE) else found


def _harms(sign: str) -> bool:
    kind = unicodedata.category(sign)
    if kind == "Cf":
        return sign not in _SHOWS
    return (kind == "Cc" and sign != "\n") or kind in {"Zl", "Zp", "Cs"} or sign in _BLANK


_SEQUENCE = re.compile(
    r"\x1b\[[0-?]*[ -/]*[@-~]"  # CSI: parameters, intermediates, final
    r"|\x1b[\]P_^X][^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)"  # OSC, DCS, APC, PM, SOS, each to its end
    r"|\x1b[ -/]*[0-~]"  # all other escapes
)
_MOVES_OR_PAINTS = frozenset("ABCDEFGHJKfm")


def sequences(written: str) -> set[str]:
    """The control sequences in what was written to a terminal; of those that move or paint only the kind."""
    return {_kind(found) for found in _SEQUENCE.findall(written)}


def _kind(sequence: str) -> str:
    final = sequence[-1]
    if sequence.startswith("\x1b[") and final in _MOVES_OR_PAINTS and sequence[2:3] not in "<=>?":
        return f"\x1b[{final}"
    return sequence


def between(written: str) -> str:
    """What was written, without its control sequences."""
    return _SEQUENCE.sub("", written)


def payloads_in(written: str) -> list[str]:
    """Which hostile texts stand in `written` as they are."""
    parts = {name: re.findall(r"\x1b[^\x1b]+|[\x80-\x9f]\S", text) for name, text in CONTROLS.items()}
    return [name for name, pieces in parts.items() if any(piece in written for piece in pieces)]


def texts_of(value: object) -> Iterator[str]:
    """Every text in a JSON value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, part in value.items():
            yield from (key, *texts_of(part))
    elif isinstance(value, list):
        for part in value:
            yield from texts_of(part)


def json_leaks(written: str, *, names: frozenset[str] = frozenset({"file"})) -> list[str]:
    """What in a JSON text leaks: in its characters, or in the texts it says. `names`: keys of file names."""

    def without_names(pairs: list[tuple[str, object]]) -> dict[str, object]:
        return {key: part for key, part in pairs if key not in names}

    value = json.loads(written, object_pairs_hook=without_names)
    return [*leaks(written), *leaks(" ".join(texts_of(value)).replace("\n", " "))]
