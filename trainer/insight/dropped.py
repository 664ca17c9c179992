"""Work that takes seconds may be dropped half-way: it looks up between pieces whether it is still wanted."""

from __future__ import annotations

from collections.abc import Callable

LookUp = Callable[[], None]
"""Called between two pieces of the work. Raises Dropped where nobody waits for the result any more."""


class Dropped(Exception):  # noqa: N818 - it reads as what happened
    """Nobody waits for the result any more: it is left unfinished. No error, and nothing was changed."""


def wanted() -> None:
    """Somebody waits for it, always."""
