"""Numbers with their units, as the person at the screen says them."""

from __future__ import annotations

import re

from trainer.procedure.measured import UNITS, measured, unit_words
from trainer.tongue import spoken

__all__ = ["measured", "unit_words", "worded"]

_AMOUNT = re.compile(rf"(?<=[0-9] )({'|'.join(sorted(UNITS, key=len, reverse=True))})\b")


def worded(working: str) -> str:
    """A working as it was kept, its units that are words in the language spoken."""
    return _AMOUNT.sub(lambda unit: spoken(unit[1]), working)
