"""Rows as arrays: a real server takes them for what the driver itself makes of lists (psycopg 3)."""

from __future__ import annotations

from uuid import UUID

import psycopg
import pytest
from hypothesis import given
from hypothesis import strategies as st
from postgres_kit import Postgres
from shared_kit import running

from trainer.record.shared.arriving import EVENTS, NoId, arrays, columns, let_through

pytestmark = pytest.mark.long

_TEXTS = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=300)
_ID = "01a03d37-1d39-72ac-aa45-954d502737ef"
_NONE = ("", "mine", _ID.upper(), _ID[:-1], f"{_ID}0", _ID.replace("-7", "-4"), "\u0661" * 36)


@pytest.fixture
def server() -> Postgres:
    """The server of this process."""
    return running()


_ROWS = st.lists(st.tuples(_TEXTS, st.none() | st.binary(max_size=40), st.none() | _TEXTS), min_size=1)


@given(_ROWS)
def test_arrays_of_events_are_what_the_driver_makes_of_lists(
    rows: list[tuple[str, bytes | None, str | None]],
) -> None:
    """Texts, bytes and ids, with gaps and without, of one length and of many."""
    events = [("run", 1, _ID, text, b"\0" * 32, b"", "T-01", salt, body) for text, salt, body in rows]
    with psycopg.connect(running().address()) as connection:
        let_through(connection)
        (made,) = arrays(connection, EVENTS, events)
        for (name, kind), array, column in zip(
            columns()[EVENTS], made, zip(*events, strict=True), strict=True
        ):
            wanted = [UUID(_ID)] * len(rows) if name == "id" else list(column)
            asked = f"SELECT %s::{kind}[], %s::{kind}[]"
            ours, theirs = connection.execute(asked, (array, wanted)).fetchone() or (None, "")
            assert ours == theirs, name


def test_numbers_arrive_as_they_are(server: Postgres) -> None:
    """Whole ones of any size, floats to their last digit, gaps."""
    row = ("run", 1, "at", "T-01", 1, "", "", None, "none", 1, "", 0.1, None, 1e-300, -3, 2**62)
    with psycopg.connect(server.address()) as connection:
        let_through(connection)
        (made,) = arrays(connection, "visits", [row, row])
        kinds = [kind for _, kind in columns()["visits"]]
        asked = ", ".join(f"%s::{kind}[]" for kind in kinds)
        found = connection.execute(f"SELECT {asked}", made).fetchone()
    assert found == tuple([cell, cell] for cell in row)


@pytest.mark.parametrize("ident", _NONE)
def test_an_id_that_is_none_is_told(server: Postgres, ident: str) -> None:
    """Else the bytes of one could slip into the next."""
    event = ("run", 1, ident, "at", b"", b"", "T-01", b"", "{}")
    with psycopg.connect(server.address()) as connection, pytest.raises(NoId):
        arrays(connection, EVENTS, [event])
