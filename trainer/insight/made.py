"""Records that are made when somebody looks at them: a school has a hundred thousand points of charts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Generic, TypeVar, overload

T = TypeVar("T")


class Made(Sequence[T], Generic[T]):
    """A sequence of records over columns of the same length; equal to a tuple of the same records."""

    __slots__ = ("_columns", "_make")

    def __init__(self, make: Callable[..., T], *columns: Sequence[Any]) -> None:
        """make: what makes a record of one value of each column."""  # Any: whatever `make` takes
        self._make = make
        self._columns = columns

    def __len__(self) -> int:
        return len(self._columns[0])

    def __iter__(self) -> Iterator[T]:
        return map(self._make, *self._columns)

    @overload
    def __getitem__(self, index: int) -> T: ...
    @overload
    def __getitem__(self, index: slice) -> Made[T]: ...
    def __getitem__(self, index: int | slice) -> T | Made[T]:
        if isinstance(index, slice):
            return Made(self._make, *(column[index] for column in self._columns))
        return self._make(*(column[index] for column in self._columns))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Made | tuple) and len(self) == len(other) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return repr(tuple(self))
