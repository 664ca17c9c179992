"""Rows as arrays: byte for byte what the driver itself makes of lists (psycopg 3, `types.array`)."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st
from psycopg.adapt import PyFormat, Transformer

from trainer.record.shared.arriving import EVENTS, NoId, arrays, columns

_TEXTS = st.text(st.characters(codec="utf-8"), max_size=300)
_ID = "01a03d37-1d39-72ac-aa45-954d502737ef"


def _by_the_driver(column: Sequence[object]) -> bytes:
    listed = list(column)
    dumper = Transformer().get_dumper(listed, PyFormat.BINARY)
    made = dumper.dump(listed)
    assert made is not None
    return bytes(made)


_BODIES = st.lists(st.tuples(_TEXTS, st.none() | st.binary(max_size=40), st.none() | _TEXTS), min_size=1)


@given(_BODIES)
def test_arrays_are_those_of_the_driver(rows: list[tuple[str, bytes | None, str | None]]) -> None:
    """Texts, bytes and ids, with gaps and without, of one length and of many."""
    events = [("run", 1, _ID, text, b"\0" * 32, b"", "T-01", salt, body) for text, salt, body in rows]
    made = dict(zip([name for name, _ in columns()[EVENTS]], arrays(EVENTS, events), strict=True))
    for place, name in enumerate(made):
        column: list[object] = [row[place] for row in events]
        if name == "seq" or set(column) == {None}:  # of nothing but gaps the driver cannot tell the type
            continue
        wanted = [UUID(_ID)] * len(rows) if name == "id" else column
        assert made[name] == _by_the_driver(wanted), name


def test_numbers_go_as_text_that_says_them_exactly() -> None:
    """A float has the digits that give it back, a gap is NULL."""
    row = ("run", 1, "at", "T-01", 1, "", "", None, "none", 1, "", 0.1, None, 1e-300, -3, 2**62)
    made = arrays("visits", [row, row])
    assert made[1] == "{1,1}"
    assert made[-5:] == ["{0.1,0.1}", "{NULL,NULL}", "{1e-300,1e-300}", "{-3,-3}", f"{{{2**62},{2**62}}}"]


_NONE = ("", "mine", _ID.upper(), _ID[:-1], f"{_ID}0", _ID.replace("-7", "-4"), "\u0661" * 36)


@pytest.mark.parametrize("ident", _NONE)
def test_an_id_that_is_none_is_told(ident: str) -> None:
    """Else the bytes of one could slip into the next."""
    event = ("run", 1, ident, "at", b"", b"", "T-01", b"", "{}")
    with pytest.raises(NoId):
        arrays(EVENTS, [event])
