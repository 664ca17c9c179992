"""The shape of a file, read by our own few lines and by pydantic from the same list of keys: they agree."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from broken_shapes import KEYS, TYPES, WORDS, Change
from broken_yaml import marked
from hypothesis import given
from hypothesis import strategies as st
from pydantic_oracle import accepts, model_of

from trainer.procedure.building import Node
from trainer.procedure.model import TASKS, Procedure, Setting, Step, Wait
from trainer.procedure.parts import Part, fields_of
from trainer.procedure.quantity import Quantity
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.shaping import Shaper

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
TREE = read_tree(SMALL.encode(), "small.yaml")


def shaped(value: Node) -> Procedure | None:
    """The procedure that our own reading makes of a tree."""
    tree = Tree(value, TREE.places, TREE.keys, (), SMALL, complete=True, refused=frozenset())
    shaper = Shaper(tree)
    procedure = shaper.procedure()
    assert (procedure is None) is bool(shaper.problems)
    return procedure


def test_both_take_the_small_procedure() -> None:
    """The small procedure is read by both, with the same values in every key."""
    own = shaped(TREE.value)
    theirs = model_of(Procedure).model_validate(TREE.value)
    assert own is not None
    same(own, theirs)


def same(own: object, theirs: object) -> None:
    """Two readings of one part hold the same."""
    if isinstance(own, Part):
        for field in fields_of(type(own)).values():
            same(getattr(own, field.name), getattr(theirs, field.name))
    elif isinstance(own, tuple | list):
        assert isinstance(theirs, tuple | list)
        for one, other in zip(own, theirs, strict=True):
            same(one, other)
    elif isinstance(own, dict):
        assert isinstance(theirs, dict)
        assert own.keys() == theirs.keys()
        for key, value in own.items():
            same(value, theirs[key])
    else:
        assert own == theirs
        assert type(own) is type(theirs)


@pytest.mark.parametrize("change", [*KEYS, *TYPES, *WORDS], ids=lambda change: change.name)
def test_both_say_the_same_of_the_broken_files(change: Change) -> None:
    """Each change to the small procedure is refused by both, or by neither."""
    source, _, _ = marked(SMALL.replace(change.old, change.new))
    value = read_tree(source, "small.yaml").value
    assert (shaped(value) is not None) is accepts(value)


_VALUES: st.SearchStrategy[Node] = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(-3, 99),
        st.floats(-9, 9),
        st.sampled_from(
            ["a", "", "done", "45 s", "settings.exposure", "Word", "a_b", "run", "danger", "all"]
        ),
    ),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["a", "b", "en", "name", "Bad", "for", "value"]), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(st.data())
def test_both_say_the_same_of_any_change(data: st.DataObject) -> None:
    """With any value changed, any key taken out or put in, both take the file or both refuse it."""
    path = data.draw(st.sampled_from(sorted(TREE.places, key=str)))
    how = data.draw(st.sampled_from(["change", "take out", "put in"]))
    value = _with(TREE.value, path, how, data.draw(_VALUES), data.draw(st.sampled_from(["wait", "do", "x"])))
    assert (shaped(value) is not None) is accepts(value)


def _with(root: Node, path: tuple[str | int, ...], how: str, put: Node, key: str) -> Node:
    """A copy of a tree with one change at a path."""
    if not path:
        return {**root, key: put} if how == "put in" and isinstance(root, dict) else put
    step, rest = path[0], path[1:]
    if isinstance(root, list):
        kept = [entry for index, entry in enumerate(root) if rest or how != "take out" or index != step]
        return [
            _with(entry, rest, how, put, key) if index == step else entry for index, entry in enumerate(kept)
        ]
    assert isinstance(root, dict)
    if not rest and how == "take out":
        return {own: value for own, value in root.items() if own != step}
    return {own: _with(value, rest, how, put, key) if own == step else value for own, value in root.items()}


def test_parts_are_frozen_and_complete() -> None:
    """A part is made by keyword, keeps its defaults, and neither lacks, takes on nor changes a key."""
    wait = Wait(for_=Quantity(45, "s"))
    assert (wait.at_least, wait.dose) == (None, None)
    assert wait == Wait(for_=Quantity(45, "s"))
    assert hash(wait) == hash(Wait(for_=Quantity(45, "s")))
    assert wait != Wait()
    assert repr(Wait()) == "Wait(for_=None, at_least=None, at_most=None, dose=None)"
    with pytest.raises(AttributeError, match="frozen"):
        wait.dose = None  # type: ignore[misc]  # that is the point
    with pytest.raises(AttributeError, match="frozen"):
        del wait.dose
    with pytest.raises(TypeError, match="needs `value`"):
        Setting(unit="s", between=(1, 2), label="x")  # type: ignore[call-arg]  # that is the point
    with pytest.raises(TypeError, match="has no `colour`"):
        Wait(colour="red")  # type: ignore[call-arg]  # that is the point


def test_every_key_says_what_it_is_for() -> None:
    """Each key of each part has a description that ends in a full stop; each task is a key of a step."""
    for part in Part.__subclasses__():
        for field in fields_of(part).values():
            assert field.key.doc.endswith(".")
    assert set(TASKS) <= fields_of(Step).keys()


def test_no_number_is_endless() -> None:
    """What a file may write as a number is finite."""
    value = read_tree(b"a: [.inf, .nan, -.inf, 1e999, 999999999999999.999999999999999]", "x").value
    assert isinstance(value, dict)
    entries = value["a"]
    assert isinstance(entries, list)
    assert [entry for entry in entries if isinstance(entry, float) and not math.isfinite(entry)] == []
