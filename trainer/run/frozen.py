"""Frozen dataclasses without generated code.

`dataclass(frozen=True)` writes and compiles half a dozen functions for every class, a third of a
millisecond each. This room has some sixty such classes, and a run must show its first step at once. Here all
of them share their functions; `dataclasses.fields` and `replace`, patterns and type checkers take them as
dataclasses.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field
from typing import TYPE_CHECKING, ClassVar, Protocol, TypeVar, dataclass_transform

__all__ = ["frozen", "replace"]

T = TypeVar("T")


class _Frozen(Protocol):
    """What `dataclass` leaves on a class that it makes."""

    __match_args__: tuple[str, ...]
    __dataclass_fields__: ClassVar[dict[str, Field[object]]]


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T]) -> type[T]:
    """Make `cls` a frozen dataclass, equal by value to others of its very class, and hashable."""
    made = dataclass(init=False, repr=False, eq=False)(cls)
    for name, shared in _SHARED.items():
        setattr(made, name, shared)
    return made


def _init(self: _Frozen, *args: object, **values: object) -> None:
    """Take values by place or by name; what is left out has its default. Raises TypeError like a function."""
    names, own = self.__match_args__, self.__dict__
    if len(args) > len(names):
        raise TypeError(f"{type(self).__name__} has {len(names)} fields, not {len(args)}")
    own.update(zip(names, args, strict=False))
    if twice := own.keys() & values.keys():
        raise TypeError(f"{type(self).__name__} got `{min(twice)}` twice")
    own.update(values)
    if unknown := own.keys() - set(names):
        raise TypeError(f"{type(self).__name__} has no field `{min(unknown)}`")
    if len(own) < len(names):
        _fill_in(self, [name for name in names if name not in own])


def _fill_in(self: _Frozen, missing: Iterable[str]) -> None:
    for name in missing:
        declared = self.__dataclass_fields__[name]
        if declared.default is not MISSING:
            self.__dict__[name] = declared.default
        elif declared.default_factory is not MISSING:
            self.__dict__[name] = declared.default_factory()
        else:
            raise TypeError(f"{type(self).__name__} needs `{name}`")


def _repr(self: _Frozen) -> str:
    said = ", ".join(f"{name}={self.__dict__[name]!r}" for name in self.__match_args__)
    return f"{type(self).__name__}({said})"


def _eq(self: _Frozen, other: object) -> bool:
    return type(other) is type(self) and self.__dict__ == other.__dict__


def _hash(self: _Frozen) -> int:
    return hash((type(self), *(self.__dict__[name] for name in self.__match_args__)))


def _setattr(self: object, name: str, value: object) -> None:
    del self, value
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(self: object, name: str) -> None:
    del self
    raise FrozenInstanceError(f"cannot delete field {name!r}")


if TYPE_CHECKING:
    from dataclasses import replace
else:

    def replace(obj: T, /, **changes: object) -> T:
        """As `dataclasses.replace`, of a class made here, in a third of the time: it does not go by fields.

        Every event that is folded makes a new state or two so. Raises TypeError for a name that is no field.
        """
        own = obj.__dict__
        if unknown := changes.keys() - own.keys():
            raise TypeError(f"{type(obj).__name__} has no field `{min(unknown)}`")
        made = object.__new__(type(obj))
        made.__dict__.update(own)
        made.__dict__.update(changes)
        return made


_SHARED = {
    "__init__": _init,
    "__repr__": _repr,
    "__eq__": _eq,
    "__hash__": _hash,
    "__setattr__": _setattr,
    "__delattr__": _delattr,
}
