"""The one form in which a person's code is kept."""

from __future__ import annotations

import unicodedata

from trainer.procedure.text import clean
from trainer.run.ports import JournalTrouble
from trainer.tongue import spoken

LONGEST_CODE = 16
_WRITTEN_TOGETHER = {
    "HIRAGANA": "CJK",
    "KATAKANA": "CJK",
    "KATAKANA-HIRAGANA": "CJK",
    "BOPOMOFO": "CJK",
    "HANGUL": "CJK",
}
"""Scripts that are mixed in one word of Japanese, Chinese or Korean."""


def code(text: str) -> str:
    """A person's code as it is kept: `t-01 ` is `T-01`. Raises ValueError with a sentence.

    Wide and other forms of a letter or digit are the letter or digit itself (NFKC, and digits of any script
    are 0 to 9). Letters of two scripts are refused: an `A` of another alphabet looks like ours.
    """
    upper = unicodedata.normalize("NFKC", clean(text).strip()).upper()
    kept = "".join(map(_digit, unicodedata.normalize("NFKC", upper)))
    fit = all(letter.isalpha() or letter.isdecimal() or letter == "-" for letter in kept)
    if not kept or not fit or kept.startswith("-") or kept.endswith("-"):
        raise ValueError(spoken("A code is letters, digits and hyphens only, for instance T-01."))
    if len({_script(letter) for letter in kept if letter.isalpha()}) > 1:
        raise ValueError(
            spoken("This code has letters of two alphabets. Type it again by hand, for instance T-01.")
        )
    if len(kept) > LONGEST_CODE:
        raise ValueError(spoken("A code has at most {most} letters, for instance T-01.", most=LONGEST_CODE))
    return kept


def _digit(character: str) -> str:
    """0 to 9 for a digit of any script; anything else as it is."""
    return str(unicodedata.decimal(character)) if character.isdecimal() else character


def _script(letter: str) -> str:
    """The script of a letter, by the first word of its name in Unicode; close enough to tell look-alikes."""
    named = unicodedata.name(letter, "").split(" ")[0]
    return _WRITTEN_TOGETHER.get(named, named)


def code_asked(text: str) -> str:
    """The same, of a code that a command is given. Raises JournalTrouble with the sentence."""
    try:
        return code(text)
    except ValueError as error:
        raise JournalTrouble(str(error)) from error
