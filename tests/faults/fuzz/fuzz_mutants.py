"""Inputs that are nearly right: the real files with parts dropped, doubled, swapped, grafted or written over.

Made from lists of small edits, so that what is found shrinks to the edit that matters.
"""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path

import yaml
from fuzz_words import WORDS
from hypothesis import strategies as st

from trainer import places
from trainer.procedure.building import Node
from trainer.procedure.reader import read_tree

TESTS = Path(__file__).resolve().parent.parent.parent

SCALARS: st.SearchStrategy[Node] = st.one_of(
    st.sampled_from(WORDS),
    st.sampled_from([0, -1, 1, 10**15, -(10**15), 0.1, 1e15, True, False, None, 2.5]),
)
PARTS: st.SearchStrategy[Node] = SCALARS | st.sampled_from(
    [[], {}, [[]], {"a": 1}, ["a", "a"], {"": ""}, [None]]
)

Edit = tuple[str, int, int, Node]
EDITS: st.SearchStrategy[list[Edit]] = st.lists(
    st.tuples(
        st.sampled_from(["drop", "double", "swap", "put", "rename", "graft", "append"]),
        st.integers(0, 4000),
        st.integers(0, 4000),
        PARTS,
    ),
    min_size=1,
    max_size=6,
)


@cache
def texts(kind: str) -> tuple[str, ...]:
    """The real files of a kind."""
    found = {
        "procedures": [
            *places.procedures_dir().glob("*.yaml"),
            TESTS / "run" / "plate.yaml",
            TESTS / "run" / "amounts.yaml",
        ],
        "walks": [*(TESTS / "walks").glob("*.yaml")],
    }[kind]
    return tuple(path.read_text(encoding="utf-8") for path in sorted(found))


SHOP = """\
format: 1
units: metric # as we measure
altitude: 240 m
procedures:
  negative-plate-two-burns: {exposure: 26, wedge_target: 5} # since March
  exposure-test:
    exposure: 24
"""


@cache
def tree_of(text: str) -> Node:
    """The values of a sound file."""
    return read_tree(text.encode(), "x").value


Inside = tuple[list[Node] | dict[str, Node], int | str]


def inside(root: Node) -> list[Inside]:
    """Every part of a tree, as its holder and its place there, top down."""
    found: list[Inside] = []
    waiting = [root]
    while waiting:
        node = waiting.pop(0)
        entries: list[Inside] = []
        if isinstance(node, dict):
            entries = [(node, key) for key in node]
        elif isinstance(node, list):
            entries = [(node, place) for place in range(len(node))]
        found += entries
        waiting += [get(entry) for entry in entries]
    return found


def get(entry: Inside) -> Node:
    """The part at a place."""
    holder, key = entry
    return holder[key]  # type: ignore[index] # the key is the holder's


def put(entry: Inside, value: Node) -> None:
    """Write a part over."""
    holder, key = entry
    holder[key] = value  # type: ignore[index]


def edited(root: Node, edits: list[Edit]) -> Node:
    """A copy of a tree after some edits."""
    root = copy.deepcopy(root)
    for what, where, other, value in edits:
        parts = inside(root)
        if not parts:
            break
        _edit(what, parts[where % len(parts)], parts[other % len(parts)], copy.deepcopy(value))
    return root


def _edit(what: str, one: Inside, two: Inside, value: Node) -> None:
    holder, key = one
    match what:
        case "drop":
            del holder[key]  # type: ignore[arg-type]
        case "double" if isinstance(holder, list):
            holder.append(copy.deepcopy(get(one)))
        case "append" if isinstance(holder, list):
            holder.append(value)
        case "swap":
            first, second = copy.deepcopy(get(one)), copy.deepcopy(get(two))
            put(two, first)
            put(one, second)
        case "graft":
            put(one, copy.deepcopy(get(two)))
        case "rename" if isinstance(holder, dict):
            holder[value if isinstance(value, str) else str(key)] = holder.pop(str(key))
        case _:
            put(one, value)


def as_yaml(root: Node, *, flow: bool) -> bytes:
    """A tree as a file."""
    text: str = yaml.safe_dump(root, allow_unicode=True, default_flow_style=flow, sort_keys=False, width=1000)
    return text.encode("utf-8", "surrogatepass")


def files(kind: str) -> st.SearchStrategy[bytes]:
    """Real files of a kind with edits to their tree, or to their lines."""
    source = st.sampled_from(texts(kind))
    return trees(source) | lines(source)


def trees(source: st.SearchStrategy[str]) -> st.SearchStrategy[bytes]:
    """Files with edits to their tree."""
    return st.builds(
        lambda text, edits, flow: as_yaml(edited(tree_of(text), edits), flow=flow),
        source,
        EDITS,
        st.booleans(),
    )


def lines(source: st.SearchStrategy[str]) -> st.SearchStrategy[bytes]:
    """Files with lines dropped, doubled, moved, indented or cut into."""
    edit = st.tuples(
        st.sampled_from(["drop", "double", "move", "indent", "cut", "insert"]),
        st.integers(0, 4000),
        st.integers(0, 120),
        st.sampled_from(WORDS),
    )
    return st.builds(_lines_edited, source, st.lists(edit, min_size=1, max_size=5))


def _lines_edited(text: str, edits: list[tuple[str, int, int, str]]) -> bytes:
    rows = text.split("\n")
    for what, where, at, word in edits:
        place = where % len(rows)
        row = rows[place]
        match what:
            case "drop" if len(rows) > 1:
                del rows[place]
            case "double":
                rows.insert(place, row)
            case "move":
                rows.insert((where * 7 + at) % len(rows), rows.pop(place))
            case "indent":
                rows[place] = " " * (at % 9) + row.lstrip()
            case "cut":
                rows[place] = row[: at % (len(row) + 1)]
            case _:
                rows[place] = row[: at % (len(row) + 1)] + word + row[at % (len(row) + 1) :]
    return "\n".join(rows).encode("utf-8", "surrogatepass")


def bytes_edited(sound: bytes) -> st.SearchStrategy[bytes]:
    """Bytes flipped, written over, cut off, or moved about by pages."""
    edit = st.tuples(
        st.sampled_from(["flip", "over", "cut", "page"]),
        st.integers(0, max(1, len(sound))),
        st.binary(min_size=1, max_size=24),
    )
    return st.lists(edit, min_size=1, max_size=6).map(lambda edits: _bytes_edited(sound, edits))


def _bytes_edited(sound: bytes, edits: list[tuple[str, int, bytes]]) -> bytes:
    data = bytearray(sound)
    for what, where, put_in in edits:
        at = where % (len(data) or 1)
        match what:
            case "flip" if data:
                data[at] ^= 1 << (put_in[0] % 8)
            case "cut":
                del data[at:]
            case "page" if len(data) >= 8192:
                source, target = (put_in[0] * 4096) % len(data), at // 4096 * 4096
                data[target : target + 4096] = data[source : source + 4096]
            case _:
                data[at : at + len(put_in)] = put_in
    return bytes(data)


# Walks that can be read

LONG_TIMES = (
    "0 s",
    "-5 s",
    "0.001 s",
    "40 s",
    "90 min",
    "3 days",
    "1000 weeks",
    "1e9 weeks",
    "999999999 weeks",
)
_ACTS = st.one_of(
    st.sampled_from(["confirm", "accept", "points", "pause", "resume", "leave_setting"]),
    st.builds(
        lambda key, time: {key: time}, st.sampled_from(["pass", "restart"]), st.sampled_from(LONG_TIMES)
    ),
    st.builds(
        lambda to: {"right": to}, st.sampled_from(["to-end", 1, 7, 10**9, "to draw-down", "to expose"])
    ),
    st.builds(
        lambda key, said: {key: said},
        st.sampled_from(["read", "answer", "judge", "pick", "spoil", "note", "hand_over", "stop"]),
        st.sampled_from([*WORDS, "wrong", "a", "22 inHg", 22, -1, 10**15, ["a", "b"]]),
    ),
    st.builds(
        lambda word, note: {"sign": {"by": "I-1", "word": word, "note": note}},
        st.sampled_from(["passed", "not_yet"]),
        st.sampled_from(WORDS),
    ),
)


def walks() -> st.SearchStrategy[bytes]:
    """Walks whose every act can be read, in any order, with times that take long or no time."""
    acts = st.lists(_ACTS | _ACTS.map(lambda act: {"refused": act}), min_size=1, max_size=8)
    return st.builds(
        lambda procedure, guidance, found: as_yaml(
            {"walk": 1, "procedure": procedure, "guidance": guidance, "acts": found}, flow=False
        ),
        st.sampled_from(["negative-plate-two-burns", "exposure-test"]),
        st.sampled_from(["full", "cued", "solo"]),
        acts,
    )
