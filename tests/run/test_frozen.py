"""Frozen classes without generated code are what the standard library's would be."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace
from typing import Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.run.frozen import frozen
from trainer.run.frozen import replace as quick_replace


@dataclass(frozen=True)
class Standard:
    """As the standard library makes it."""

    kind: ClassVar[str] = "thing"
    name: str
    size: float = 1.5
    parts: Mapping[str, int] = field(default_factory=dict)


@frozen
class Ours:
    """The same, made here."""

    kind: ClassVar[str] = "thing"
    name: str
    size: float = 1.5
    parts: Mapping[str, int] = field(default_factory=dict)


@frozen
class Derived(Ours):
    """With a field of its own after those of its base."""

    colour: str = "blue"


CALLS = st.tuples(
    st.lists(st.integers(0, 3), max_size=4),
    st.dictionaries(st.sampled_from(["name", "size", "parts", "other"]), st.integers(0, 3)),
)


def outcome(kind: type[Any], args: list[int], values: dict[str, int]) -> object:
    """The fields of what a call makes, or that it is a TypeError."""
    try:
        made = kind(*args, **values)
    except TypeError:
        return TypeError
    return {one.name: getattr(made, one.name) for one in fields(made)}


@given(CALLS)
def test_calls_do_what_they_do_with_the_standard_library(call: tuple[list[int], dict[str, int]]) -> None:
    """Any call makes the same fields, or is the same kind of error, as with the standard library."""
    assert outcome(Ours, *call) == outcome(Standard, *call)


@given(st.text(max_size=2), st.floats(allow_nan=False), st.text(max_size=2), st.floats(allow_nan=False))
def test_equal_by_value_within_a_class(name: str, size: float, other_name: str, other_size: float) -> None:
    """Two are equal when their fields are, as with the standard library; of another class never."""
    ours, other = Ours(name, size), Ours(other_name, other_size)
    assert (ours == other) is (Standard(name, size) == Standard(other_name, other_size))
    others: list[object] = [Standard(name, size), Derived(name, size)]
    assert ours not in others
    assert ours == Ours(name, size)


def test_nothing_can_be_changed() -> None:
    """Fields can neither be set nor deleted nor added."""
    ours = Ours("a")
    for name in ("name", "more"):
        with pytest.raises(FrozenInstanceError):
            setattr(ours, name, "b")
    with pytest.raises(FrozenInstanceError):
        del ours.name
    assert ours == Ours("a")


def test_standard_tools_take_it() -> None:
    """Fields, `replace`, patterns, copies, the shown form and the hash work as with the standard library."""
    ours = Derived("a", 2, {"x": 1}, "red")
    assert [one.name for one in fields(ours)] == ["name", "size", "parts", "colour"]
    assert replace(ours, size=3) == Derived("a", 3, {"x": 1}, "red")
    assert copy.deepcopy(ours) == ours
    assert repr(Ours("a")) == repr(Standard("a")).replace("Standard", "Ours")
    assert hash(Ours("a", 1, ())) == hash(Ours("a", 1, ()))  # type: ignore[arg-type]  # a mapping has no hash
    match ours:
        case Derived("a", colour=colour):
            assert colour == "red"
        case _:
            raise AssertionError("the pattern did not match")
    with pytest.raises(TypeError, match="unhashable"):
        hash(ours)


def test_defaults_are_made_anew() -> None:
    """A default that is made is made for each."""
    assert Ours("a").parts == {}
    assert Ours("a").parts is not Ours("a").parts


def test_replacing_is_as_with_the_standard_library() -> None:
    """The same fields, whatever is replaced; the old one stays; a name that is no field is a TypeError."""
    ours, own = Derived("a", 2, {"x": 1}, "red"), quick_replace
    for changes in ({}, {"size": 3}, {"name": "b", "colour": "blue"}):
        assert own(ours, **changes) == replace(ours, **changes)
    assert ours == Derived("a", 2, {"x": 1}, "red")
    assert type(own(ours)) is Derived
    for kind in (own, replace):
        with pytest.raises(TypeError, match="other"):
            kind(ours, other=1)
