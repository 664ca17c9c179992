"""A quiz is of exactly one of four kinds, and its right answer is one that this kind can have."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.procedure import levels
from trainer.procedure.building import Node
from trainer.procedure.model import Quiz
from trainer.procedure.problems import Path, Problem, Related
from trainer.procedure.reader import Tree
from trainer.procedure.rule_tools import STEP, are_names, at_key, at_value, head, keys, number, parts
from trainer.procedure.wanted import described

KINDS = ("choice", "choices", "number", "order")


def problems_of(tree: Tree) -> Iterator[Problem]:
    """Everything wrong with the quizzes of a file."""
    for path, quiz in parts(tree, f"{STEP}.quiz"):
        kinds = [key for key in quiz if key in KINDS]
        if len(kinds) == 1:
            yield from _right(tree, path, quiz, kinds[0])
        elif kinds:
            for kind in kinds[1:]:
                yield at_key(
                    tree,
                    (*path, kind),
                    "S19",
                    f"This quiz has `{kinds[0]}` already; it asks in one way.",
                    f"Delete `{kinds[0]}` or `{kind}`, or make two steps of it.",
                    Related(tree.key((*path, kinds[0])), "the other one"),
                )
        elif not any(levels.meant(key, Quiz) in KINDS for key in quiz):  # else that key is told already
            yield Problem(
                "S19",
                "error",
                "This quiz has no answers to give.",
                "Write one of `choice` (one holds), `choices` (all that hold), `number`, `order`: "
                f"`{levels.example((*path, 'choice'))}`.",
                head(tree, path),
                path,
            )


def _right(tree: Tree, path: Path, quiz: dict[str, Node], kind: str) -> Iterator[Problem]:
    if "right" not in quiz or not isinstance(quiz[kind], dict):
        return
    right = quiz["right"]
    answers = quiz[kind]
    where = (*path, "right")
    if kind == "number":
        if number(right) is None:
            said = f"A number is asked for, and the right answer is {described(right)}."
            yield at_value(
                tree, where, "S20", said, "Write the number alone, in the unit asked for: `right: 40`."
            )
    elif isinstance(answers, dict) and are_names(answers):
        wrong = _one(right, answers) if kind == "choice" else _several(right, answers, kind)
        if wrong:
            related = Related(tree.key((*path, kind)), "the answers")
            yield at_value(tree, where, "S20", *wrong, related)


def _one(right: Node, answers: dict[str, Node]) -> tuple[str, str] | None:
    """What is wrong with the right answer of a `choice`, and what to write."""
    if isinstance(right, str):
        if right in answers:
            return None
        return f"`{right[:40]}` is none of the answers.", f"Write one of {keys(answers)}."
    if isinstance(right, list):
        return "One answer is asked for, and here is a list.", f"Write one key: `right: {_first(answers)}`."
    return (
        f"The right answer is a key of `choice`, and here is {described(right)}.",
        f"Write one of {keys(answers)}.",
    )


def _several(right: Node, answers: dict[str, Node], kind: str) -> tuple[str, str] | None:
    """What is wrong with the right answer of `choices` or `order`, and what to write."""
    every = f"right: [{', '.join(key[:20] for key in answers)}]"
    if not isinstance(right, list):
        instead = (
            f"right: [{right}]"
            if kind == "choices" and isinstance(right, str) and right in answers
            else every
        )
        return f"A list of keys is wanted, and here is {described(right)}.", f"Write it so: `{instead}`."
    unknown = [entry for entry in right if isinstance(entry, str) and entry not in answers]
    if unknown:
        return f"`{unknown[0][:40]}` is none of the answers.", f"Write keys of the answers: {keys(answers)}."
    twice = [entry for entry in right if right.count(entry) > 1]
    if twice:
        once = ", ".join(dict.fromkeys(str(entry)[:20] for entry in right))
        return f"`{str(twice[0])[:40]}` stands twice.", f"Write each key once: `right: [{once}]`."
    if kind == "order" and len(right) != len(answers):
        left = [key for key in answers if key not in right]
        return (
            f"`{left[0][:40]}` is missing in the order." if left else "The order holds what is no answer.",
            f"Write all of them, in the right order: `{every}`.",
        )
    if not right:
        return "No answer is right.", f"Write the keys that hold, for instance `right: [{_first(answers)}]`."
    return None


def _first(answers: dict[str, Node]) -> str:
    return next(iter(answers), "a")[:40]
