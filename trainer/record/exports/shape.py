"""Checks of JSON values, put together from small ones; each tells what is wrong and where.

A check is a function of a value and the path to it; it gives a fault for everything that is wrong.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple


class Fault(NamedTuple):
    """Something wrong with a value. at: the way to it from the outermost object, `context.registration`."""

    at: str
    words: str

    def __str__(self) -> str:
        return f"{self.at or 'the statement'}: {self.words}"


Check = Callable[[object, str], Iterator[Fault]]
Fields = Mapping[str, object]
"""A JSON object that was looked at: its keys are texts."""


def below(at: str, key: str | int) -> str:
    """The path to a part of what stands at `at`."""
    if isinstance(key, int):
        return f"{at}[{key}]"
    return f"{at}.{key}" if at else key


def as_fields(value: object) -> Fields | None:
    """The value, where it is a JSON object."""
    return value if isinstance(value, dict) and all(isinstance(key, str) for key in value) else None


def text(value: object, at: str) -> Iterator[Fault]:
    """A string."""
    if not isinstance(value, str):
        yield Fault(at, "a string is wanted")


def truth(value: object, at: str) -> Iterator[Fault]:
    """True or false."""
    if not isinstance(value, bool):
        yield Fault(at, "true or false is wanted, and no string")


def is_number(value: object) -> bool:
    """A JSON number; true and false are none, nor is what JSON cannot write."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def whole(value: object, at: str) -> Iterator[Fault]:
    """A whole number from 0."""
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        yield Fault(at, "a whole number is wanted")


def of_form(fits: Callable[[str], bool], what: str) -> Check:
    """A string of a certain form. what: the form in words."""

    def check(value: object, at: str) -> Iterator[Fault]:
        if not isinstance(value, str) or not fits(value):
            yield Fault(at, f"{what} is wanted")

    return check


def one_of(*words: str) -> Check:
    """One of these strings, in this very spelling."""

    def check(value: object, at: str) -> Iterator[Fault]:
        if value not in words or not isinstance(value, str):
            yield Fault(at, f"one of {', '.join(words)} is wanted")

    return check


def list_of(part: Check) -> Check:
    """An array whose every element passes `part`."""

    def check(value: object, at: str) -> Iterator[Fault]:
        if not isinstance(value, list):
            yield Fault(at, "an array is wanted")
            return
        for number, one in enumerate(value):
            yield from part(one, below(at, number))

    return check


def one_or_list_of(part: Check) -> Check:
    """What passes `part`, or an array of such."""
    many = list_of(part)

    def check(value: object, at: str) -> Iterator[Fault]:
        yield from (many if isinstance(value, list) else part)(value, at)

    return check


def mapping_of(key_fits: Callable[[str], bool], keys: str, part: Check | None = None) -> Check:
    """An object with any number of keys of a form, and values that pass `part` (anything without one)."""

    def check(value: object, at: str) -> Iterator[Fault]:
        fields = as_fields(value)
        if fields is None:
            yield Fault(at, "an object is wanted")
            return
        for key, one in fields.items():
            if not key_fits(key):
                yield Fault(below(at, key), f"the key is to be {keys}")
            if part is not None:
                yield from part(one, below(at, key))

    return check


def fields_of(wanted: Mapping[str, Check], allowed: Mapping[str, Check] | None = None) -> Check:
    """An object with all of `wanted`, maybe some of `allowed`, and nothing else."""
    known = {**wanted, **(allowed or {})}

    def check(value: object, at: str) -> Iterator[Fault]:
        fields = as_fields(value)
        if fields is None:
            yield Fault(at, "an object is wanted")
            return
        for key in wanted:
            if key not in fields:
                yield Fault(below(at, key), "is missing")
        for key, one in fields.items():
            if key in known:
                yield from known[key](one, below(at, key))
            else:
                yield Fault(below(at, key), "there is no such property here")

    return check


def both(*checks: Check) -> Check:
    """All of them; what a later one looks at, an earlier one may have found to be no object."""

    def check(value: object, at: str) -> Iterator[Fault]:
        for one in checks:
            yield from one(value, at)

    return check
