"""There only for texts that name it."""

from __future__ import annotations


def fire(*given: object) -> None:
    """What a text would have called."""
    del given
