"""The strict reader: what values are, where they stand, and that nothing breaks it."""

from __future__ import annotations

import string
import time
from pathlib import Path

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from trainer.procedure.building import MOST_DEEP, MOST_NODES, Node, library_problem
from trainer.procedure.load import load_bytes
from trainer.procedure.problems import Place
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.render import as_json, as_text
from trainer.procedure.source import MOST_BYTES
from trainer.procedure.text import unclean

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")


def read(text: str) -> Tree:
    """The tree of a text."""
    return read_tree(text.encode(), "x.yaml")


def slice_of(text: str, place: Place) -> str:
    """What stands at a place of a text."""
    lines = text.split("\n")[place.line - 1 : place.end_line]
    lines[-1] = lines[-1][: place.end_column - 1]
    lines[0] = lines[0][place.column - 1 :]
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("true", True),
        ("false", False),
        ("null", None),
        ("", None),
        ("0", 0),
        ("-7", -7),
        ("+7", 7),
        ("24.50", 24.5),
        # Everything else is text. YAML 1.1 (the "!!bool", "!!int" and "!!float" pages of yaml.org/type) reads
        # most of these as something else.
        *((word, word) for word in ("no", "yes", "on", "off", "No", "ON", "True", "FALSE", "~", "Null", "y")),
        *((word, word) for word in ("010", "08", "0o10", "0x1F", "1_000", "1e3", ".5", "5.", ".inf", ".nan")),
        *((word, word) for word in ("1:30", "0:05", "12:30:45", "1:30.5", "2024-01-02", "9" * 16)),
        ('"24"', "24"),
        ("'no'", "no"),
    ],
)
def test_values_without_quotes_are_few_kinds(written: str, value: object) -> None:
    """Only true, false, null and decimal numbers are more than text."""
    tree = read(f"a: {written}\n")
    assert isinstance(tree.value, dict)
    assert tree.value["a"] == value
    assert type(tree.value["a"]) is type(value)


def test_places_are_those_of_the_file() -> None:
    """Values and keys of every style have their place, wide and combining letters counted one by one."""
    text = "\ufeff# \u00e9\r\nt: '\u6728 x'\r\n\u6728k: {a: [1, \"b\"], c: |\r\n".replace(", c: |", "}")
    text += "l:\r\n  - deep: yes\r\n\r\nend: 3\r\n"
    tree = read(text)
    assert tree.problems == ()
    assert tree.place(("t",)) == Place(2, 4, 2, 9)
    assert tree.key(("\u6728k",)) == Place(3, 1, 3, 3)
    assert tree.place(("\u6728k", "a", 1)) == Place(3, 13, 3, 16)
    assert tree.place(("\u6728k",)) == Place(3, 5, 3, 18)
    assert tree.place(("l",)) == Place(5, 3, 5, 14)
    assert tree.place(("l", 0, "deep", "no", 9)) == tree.place(("l", 0, "deep")) == Place(5, 11, 5, 14)
    assert tree.key(("end",)) == Place(7, 1, 7, 4)


_WORDS = st.text(st.sampled_from(string.ascii_lowercase + "\u6728\u00e9"), min_size=1, max_size=8)
_SCALARS = st.one_of(
    _WORDS, st.integers(-999, 999), st.booleans(), st.sampled_from(["no", "1:30", "a b", "x: y"])
)
_TREES: st.SearchStrategy[Node] = st.recursive(
    _SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_WORDS, inner, max_size=4),
    max_leaves=20,
)


@given(st.dictionaries(_WORDS, _TREES, min_size=1, max_size=4), st.booleans())
def test_what_is_written_comes_back_at_its_place(value: dict[str, Node], flow: bool) -> None:
    """A tree written by another YAML writer comes back equal, and each value stands where its place says."""
    text = yaml.safe_dump(value, allow_unicode=True, default_flow_style=flow, width=60)
    tree = read(text)
    assert [problem for problem in tree.problems if problem.severity == "error"] == []
    assert tree.value == value
    for path, place in tree.places.items():
        inside = _at(tree.value, path)
        if isinstance(inside, str) and path:
            assert yaml.safe_load(slice_of(text, place)) in (inside, *_read_elsewhere(inside))
    for path, place in tree.keys.items():
        assert yaml.safe_load(slice_of(text, place)) == path[-1]


def _at(root: Node, path: tuple[str | int, ...]) -> Node:
    """The value at a path of a tree."""
    for step in path:
        if isinstance(root, list):
            root = root[int(step)]
        elif isinstance(root, dict):
            root = root[str(step)]
    return root


def _read_elsewhere(text: str) -> tuple[object, ...]:
    """What YAML 1.1 makes of the words among the values above, for the comparison only."""
    return {"no": (False,), "1:30": (90,)}.get(text, ())


def survives(source: bytes) -> None:
    """Reading ends, quickly, with problems that can be shown."""
    before = time.process_time()
    loaded = load_bytes(source, "small.yaml")
    assert time.process_time() - before < 5
    shown = as_text(loaded.problems, loaded.source_text, loaded.file)
    assert unclean(shown) is None
    assert unclean(as_json(loaded.problems, loaded.file)) is None
    assert (loaded.plan is None) is any(problem.severity == "error" for problem in loaded.problems)
    for problem in loaded.problems:
        assert problem.help
        assert problem.place.line >= 1
        assert problem.place.column >= 1


@given(st.binary(max_size=400))
@example(b"\xff")
@example(b"? ")
@example(b"a: 'x")
@example(b"- - - -")
@example(b"\xef\xbb\xbf\xef\xbb\xbfa: 1")
def test_no_bytes_break_the_reader(source: bytes) -> None:
    """Any bytes at all are read or refused with problems, never with an exception."""
    survives(source)


_SIGNS = st.sampled_from([*"[]{}:,-?|>&*!%@`#'\"\\ \n\t", ": ", "- ", "\n  ", "<<", "...", "---", "a", "1"])


@given(st.lists(_SIGNS, max_size=40).map("".join))
def test_no_signs_of_yaml_break_the_reader(text: str) -> None:
    """Any run of the signs that mean something in YAML is read or refused with problems."""
    survives(text.encode())


@given(st.data())
def test_no_change_to_a_sound_file_breaks_it(data: st.DataObject) -> None:
    """A sound file with a stretch cut out, doubled, or written over is read or refused with problems."""
    start = data.draw(st.integers(0, len(SMALL)))
    end = data.draw(st.integers(start, min(len(SMALL), start + 40)))
    put = data.draw(st.one_of(st.just(""), st.text(max_size=6), st.just(SMALL[start:end] * 2), _SIGNS))
    survives((SMALL[:start] + put + SMALL[end:]).encode("utf-8", "replace"))


@given(st.data())
def test_no_value_of_another_kind_breaks_it(data: st.DataObject) -> None:
    """A sound file with one value of any other kind is read or refused with problems."""
    tree = read(SMALL)
    path = data.draw(st.sampled_from(sorted(tree.places, key=str)))
    put = data.draw(_TREES | st.none() | st.just({}) | st.just([]) | st.floats(-9, 9))
    survives(yaml.safe_dump(_with(tree.value, path, put), allow_unicode=True).encode())


def _with(root: Node, path: tuple[str | int, ...], put: Node) -> Node:
    """A copy of a tree with one value changed."""
    if not path:
        return put
    step, rest = path[0], path[1:]
    if isinstance(root, list):
        return [_with(entry, rest, put) if index == step else entry for index, entry in enumerate(root)]
    assert isinstance(root, dict)
    return {key: _with(value, rest, put) if key == step else value for key, value in root.items()}


def test_the_limits_are_the_last_that_is_read() -> None:
    """A file of exactly the greatest size, depth or number of nodes is read; one more is refused."""
    nodes = "- a\n" * (MOST_NODES - 1)
    assert read(nodes).complete
    assert not read(nodes + "- a\n").complete
    deep = "[" * MOST_DEEP + "]" * MOST_DEEP
    assert read(deep).complete
    assert not read(f"[{deep}]").complete
    text = "# " + "x" * (MOST_BYTES - 8) + "\na: 1"
    assert len(text) == MOST_BYTES - 1
    assert read(text + "\n").complete
    assert not read(text + "\n\n").complete


def test_this_library_is_new_enough() -> None:
    """The YAML library in use has libyaml 0.2.6 or newer; older ones crash (yaml/pyyaml#895)."""
    assert library_problem() is None


def test_what_is_refused_is_not_blamed_again() -> None:
    """A reference that is refused gives one problem, and none about what it should have been."""
    text = SMALL.replace("signal: danger", "signal: *other")
    found = [problem.code for problem in load_bytes(text.encode(), "small.yaml").problems]
    assert found == ["Y06"]
