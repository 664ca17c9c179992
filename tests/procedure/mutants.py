"""Mistakes made by a script: one slip in a good file, with the code and the line at which it must be told.

Each kind of slip goes through all the places of a file where it can be made. What a slip must give follows
from what was there before, never from what the check says.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NamedTuple

from trainer.procedure import levels
from trainer.procedure.building import Node
from trainer.procedure.parts import fields_of
from trainer.procedure.problems import Path as Way
from trainer.procedure.problems import Place
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.rule_tools import head

_STEP = "stages.*.steps.*"
FORMULAS = frozenset({"ok", "when", "from"})


class Mutant(NamedTuple):
    """A file with one slip: `code` must be told on line `line`."""

    kind: str
    what: str
    text: str
    code: str
    line: int


@dataclass(frozen=True)
class Good:
    """A file without problems, with what the slips are made from."""

    text: str
    tree: Tree
    lines: tuple[str, ...]
    steps: frozenset[str]

    @classmethod
    def of(cls, file: Path) -> Good:
        """The good file at a path."""
        text = file.read_text(encoding="utf-8")
        tree = read_tree(text.encode(), file.name)
        found = levels.matching(tree.value, f"{_STEP}.id")
        return cls(text, tree, tuple(text.split("\n")), frozenset(str(name) for _, name in found))

    def at(self, place: Place) -> str:
        """What stands at a place; nothing where that is more than a line."""
        if place.line != place.end_line:
            return ""
        return self.lines[place.line - 1][place.column - 1 : place.end_column - 1]

    def row(self, line: int, row: str | None) -> str:
        """The text with another line, or without it."""
        return "\n".join([*self.lines[: line - 1], *([] if row is None else [row]), *self.lines[line:]])

    def with_at(self, place: Place, written: str) -> str:
        """The text with something else at a place on one line."""
        row = self.lines[place.line - 1]
        return self.row(place.line, row[: place.column - 1] + written + row[place.end_column - 1 :])

    def values(self) -> Iterator[tuple[Way, Node, Place]]:
        """Every value that stands on one line, as it is written there, with its place."""
        for path, place in self.tree.places.items():
            if self.at(place):
                yield path, self.tree.at(path), place


Slip = Callable[[Good], Iterator[Mutant]]


def misspelt(word: str) -> str:
    """The word with one letter more: `vacuum` becomes `vacuumx`. No word of a good file ends so."""
    return f"{word}x"


def _step(path: Way) -> str:
    return ".".join(map(str, path))


def _known_key(path: Way) -> bool:
    """Is the key one of the format, not one that the file makes up?"""
    level = levels.LEVELS.get(levels.pattern_of(path[:-1]))
    return level is not None and path[-1] in fields_of(level.part)


def key_misspelt(good: Good) -> Iterator[Mutant]:
    """A key of the format with one letter more."""
    for path, place in good.tree.keys.items():
        if _known_key(path):
            text = good.with_at(place, misspelt(str(path[-1])))
            yield Mutant("key misspelt", _step(path), text, "S01", place.line)


def key_dropped(good: Good) -> Iterator[Mutant]:
    """A key that must be there, and has its value on its own line, is gone."""
    for path, place in good.tree.keys.items():
        level = levels.LEVELS.get(levels.pattern_of(path[:-1]))
        value = good.tree.places[path]
        row = good.lines[place.line - 1]
        alone = row.strip().startswith(f"{path[-1]}:") and good.at(value) and not row.strip().startswith("- ")
        if level is None or not alone or not fields_of(level.part)[str(path[-1])].key.required:
            continue
        line = head(good.tree, path[:-1]).line
        yield Mutant("key dropped", _step(path), good.row(place.line, None), "S02", line)


def key_twice(good: Good) -> Iterator[Mutant]:
    """A line with a key of its own stands twice."""
    for path, place in good.tree.keys.items():
        row = good.lines[place.line - 1]
        if good.at(good.tree.places[path]) and row.strip().startswith(f"{path[-1]}:"):
            text = good.row(place.line, f"{row}\n{row}")
            yield Mutant("key twice", _step(path), text, "Y12", place.line + 1)


def value_gone(good: Good) -> Iterator[Mutant]:
    """Nothing stands after the colon of a key of the format."""
    for path, _, place in good.values():
        row = good.lines[place.line - 1]
        if path and _known_key(path) and row.strip().startswith(f"{path[-1]}: ") and good.tree.keys.get(path):
            text = good.row(place.line, row[: place.column - 1].rstrip())
            yield Mutant("value gone", _step(path), text, "S32", place.line)


def target_misspelt(good: Good) -> Iterator[Mutant]:
    """A step or a setting that is named elsewhere, with one letter more."""
    tails = {
        "then": "G01",
        "to": "G01",
        "new_plate_from": "G03",
        "skill": "G04",
        "of": "G02",
        "setting": "G05",
    }
    for path, value, place in good.values():
        code = tails.get(str(path[-1])) if path else None
        if path[-2:-1] == ("covers",):
            code = "G02"
        if code and isinstance(value, str) and value not in {"done", "stop"}:
            yield Mutant(
                "target misspelt", _step(path), good.with_at(place, misspelt(value)), code, place.line
            )


def step_renamed(good: Good) -> Iterator[Mutant]:
    """A step gets another id, and a `then` or `to` still names the old one."""
    named = {value: place for path, value, place in good.values() if path[-1:] in (("then",), ("to",))}
    for path, value, place in good.values():
        if levels.pattern_of(path) == f"{_STEP}.id" and value in named:
            text = good.with_at(place, misspelt(str(value)))
            yield Mutant("step renamed", _step(path), text, "G01", named[value].line)


def step_twice(good: Good) -> Iterator[Mutant]:
    """A step gets the id of the one before."""
    before = ""
    for path, value, place in good.values():
        if levels.pattern_of(path) == f"{_STEP}.id":
            if before:
                yield Mutant("id twice", _step(path), good.with_at(place, before), "S26", place.line)
            before = str(value)


def id_in_capitals(good: Good) -> Iterator[Mutant]:
    """An id written as a title."""
    for path, value, place in good.values():
        if levels.pattern_of(path) in {f"{_STEP}.id", "stages.*.id"}:
            text = good.with_at(place, str(value).title())
            yield Mutant("id in capitals", _step(path), text, "S12", place.line)


def name_with_hyphen(good: Good) -> Iterator[Mutant]:
    """A name of a value with a hyphen."""
    for path, value, place in good.values():
        if path[-1:] == ("name",):
            yield Mutant(
                "name with a hyphen", _step(path), good.with_at(place, f"{value}-1"), "S13", place.line
            )


def unit_unknown(good: Good) -> Iterator[Mutant]:
    """A unit with one letter more, and one of another kind where a time is wanted."""
    for path, value, place in good.values():
        if path[-1:] == ("unit",):
            was = good.at(place)
            text = good.with_at(place, was.replace(str(value), misspelt(str(value))))
            yield Mutant("unit unknown", _step(path), text, "S15", place.line)
        if path[-1:] in (("for",), ("at_least",), ("at_most",)) and re.match(r"\d", str(value)):
            yield Mutant("unit of another kind", _step(path), good.with_at(place, "45 mL"), "S16", place.line)
            yield Mutant("time without a unit", _step(path), good.with_at(place, "45"), "S14", place.line)


def wrong_type(good: Good) -> Iterator[Mutant]:
    """A number in quotes, `yes` for `true`, a text for a list, a number for a text."""
    for path, value, place in good.values():
        was = good.at(place)
        if not path:
            continue
        text: str | None = None
        code = ""
        if isinstance(value, bool):
            text, code = "yes", "S06"
        elif isinstance(value, int | float) and path[-1] in {"value", "amount", "least"}:
            text, code = f'"{was}"', "S04"
        elif isinstance(value, list) and path[-1] in {"key_points", "covers", "avoid"}:
            text, code = "several", "S07"
        elif levels.pattern_of(path) in levels.TEXTS and isinstance(value, str):
            text, code = "42", "S03"
        if text is not None:
            yield Mutant(f"wrong type ({code})", _step(path), good.with_at(place, text), code, place.line)


def limits_turned(good: Good) -> Iterator[Mutant]:
    """A pair of limits with the greater first, and a value beyond them."""
    for path, value, place in good.values():
        if path[-1:] in (("between",), ("plausible",)) and isinstance(value, list):
            text = good.with_at(place, f"[{value[1]}, {value[0]}]")
            yield Mutant("limits turned", _step(path), text, "S23", place.line)
            right = (*path[:-1], "value" if path[-1] == "between" else "right")
            if isinstance(good.tree.at(right), int | float):
                there = good.tree.places[right]
                yield Mutant(
                    "beyond its limits", _step(right), good.with_at(there, "99999"), "S24", there.line
                )


def right_answer_of_none(good: Good) -> Iterator[Mutant]:
    """The right answer is a key that no answer has."""
    for path, value, place in good.values():
        task = path[-2:-1]
        if path[-1:] == ("right",) and isinstance(value, str) and task in (("quiz",), ("judge",)):
            code = "S20" if task == ("quiz",) else "S21"
            yield Mutant(
                "right answer of none", _step(path), good.with_at(place, "none_of_them"), code, place.line
            )


def formula_slips(good: Good) -> Iterator[Mutant]:
    """In a formula on one line: a misspelt name or answer, `and`, one `=`, an open bracket, no value."""
    for path, value, place in good.values():
        was = good.at(place)
        if path[-1:] and path[-1] in FORMULAS and isinstance(value, str):
            for kind, code, written in _formulas(was, value):
                yield Mutant(kind, _step(path), good.with_at(place, written), code, place.line)


def _formulas(was: str, value: str) -> Iterator[tuple[str, str, str]]:
    """Kind, code and what is written: `was` as it stands in the file, `value` without its quotes."""
    name = re.search(r"\b(readings|answers|worked|settings)\.[a-z0-9_]+", was)
    if name:
        yield "name misspelt in a formula", "C12", was.replace(name[0], misspelt(name[0]), 1)
    answer = re.search(r"answers\.\w+ [!=]= '(\w+)'", was)
    if answer:
        yield "answer misspelt in a formula", "C17", was.replace(f"'{answer[1]}'", f"'{answer[1]}x'", 1)
    if "&&" in was:
        yield "`and` for &&", "C04", was.replace("&&", "and", 1)
    if " == " in was:
        yield "one = in a formula", "C05", was.replace(" == ", " = ", 1)
    if "tries('" in was:
        yield "step misspelt in a formula", "C17", re.sub(r"tries\('([a-z-]+)'", r"tries('\1x'", was, count=1)
    if not was.startswith(("'", '"')):
        yield "bracket not closed", "C08", f"({value}"
        yield "value missing in a formula", "C09", f"{value} {'&&' if ' ' in value and '=' in value else '+'}"


def bench_slips(good: Good) -> Iterator[Mutant]:
    """A bench control that is misspelt, or set to what it has not."""
    for path, value, place in good.values():
        if path[-2:-1] == ("bench",):
            key = good.tree.keys[path]
            yield Mutant(
                "control misspelt", _step(path), good.with_at(key, misspelt(str(path[-1]))), "G21", key.line
            )
            if isinstance(value, str) and re.fullmatch(r"[a-z-]+", value):
                text = good.with_at(place, misspelt(value))
                yield Mutant("control set to no position", _step(path), text, "G22", place.line)


def two_tasks(good: Good) -> Iterator[Mutant]:
    """A step with a task gets a second one after it."""
    for path, step in levels.matching(good.tree.value, _STEP):
        tasks = [key for key in step if key in _TASKS] if isinstance(step, dict) else []
        place = good.tree.keys.get((*path, tasks[0])) if tasks else None
        if place is None or not good.lines[place.line - 1].strip().startswith(f"{tasks[0]}:"):
            continue
        added = "wait: {for: 45 s}" if tasks[0] != "wait" else "sign_off: {of: somewhere}"
        added = " " * (place.column - 1) + added
        text = good.row(place.line, f"{added}\n{good.lines[place.line - 1]}")
        yield Mutant("two tasks", _step(path), text, "S17", place.line + 1)


def aside_without_then(good: Good) -> Iterator[Mutant]:
    """An aside loses its `then`."""
    for path, step in levels.matching(good.tree.value, _STEP):
        place = good.tree.keys.get((*path, "then"))
        if isinstance(step, dict) and step.get("aside") is True and place is not None:
            row = good.lines[place.line - 1]
            if row.strip().startswith("then:"):
                line = good.tree.places[*path, "id"].line
                yield Mutant("aside without then", _step(path), good.row(place.line, None), "G10", line)


def pen_slips(good: Good) -> Iterator[Mutant]:
    """Slips of the pen: a tab, a quote or bracket left open, a colon or ` #` in a text, a sign before it."""
    for path, value, place in good.values():
        row = good.lines[place.line - 1]
        was = good.at(place)
        in_line = row.strip().startswith(f"{path[-1]}: ") if path else False
        if not path or not in_line or place.end_column - 1 != len(row):
            continue
        tabbed = "\t" + row.lstrip()
        yield Mutant("tab before a key", _step(path), good.row(place.line, tabbed), "Y02", place.line)
        if isinstance(value, str) and was == value and levels.pattern_of(path) in levels.TEXTS:
            if '"' not in was and _is_told(good, place):
                text = good.with_at(place, f'"{was}')
                yield Mutant("quote left open", _step(path), text, "Y09", place.line)
            yield Mutant(
                "colon in a text", _step(path), good.with_at(place, f"Mind: {was}"), "Y04", place.line
            )
            yield Mutant("hash in a text", _step(path), good.with_at(place, f"{was} #2"), "Y19", place.line)
            yield Mutant("star before a text", _step(path), good.with_at(place, f"*{was}"), "Y06", place.line)
            yield Mutant("at before a text", _step(path), good.with_at(place, f"@{was}"), "Y05", place.line)
            yield Mutant("empty text", _step(path), good.with_at(place, '""'), "S28", place.line)
        if isinstance(value, list) and was.endswith("]"):
            yield Mutant("bracket left open", _step(path), good.with_at(place, was[:-1]), "Y10", place.line)
            yield Mutant("wrong bracket", _step(path), good.with_at(place, was[:-1] + "}"), "Y10", place.line)


def _is_told(good: Good, place: Place) -> bool:
    """Is something wrong then? A quote that is left open runs on to the next one, which may end its line."""
    following = next((row for row in good.lines[place.line :] if '"' in row), "")
    return not following or bool(following.split('"', 1)[1].strip(" "))


_TASKS = frozenset(("hazard", "wait", "reading", "judge", "quiz", "work_out", "offer_setting", "sign_off"))
SLIPS: tuple[Slip, ...] = (
    *(key_misspelt, key_dropped, key_twice, value_gone, target_misspelt, step_renamed, step_twice),
    *(id_in_capitals, name_with_hyphen, unit_unknown, wrong_type, limits_turned, right_answer_of_none),
    *(formula_slips, bench_slips, two_tasks, aside_without_then, pen_slips),
)


@cache
def mutants(file: Path) -> list[Mutant]:
    """Every slip of every kind in a good file."""
    good = Good.of(file)
    return [mutant for slip in SLIPS for mutant in slip(good)]


def spread(every: list[Mutant], each: int) -> list[Mutant]:
    """At most `each` of a kind, from the beginning of a file to its end."""
    if not each:
        return every
    kinds: dict[str, list[Mutant]] = {}
    for one in every:
        kinds.setdefault(one.kind, []).append(one)
    kept = ((found, min(each, len(found))) for found in kinds.values())
    return [found[number * len(found) // few] for found, few in kept for number in range(few)]
