"""Which of the things that two lists share stand elsewhere, told by as few of them as can be."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence


def moved(old: Sequence[str], new: Sequence[str]) -> tuple[str, ...]:
    """The members of both (each once in each) that must be lifted out so that the rest keep their order."""
    rank = {name: number for number, name in enumerate(old)}
    shared = [name for name in new if name in rank]
    stay = _longest_rising([rank[name] for name in shared])
    return tuple(name for name in shared if rank[name] not in stay)


def _longest_rising(numbers: Sequence[int]) -> frozenset[int]:
    """A longest part of `numbers` that rises (patience sorting: the least last member of every length)."""
    tails: list[int] = []
    before: dict[int, int | None] = {}
    for number in numbers:
        place = bisect_left(tails, number)
        before[number] = tails[place - 1] if place else None
        tails[place : place + 1] = [number]
    found: list[int] = []
    at = tails[-1] if tails else None
    while at is not None:
        found.append(at)
        at = before[at]
    return frozenset(found)
