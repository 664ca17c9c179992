"""Lanes for the lines of a drawing: lines whose stretches touch run in different lanes."""

from __future__ import annotations

from collections.abc import Sequence


def lanes(stretches: Sequence[tuple[float, float]]) -> list[int]:
    """The lane of each stretch (from, to), counted from 0; short ones get those nearest the boxes."""
    order = sorted(range(len(stretches)), key=lambda at: abs(stretches[at][1] - stretches[at][0]))
    taken: list[list[tuple[float, float]]] = []
    found = [0] * len(stretches)
    for at in order:
        low, high = sorted(stretches[at])
        lane = next(
            (n for n, others in enumerate(taken) if all(high < a or b < low for a, b in others)), len(taken)
        )
        if lane == len(taken):
            taken.append([])
        taken[lane].append((low, high))
        found[at] = lane
    return found
