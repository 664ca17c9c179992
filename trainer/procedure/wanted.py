"""A value of one kind where another is wanted: what to say, and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Callable

from trainer.procedure import levels, own_words
from trainer.procedure.building import Node
from trainer.procedure.problems import Path
from trainer.procedure.units import plain

Said = tuple[str, str, str]
"""Code, what is wrong, what to write instead."""

_CLOCK = re.compile(r"(\d{1,3}):(\d{2})")


def wanted(kind: str, path: Path, value: Node) -> Said:
    """What to say about `value` where another kind is wanted.

    Kinds: text, word, number, number or formula, whole, truth, list, keys, right, simple.
    """
    if value is None:
        return _nothing(path)
    is_this = f"is wanted here, and this is {described(value)}."
    if kind == "list" and path[-1:] in _PAIRS:
        return "S07", f"Two numbers are wanted here, and this is {described(value)}.", _two(path, value)
    if kind in {"text", "word"} and path[-1:] in _FORMULAS and not isinstance(value, list | dict):
        return "S03", f"A formula {is_this}", f"Write one, for instance `{levels.example(path)}`."
    if kind == "keys":
        return (
            "S08",
            f"Keys with their values are wanted here, and this is {described(value)}.",
            _keys(path, value),
        )
    code, what, instead = _KINDS[kind]
    return code, f"{what} {is_this}", instead(path, value)


def _nothing(path: Path) -> Said:
    """A key, or an entry of a list, with nothing after it."""
    if not path:
        return "S08", "The file holds no keys.", "Begin it with `format: 1`."
    hash_too = "A text that begins with `#` needs quotes."
    if isinstance(path[-1], int):
        return (
            "S32",
            "This entry of the list is empty.",
            f"Write it after the `- `, or delete the line. {hash_too}",
        )
    if levels.pattern_of(path).endswith("*"):
        return (
            "S32",
            f"`{path[-1]}` has no value.",
            f"Write it after the colon, or delete the key. {hash_too}",
        )
    return (
        "S32",
        f"`{path[-1]}` has no value.",
        f"Write it, for instance `{levels.example(path)}`, or delete the line. {hash_too}",
    )


def described(value: Node) -> str:
    """What stands there, for a message."""
    match value:
        case None:
            return "nothing"
        case bool():
            return f"`{str(value).lower()}`"
        case int() | float():
            whole = isinstance(value, float) and value == int(value)
            return f"the number {plain(value)}{'.0' if whole else ''}"
        case str():
            return f"the text `{_short(value)}`" if value else "an empty text"
        case list():
            return "a list"
        case dict():
            return "a group of keys"


def _short(text: str) -> str:
    line = text.split("\n", 1)[0]
    return line if line == text and len(line) <= 40 else line[:39] + "…"


def _number(path: Path, value: Node) -> str:
    """What to write for a number."""
    del path
    if not isinstance(value, str):
        return "Write one number, without quotes: `24`."
    text = value.strip()
    if len(text) > 20:
        return "Write one number of 15 digits or fewer, without quotes and without a unit: `24`."
    if clock := _CLOCK.fullmatch(text):
        seconds = int(clock[1]) * 60 + int(clock[2])
        return f"Write the number alone, in the unit that stands beside it: in seconds `{seconds}`."
    if found := re.fullmatch(r"([+-]?\d+),(\d+)", text):
        return f"Write a point, not a comma: `{found[1]}.{found[2]}`."
    if re.fullmatch(r"[+-]?0+\d+(\.\d+)?", text):
        return f"Write it without the zero in front: `{plain(float(text))}`."
    if re.fullmatch(r"[+-]?\d+(\.\d+)?", text):
        return f"Write it without quotes: `{text.lstrip('+')}`."
    if re.fullmatch(r"[+-]?(\d+(_\d+)*\.?\d*|\.\d+)([eE][+-]?\d{1,2})?", text):
        return f"Write it in full, as people do: `{plain(float(text))}`."
    if found := re.fullmatch(r"([+-]?\d+(?:\.\d+)?)\s*[^\d.,:]+", text):
        return f"Write the number alone, `{found[1]}`; its unit stands under `unit`."
    return "Write a number, without quotes and without a unit: `24`."


def _whole(path: Path, value: Node) -> str:
    del path
    if isinstance(value, float) and value == int(value):
        return f"Write it without the point: `{int(value)}`."
    if isinstance(value, str) and re.fullmatch(r"0*[1-9]\d{0,8}", value):
        return f"Write `{int(value)}`, without quotes and without a zero in front."
    return "Write a whole number, without quotes: `3`."


def _truth(path: Path, value: Node) -> str:
    key = path[-1]
    said = str(value).strip().lower()
    if said in {"no", "off", "n", "f", "0", "false", "never"}:
        return f"Write `{key}: false`, or delete the line."
    return f"Write `{key}: true`, or delete the line."


def _list(path: Path, value: Node) -> str:
    if isinstance(value, dict):
        return "Begin each entry with `- ` on a line of its own."
    if not isinstance(value, str | int | float) or isinstance(value, bool):
        return f"Write a list: `{levels.example(path)}`."
    if path[-1] == "go":
        here = _short(str(value))
        return f"Write `then: {here}` where it always leads there, else `go: [{{when: ..., to: {here}}}]`."
    if path[-1] in {"supplies", "stages", "steps"}:
        return f"Each entry has keys of its own: `{levels.example(path)}`."
    if isinstance(value, str) and value.startswith("-"):
        return "Write each entry on a line of its own, beginning with `- `: the space belongs to it."
    return _in_brackets(value)


def _in_brackets(value: str | float) -> str:
    """One entry, or several that stand behind one another with `,` or `;` between them."""
    entry = own_words.entry(value) if isinstance(value, str) else str(value)
    if isinstance(value, str) and len(parts := [one.strip() for one in re.split("[;,]", value)]) > 1:
        several = f"[{', '.join(own_words.entry(one) for one in parts if one)}]"
        return f"Put several in brackets, `{several[:80]}`, or each on a line of its own after `- `."
    return f"Put it in brackets, `[{_short(entry)}]`, or on a line of its own after `- `."


def _two(path: Path, value: Node) -> str:
    found = re.findall(r"\d+(?:\.\d+)?", value[:40]) if isinstance(value, str) else []
    said = f"{path[-1]}: [{found[0]}, {found[1]}]" if len(found) == 2 else levels.example(path)
    return f"Write the least and the greatest in brackets: `{said}`."


def _one_word(path: Path, value: Node) -> str:
    if isinstance(value, list) and value and isinstance(value[0], str) and isinstance(path[-1], str):
        return f"One stands here: `{path[-1]}: {_short(value[0])}`."
    return _text(path, value)


def _text(path: Path, value: Node) -> str:
    match value:
        case bool() | int() | float():
            said = str(value).lower() if isinstance(value, bool) else plain(value)
            return f'Put it in quotes: `"{said}"`.'
        case [str() as first, *_] if path[-1] in {"then", "to", "of", "new_plate_from"}:
            return f"One stands here: `{path[-1]}: {_short(first)}`."
        case list():
            return "Write one text. A text that begins with `[` needs quotes."
        case dict() if len(value) == 1 and isinstance(next(iter(value.values())), str):
            key, rest = next(iter(value.items()))
            return f'A text with a colon and a space in it needs quotes: `"{_short(f"{key}: {rest}")}"`.'
        case _:
            return (
                "Write one text. A text that begins with `{`, or has a colon and a space in it, needs quotes."
            )


def _keys(path: Path, value: Node) -> str:
    if not path:
        return "Begin the file with `format: 1`, then `id:`, `title:` and the other keys, each on its line."
    if levels.pattern_of(path) == "settings.*":
        return f"Write `{own_words.setting(str(path[-1]), value)}`."
    if path[-1] == "wait" and isinstance(value, str):
        return f"Write `{own_words.waiting(value)}`."
    if path[-1] == "sign_off" and isinstance(value, str):
        return f"Write `sign_off: {{of: {_short(value)}}}`."
    if isinstance(path[-1], int):
        inside = {
            "steps": "{id: draw-down, do: Start the pump.}",
            "go": "{when: answers.side == 'bare', to: look}",
        }
        entry = inside.get(
            str(path[-2]), "{id: vacuum, title: Vacuum, steps: []}" if path[-2] == "stages" else ""
        )
        return f"Write keys after the `- `, for instance `{entry or '{item: plate, amount: 1, unit: each}'}`."
    if isinstance(value, list) and (own := [one for one in value if isinstance(one, str)]):
        if path[-1] == "skills":
            return f"Write each with what it is: `skills: {{{_name(own[0])}: ...}}`."
        if path[-1] in {"answers", "choice", "choices", "order"}:
            return f"Give each a key: `{own_words.lettered(str(path[-1]), own)}`."
    return f"Write keys under it, for instance `{levels.example(path)}`."


def _name(text: str) -> str:
    """The text as a name, for a message."""
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")[:40] or "contact"


def _right(path: Path, value: Node) -> str:
    del value
    key = path[-1]
    return f"Write `{key}: a`, `{key}: [a, c]` or `{key}: 40`, as the kind of question wants it."


def _simple(path: Path, value: Node) -> str:
    del value
    return f"Write one value after the name of the control: `{path[-1]}: on`."


_PAIRS = (("between",), ("plausible",))
_FORMULAS = (("ok",), ("when",), ("from",))
_KINDS: dict[str, tuple[str, str, Callable[[Path, Node], str]]] = {
    "text": ("S03", "A text", _text),
    "word": ("S03", "One word", _one_word),
    "simple": ("S03", "A word or a number", _simple),
    "number": ("S04", "A number", _number),
    "number or formula": ("S04", "A number or a formula", _number),
    "whole": ("S05", "A whole number", _whole),
    "truth": ("S06", "`true` or `false`", _truth),
    "list": ("S07", "A list", _list),
    "right": ("S20", "A key, a list of keys or a number", _right),
}
"""Code, what is wanted, and what to write instead, by the kinds of value."""
