"""A procedure with a hostile text wherever a person's text can stand, and every kind of task."""

from __future__ import annotations

import json
import types
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from trainer.procedure.model import Procedure
from trainer.procedure.parts import Part
from trainer.procedure.text import Text

NAME = "hostile-work"
PICTURE = "hostile"


def procedure(said: str) -> dict[str, Any]:
    """The file as plain values. `said` stands in every text, with a letter that makes it one of its own."""

    def text(letter: str) -> str:
        return f"{said} {letter}."

    steps: list[dict[str, Any]] = [
        {
            "id": "mind",
            "hazard": {
                "signal": "warning",
                "harm": text("harm"),
                "avoid": [text("avoid one"), text("avoid two")],
                "covers": ["take"],
            },
        },
        {
            "id": "take",
            "do": text("act"),
            "key_points": [text("point")],
            "why": text("why"),
            "skill": "care",
            "picture": PICTURE,
        },
        {"id": "let-it", "do": text("wait"), "skill": "care", "wait": {"for": "5 s"}},
        {"id": "dose-it", "do": text("dose"), "skill": "care", "wait": {"dose": "settings.exposure"}},
        {
            "id": "read-it",
            "do": text("read"),
            "skill": "care",
            "reading": {
                "name": "gauge",
                "unit": "inHg",
                "plausible": [0, 30],
                "ok": "readings.gauge >= 10",
                "right": 22,
                "miss": text("miss"),
            },
        },
        {
            "id": "look",
            "skill": "care",
            "judge": {
                "name": "edge",
                "ask": text("ask"),
                "answers": {"good": text("good"), "bad": text("bad")},
                "right": "good",
            },
            "go": [{"when": "answers.edge == 'bad'", "to": "take"}],
        },
        {"id": "one", "skill": "care", "quiz": _quiz(text, "one", "choice", "a")},
        {"id": "several", "skill": "care", "quiz": _quiz(text, "several", "choices", ["a", "b"])},
        {"id": "ordered", "skill": "care", "quiz": _quiz(text, "ordered", "order", ["a", "b", "c"])},
        {
            "id": "counted",
            "skill": "care",
            "quiz": {
                "name": "counted",
                "ask": text("counted"),
                "number": {"unit": "units", "within": 1},
                "right": 24,
                "because": text("because counted"),
            },
        },
        {
            "id": "work-it",
            "skill": "care",
            "work_out": {
                "name": "more",
                "from": "settings.exposure * 2.0 + readings.gauge * 0.0",
                "unit": "units",
                "show": text("show"),
            },
        },
        {"id": "offer", "offer_setting": {"setting": "exposure", "from": "worked.more"}},
        {"id": "sign", "sign_off": {"of": "take"}},
    ]
    return {
        "format": 1,
        "id": NAME,
        "title": text("title"),
        "revision": 1,
        "summary": text("summary"),
        "cautions": [text("caution")],
        "settings": {
            "exposure": {"value": 24, "unit": "units", "between": [5, 80], "label": text("label")},
        },
        "supplies": [{"item": text("item"), "amount": 1, "unit": "each"}],
        "skills": {"care": text("skill")},
        "stages": [
            {"id": "all", "title": text("stage"), "new_plate_from": "mind", "steps": steps},
            {"id": "end", "title": text("second stage"), "steps": [{"id": "last", "do": text("last")}]},
        ],
    }


def _quiz(text: Any, name: str, form: str, right: object) -> dict[str, Any]:  # noqa: ANN401 - a text maker
    said = {key: text(f"{name} {key}") for key in ("a", "b", "c")}
    return {"name": name, "ask": text(name), form: said, "right": right, "because": text(f"because {name}")}


def write(folder: Path, said: str, name: str = NAME, *, coded: bool = False) -> Path:
    """Write the procedure; JSON is YAML. coded: what is no ASCII as a code in double quotes (`\\u202e`)."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{name}.yaml"
    made = json.dumps(procedure(said), ensure_ascii=False, indent=1)
    file.write_text("".join(map(_coded, made)) if coded else made, encoding="utf-8", errors="surrogatepass")
    return file


def _coded(sign: str) -> str:
    if sign.isascii() and sign != "\x7f":
        return sign
    return f"\\U{ord(sign):08x}"


def picture(folder: Path, said: str) -> None:
    """The picture of the procedure in `folder`."""
    (folder / "pictures").mkdir(parents=True, exist_ok=True)
    (folder / "pictures" / f"{PICTURE}.txt").write_text(said + "\n", encoding="utf-8", errors="surrogatepass")


def text_fields(part: type = Procedure) -> Iterator[str]:
    """Every field of the file format that holds a person's text: `Stage.title`."""
    for field, hint in get_type_hints(part).items():
        inside = list(_inside(hint))
        if Text in inside:
            yield f"{part.__name__}.{field}"
        for kind in inside:
            if isinstance(kind, type) and issubclass(kind, Part):
                yield from text_fields(kind)


def _inside(hint: object) -> Iterator[object]:
    """The types in a type."""
    if hint == Text:
        yield Text
        return
    yield hint
    if get_origin(hint) in (Union, types.UnionType):
        rest = tuple(one for one in get_args(hint) if one is not types.NoneType)
        if set(get_args(Text)) <= set(rest):
            yield Text
    if get_origin(hint) in (Union, types.UnionType, tuple, dict, Mapping, Annotated):
        for one in get_args(hint):
            yield from _inside(one)


def filled_fields(value: object) -> set[str]:
    """Those of `text_fields` that hold a text in the read procedure `value`."""
    found: set[str] = set()
    if isinstance(value, Part):
        for field in get_type_hints(type(value)):
            held = getattr(value, field)
            if _holds_text(held):
                found.add(f"{type(value).__name__}.{field}")
            found |= filled_fields(held)
    elif isinstance(value, tuple):
        for one in value:
            found |= filled_fields(one)
    elif isinstance(value, Mapping):
        for one in value.values():
            found |= filled_fields(one)
    return found


def _holds_text(held: object) -> bool:
    if isinstance(held, str):
        return bool(held)
    if isinstance(held, tuple):
        return any(isinstance(one, str) for one in held)
    return isinstance(held, Mapping) and any(isinstance(one, str) for one in held.values())
