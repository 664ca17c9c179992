"""Texts of the bench that a trainee reads, in English here: named for translators, who find them by `marked`.

The bench knows no languages. Whoever shows its texts has them said in the language spoken.
"""

from __future__ import annotations


def marked(text: str) -> str:
    """`text` as it is: named as one to translate, as `trainer.tongue.marked` does it for the other rooms."""
    return text
