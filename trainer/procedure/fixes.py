"""What can be written instead of a slip without touching what is meant, code by code.

Only slips with one answer are here: the same text in quotes, a number without them, `true` for `yes`, a key
in small letters, `&&` for `and`. A misspelt word may be meant in two ways and is left to its author.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from trainer.procedure import levels, units
from trainer.procedure.building import Node
from trainer.procedure.parts import fields_of
from trainer.procedure.problems import Path, Place, Problem
from trainer.procedure.reader import Tree
from trainer.procedure.scalars import resolve


@dataclass(frozen=True, slots=True)
class Fix:
    """`written` stands for what is at `place` (one line). `values`: what the value at `path` may then be.

    `key`: the new name where it is the key of `path` that is written anew.
    """

    code: str
    place: Place
    path: Path
    was: str
    written: str
    values: tuple[Node, ...] = field(default=())
    key: str = ""

    @property
    def said(self) -> str:
        """What it does, for people."""
        return f"`{self.was}` is now `{self.written}`."


_TRUTHS = {
    **dict.fromkeys(("yes", "Yes", "YES", "on", "On", "ON", "True", "TRUE"), True),
    **dict.fromkeys(("no", "No", "NO", "off", "Off", "OFF", "False", "FALSE"), False),
}
"""Words for true and false in YAML 1.1, the sections on `bool` of its types (yaml.org/type/bool.html)."""
_FORMULA_WORDS = {"and": "&&", "AND": "&&", "or": "||", "OR": "||"}
_FORMULA_SIGNS = {"=>": ">=", "=<": "<=", "<>": "!=", "=": "==", "&": "&&", "|": "||"}
_BARE = re.compile(r"[A-Za-z0-9][^,\[\]{}#:'\"`&*!|>%@?\\]*")
"""A text that reads the same inside brackets."""


_ONE_MEANING = frozenset(
    {"s", "min", "h", "days", "weeks", "mm", "cm", "in", "um", "ft"}
    | {"mL", "L", "g", "degC", "degF", "kPa", "mbar", "mmHg", "%", "step"}
)
_NO_TEXTS = frozenset({"between", "plausible", "go", "supplies", "stages", "steps"})
"""Lists whose entries are no texts: brackets round a text mend nothing."""


def fix_for(problem: Problem, tree: Tree) -> Fix | None:
    """What to write for a problem; None where only its author knows."""
    find = _FIXES.get(problem.code)
    return find(problem, tree) if find and problem.path else None


def _at(problem: Problem, tree: Tree) -> tuple[Node, str]:
    """The value that a problem is about, and how it is written; nothing where that takes several lines."""
    return tree.at(problem.path), _written(tree, tree.place(problem.path))


def _written(tree: Tree, place: Place) -> str:
    lines = tree.text.split("\n")
    if place.line != place.end_line or place.line > len(lines):
        return ""
    return lines[place.line - 1][place.column - 1 : place.end_column - 1]


def _instead(problem: Problem, tree: Tree, was: str, written: str, *values: Node) -> Fix:
    return Fix(problem.code, tree.place(problem.path), problem.path, was, written, values)


def _quoted(text: str) -> str:
    if '"' not in text and "\\" not in text:
        return f'"{text}"'
    return "'" + text.replace("'", "''") + "'"


def _same_text(problem: Problem, tree: Tree) -> Fix | None:
    """Y20: quotes round a text that other programs read otherwise."""
    value, was = _at(problem, tree)
    return _instead(problem, tree, was, _quoted(was), was) if was and value == was else None


def _text(problem: Problem, tree: Tree) -> Fix | None:
    """S03: quotes round a number or a truth that people read as a text."""
    value, was = _at(problem, tree)
    is_text = levels.pattern_of(problem.path) in levels.TEXTS
    if not is_text or not was or not isinstance(value, bool | int | float):
        return None
    return _instead(problem, tree, was, _quoted(was), was)


def _number(problem: Problem, tree: Tree) -> Fix | None:
    """S04, S05: a number without its quotes; a whole number without `.0`."""
    value, was = _at(problem, tree)
    whole = problem.code == "S05"
    if isinstance(value, float) and whole and value == int(value):
        return _instead(problem, tree, was, str(int(value)), int(value))
    if not isinstance(value, str) or was[:1] not in {'"', "'"} or was[1:-1] != value:
        return None
    number = resolve(value)
    wanted = isinstance(number, int) if whole else isinstance(number, int | float)
    return _instead(problem, tree, was, value, number) if wanted and not isinstance(number, bool) else None


def _truth(problem: Problem, tree: Tree) -> Fix | None:
    """S06: `true` or `false` for another word of YAML that means it."""
    value, was = _at(problem, tree)
    truth = _TRUTHS.get(value) if isinstance(value, str) else None
    return None if truth is None or not was else _instead(problem, tree, was, str(truth).lower(), truth)


def _list(problem: Problem, tree: Tree) -> Fix | None:
    """S07: one entry in brackets."""
    value, was = _at(problem, tree)
    if not isinstance(value, str) or ";" in value or problem.path[-1] in _NO_TEXTS:
        return None
    return (
        _instead(problem, tree, was, f"[{was}]", [value]) if was == value and _BARE.fullmatch(was) else None
    )


def _word(problem: Problem, tree: Tree) -> Fix | None:
    """S09: a word in small letters, where the message says that this is it."""
    value, was = _at(problem, tree)
    if not isinstance(value, str) or was != value or value == value.lower():
        return None
    meant = value.lower()
    known = re.findall(r"`(\w+)`", problem.message.split(" is wanted", 1)[0])
    return _instead(problem, tree, was, meant, meant) if meant in known else None


def _key(problem: Problem, tree: Tree) -> Fix | None:
    """S01: a key in small letters with `_`, where nothing else is wrong with it."""
    *above, key = problem.path
    level = levels.LEVELS.get(levels.pattern_of(tuple(above)))
    meant = str(key).lower().replace("-", "_").replace(" ", "_")
    was = _written(tree, problem.place)
    if level is None or was != key or meant == key or (*above, meant) in tree.places:
        return None
    if meant not in fields_of(level.part):
        return None
    return Fix(problem.code, problem.place, problem.path, was, meant, key=meant)


def _amount(problem: Problem, tree: Tree) -> Fix | None:
    """S14: the space between a number and its unit; a unit by the name that it has here."""
    value, was = _at(problem, tree)
    found = re.fullmatch(r"(\d+(?:\.\d+)?) ?([A-Za-z°℃]+)", was)
    unit = None if found is None else found[2] if units.known(found[2]) else _surely(found[2])
    if value != was or found is None or unit is None:
        return None
    return _instead(problem, tree, was, f"{found[1]} {unit}", f"{found[1]} {unit}")


def _surely(written: str) -> str | None:
    """The unit that is written so elsewhere, where it is always that one: a gallon is not."""
    unit = units.called(written)
    return unit if unit in _ONE_MEANING and len(written) > 1 and written.lower() != "gr" else None


def _unit(problem: Problem, tree: Tree) -> Fix | None:
    """S15: a unit by the name that it has here."""
    value, was = _at(problem, tree)
    unit = _surely(was)
    return None if value != was or unit is None else _instead(problem, tree, was, unit, unit)


def _sign(problem: Problem, tree: Tree) -> Fix | None:
    """C04, C05: the sign of formulas for a word or a sign of elsewhere."""
    value, _ = _at(problem, tree)
    lines = tree.text.split("\n")
    place = problem.place
    if not isinstance(value, str) or place.line > len(lines):
        return None
    row, at = lines[place.line - 1], place.column - 1
    found = re.match(r"(?:and|AND|or|OR)(?!\w)" if problem.code == "C04" else "=>|=<|<>|=|&|[|]", row[at:])
    if found is None or (problem.code == "C05" and (row[at - 1 : at] + row[at + 1 : at + 2]) == "=="):
        return None
    was = found[0]
    if was in {"=", "&", "|"} and (row[at - 1] in "=<>!&|" or row[at + 1 : at + 2] in {"=", "&", "|"}):
        return None
    written = (_FORMULA_WORDS | _FORMULA_SIGNS)[was]
    ways = (index for index in range(len(value)) if value.startswith(was, index))
    values = tuple(value[:index] + written + value[index + len(was) :] for index in ways)
    there = Place(place.line, place.column, place.line, place.column + len(was))
    return Fix(problem.code, there, problem.path, was, written, values)


_FIXES: Mapping[str, Callable[[Problem, Tree], Fix | None]] = {
    "Y20": _same_text,
    "S01": _key,
    "S03": _text,
    "S04": _number,
    "S05": _number,
    "S06": _truth,
    "S07": _list,
    "S09": _word,
    "S14": _amount,
    "S15": _unit,
    "C04": _sign,
    "C05": _sign,
}

FIXED = ("Y02", *sorted(_FIXES))
"""The codes of which some can be mended; tabs (Y02) by `fixing`, since they keep the file from being read."""
