"""The runs that a figure rests on: a sequence of ids that costs four bytes a run.

A figure over a whole school rests on tens of thousands of runs, and there are hundreds of figures.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from typing import overload


class RunIds(Sequence[str]):
    """Ids of runs, in the order in which they were opened; equal to a tuple of the same ids."""

    __slots__ = ("_all", "_places")

    def __init__(self, every: Sequence[str], places: Iterable[int] | memoryview) -> None:
        """every: ids of all runs, shared. places: where in it these stand."""
        self._all = every
        self._places = places if isinstance(places, memoryview) else memoryview(array("I", places))

    def __len__(self) -> int:
        return len(self._places)

    @overload
    def __getitem__(self, index: int) -> str: ...
    @overload
    def __getitem__(self, index: slice) -> RunIds: ...
    def __getitem__(self, index: int | slice) -> str | RunIds:
        if isinstance(index, slice):
            return RunIds(self._all, self._places[index].tolist())
        return self._all[self._places[index]]

    def __eq__(self, other: object) -> bool:
        return isinstance(other, RunIds | tuple) and len(self) == len(other) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return f"RunIds({len(self)} runs)"
