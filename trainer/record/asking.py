"""What of a database is asked for reading, whichever it is: the station's file or the shared record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Protocol


class Answer(Protocol):
    """Rows, as tuples of whatever the columns hold."""

    def fetchone(self) -> Any:  # noqa: ANN401 - None after the last
        """The next row."""
        ...

    def fetchall(self) -> list[Any]:
        """All that are left."""
        ...

    def __iter__(self) -> Iterator[Any]:
        """Those that are left, one by one."""
        ...


class Asked(Protocol):
    """A connection that takes a question with `?` for each of its values."""

    def execute(self, question: str, values: Sequence[Any] = ..., /) -> Answer:
        """Ask."""
        ...
