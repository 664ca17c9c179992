"""What holds inside one part of a file and that its models cannot say: tasks, answers, limits, units, texts.

Every rule looks at the file as it was read, and passes over what the models have already refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from trainer.procedure import answer_rules, levels, quiz_rules, units, wait_rules
from trainer.procedure.building import Node
from trainer.procedure.model import TASKS, Step
from trainer.procedure.parts import fields_of
from trainer.procedure.problems import Path, Place, Problem, Related
from trainer.procedure.reader import Tree
from trainer.procedure.rule_tools import (
    STEP,
    are_names,
    at_key,
    at_value,
    head,
    keys,
    no_amount,
    number,
    of_kind,
    parts,
)
from trainer.procedure.rule_tools import pair as pair_of

MOST_STEPS = 1000
_LANGUAGE = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")
_LANGUAGES = {"english": "en", "spanish": "es", "french": "fr", "german": "de", "portuguese": "pt"}
_UNITS = (
    *("settings.*.unit", "supplies.*.unit"),
    *(f"{STEP}.{tail}" for tail in ("reading.unit", "quiz.number.unit", "work_out.unit")),
)


_STEP_KEYS = fields_of(Step).keys()


def problems_of(tree: Tree, file: str) -> Iterator[Problem]:
    """Everything that the rules find."""
    for rule in _RULES:
        yield from rule(tree)
    yield from _file_name(tree, file)


def _file_name(tree: Tree, file: str) -> Iterator[Problem]:
    """An id is what the file is called."""
    found = re.search(r"([^/\\]+)\.ya?ml$", file)
    own = tree.value.get("id") if isinstance(tree.value, dict) else None
    if found and isinstance(own, str) and own != found[1]:
        yield at_value(
            tree,
            ("id",),
            "S25",
            f"The file is called `{found[1]}`, and its id is `{own[:63]}`.",
            f"Write `id: {found[1]}`, or call the file `{own[:63]}.yaml`.",
        )


def _ids_once(tree: Tree) -> Iterator[Problem]:
    """Ids of stages, and of steps in the whole file."""
    for pattern, what in (("stages.*", "stage"), (STEP, "step")):
        first: dict[str, Place] = {}
        for path, part in parts(tree, pattern):
            own = part.get("id")
            if not isinstance(own, str):
                continue
            place = tree.place((*path, "id"))
            if own in first:
                yield at_value(
                    tree,
                    (*path, "id"),
                    "S26",
                    f"There is another {what} with the id `{own[:63]}`.",
                    f"Write another id, for instance `{own[:60]}-2`, and look at the lines that name it.",
                    Related(first[own], "first used here"),
                )
            first.setdefault(own, place)


def _not_too_many(tree: Tree) -> Iterator[Problem]:
    """The ways between steps are checked in a time that grows faster than their number."""
    steps = list(levels.matching(tree.value, STEP))
    if len(steps) > MOST_STEPS:
        path = steps[MOST_STEPS][0]
        said = f"This is step {MOST_STEPS + 1:,} of the file; {MOST_STEPS:,} are the most."
        yield Problem("S10", "error", said, "Make two procedures of it.", head(tree, path), path)


def _texts(tree: Tree) -> Iterator[Problem]:
    """Texts that say nothing, and keys that are no languages."""
    for pattern in levels.TEXTS:
        for path, text in levels.matching(tree.value, pattern):
            if isinstance(text, str):
                yield from _said(tree, path, text)
            elif isinstance(text, dict):
                yield from _languages(tree, path, text)


def _said(tree: Tree, path: Path, text: str) -> Iterator[Problem]:
    if not text.strip():
        yield at_value(tree, path, "S28", "This text is empty.", "Write the text, or delete the line.")


def _languages(tree: Tree, path: Path, texts: dict[str, Node]) -> Iterator[Problem]:
    if not texts:
        yield at_value(
            tree, path, "S28", "This text is empty.", "Write it, for instance `{en: Vacuum, es: Vacío}`."
        )
    for code, text in texts.items():
        if isinstance(text, str):
            yield from _said(tree, (*path, code), text)
        if _LANGUAGE.fullmatch(code):
            continue
        if code.lower() in _LANGUAGES:
            help_ = f"Write its code: `{_LANGUAGES[code.lower()]}`."
            said = f"`{code}` is a language, but not the code of one."
            yield at_key(tree, (*path, code), "S27", said, help_)
            continue
        quoted = f'"{code[:40]}: {str(text)[:40]}"'.replace("\n", " ")
        yield Problem(
            "S27",
            "error",
            f"`{code[:40]}` is not the code of a language.",
            f"If it is one text with a colon in it, put it in quotes: `{quoted}`. "
            "If it is a text in several languages, write their codes: `{en: Vacuum, es: Vacío}`.",
            tree.key((*path, code)),
            (*path, code),
        )


def _unit_words(tree: Tree) -> Iterator[Problem]:
    for pattern in _UNITS:
        for path, unit in levels.matching(tree.value, pattern):
            if isinstance(unit, str) and not units.known(unit):
                wrong = units.mistaken(unit)
                yield at_value(tree, path, wrong.code, wrong.message, wrong.help)


def _limits(tree: Tree) -> Iterator[Problem]:
    """Pairs in order, and the values that must lie between them."""
    for pattern, pair, value, what in (
        ("settings.*", "between", "value", "shop may set"),
        (f"{STEP}.reading", "plausible", "right", "reading may give"),
    ):
        for path, part in parts(tree, pattern):
            limits = pair_of(part.get(pair))
            if limits is None:
                continue
            low, high = limits
            if low >= high:
                yield at_value(tree, (*path, pair), "S23", *_in_order(pair, low, high))
                continue
            own = number(part.get(value))
            if own is not None and not low <= own <= high:
                yield at_value(
                    tree,
                    (*path, value),
                    "S24",
                    f"{units.plain(own)} is outside {units.plain(low)} to {units.plain(high)}, all a {what}.",
                    f"Write a number between the two, or change `{pair}`.",
                    Related(tree.place((*path, pair)), "the limits"),
                )


def _in_order(pair: str, low: float, high: float) -> tuple[str, str]:
    """What is wrong with limits, and what to write."""
    if low == high:
        return "The two numbers are the same.", "Write two that differ, the least first."
    said = f"{pair}: [{units.plain(high)}, {units.plain(low)}]"
    return "The first number is the greater one.", f"Write the least first: `{said}`."


def _amounts(tree: Tree) -> Iterator[Problem]:
    """Supplies are used up; times pass."""
    for path, part in parts(tree, "supplies.*"):
        amount = number(part.get("amount"))
        if amount is not None and amount <= 0:
            yield no_amount(tree, (*path, "amount"), "amount: 75")
    for pattern in ("ready.within", "refresh_after"):
        for path, text in levels.matching(tree.value, pattern):
            yield from of_kind(tree, path, text, "time", "60 days")


def _tasks(tree: Tree) -> Iterator[Problem]:
    """At most one task, and words that say what to do."""
    for path, step in parts(tree, STEP):
        tasks = [key for key in step if key in TASKS]
        for task in tasks[1:]:
            yield Problem(
                "S17",
                "error",
                f"This step has `{tasks[0]}` already; a step asks for one thing.",
                f"Make a step of its own of it: `- id: ...`, then `{task}:` under it.",
                tree.key((*path, task)),
                (*path, task),
                (Related(tree.key((*path, tasks[0])), "the other one"),),
            )
        if "do" not in step and not tasks and step.keys() <= _STEP_KEYS:
            yield Problem(
                "S18",
                "error",
                "This step does not say what to do.",
                f"Write `{levels.example((*path, 'do'))}`.",
                tree.key((*path, "id")) if "id" in step else head(tree, path),
                path,
            )


def _judgements(tree: Tree) -> Iterator[Problem]:
    for path, judge in parts(tree, f"{STEP}.judge"):
        answers, right, seen = judge.get("answers"), judge.get("right"), judge.get("seen")
        if not isinstance(answers, dict) or not are_names(answers):
            continue
        where = Related(tree.key((*path, "answers")), "the answers")
        help_ = f"Write one of {keys(answers)}."
        if isinstance(right, str) and right not in answers:
            said = f"`{right[:40]}` is none of the answers."
            yield at_value(tree, (*path, "right"), "S21", said, help_, where)
        for answer in seen if isinstance(seen, dict) else ():
            if answer not in answers:
                said = f"`{answer[:40]}` is none of the answers."
                place = tree.key((*path, "seen", answer))
                yield Problem("S21", "error", said, help_, place, (*path, "seen", answer), (where,))


def _controls(tree: Tree) -> Iterator[Problem]:
    """A bench control has one value that says something."""
    for path, value in levels.matching(tree.value, f"{STEP}.bench.*"):
        if isinstance(value, str) and not value.strip():
            yield at_value(
                tree,
                path,
                "S28",
                "This control has no value.",
                f"Write it: `{path[-1]}: on`, or delete the line.",
            )


_Rule = Callable[[Tree], Iterator[Problem]]
_RULES: tuple[_Rule, ...] = (
    *(_ids_once, _not_too_many, _texts, _unit_words, _limits, _amounts, _tasks, _judgements, _controls),
    *(quiz_rules.problems_of, wait_rules.problems_of, answer_rules.problems_of),
)
