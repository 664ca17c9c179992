"""Answers to pick from: no two of them say the same, or one who knows would be wrong by chance."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure.building import Node
from trainer.procedure.problems import Path, Problem, Related
from trainer.procedure.reader import Tree
from trainer.procedure.rule_tools import STEP, at_value, parts

_ANSWERS = (("judge", ("answers",)), ("quiz", ("choice", "choices", "order")))


def problems_of(tree: Tree) -> Iterator[Problem]:
    """Two answers of one question in the same words, in any of the languages that both have."""
    for path, answers in _asked(tree):
        first: dict[tuple[str, str], str] = {}
        for key, words in answers.items():
            said = _said(words)
            other = next((first[one] for one in said if one in first), None)
            if other is not None:
                yield at_value(
                    tree,
                    (*path, key),
                    "S35",
                    f"This answer says the same as `{other[:40]}`.",
                    "Say what sets the two apart, or delete one of them.",
                    Related(tree.place((*path, other)), "the other one"),
                )
            first.update(dict.fromkeys((one for one in said if one not in first), key))


def _asked(tree: Tree) -> Iterator[tuple[Path, dict[str, Node]]]:
    """The answers of every question and judgement."""
    for path, step in parts(tree, STEP):
        for task, keys in _ANSWERS:
            asked = step.get(task)
            for key in keys if isinstance(asked, dict) else ():
                answers = asked.get(key) if isinstance(asked, dict) else None
                if isinstance(answers, dict):
                    yield (*path, task, key), answers


def _said(words: Node) -> list[tuple[str, str]]:
    """Language and words, without what nobody hears: capitals, blanks, the full stop, signs alone."""
    texts = words if isinstance(words, dict) else {"": words}
    return [
        (code, " ".join(text.lower().split()).rstrip("."))
        for code, text in texts.items()
        if isinstance(text, str) and any(map(str.isalnum, text))
    ]
