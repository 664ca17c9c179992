"""What can be wrong with a file: problems, where they are, and the mistakes that they come from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from trainer.procedure.text import one_line

Severity = Literal["error", "warning"]
Path = tuple[str | int, ...]
"""The way to a value in a file: keys and, in lists, numbers counted from 0."""


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A stretch of a file. Lines and columns (in characters) count from 1; the end is just after it."""

    line: int = 1
    column: int = 1
    end_line: int = 1
    end_column: int = 1


@dataclass(frozen=True, slots=True)
class Related:
    """Another place that belongs to a problem, and what is there ("first written here")."""

    place: Place
    label: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a file. `message`: what is wrong. `help`: what to write instead.

    `code` is stable (`codes`). `path` is the way to the value in the file, empty where there is none.
    """

    code: str
    severity: Severity
    message: str
    help: str
    place: Place = Place()
    path: Path = ()
    related: tuple[Related, ...] = ()


class Mistake(ValueError):  # noqa: N818 - it is what an author made
    """A value that cannot stand: `code`, what is wrong, what to write instead. Validators raise it."""

    def __init__(self, code: str, message: str, help_: str) -> None:
        super().__init__(f"{message} {help_}")
        self.code = code
        self.message = message
        self.help = help_


class ProcedureProblems(Exception):  # noqa: N818 - it is shown to people by this name
    """A procedure file that cannot be used. `problems`: all of them; `file`: its name."""

    def __init__(self, problems: Sequence[Problem], file: str) -> None:
        self.problems = tuple(problems)
        self.file = file
        super().__init__(first_sentence(self.problems, file))


class ShopTrouble(Exception):  # noqa: N818 - it is shown to people by this name
    """The shop file cannot be used or changed. `args[0]` is a sentence: what is wrong, where, what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(one_line(sentence))


def first_sentence(problems: Sequence[Problem], file: str) -> str:
    """The first error of `problems` as a sentence with its place, and how many more there are: one line."""
    errors = [problem for problem in problems if problem.severity == "error"] or list(problems)
    if not errors:
        return one_line(f"{file} cannot be used.")
    first = errors[0]
    more = f" ({len(errors) - 1} more)" if len(errors) > 1 else ""
    return one_line(f"{file}:{first.place.line}:{first.place.column}: {first.message} {first.help}{more}")


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems from the top of the file to its end, each said once."""
    seen = dict.fromkeys(problems)
    return tuple(sorted(seen, key=lambda problem: (problem.place, problem.code, problem.message)))


_LOOKED_AT = 20
"""So many of the known words are compared in full; that costs 30 us each, and a file can hold thousands."""


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The one of `known` that looks most like `word`, or None where none does."""
    from difflib import get_close_matches  # only where something is wrong
    from heapq import nlargest

    lower = word.lower()
    mine = _pairs(lower)
    likely = nlargest(_LOOKED_AT, known, key=lambda one: len(mine & _pairs(one)))
    found = get_close_matches(lower, likely, n=1, cutoff=0.6)
    return found[0] if found else None


@lru_cache(maxsize=2**16)
def _pairs(word: str) -> frozenset[str]:
    """The pairs of neighbouring letters in a word."""
    return frozenset(map("".join, pairwise(word)))
