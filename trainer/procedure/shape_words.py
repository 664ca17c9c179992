"""What does not fit the shape of a file, each with its place and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from trainer.procedure import levels, own_words
from trainer.procedure import wanted as kinds
from trainer.procedure.building import Node
from trainer.procedure.model import Go
from trainer.procedure.parts import Part, fields_of
from trainer.procedure.problems import Mistake, Path, Problem, nearest
from trainer.procedure.reader import Tree
from trainer.procedure.rule_tools import head
from trainer.procedure.units import plain
from trainer.procedure.wanted import described

_GLUED = re.compile(r"([a-z_]+):(\S.*)")


def wanted(tree: Tree, kind: str, path: Path, value: Node) -> Problem:
    """A value of another kind is wanted; the kinds are those of `wanted.wanted`."""
    code, message, help_ = kinds.wanted(kind, path, value)
    place = tree.key(path) if value is None else tree.place(path)
    if kind == "list" and isinstance(value, str) and place.end_line > place.line and value[:1] != "-":
        help_ = "Begin each of these lines with `- `, the first one too."
    if isinstance(value, str) and levels.pattern_of(path) == "stages.*.steps.*.sign_off":
        help_ = _signed(tree, path, value)
    return Problem(code, "error", message, help_, place, path)


def _signed(tree: Tree, path: Path, said: str) -> str:
    """`of` names the step that is signed for: most often the one before."""
    *stage, number = path[:-1]
    ids = [step for _, step in levels.matching(tree.value, "stages.*.steps.*.id")]
    before = tree.at((*stage, int(number) - 1, "id")) if int(number) > 0 else None
    of = said if said in ids else before or "last-look"
    return f"Write `sign_off: {{of: {of}}}`: `of` is the step that is signed for."


def unknown(tree: Tree, path: Path, part: type[Part]) -> tuple[Problem, tuple[str, ...]]:
    """A key that `part` does not have; and the keys that were most likely meant."""
    key = str(path[-1])
    said = f"`{key[:40]}` is no key of {levels.called(part)}."
    if part is Go and (way := own_words.way(tree, path)):
        return Problem("S01", "error", said, f"Write `{way}`.", tree.key(path), path), ("when", "to")
    known = list(fields_of(part))
    near = _near(key, [one for one in known if (*path[:-1], one) not in tree.places], part)
    if glued := _GLUED.fullmatch(key):
        help_ = f"Write a space after the colon: `{glued[1]}: {glued[2][:40]}`."
    elif near and _as_key(key) == near:
        help_ = f"Write `{near}`: keys have small letters, and `_` between two words."
    elif near and levels.meant(_as_key(key), part) == near:
        help_ = f"Write `{own_words.under(tree, path, near)}`, if that is meant; else delete the line."
    elif near:
        help_ = f"Write `{near}`, if that is meant; else delete the line."
    elif _behind_a_comma(tree, path):
        help_ = (
            "Inside brackets a comma ends an entry. If this belongs to the text before it, put all of that "
        )
        help_ += "text in quotes."
    elif homes := levels.homes(_as_key(key)):
        help_ = f"It belongs to {_either(homes[:3])}: move it there, or delete the line."
    else:
        help_ = f"Write one of {_listed(known)}, or delete the line."
    return Problem("S01", "error", said, help_, tree.key(path), path), (near,) if near else ()


def _behind_a_comma(tree: Tree, path: Path) -> bool:
    """Is this the rest of a text inside `{ }` that had a comma in it, and so no colon behind it?"""
    place = tree.key(path)
    row = tree.text.split("\n")[place.end_line - 1][place.end_column - 1 :]
    return row.lstrip()[:1] in {",", "}", ""}


def _near(key: str, free: Sequence[str], part: type[Part]) -> str | None:
    """The one of the keys that are not there yet that was most likely meant."""
    written = _as_key(key)
    meant = levels.meant(written, part)
    if written in free:
        return written
    return meant if meant in free else nearest(written, free)


def _as_key(key: str) -> str:
    return key.lower().replace("-", "_").replace(" ", "_")


def missing(tree: Tree, parent: Path, keys: Sequence[str]) -> Problem:
    """Keys that must be there and are not."""
    called = levels.LEVELS[levels.pattern_of(parent)].called
    named = called if called.startswith("`") else f"This {called.split(' ', 1)[1]}"
    lacking = " and ".join(
        [", ".join(f"no `{key}`" for key in keys[:-1]), f"no `{keys[-1]}`"][len(keys) == 1 :]
    )
    examples = ", ".join(f"`{own_words.example(tree, (*parent, key))}`" for key in keys)
    return Problem(
        "S02",
        "error",
        f"{named} has {lacking}.",
        f"Write {'it' if len(keys) == 1 else 'each on its line'}, for instance {examples}.",
        head(tree, parent),
        parent,
    )


def wrong_count(tree: Tree, path: Path, value: list[Node] | dict[str, Node]) -> Problem:
    """Too few or too many entries."""
    key = str(path[-1]) if path else ""
    stand = "one stands" if len(value) == 1 else f"{len(value) or 'none'} stand"
    if key in {"between", "plausible"}:
        message = f"Two numbers are wanted here, and {stand} here."
        alone = str(value[0])[:40] if isinstance(value, list) and len(value) == 1 else ""
        one = re.findall(r"\d+(?:\.\d+)?", alone)
        said = f"{key}: [{one[0]}, {one[1]}]" if len(one) == 2 else levels.example(path)
        help_ = f"Write the least and the greatest, with a comma between them: `{said}`."
    elif isinstance(value, dict):
        message = f"Two to nine answers are wanted here, and {stand} here."
        help_ = f"Write two to nine, each with a key: `{levels.example(path)}`."
    else:
        message = "This list is empty."
        help_ = f"Write at least one: `{levels.example(path)}`."
    return Problem("S10", "error", message, help_, tree.place(path), path)


def one_of(tree: Tree, path: Path, value: Node, words: Sequence[str]) -> Problem:
    """One of a few words is wanted."""
    if value is None:
        return wanted(tree, "word", path, value)
    near = nearest(value, words) if isinstance(value, str) else None
    if path == ("format",):
        number = isinstance(value, int) and not isinstance(value, bool)
        message = f"The number 1 is wanted here, and this is {described(value)}."
        message = "This version of the file format is not known here." if number else message
        help_ = "Write `format: 1`."
    else:
        said = _either([f"`{word}`" for word in words])
        message = f"{said} is wanted here, and this is {described(value)}."
        instead = f"`{path[-1]}: {near}`" if near else _either([f"`{path[-1]}: {word}`" for word in words])
        help_ = f"Write {instead}{', or delete the line' if len(words) == 1 else ''}."
        if path[-1] == "per" and not near:
            help_ = "Write `per: plate` for each piece that is made, whatever it is, or `per: run` for once."
    return Problem("S09", "error", message, help_, tree.place(path), path)


def too_small(tree: Tree, path: Path, value: float, least: float) -> Problem:
    """A number under the least that makes sense."""
    return Problem(
        "S11",
        "error",
        f"{plain(value)} is too small here: {plain(least)} is the least.",
        f"Write `{path[-1]}: {plain(least)}` or more.",
        tree.place(path),
        path,
    )


def helped(tree: Tree, path: Path, wrong: Mistake) -> str:
    """What to write instead of a value that is no name, id or quantity, where the file itself tells more."""
    value, key = tree.at(path), path[-1]
    beside = tree.at(path[:-1])
    if not isinstance(value, str) or not isinstance(beside, dict):
        return wrong.help
    if key == "right" and wrong.code == "S13":
        answers = next((found for one in own_words.ANSWERS if isinstance(found := beside.get(one), dict)), {})
        same = [own for own, words in answers.items() if _alike(words, value)]
        if answers:
            instead = f": `right: {same[0]}`" if same else f", one of {_listed(answers)}"
            return f"Write the key of the right answer{instead}."
    if key == "picture" and "." in value:
        stem = value.split(".")[0]
        return (
            f"Pictures are drawn in plain text: draw it in `pictures/{stem}.txt` and write `picture: {stem}`."
        )
    if key == "skill" and "," in value:
        return (
            f"One skill stands here, the one that the act needs most: `skill: {value.split(',')[0].strip()}`."
        )
    settings = tree.at(("settings",))
    name = value.strip().removeprefix("settings.")
    if wrong.code == "S14" and isinstance(settings, dict) and (own := _declared(name, list(settings))):
        return f"Write `{key}: settings.{own}`."
    if wrong.code == "S14" and key == "for" and "at_most" in (window := own_words.waiting(value)):
        return f"Write `{window}`." if "`" not in window else wrong.help
    return wrong.help


def _declared(name: str, settings: Sequence[str]) -> str | None:
    """The setting that has this name, but for its capitals, blanks and hyphens."""
    return next((one for one in settings if one == _as_key(name)), None)


def _alike(words: Node, said: str) -> bool:
    """Is this what an answer says, in one of its languages?"""
    texts = words.values() if isinstance(words, dict) else [words]
    return any(isinstance(one, str) and one.strip().lower() == said.strip().lower() for one in texts)


def _either(words: Sequence[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _listed(words: Iterable[str]) -> str:
    return ", ".join(f"`{word}`" for word in words)
