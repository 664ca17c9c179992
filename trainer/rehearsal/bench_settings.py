"""The bench's settings from files: the shipped one, and a shop's own over it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from pathlib import Path

from trainer import places
from trainer.bench.limits import OutOfRange
from trainer.bench.settings import (
    BenchSettings,
    Constant,
    Fault,
    WrongSettings,
    constants,
    replaced,
    settings,
)
from trainer.procedure.files import FileTrouble, read_bytes
from trainer.procedure.problems import Problem, ProcedureProblems, in_order
from trainer.procedure.reader import Tree, read_tree


def read_bench(own: Path | None = None) -> BenchSettings:
    """The settings to work with: the shipped ones, with a shop's own over them.

    own: the shop's file, which must be there; without it, `bench.yaml` beside the shop file, if there is one.
    Raises ProcedureProblems, with all that is wrong in a file and where.
    """
    known = _read(places.assets_dir() / "bench.yaml", constants)
    path = own or places.bench_path()
    if own is None and not path.exists():
        return settings(known)
    return settings(_read(path, lambda tree: replaced(known, tree)))


def _read(path: Path, take: Callable[[object], tuple[Constant, ...]]) -> tuple[Constant, ...]:
    """What `take` makes of a file. Raises ProcedureProblems."""
    try:
        tree = read_tree(read_bytes(path), str(path))
    except FileTrouble as trouble:
        raise ProcedureProblems([trouble.problem], str(path)) from trouble
    if any(problem.severity == "error" for problem in tree.problems):
        raise ProcedureProblems(tree.problems, str(path))
    try:
        return take(tree.value)
    except WrongSettings as wrong:
        problems = in_order(_problem(fault, tree) for fault in wrong.faults)
        raise ProcedureProblems(problems, str(path)) from wrong


def _problem(fault: Fault, tree: Tree) -> Problem:
    """A fault with its place: an unknown key's own, or the value's."""
    if fault.at_key:
        return Problem("S01", "error", fault.said, fault.instead, tree.key(fault.path), fault.path)
    return Problem("S24", "error", fault.said, fault.instead, tree.place(fault.path), fault.path)


def as_mapping(numbers: BenchSettings) -> dict[str, float | str]:
    """Every constant by section and name (`lamp.warm_up`), for the record."""
    return {
        f"{section.name}.{one.name}": getattr(getattr(numbers, section.name), one.name)
        for section in fields(numbers)
        for one in fields(getattr(numbers, section.name))
    }


def from_mapping(values: Mapping[str, bool | float | str]) -> BenchSettings:
    """The settings that `as_mapping` wrote down. Raises OutOfRange where they are none of this version's."""
    parts = [(*name.partition(".")[::2], value) for name, value in values.items()]
    known = [Constant(section, name, value, "", (), (), "", "") for section, name, value in parts]
    try:
        return settings(known)
    except (KeyError, TypeError) as fault:
        raise OutOfRange("Its constants are those of another version of sinkside.") from fault
