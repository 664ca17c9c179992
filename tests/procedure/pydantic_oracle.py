"""The shape of a procedure file once more, by pydantic, from the same list of keys: a second opinion."""

# ruff: noqa: ANN401 - types are the values that this page works on

from __future__ import annotations

from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError, create_model
from pydantic import Field as PydanticField

from trainer.procedure.building import Node
from trainer.procedure.model import Procedure
from trainer.procedure.parts import Field, Part, fields_of

STRICT = ConfigDict(strict=True, extra="forbid", arbitrary_types_allowed=True)


def accepts(value: Node) -> bool:
    """Does pydantic take `value` for a procedure?"""
    try:
        model_of(Procedure).model_validate(value)
    except ValidationError:
        return False
    return True


_MODELS: dict[type[Part], type[BaseModel]] = {}


def model_of(part: type[Part]) -> type[BaseModel]:
    """The strict pydantic model with the keys of a part."""
    if part in _MODELS:
        return _MODELS[part]
    keys: dict[str, Any] = {}
    for field in fields_of(part).values():
        keys[field.name] = (_kind(field.kind), _key(field))
    _MODELS[part] = create_model(part.__name__, __config__=STRICT, **keys)
    return _MODELS[part]


def _key(field: Field) -> Any:
    said: dict[str, Any] = {}
    if field.key.few:
        said |= {"min_length": field.key.few, "max_length": field.key.many}
    if field.key.least is not None:
        said["ge"] = field.key.least
    if field.written != field.name:
        said["alias"] = field.written
    if field.key.default_factory is not None:
        said["default_factory"] = field.key.default_factory
    elif not field.key.required:
        said["default"] = field.key.default
    return PydanticField(**said)


def _kind(kind: Any) -> Any:
    """A type as pydantic wants it: parts as models, functions as validators, lists for tuples."""
    origin, inner = get_origin(kind), get_args(kind)
    if isinstance(kind, type) and issubclass(kind, Part):
        return model_of(kind)
    if origin is Annotated:
        return Annotated[inner[0], BeforeValidator(inner[1])]
    if origin is tuple:
        entries: Any = tuple(one if one is ... else _kind(one) for one in inner)
        return Annotated[tuple.__class_getitem__(entries), PydanticField(strict=False)]
    if origin is dict:
        return dict.__class_getitem__((_kind(inner[0]), _kind(inner[1])))
    if origin in (Union, UnionType):
        # A key is left out, never written without a value: None is no part of any type in a file.
        return Union[tuple(_kind(one) for one in inner if one is not NoneType)]  # noqa: UP007
    if origin is Literal:
        return Annotated[kind, BeforeValidator(_no_truth)]
    return kind


def _no_truth(value: object) -> object:
    """Pydantic takes `true` and 1.0 for the literal 1."""
    if isinstance(value, bool | float):
        raise ValueError("a word or a whole number")  # noqa: TRY004 - the kind that pydantic collects
    return value
