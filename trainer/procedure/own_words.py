"""What an author most likely meant, said back in the author's own words instead of in an example's.

Whoever wrote `when: bronze` is helped by `answers.look == 'bronze'`, and by no formula about something else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from typing import NamedTuple

from trainer.procedure import levels, names, units
from trainer.procedure.building import Node
from trainer.procedure.problems import Mistake, Path
from trainer.procedure.quantity import Quantity, parse
from trainer.procedure.reader import Tree
from trainer.procedure.units import plain

ANSWERS = ("answers", "choice", "choices", "order")
_TO_A_STEP = 4
_SHOWN = 60
_LONGEST_ENTRY = 40
_SAID = frozenset({"do", "why", "ask", "because", "show", "summary", "then", "to", "of", "for", "picture"})
"""Keys whose value stays as it is when its key is put right."""
_NUMBER = r"(-?\d+(?:\.\d+)?)"
_UNIT = r"\s*[^\s\d=<>&|()'\"]{0,12}"
_RANGE = re.compile(
    rf"(?:between |from )?{_NUMBER}{_UNIT}\s*(?:-|\u2013|\.\.|to|and)\s*{_NUMBER}{_UNIT}", re.IGNORECASE
)
_LIMIT = re.compile(
    rf"(>=|<=|>|<|at least|at most|over|under|more than|less than|min\.?|max\.?)\s*{_NUMBER}{_UNIT}",
    re.IGNORECASE,
)
_SIGNS = {"at least": ">=", "min": ">=", "at most": "<=", "max": "<=", "over": ">", "more than": ">"}
_IF = re.compile(r"(?:if|when|on)\s+(.+)", re.IGNORECASE)


class Asked(NamedTuple):
    """A value of answers: its dotted name, the keys it may be, and whether it holds several of them."""

    name: str
    keys: tuple[str, ...]
    several: bool = False


def as_condition(said: str, asked: Iterable[Asked]) -> str:
    """The comparison that is meant where only an answer is written; empty where it is none.

    The first of `asked` that has such an answer is taken.
    """
    found = re.fullmatch(r"(not |!\s*)?(['\"]?)([a-z][a-z0-9_]*)\2", said.strip())
    for one in asked if found else ():
        if found and found[3] in one.keys:
            if one.several:
                return f"{'!(' if found[1] else ''}'{found[3]}' in {one.name}{')' if found[1] else ''}"
            return f"{one.name} {'!=' if found[1] else '=='} '{found[3]}'"
    return ""


def as_limits(said: str, name: str) -> str:
    """The comparison that is meant by `18 to 24` or `at least 18` of a value; empty where it is none."""
    text = said.strip()
    if found := _RANGE.fullmatch(text):
        return f"{name} >= {found[1]} && {name} <= {found[2]}"
    if found := _LIMIT.fullmatch(text):
        sign = found[1].lower().rstrip(".")
        return f"{name} {_SIGNS.get(sign, sign if sign[0] in '<>' else '<')} {found[2]}"
    return ""


def asked_in(tree: Tree, here: Path) -> list[Asked]:
    """The answers of the step that `here` leads into; where it asks nothing, those of all steps."""
    own = tree.at(here[:_TO_A_STEP])
    if isinstance(own, dict) and (asked := list(_asked(own))):
        return asked
    steps = (step for _, step in levels.matching(tree.value, "stages.*.steps.*") if isinstance(step, dict))
    return [asked for step in steps for asked in _asked(step)]


def _asked(step: dict[str, Node]) -> Iterator[Asked]:
    for task in ("judge", "quiz"):
        if isinstance(asked := step.get(task), dict):
            name = asked.get("name") or str(step.get("id", "NAME")).replace("-", "_")
            found = next((key for key in ANSWERS if isinstance(asked.get(key), dict)), "")
            answers = asked.get(found)
            keys = tuple(answers) if isinstance(answers, dict) else ()
            yield Asked(f"answers.{name}", keys, several=found in ("choices", "order"))
    signed = step.get("sign_off")
    if isinstance(signed, dict):
        yield Asked(f"answers.{signed.get('name') or 'NAME'}", ("passed", "not_yet"))


def way(tree: Tree, path: Path) -> str:
    """`{when: ..., to: ...}` where a `go` has `if bronze: wash` or `bronze: wash`; empty where it has not."""
    key, to = str(path[-1]), tree.at(path)
    found = _IF.fullmatch(key)
    asked = asked_in(tree, path)
    condition = _condition(found[1], found[1], asked) if found else as_condition(key, asked)
    if not condition or not isinstance(to, str) or len(condition) + len(to) > 2 * _SHOWN:
        return ""
    return f"{{when: {condition}, to: {to}}}"


def under(tree: Tree, path: Path, key: str) -> str:
    """How the value at `path` is written under the key that was meant."""
    value = tree.at(path)
    raw = _raw(tree, path)
    if key == "when" and raw:
        return f"when: {_condition(str(value), raw, asked_in(tree, path))}"
    if key in ANSWERS and isinstance(value, list):
        return lettered(key, value) or levels.example((*path[:-1], key))
    if key == "wait" and isinstance(value, str):
        return waiting(value)
    if key in _SAID and isinstance(value, str) and raw:
        return f"{key}: {raw}"
    return levels.example((*path[:-1], key))


def _condition(said: str, raw: str, asked: list[Asked]) -> str:
    """What is written for `when`: a word alone is an answer, if one that is nowhere else yet."""
    if asked and re.fullmatch(r"[a-z][a-z0-9_]*", said):
        return as_condition(said, asked) or f"{asked[0].name} == '{said}'"
    return as_condition(said, asked) or raw


def _raw(tree: Tree, path: Path) -> str:
    """A value as it stands in the file, quotes and all; empty where it takes several lines or is long."""
    place = tree.place(path)
    if place.line != place.end_line or place.end_column - place.column > _SHOWN:
        return ""
    return tree.text.split("\n")[place.line - 1][place.column - 1 : place.end_column - 1].strip()


def lettered(key: str, value: Sequence[Node]) -> str:
    """A list of answers with a letter for each; empty where they are no texts."""
    own = [one for one in value if isinstance(one, str)]
    each = ", ".join(f"{letter}: {entry(one)}" for letter, one in zip("abcdefghi", own, strict=False))
    return f"{key}: {{{each[:90]}}}" if own else ""


def entry(text: str) -> str:
    """A text as it is written in brackets."""
    short = text if len(text) <= _LONGEST_ENTRY else f"{text[: _LONGEST_ENTRY - 1]}…"
    return f'"{short}"' if re.search(r"[,\[\]{}#:]", text) else short


def waiting(text: str) -> str:
    """A wait of the times that a text names: one is a countdown, two are a window."""
    if quantity(text) or re.fullmatch(r"(?:settings|worked)\.\w+", text):
        return f"wait: {{for: {quantity(text) or text}}}"
    found = re.findall(r"(\d+(?:\.\d+)?)\s*([a-zA-Z]*)", text[: 2 * _SHOWN])
    times = [quantity(f"{number} {unit}") or quantity(f"{number} {found[-1][1]}") for number, unit in found]
    if len(times) == 2 and all(times):
        return f"wait: {{at_least: {times[0]}, at_most: {times[1]}}}"
    if len(times) == 1 and all(times):
        return f"wait: {{for: {times[0]}}}"
    return "wait: {for: 45 s}` or `wait: {at_least: 30 s, at_most: 90 s}"


def setting(name: str, value: Node) -> str:
    """A setting where only its value is written."""
    found = quantity(value) if isinstance(value, str) else None
    number = found.value if found else value if isinstance(value, int | float) and value > 0 else 24.0
    unit = found.unit if found else "units"
    label = name.replace("_", " ").capitalize()[:40]
    limits = f"[{plain(number / 2)}, {plain(number * 2)}]"
    return f"{name}: {{value: {plain(number)}, unit: {unit}, between: {limits}, label: {label}}}"


def quantity(text: str) -> Quantity | None:
    """What a text measures, its unit in full or with another sign too; None where it is no quantity."""
    one = re.fullmatch(r"([\d.]+)\s*(\D*)", text.strip())
    unit = units.called(one[2]) if one else None
    for said in (text, f"{one[1]} {unit}" if one and unit else text):
        with suppress(Mistake):
            return parse(said)
    return None


def example(tree: Tree, path: Path) -> str:
    """How a key that is missing is written: with what stands around it, where that tells."""
    key, beside = path[-1], tree.at(path[:-1])
    if key == "unit" and isinstance(beside, dict):
        for amount in (beside.get("value"), beside.get("amount")):
            if isinstance(amount, str) and (found := quantity(amount)):
                return f"unit: {found.unit}"
    if key == "name" and isinstance(own := tree.at((*path[:_TO_A_STEP], "id")), str):
        with suppress(Mistake):
            return f"name: {names.name(own.replace('-', '_'))}"
    return levels.example(path)
