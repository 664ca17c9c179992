"""Ids and names: what they may be made of. Validators for the models; they raise `Mistake`, a ValueError."""

from __future__ import annotations

import re

from trainer.procedure.problems import Mistake

IDENT = re.compile(r"[a-z][a-z0-9-]{0,62}")
NAME = re.compile(r"[a-z][a-z0-9_]*")
RESERVED_TARGETS = frozenset({"done", "stop"})
"""Targets that end a run; no step may have them as its id."""

CEL_RESERVED = frozenset(
    {"as", "break", "const", "continue", "else", "false", "for", "function", "if", "import", "in", "let"}
    | {"loop", "null", "namespace", "package", "return", "true", "var", "void", "while"}
)
"""Words that CEL keeps for itself: the language definition of CEL, section Syntax, RESERVED and literals."""


def ident(value: object) -> object:
    """`value` where it is an id, `[a-z][a-z0-9-]{0,62}`. What is no text is left to the type check."""
    if not isinstance(value, str):
        return value
    if value in RESERVED_TARGETS:
        raise Mistake(
            "S12",
            f"`{value}` cannot be an id: it is kept for the end of a run.",
            f"Write another id, for instance `{value}-here`.",
        )
    if not IDENT.fullmatch(value):
        raise Mistake(
            "S12",
            f"`{_short(value)}` is not an id." if value else "The id is empty.",
            "Write small letters a to z, digits and hyphens, a letter first, 63 at most: "
            f"`{_proposed(value, '-')}`.",
        )
    return value


def name(value: object) -> object:
    """`value` where it is a name that expressions can use, `[a-z][a-z0-9_]*` and no reserved word of CEL."""
    if not isinstance(value, str):
        return value
    if value in CEL_RESERVED:
        raise Mistake(
            "S13",
            f"`{value}` cannot be a name: expressions keep this word for themselves.",
            f"Write another name, for instance `{value}_value`.",
        )
    if not NAME.fullmatch(value) or len(value) > 63:
        raise Mistake(
            "S13",
            f"`{_short(value)}` is not a name." if value else "The name is empty.",
            "Write small letters a to z, digits and underscores, a letter first, 63 at most: "
            f"`{_proposed(value, '_')}`.",
        )
    return value


def _short(value: str) -> str:
    return value if len(value) <= 40 else value[:39] + "…"


def _proposed(value: str, joint: str) -> str:
    """The nearest id or name to `value`."""
    from unicodedata import normalize  # only where something is wrong

    plain = normalize("NFKD", value).encode("ascii", "ignore").decode()
    words = re.findall(r"[a-z0-9]+", plain.lower())
    made = joint.join(words)[:40].strip("-_") or "gauge"
    if not made[0].isalpha():
        made = f"n{joint}{made}"
    return f"{made}{joint}here" if made in RESERVED_TARGETS | CEL_RESERVED else made
