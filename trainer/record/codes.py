"""The one form in which a person's code is kept."""

from __future__ import annotations

import unicodedata

from trainer.procedure.text import clean

LONGEST_CODE = 16


def code(text: str) -> str:
    """A person's code as it is kept: `t-01 ` is `T-01`. Raises ValueError with a sentence."""
    kept = unicodedata.normalize("NFC", unicodedata.normalize("NFC", clean(text).strip()).upper())
    fit = all(letter.isalpha() or letter.isdecimal() or letter == "-" for letter in kept)
    if not kept or not fit or kept.startswith("-") or kept.endswith("-"):
        raise ValueError("A code is letters, digits and hyphens only, for instance T-01.")
    if len(kept) > LONGEST_CODE:
        raise ValueError(f"A code has at most {LONGEST_CODE} letters, for instance T-01.")
    return kept
