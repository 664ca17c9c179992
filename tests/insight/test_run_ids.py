"""Runs that a figure rests on."""

from __future__ import annotations

from trainer.insight.run_ids import RunIds


def test_it_is_a_sequence_equal_to_a_tuple() -> None:
    """Length, place, part, equality and hash are those of the tuple; its words are short."""
    found = RunIds(("a", "b", "c", "d"), [1, 3])
    assert found == ("b", "d")
    assert (len(found), found[0], found[-1], list(found)) == (2, "b", "d", ["b", "d"])
    assert found[:1] == ("b",)
    assert "d" in found
    assert "a" not in found
    assert hash(found) == hash(("b", "d"))
    assert found != ("b",)
    assert repr(found) == "RunIds(2 runs)"
