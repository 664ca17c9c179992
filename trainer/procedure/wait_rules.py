"""A wait has exactly one form: a countdown, a window or a dose; a written amount fits it.

Amounts that are the name of a value are the matter of `checks_tasks`.
"""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure.building import Node
from trainer.procedure.problems import Path, Problem, Related
from trainer.procedure.reader import Tree
from trainer.procedure.rule_tools import STEP, at_key, head, of_kind, parts

_FORMS = {"for": "countdown", "at_least": "window", "at_most": "window", "dose": "dose"}
_KINDS = {"countdown": "time", "window": "time", "dose": "integrator count"}
_EXAMPLES = {"for": "45 s", "at_least": "30 s", "at_most": "90 s", "dose": "24 units"}


def problems_of(tree: Tree) -> Iterator[Problem]:
    """Everything wrong with the waits of a file."""
    for path, wait in parts(tree, f"{STEP}.wait"):
        yield from _one_form(tree, path, wait)
        for key, form in _FORMS.items():
            if key in wait:
                yield from of_kind(tree, (*path, key), wait[key], _KINDS[form], _EXAMPLES[key])


def _one_form(tree: Tree, path: Path, wait: dict[str, Node]) -> Iterator[Problem]:
    written = [key for key in wait if key in _FORMS]
    forms = list(dict.fromkeys(_FORMS[key] for key in written))
    if not forms:
        yield Problem(
            "S22",
            "error",
            "This wait does not say what it waits for.",
            "Write `for: 45 s` (a countdown), `at_least: 30 s` and `at_most: 90 s` (a window), "
            "or `dose: settings.exposure` (what the integrator counts).",
            head(tree, path),
            path,
        )
    for key in written:
        if _FORMS[key] != forms[0]:
            yield at_key(
                tree,
                (*path, key),
                "S22",
                f"This wait is a {forms[0]} already; it cannot be a {_FORMS[key]} as well.",
                f"Delete `{key}`, or make a step of its own of it.",
                Related(tree.key((*path, written[0])), "the other one"),
            )
