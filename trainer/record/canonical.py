"""The canonical bytes of a JSON value (RFC 8785, JSON Canonicalization Scheme).

Nearly every value that a record holds is written alike by the encoder of the standard library, in less
time (`_as_written`); all others go through the library that knows the whole scheme. A test compares the two.
"""

from __future__ import annotations

import json

import rfc8785

_MOST = 2**53 - 1
"""The greatest whole number that has a canonical form."""
_LEAST_PLAIN, _MOST_PLAIN = 1e-4, 1e16
"""Between these Python writes a number without an exponent, digit for digit as the scheme does."""
_encoded = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, allow_nan=False, sort_keys=True, separators=(",", ":")
).encode


class _Otherwise(Exception):  # noqa: N818 - read as what it says
    """The encoder may write this value otherwise than the scheme, or the scheme refuses it."""


def canonical(value: object) -> bytes:
    """The RFC 8785 bytes of a JSON value. Raises ValueError where it has none.

    NaN, infinities, whole numbers beyond 2^53 - 1 and what is no JSON value have no canonical form.
    """
    try:
        return _encoded(_as_written(value)).encode()
    except (_Otherwise, UnicodeEncodeError):
        return rfc8785.dumps(value)  # type: ignore[arg-type]  # it looks at what it is given, and so refuses


def _as_written(value: object) -> object:
    """The value as the encoder is to have it: 24.0 is written 24. Raises _Otherwise."""
    kind = type(value)
    if kind is str or value is None or kind is bool:
        return value
    if isinstance(value, dict) and kind is dict:
        # Keys are sorted by UTF-16 units; only among ASCII keys is that surely the order of Python.
        if not all(isinstance(key, str) and key.isascii() for key in value):
            raise _Otherwise
        return {key: _as_written(part) for key, part in value.items()}
    if isinstance(value, int) and kind is int and -_MOST <= value <= _MOST:
        return value
    if isinstance(value, float) and kind is float:
        if value.is_integer():
            return _as_written(int(value))
        if _LEAST_PLAIN <= abs(value) < _MOST_PLAIN:
            return value
    if isinstance(value, list | tuple) and kind in {list, tuple}:
        return [_as_written(part) for part in value]
    raise _Otherwise
