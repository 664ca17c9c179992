"""Events as plain JSON values and back, strict on the way in.

A body is `{"kind": ..., "version": ..., <its fields>}`; an event is its envelope with the stamp's three
fields laid out flat and the body inside. Every field is written and every field is wanted: a body of another
shape has another version. Earlier versions are read as what they were (`EARLIER`).
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import cache
from math import isfinite
from typing import Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from trainer.run import events, fault_events
from trainer.run.clock import to_ms
from trainer.run.events import Body, Event, Stamp
from trainer.run.frozen import frozen

T = TypeVar("T")
Json = dict[str, object]
_MOST_WHOLE = 2**53 - 1
"""The greatest whole number that JSON keeps exactly (RFC 8259, section 6); a longer one was a decimal."""
_Reader = Callable[[object], object]


class WireError(ValueError):
    """Something that is no event of ours. `args[0]` says in a sentence what is wrong with it."""


@frozen
class _Field:
    """A field of a body: its name in Python, its key in JSON, how its value is read."""

    name: str
    key: str
    read: _Reader


KINDS: Mapping[str, type[Body]] = {
    found.kind: found
    for found in (*vars(events).values(), *vars(fault_events).values())
    if isinstance(found, type) and issubclass(found, Body) and found is not Body
}
"""Every kind of body, by its name on disk."""

EARLIER: Mapping[tuple[str, int], Mapping[str, object]] = {("run_opened", 1): {"station": ""}}
"""By kind and version that was written once: the fields it had not yet, and what they come to."""


def body_to_json(body: Body) -> Json:
    """`body` as a JSON object."""
    written: Json = {"kind": body.kind, "version": body.version}
    for field in _fields_of(body.kind):
        written[field.key] = _plain(getattr(body, field.name))
    return written


def body_from_json(value: object) -> Body:
    """The body that a JSON object says. Raises WireError."""
    given = _object(value, "The body of an event")
    kind = given.get("kind")
    wanted = KINDS.get(kind) if isinstance(kind, str) else None
    if wanted is None:
        raise WireError(f"There is no kind of event called {_short(kind)}.")
    version = given.get("version")
    if type(version) is int and (wanted.kind, version) in EARLIER:
        return wanted(**_fields_read(_brought_up(given, wanted, EARLIER[wanted.kind, version]), wanted))
    if version != wanted.version or isinstance(version, bool):
        raise WireError(
            f"Version {_short(version)} of {kind} is not known; version {wanted.version} is. "
            "A newer sinkside may have written it."
        )
    return wanted(**_fields_read(given, wanted))


def event_to_json(event: Event) -> Json:
    """`event` as a JSON object."""
    return {
        "id": event.id,
        "run": event.run,
        "seq": event.seq,
        "at": event.stamp.at,
        "boot": event.stamp.boot,
        "ticks_ms": event.stamp.ticks_ms,
        "step": event.step,
        "body": body_to_json(event.body),
    }


def event_from_json(value: object) -> Event:
    """The event that a JSON object says. Raises WireError."""
    given = _object(value, "An event")
    _same_keys(given, {"id", "run", "seq", "at", "boot", "ticks_ms", "step", "body"}, "an event")
    step = given["step"]
    if step is not None and not isinstance(step, str):
        raise WireError("The step of an event is a text or null.")
    at = _read(given, "at", _text)
    try:
        to_ms(at)
    except ValueError as fault:
        raise WireError(str(fault)) from fault
    return Event(
        id=_read(given, "id", _text),
        run=_read(given, "run", _text),
        seq=_read(given, "seq", _whole),
        stamp=Stamp(at=at, boot=_read(given, "boot", _text), ticks_ms=_read(given, "ticks_ms", _whole)),
        step=step,
        body=body_from_json(given["body"]),
    )


def _brought_up(given: Json, wanted: type[Body], lacking: Mapping[str, object]) -> Json:
    """A body of an earlier version with the fields that it had not. Raises WireError where it has one."""
    known = {"kind", "version", *(field.key for field in _fields_of(wanted.kind))}
    _same_keys(given, known - lacking.keys(), wanted.kind)
    return {**given, **lacking}


def _fields_read(given: Json, wanted: type[Body]) -> dict[str, object]:
    known = _fields_of(wanted.kind)
    _same_keys(given, {"kind", "version", *(field.key for field in known)}, wanted.kind)
    found: dict[str, object] = {}
    for field in known:
        try:
            found[field.name] = field.read(given[field.key])
        except WireError as fault:
            raise WireError(f"`{field.key}` of {wanted.kind}: {fault}") from fault
    return found


@cache
def _fields_of(kind: str) -> tuple[_Field, ...]:
    body = KINDS[kind]
    hints = get_type_hints(body)
    return tuple(_Field(f.name, f.name.rstrip("_"), _reader(hints[f.name])) for f in fields(body))


def _reader(hint: object) -> _Reader:
    """How a value of this type is read. Raises TypeError for a type that bodies do not use yet."""
    simple: dict[object, _Reader] = {str: _text, int: _whole, float: _number, bool: _truth}
    if hint in simple:
        return simple[hint]
    origin, args = get_origin(hint), get_args(hint)
    if origin is Literal:
        return _one_of(args)
    if origin is tuple and len(args) == 2 and args[1] is Ellipsis:
        return _list_of(_reader(args[0]))
    if origin is Mapping or origin is dict:
        return _mapping_of(_reader(args[1]))
    if origin in (Union, types.UnionType):
        return _any_of(args)
    raise TypeError(f"a body cannot hold a {hint!r} yet")


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise WireError(f"{_short(value)} is not a text.")
    return value


def _whole(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > _MOST_WHOLE:
        raise WireError(f"{_short(value)} is not a whole number that JSON keeps exactly.")
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise WireError(f"{_short(value)} is not a number.")
    try:
        number = float(value)
    except OverflowError as fault:  # a whole number with more digits than a float has room for
        raise WireError("The number is too large to be one of ours.") from fault
    if not isfinite(number):
        raise WireError(f"{_short(value)} is not a number.")
    return number


def _truth(value: object) -> bool:
    if not isinstance(value, bool):
        raise WireError(f"{_short(value)} is neither true nor false.")
    return value


def _one_of(allowed: tuple[object, ...]) -> _Reader:
    def read(value: object) -> object:
        if value not in allowed:
            raise WireError(f"{_short(value)} is none of {', '.join(map(str, allowed))}.")
        return value

    return read


def _list_of(item: _Reader) -> _Reader:
    def read(value: object) -> object:
        if not isinstance(value, list | tuple):
            raise WireError(f"{_short(value)} is not a list.")
        return tuple(item(part) for part in value)

    return read


def _mapping_of(item: _Reader) -> _Reader:
    def read(value: object) -> object:
        return {key: item(part) for key, part in _object(value, "It").items()}

    return read


def _any_of(options: tuple[object, ...]) -> _Reader:
    """The first that fits. True and false are tried before numbers, whole numbers before others."""
    order = (bool, int, float, str)
    readers = [_reader(option) for option in order if option in options]
    readers += [_reader(option) for option in options if option not in (*order, types.NoneType)]

    def read(value: object) -> object:
        if value is None and types.NoneType in options:
            return None
        for reader in readers:
            try:
                return reader(value)
            except WireError:
                continue
        raise WireError(f"{_short(value)} is of no type that is kept here.")

    return read


def _plain(value: object) -> object:
    if value is None or isinstance(
        value, str | int | float
    ):  # nearly all are, and to ask for a mapping is slow
        return value
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(part) for key, part in value.items()}
    return value


def _object(value: object, what: str) -> Json:
    if not isinstance(value, dict) or not all(isinstance(key, str) for key in value):
        raise WireError(f"{what} is not a JSON object.")
    return value


def _same_keys(given: Json, wanted: set[str], what: str) -> None:
    if unknown := sorted(set(given) - wanted):
        raise WireError(f"{what} has no field {_short(unknown[0])}.")
    if missing := sorted(wanted - set(given)):
        raise WireError(f"{what} lacks its field {missing[0]!r}.")


def _read(given: Json, key: str, reader: Callable[[object], T]) -> T:
    try:
        return reader(given[key])
    except WireError as fault:
        raise WireError(f"`{key}` of an event: {fault}") from fault


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:59] + "…"
