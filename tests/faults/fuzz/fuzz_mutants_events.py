"""Events and records that are nearly right."""

from __future__ import annotations

import copy
import json
from functools import cache

from fuzz_mutants import EDITS, SCALARS, edited, get, inside, put
from fuzz_words import WORDS
from hypothesis import strategies as st
from run_kit import Sink

from trainer.procedure.building import Node
from trainer.record.packing import packed
from trainer.record.schema import PROJECTED


@cache
def event_texts() -> tuple[str, ...]:
    """The events of a whole run, as they are kept."""
    sink = Sink.open("cued").until("expose")
    sink.run.spoil("scratched")
    sink.until("let-it-soften")
    sink.restart(down=3.0)
    sink.run.note("the light flickers")
    return tuple(packed(event) for event in sink.to_end().events)


EventEdit = tuple[str, int, int, int]


def event_lines() -> st.SearchStrategy[bytes]:
    """The events of a run: some dropped, doubled, moved, or with values of other events in their place.

    What is put in is of the kind that was there, so that the events can still be read.
    """
    edit = st.tuples(
        st.sampled_from(["drop", "double", "move", "bodies", "value", "value", "value", "made up"]),
        st.integers(0, 400),
        st.integers(0, 400),
        st.integers(0, 4000),
    )
    return st.builds(
        _events_edited,
        st.lists(edit, min_size=1, max_size=5),
        st.integers(1, 40).map(lambda number: number != 1),
        st.integers(1, len(event_texts())),
    )


Json = dict[str, Node]


def _events_edited(edits: list[EventEdit], renumbered: bool, length: int) -> bytes:
    rows: list[Json] = [json.loads(text) for text in event_texts()[:length]]
    for what, where, other, value in edits:
        one, two = where % len(rows), other % len(rows)
        match what:
            case "drop" if len(rows) > 1:
                del rows[one]
            case "double":
                rows.insert(two, copy.deepcopy(rows[one]))
            case "move":
                rows.insert(two, rows.pop(one))
            case "bodies":
                rows[one]["body"], rows[two]["body"] = rows[two]["body"], rows[one]["body"]
            case _:
                _put_alike(rows, one, other, value, made_up=what == "made up")
    for number, row in enumerate(rows, start=1):
        if renumbered:
            row["seq"] = number
    return "\n".join(json.dumps(row) for row in rows).encode("utf-8", "surrogatepass")


def _put_alike(rows: list[Json], event: int, part: int, value: int, *, made_up: bool) -> None:
    """Write a value of the same kind over one value of an event."""
    leaves = [entry for entry in inside(rows[event]) if not isinstance(get(entry), list | dict)]
    leaf = leaves[part % len(leaves)]
    old = get(leaf)
    everywhere: list[Node] = [
        get(entry) for row in rows for entry in inside(row) if not isinstance(get(entry), list | dict)
    ]
    kinds: list[Node] = (
        [*WORDS, 0, 1, -1, 2, 99, 10**9, 0.5, -2.5, 1e15, True, False] if made_up else everywhere
    )
    alike = [one for one in kinds if type(one) is type(old)] or [old]
    put(leaf, alike[value % len(alike)])


def event_json() -> st.SearchStrategy[bytes]:
    """One event with edits, or any JSON."""
    one = st.builds(
        lambda text, edits: json.dumps(edited(json.loads(text), edits)).encode(),
        st.sampled_from(event_texts()),
        EDITS,
    )
    any_json = st.recursive(
        SCALARS | st.floats() | st.integers(),
        lambda inner: (
            st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=4)
        ),
        max_leaves=12,
    ).map(lambda value: json.dumps(value).encode())
    return one | any_json


def rows_written_over() -> st.SearchStrategy[bytes]:
    """Values for cells of a record: lines of [table, column, row, value]."""
    tables = (
        *PROJECTED,
        "events",
        "heads",
        "station",
        "procedures",
        "people",
        "leases",
        "migrations",
        "erasures",
    )
    value = SCALARS | st.integers(-(2**63), 2**63 - 1) | st.floats() | st.sampled_from(event_texts())
    line = st.tuples(st.sampled_from(tables), st.integers(0, 30), st.integers(0, 60), value)
    return st.lists(line, min_size=1, max_size=5).map(
        lambda found: "\n".join(json.dumps(list(one)) for one in found).encode("utf-8", "surrogatepass")
    )
