"""The canonical bytes of a JSON value (RFC 8785, JSON Canonicalization Scheme).

Nearly every value that a record holds is plain: whole numbers, short decimals, texts, keys in ASCII. Those
are written here in less time; all others go through the library that knows the whole scheme. A test compares
the two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from json.encoder import encode_basestring as quoted
from typing import Any

import rfc8785

__all__ = ["MOST_WHOLE", "canonical", "quoted"]

MOST_WHOLE = 2**53 - 1
"""The greatest whole number that has a canonical form."""
_LEAST_PLAIN, _MOST_PLAIN = 1e-4, 1e16
"""Between these Python writes a number without an exponent, digit for digit as the scheme does."""


class _Otherwise(Exception):  # noqa: N818 - read as what it says
    """The value may have another form than would be written here, or the scheme refuses it."""


def canonical(value: object) -> bytes:
    """The RFC 8785 bytes of a JSON value. Raises ValueError where it has none.

    NaN, infinities, whole numbers beyond 2^53 - 1 and what is no JSON value have no canonical form.
    """
    try:
        return _WRITERS[type(value)](value).encode()
    except (_Otherwise, UnicodeEncodeError):
        return rfc8785.dumps(value)  # type: ignore[arg-type]  # it looks at what it is given, and so refuses


class _Writers(dict[type, Callable[[Any], str]]):
    """How a value is written, by its very type: one derived from it may hold more than shows."""

    def __missing__(self, kind: type) -> Callable[[object], str]:
        raise _Otherwise(kind)


def _object(value: dict[str, object]) -> str:
    parts = [f"{begun}{_WRITERS[type(part := value[key])](part)}" for begun, key in _layout(tuple(value))]
    return "{" + ",".join(parts) + "}"


@lru_cache(maxsize=500)
def _layout(keys: tuple[object, ...]) -> list[tuple[str, str]]:
    """Keys in their order, each with what stands before its value: objects come in few shapes."""
    texts = [key for key in keys if isinstance(key, str) and key.isascii()]
    if len(texts) < len(keys):
        raise _Otherwise  # keys are sorted by UTF-16 units; only in ASCII is that surely the order of Python
    return [(f"{quoted(key)}:", key) for key in sorted(texts)]


def _list(value: Iterable[object]) -> str:
    return "[" + ",".join([_WRITERS[type(part)](part) for part in value]) + "]"


def _truth(value: object) -> str:
    return "true" if value else "false"


def _nothing(_value: object) -> str:
    return "null"


def _whole(value: int) -> str:
    if -MOST_WHOLE <= value <= MOST_WHOLE:
        return str(value)
    raise _Otherwise


def _number(value: float) -> str:
    """A number as JavaScript writes it: 24.0 is 24."""
    if value.is_integer():
        return _whole(int(value))
    if _LEAST_PLAIN <= abs(value) < _MOST_PLAIN:
        return repr(value)
    raise _Otherwise


_WRITERS = _Writers()
_WRITERS |= {dict: _object, list: _list, tuple: _list, str: quoted}
_WRITERS |= {int: _whole, float: _number, bool: _truth, type(None): _nothing}
