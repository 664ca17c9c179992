"""What a procedure is made of: frozen records whose keys say what may be written in a file.

A class lists its keys as annotated names, each with `key(...)`; `shaping` reads such records from a file and
says what is wrong in an author's words. Plain classes of our own: a library that does this with less code
takes half of the time in which a run must show its first step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, dataclass_transform


class _Required:
    """Stands for: no default."""

    def __repr__(self) -> str:
        return "REQUIRED"


REQUIRED = _Required()


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a part: what it is for, what it is when left out, and its bounds.

    `written`: the key in the file where a program cannot have that name (`for`). `least`: the smallest
    number. `few`, `many`: how many entries a list or group of keys has.
    """

    doc: str
    default: object = REQUIRED
    default_factory: Callable[[], object] | None = None
    written: str = ""
    least: float | None = None
    few: int = 0
    many: int | None = None

    @property
    def required(self) -> bool:
        """Must it be written?"""
        return self.default is REQUIRED and self.default_factory is None


def key(  # noqa: PLR0913 - all but the first by keyword
    doc: str,
    *,
    default: object = REQUIRED,
    default_factory: Callable[[], object] | None = None,
    written: str = "",
    least: float | None = None,
    few: int = 0,
    many: int | None = None,
) -> Any:  # noqa: ANN401 - it stands where a value of any type will stand, as `dataclasses.field` does
    """Declares a key of a part; see `Key`."""
    return Key(doc, default, default_factory, written, least, few, many)


@dataclass(frozen=True, slots=True)
class Field:
    """A key of a part, with its name in the program, as it is written in a file, and its type."""

    name: str
    written: str
    kind: Any
    key: Key


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(key,))
class Part:
    """A frozen record. Subclasses are built by keyword; what is left out has its default."""

    _fields: Mapping[str, Field] = {}

    def __init_subclass__(cls) -> None:
        """Collect the keys. The annotations must be real: no `from __future__ import annotations` there."""
        fields: dict[str, Field] = {}
        for name, kind in cls.__annotations__.items():
            declared = cls.__dict__[name]
            delattr(cls, name)
            fields[name] = Field(name, declared.written or name, kind, declared)
        cls._fields = fields

    def __init__(self, **values: object) -> None:
        own = self.__dict__
        for name, field in self._fields.items():
            if name in values:
                own[name] = values.pop(name)
            elif field.key.default_factory is not None:
                own[name] = field.key.default_factory()
            elif field.key.default is not REQUIRED:
                own[name] = field.key.default
            else:
                raise TypeError(f"{type(self).__name__} needs `{name}`")
        if values:
            raise TypeError(f"{type(self).__name__} has no `{next(iter(values))}`")

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen: `{name}` cannot be changed")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen: `{name}` cannot be deleted")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and self.__dict__ == other.__dict__

    def __hash__(self) -> int:
        return hash((type(self), *map(str, self.__dict__.values())))

    def __repr__(self) -> str:
        said = ", ".join(f"{name}={value!r}" for name, value in self.__dict__.items())
        return f"{type(self).__name__}({said})"


def fields_of(part: type[Part]) -> dict[str, Field]:
    """The keys of a part, by the name that is written in a file."""
    return {field.written: field for field in part._fields.values()}
