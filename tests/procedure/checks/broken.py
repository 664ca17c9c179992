"""Procedures for the tests of the checks: a head, stages, and a mark where a problem is expected."""

from __future__ import annotations

from textwrap import dedent, indent
from typing import NamedTuple

from trainer.procedure.load import load_bytes
from trainer.procedure.plan import Plan
from trainer.procedure.problems import Problem

HEAD = """\
format: 1
id: tried
title: A procedure for the tests
revision: 1
summary: Invented for the tests; not for work.
settings:
  exposure: {value: 24, unit: units, between: [5, 80], label: Exposure}
  vacuum_floor: {value: 20, unit: inHg, between: [15, 28], label: Least vacuum}
  soften: {value: 15, unit: s, between: [5, 60], label: Softening}
stages:
"""
MARK = "^"


HAZARD = "hazard: {signal: caution, harm: Edges cut., avoid: [Hold it flat]"
"""A safety prompt in braces, still open: `covers` and the closing brace follow."""
READING = "reading: {name: vacuum, unit: inHg, plausible: [0, 30], right: 22}"


class Broken(NamedTuple):
    """A marked file with one problem, its code, and words that its telling must hold."""

    name: str
    code: str
    words: str
    text: str


class Marked(NamedTuple):
    """A file, and the line and column (from 1) of the mark that stood in it."""

    text: str
    line: int
    column: int


def unmarked(text: str) -> Marked:
    """`text` without its one mark."""
    before, _, after = text.partition(MARK)
    lines = before.split("\n")
    return Marked(before + after, len(lines), len(lines[-1]) + 1)


def one_stage(steps: str, new_plate_from: str | None = None) -> str:
    """A file of one stage with these steps."""
    from_ = f"    new_plate_from: {new_plate_from}\n" if new_plate_from else ""
    return (
        f"{HEAD}  - id: work\n    title: Work\n{from_}    steps:\n{indent(dedent(steps).strip(), ' ' * 6)}\n"
    )


def problems_of(text: str) -> tuple[Problem, ...]:
    """All problems of a file, settings that nothing uses left out: the head has more than each case needs."""
    found = load_bytes(text.encode(), "tried.yaml").problems
    return tuple(one for one in found if not (one.code == "G17" and one.path[0] == "settings"))


def plan_of(text: str) -> Plan:
    """The plan of a file without errors."""
    return load_bytes(text.encode(), "tried.yaml").require()


def told(broken: Broken) -> Problem:
    """The problem at the mark of a broken file; fails with all that was told where there is none."""
    marked = unmarked(broken.text)
    found = problems_of(marked.text)
    for one in found:
        if (one.code, one.place.line, one.place.column) == (broken.code, marked.line, marked.column):
            return one
    raise AssertionError([(one.code, one.place.line, one.place.column, one.message) for one in found])
