"""Which texts of a file are missing in which of its languages: one warning for each language.

A text that is written plainly is in the file's first language, which is what a missing text falls back to.
"""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure import levels
from trainer.procedure.building import Node
from trainer.procedure.problems import Path, Problem, Related
from trainer.procedure.reader import Tree

NAMED = 8
"""So many lines are named; the rest is counted."""


def languages_of(root: Node) -> tuple[str, ...]:
    """The codes of all languages that the texts of a file are written in, the first one first."""
    said = (text for pattern in levels.TEXTS for _, text in levels.matching(root, pattern))
    return tuple(dict.fromkeys(code for text in said if isinstance(text, dict) for code in text))


def problems_of(tree: Tree) -> Iterator[Problem]:
    """A warning for each language that some texts have and others have not."""
    codes = languages_of(tree.value)
    if not codes:
        return
    texts = [
        (path, set(text) if isinstance(text, dict) else {codes[0]})
        for pattern in levels.TEXTS
        for path, text in levels.matching(tree.value, pattern)
        if isinstance(text, str | dict)
    ]
    for code in codes:
        missing = [path for path, there in texts if code not in there]
        if missing:
            yield _missing(tree, code, codes[0], missing, len(texts))


def _missing(tree: Tree, code: str, first: str, missing: list[Path], of: int) -> Problem:
    places = sorted((tree.place(path) for path in missing), key=lambda place: (place.line, place.column))
    lines = list(dict.fromkeys(place.line for place in places))
    named = ", ".join(str(line) for line in lines[:NAMED])
    more = f" and {len(lines) - NAMED} more" if len(lines) > NAMED else ""
    instead = f"where it is wanted, `{first}` is shown" if code != first else "the first there is, is shown"
    at = min(missing, key=lambda path: (tree.place(path).line, tree.place(path).column))
    texts = "1 text" if of == 1 else f"{of} texts"
    return Problem(
        "S34",
        "warning",
        f"`{code[:40]}` is missing in {len(missing)} of {texts}; {instead}.",
        f"Write it beside the others, as in `{{en: Vacuum, es: Vacío}}`. Line{'s' * (len(lines) > 1)}: "
        f"{named}{more}.",
        places[0],
        at,
        tuple(Related(place, "missing here too") for place in places[1:3]),
    )
