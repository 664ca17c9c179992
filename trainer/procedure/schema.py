"""The shape of a procedure file as JSON Schema (draft 2020-12), for editors, from the records that read it.

What the schema refuses, the check refuses. The check refuses more: a schema knows no step that is named
elsewhere, no order of two limits, no formula.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from trainer.procedure import levels, model, units
from trainer.procedure.names import CEL_RESERVED, RESERVED_TARGETS
from trainer.procedure.parts import REQUIRED, Field, Part, fields_of
from trainer.procedure.quiz_rules import KINDS
from trainer.procedure.reader import read_tree
from trainer.procedure.shape_rules import MOST_STEPS
from trainer.procedure.text import Text
from trainer.procedure.vocabulary import CONTROLS, Control

Schema = dict[str, Any]
"""A schema is JSON: words, numbers, lists and schemas."""

DIALECT = "https://json-schema.org/draft/2020-12/schema"
ID = "urn:sinkside:procedure:1"

_ID = rf"^(?!(?:{'|'.join(sorted(RESERVED_TARGETS))})$)[a-z][a-z0-9-]{{0,62}}$"
_TARGET = r"^[a-z][a-z0-9-]{0,62}$"
_NAME = rf"^(?!(?:{'|'.join(sorted(CEL_RESERVED))})$)[a-z][a-z0-9_]{{0,62}}$"
_SAID = r"\S"
_LANGUAGE = r"^[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$"
_NUMBER = r"[+-]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?"
_TIME = rf"^\s*{_NUMBER} +(?:s|min|h|days?|weeks?)(?: +{_NUMBER} +(?:h|min|s))*\s*$"
_DOSE = rf"^\s*{_NUMBER} +units\s*$"
_VALUE = r"^\s*(?:settings|worked)\.[a-z][a-z0-9_]*\s*$"
_UNIT: Schema = {"$ref": "#/$defs/Unit"}


def schema() -> Schema:
    """The whole schema."""
    parts = {level.part.__name__: _part(level.part) for level in levels.LEVELS.values()}
    top = parts.pop(model.Procedure.__name__)
    return {
        "$schema": DIALECT,
        "$id": ID,
        **top,
        "title": "A procedure",
        "$defs": {"Text": _text(), "Unit": _unit(), **{name: parts[name] for name in sorted(parts)}},
    }


def as_json() -> str:
    """The schema as it is printed and shipped."""
    import json  # only where it is asked for

    return json.dumps(schema(), indent=1, ensure_ascii=True) + "\n"


def _part(part: type[Part]) -> Schema:
    """A record: its keys, which of them must be there, and what must hold between them."""
    fields = fields_of(part)
    made: Schema = {
        "title": levels.called(part).strip("`").capitalize(),
        "description": " ".join((part.__doc__ or "").split()),
        "type": "object",
        "properties": {written: _key(part, field) for written, field in fields.items()},
        "required": [written for written, field in fields.items() if field.key.required],
        "additionalProperties": False,
    }
    return made | _BETWEEN.get(part, {})


def _key(part: type[Part], field: Field) -> Schema:
    """A key: what it is called, what it is for, how it is written, and what may stand there."""
    made = _AT.get((part, field.written)) or _bounded(_of(field.kind), field)
    told: Schema = {
        "title": field.written.replace("_", " ").capitalize(),
        "description": field.key.doc,
        "examples": [example(part, field.written)],
    }
    if field.key.default is not REQUIRED and isinstance(field.key.default, bool | int | str):
        told["default"] = field.key.default
    return told | made


def example(part: type[Part], written: str) -> Any:  # noqa: ANN401 - JSON
    """How a key is written, as the value that it then has."""
    pattern = next(pattern for pattern, level in levels.LEVELS.items() if level.part is part)
    path = (*(pattern.split(".") if pattern else ()), written)
    tree = read_tree(levels.example(path).encode(), "")
    return tree.at((written,))


def _bounded(made: Schema, field: Field) -> Schema:
    """With the bounds that the key has."""
    key = field.key
    if key.least is not None:
        made = {**made, "minimum": key.least}
    words = ("minItems", "maxItems") if made.get("type") == "array" else ("minProperties", "maxProperties")
    if key.few:
        made = {**made, words[0]: key.few}
    if key.many is not None:
        made = {**made, words[1]: key.many}
    return made


def _of(kind: Any) -> Schema:  # noqa: ANN401 - a type, however it is written
    """What may stand where a value of this type is wanted."""
    if get_origin(kind) in (Union, UnionType) and NoneType in get_args(kind):
        return _of(Union[tuple(one for one in get_args(kind) if one is not NoneType)])  # noqa: UP007 - of a tuple
    if (simple := _SIMPLE.get(kind)) is not None:
        return dict(simple)
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return {"const": inner[0]} if len(inner) == 1 else {"enum": list(inner)}
    if origin is tuple and inner[1:] == (...,):
        return {"type": "array", "items": _of(inner[0])}
    if origin is tuple:
        return {"type": "array", "items": _of(inner[0]), "minItems": 2, "maxItems": 2}
    if origin is dict:
        names = _of(inner[0]) if get_origin(inner[0]) is Annotated else {}
        return {"type": "object", "propertyNames": names, "additionalProperties": _of(inner[1])}
    return {"$ref": f"#/$defs/{kind.__name__}"}


def _text() -> Schema:
    """A text, or a text for each language."""
    said: Schema = {"type": "string", "pattern": _SAID}
    languages: Schema = {
        "type": "object",
        "propertyNames": {"pattern": _LANGUAGE},
        "additionalProperties": said,
        "minProperties": 1,
    }
    return {
        "title": "A text",
        "description": "What people read: one text, or one for each language.",
        "examples": ["Vacuum", {"en": "Vacuum", "es": "Vac\u00edo"}],
        "anyOf": [said, languages],
    }


def _unit() -> Schema:
    """A unit of the table."""
    return {
        "title": "A unit",
        "description": "As the guide for authors lists them, with their capitals.",
        "examples": ["inHg"],
        "type": "string",
        "enum": list(units.KNOWN),
    }


def _control(control: Control) -> Schema:
    """What a control of the bench may be set to: one of its words, a number, or a formula."""
    told: Schema = {"title": control.name.replace("_", " ").capitalize(), "description": control.doc}
    if control.options:
        formula = {"type": "string", "pattern": r"[^A-Za-z0-9_-]"}
        return {
            **told,
            "examples": [control.options[-1]],
            "anyOf": [{"enum": list(control.options)}, formula],
        }
    number = {"type": "number", "minimum": control.least, "maximum": control.most}
    return {**told, "examples": [control.most], "anyOf": [number, {"type": "string"}]}


def _one_of(*keys: str) -> Schema:
    """Exactly one of these keys."""
    return {"oneOf": [{"required": [key]} for key in keys]}


def _at_most_one(keys: tuple[str, ...]) -> Schema:
    pairs = [(one, other) for number, one in enumerate(keys) for other in keys[number + 1 :]]
    return {"not": {"anyOf": [{"required": list(pair)} for pair in pairs]}}


def _right_for(kind: str, right: Schema) -> Schema:
    return {"if": {"required": [kind]}, "then": {"properties": {"right": right}}}


_NUMBER_TYPE: Schema = {"type": "number"}
_LIST_OF_NAMES: Schema = {"type": "array", "items": {"type": "string", "pattern": _NAME}, "uniqueItems": True}
_SIMPLE: Mapping[Any, Schema] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    str: {"type": "string"},
    model.Number: _NUMBER_TYPE,
    Text: {"$ref": "#/$defs/Text"},
    model.Ident: {"type": "string", "pattern": _ID},
    model.Name: {"type": "string", "pattern": _NAME},
    model.Measure: {"type": "string", "pattern": _TIME},
    model.Amount: {"type": "string", "anyOf": [{"pattern": _TIME}, {"pattern": _VALUE}]},
    Union[int, float, str]: {"type": ["number", "string"]},  # noqa: UP007 - as the model has it
}
_AT: Mapping[tuple[type[Part], str], Schema] = {
    **{
        (part, "unit"): _UNIT
        for part in (model.Setting, model.Supply, model.Reading, model.NumberAnswer, model.WorkOut)
    },
    (model.Supply, "amount"): {"type": "number", "exclusiveMinimum": 0},
    (model.Wait, "dose"): {"type": "string", "anyOf": [{"pattern": _DOSE}, {"pattern": _VALUE}]},
    (model.Quiz, "right"): {
        "anyOf": [_NUMBER_TYPE, {"type": "string", "pattern": _NAME}, _LIST_OF_NAMES],
    },
    (model.Step, "bench"): {
        "type": "object",
        "properties": {name: _control(control) for name, control in CONTROLS.items()},
        "additionalProperties": False,
    },
    (model.Step, "then"): {"type": "string", "pattern": _TARGET},
    (model.Go, "to"): {"type": "string", "pattern": _TARGET},
    (model.Stage, "steps"): {
        "type": "array",
        "items": {"$ref": "#/$defs/Step"},
        "minItems": 1,
        "maxItems": MOST_STEPS,
    },
}
"""What the type alone does not say."""

_BETWEEN: Mapping[type[Part], Schema] = {
    model.Step: {
        **_at_most_one(model.TASKS),
        "anyOf": [{"required": [key]} for key in ("do", *model.TASKS)],
    },
    model.Wait: {
        "anyOf": [{"required": [key]} for key in fields_of(model.Wait)],
        "allOf": [
            {"not": {"required": [one, other]}}
            for one, other in (
                ("for", "dose"),
                *((a, b) for a in ("for", "dose") for b in ("at_least", "at_most")),
            )
        ],
    },
    model.Quiz: {
        **_one_of(*KINDS),
        "allOf": [
            _right_for("choice", {"type": "string"}),
            _right_for("choices", {**_LIST_OF_NAMES, "minItems": 1}),
            _right_for("order", {**_LIST_OF_NAMES, "minItems": 2}),
            _right_for("number", _NUMBER_TYPE),
        ],
    },
}
"""What must hold between the keys of one part."""
